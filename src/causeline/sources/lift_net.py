"""The lifter: a small network from a swing's tracks in one picture to the body in space.

Its weights and its recipe come from training/lift. It is small enough to run in NumPy, which makes
it the same on every machine: a swing takes a few hundredths of a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from causeline.errors import EngineError
from causeline.model.clip import View
from causeline.model.moments import MomentName, Moments
from causeline.model.motion import TURNS, Motion
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats

WEIGHTS = Path(__file__).parent / "lift_weights" / "lift.npz"
"""Made by training/lift."""

J = len(BODY_LANDMARKS)
SPANS = (8, 56, 32, 24, 8)
"""Samples before address, up to the top, up to impact, up to the finish, after it."""
STEPS, ADDRESS = sum(SPANS), SPANS[0]
BEFORE_S, AFTER_S, FINISH_AFTER_S = 0.3, 0.4, 0.7
TURN_UNIT, SD_UNIT = 30.0, 10.0
JOINT_LOG_FROM, LEAST_LOG, MOST_LOG = -3.0, -5.0, 2.0
LEAST_SHAFT_TRUST, LEAST_TRUST = 0.3, 0.02
USUAL_STATURE_M = 1.70
STATURE_SHARE_SD = 0.055
"""Of a golfer whose stature is not known."""
KEPT = 8
"""Swings of which what was said is remembered."""
_REMEDY = "install the package again; training/lift makes the file"


@dataclass(frozen=True, slots=True)
class _Net:
    arrays: dict[str, NDArray[np.float32]]

    def say(self, seen: Floats) -> Floats:
        """(STEPS, 4 J + 6) of (STEPS, features)."""
        a = self.arrays
        x = _convolved(seen.astype(np.float32), a["enter.weight"], a["enter.bias"], 1)
        x = x + a["place"][0].T
        for k, dilation in enumerate(a["dilations"].astype(int)):
            name = f"blocks.{k}."
            y = _normed(x, a[name + "norm.weight"], a[name + "norm.bias"])
            y = _convolved(y, a[name + "look.weight"], a[name + "look.bias"], int(dilation))
            y = _gelu(y)
            y = y + y.mean(axis=0)
            x = x + _convolved(y, a[name + "mix.weight"], a[name + "mix.bias"], 1)
        x = _normed(x, a["leave.0.weight"], a["leave.0.bias"])
        said = _convolved(x, a["leave.1.weight"], a["leave.1.bias"], 1) + a["usual"][0].T
        return said.astype(np.float64)


class LiftNet:
    """The shipped lifter."""

    version = "lift/3"

    def __init__(self, weights: Path = WEIGHTS) -> None:
        """Raises EngineError where the weights are missing or are another network's."""
        self._net = _net_of(weights)
        self._said: dict[bytes, Floats] = {}

    def lift_body(
        self,
        body: BodyTrack,
        club: ClubTrack | None,
        moments: Moments,
        view: View,
        stature_m: float | None = None,
    ) -> Motion | None:
        """The body over the frames from shortly before address to shortly after the finish.

        Frames outside are NaN. None where the swing has no top or impact to hold it by. Without
        `stature_m` metres are those of somebody of usual height, and as unsure.
        """
        knots = _knots(body, moments)
        if knots is None:
            return None
        at = _phase_times(knots)
        said = self._say(see_swing(body, club, at, view))
        widen = self._net.arrays["widen"][0 if view is View.FACE_ON else 1]
        return _motion(body, at, said, widen.astype(float), stature_m)

    def _say(self, seen: Floats) -> Floats:
        """What was said of this swing lately is said again: few corrections change the input."""
        key = seen.tobytes()
        said = self._said.pop(key, None)
        if said is None:
            said = self._net.say(seen)
            said.setflags(write=False)
        self._said[key] = said
        for oldest in list(self._said)[:-KEPT]:
            self._said.pop(oldest, None)
        return said


def see_swing(body: BodyTrack, club: ClubTrack | None, at: Floats, view: View) -> Floats:
    """What the network sees, (STEPS, 3 J + 7), of a swing played at those times (STEPS,)."""
    xy, trust = _played_joints(body, at)
    root, size = _frame_of(xy)
    joints = (xy - root) * np.array([1.0, -1.0]) / size
    each = np.concatenate([joints * (trust > LEAST_TRUST)[..., None], trust[..., None]], axis=2)
    step = np.clip(np.diff(at, append=at[-1] + 0.05), 1e-3, 0.2)
    side = -1.0 if view is View.FACE_ON else 1.0
    rest = np.stack([np.full(STEPS, side), np.log(step / 0.01), np.ones(STEPS)], axis=1)
    shaft = np.zeros((STEPS, 4)) if club is None else _played_shaft(body, club, at, size)
    return np.concatenate([each.reshape(STEPS, -1), shaft, rest], axis=1)


def _knots(body: BodyTrack, moments: Moments) -> tuple[float, float, float, float] | None:
    """Seconds of address, top, impact and finish; None where they are not in order."""
    found = {moment.name: moment.time_s for moment in moments.found}
    if MomentName.TOP not in found or MomentName.IMPACT not in found or len(body) < 2:
        return None
    top, impact = found[MomentName.TOP], found[MomentName.IMPACT]
    start = found.get(MomentName.START, float(body.time_s[0]))
    address = found.get(MomentName.ADDRESS, start)
    finish = found.get(MomentName.FINISH, impact + FINISH_AFTER_S)
    return (address, top, impact, finish) if address < top < impact < finish else None


def _phase_times(knots: tuple[float, float, float, float]) -> Floats:
    address, top, impact, finish = knots
    times = (address - BEFORE_S, address, top, impact, finish, finish + AFTER_S)
    return np.interp(np.arange(STEPS), np.cumsum((0, *SPANS)), times)


def _played_joints(body: BodyTrack, at: Floats) -> tuple[Floats, Floats]:
    """(STEPS, J, 2) pixels without a gap, and (STEPS, J) trust, 0 for a joint never seen."""
    xy, trust = np.zeros((STEPS, J, 2)), np.zeros((STEPS, J))
    for k in range(J):
        seen = np.isfinite(body.xy[:, k]).all(axis=1)
        if seen.any():
            for axis in (0, 1):
                xy[:, k, axis] = np.interp(at, body.time_s[seen], body.xy[seen, k, axis])
            sure = np.where(seen, np.nan_to_num(body.confidence[:, k]), 0.0)
            trust[:, k] = np.interp(at, body.time_s, sure)
    return xy, trust


def _frame_of(xy: Floats) -> tuple[Floats, float]:
    """The middle of the ankles at address, and the distance from there to the nose, pixels."""
    still = xy[ADDRESS - 3 : ADDRESS + 1].mean(axis=0)
    ankles = [BODY_LANDMARKS.index(f"{side}_ankle") for side in ("lead", "trail")]
    root = still[ankles].mean(axis=0)
    return root, max(float(np.linalg.norm(still[BODY_LANDMARKS.index("nose")] - root)), 1.0)


def _played_shaft(body: BodyTrack, club: ClubTrack, at: Floats, size: float) -> Floats:
    """(STEPS, 4): direction, length in sizes, trust; zeros where the shaft is not trusted."""
    shaft = (club.shaft_end() - club.grip) * np.array([1.0, -1.0]) / size
    trust = np.nan_to_num(club.confidence)
    seen = np.isfinite(shaft).all(axis=1) & (trust > LEAST_SHAFT_TRUST)
    out = np.zeros((STEPS, 4))
    if not seen.any():
        return out
    played = np.stack([np.interp(at, body.time_s[seen], shaft[seen, i]) for i in (0, 1)], axis=1)
    out[:, 3] = np.interp(at, body.time_s, np.where(seen, trust, 0.0))
    length = np.linalg.norm(played, axis=1)
    out[:, :2], out[:, 2] = played / np.maximum(length, 1e-6)[:, None], length
    out[out[:, 3] <= LEAST_SHAFT_TRUST, :3] = 0.0
    return out


def _motion(
    body: BodyTrack, at: Floats, said: Floats, widen: Floats, stature_m: float | None
) -> Motion:
    joints, turns, log_joints, log_turns = np.split(said, np.cumsum((3 * J, 3, J)), axis=1)
    height, unsure = (stature_m, 0.0) if stature_m else (USUAL_STATURE_M, STATURE_SHARE_SD)
    joints = height * joints
    spread = height * np.exp(np.clip(log_joints + JOINT_LOG_FROM, LEAST_LOG, MOST_LOG))
    each = np.hypot(np.repeat(spread, 3, axis=1), unsure * joints)
    turned = TURN_UNIT * turns
    turn_sd = SD_UNIT * widen * np.exp(np.clip(log_turns, LEAST_LOG, MOST_LOG))
    played = [_at_frames(body.time_s, at, rows) for rows in (joints, each, turned, turn_sd)]
    return Motion(
        frames=body.frames,
        time_s=body.time_s,
        joints=played[0].reshape(-1, J, 3),
        joint_sd=played[1].reshape(-1, J, 3),
        turns=played[2].reshape(-1, len(TURNS)),
        turn_sd=played[3].reshape(-1, len(TURNS)),
        method="lifted from one picture by a learned prior",
    )


def _at_frames(time_s: Floats, at: Floats, rows: Floats) -> Floats:
    return np.stack(
        [np.interp(time_s, at, column, left=np.nan, right=np.nan) for column in rows.T], axis=1
    )


def _gelu(x: NDArray[np.float32]) -> NDArray[np.float32]:
    return (0.5 * x * (1.0 + erf(x * np.float32(0.5**0.5)))).astype(np.float32)


def _normed(
    x: NDArray[np.float32], weight: NDArray[np.float32], bias: NDArray[np.float32]
) -> NDArray[np.float32]:
    """As one group over time and channels, (STEPS, channels)."""
    y: NDArray[np.float32] = (x - x.mean()) / np.sqrt(x.var() + np.float32(1e-5)) * weight + bias
    return y


def _convolved(
    x: NDArray[np.float32],
    weight: NDArray[np.float32],
    bias: NDArray[np.float32],
    dilation: int,
) -> NDArray[np.float32]:
    """(STEPS, in) by (out, in, taps), zeros beyond the ends."""
    taps = weight.shape[2]
    reach = dilation * (taps // 2)
    wide = np.pad(x, ((reach, reach), (0, 0)))
    out = np.broadcast_to(bias, (len(x), len(bias))).copy()
    for k in range(taps):
        out += wide[k * dilation : k * dilation + len(x)] @ weight[:, :, k].T
    return out


@cache
def _net_of(path: Path) -> _Net:
    if not path.is_file():
        raise EngineError(f"the weights {path} are missing", "they ship in the wheel", _REMEDY)
    with np.load(path) as kept:
        arrays = {name: kept[name].astype(np.float32) for name in kept.files}
    expected = (4 * J + 6, STEPS)
    if "usual" not in arrays or arrays["usual"].shape[1:] != expected:
        raise EngineError(f"{path} is not the lifter", f"it says {expected}", _REMEDY)
    return _Net(arrays)
