"""Signals of a swing: runs of numbers over the frames of a body track, zero where a rule looks.

Lengths are in trunk lengths, up is positive; `noise` is one standard deviation of each value. A
signal knows nothing of the search that is made in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from causeline.model.moments import MomentName
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.quantities.uncertain import Uncertain

GRIP_APART = 0.12
"""Trunk lengths between the wrists of a golfer who holds a club, one standard deviation."""
AT_REST_S = 0.5
"""How long before the start the address place of the hands is taken from."""
SHOULDER_ABOVE, SHOULDER_ABOVE_FACE_ON = 0.06, 0.10
"""Trunk lengths by which the engine draws the lead arm steeper than from joint to joint: its
shoulder lies above the joint, toward the top of the bone (1.7 % of the stature), and face-on its
wrist below (measured on rendered golfers of known joints)."""
STEADY = 0.2
"""Of a landmark's ±, this share changes within a tenth of a second; the rest moves a whole peak up
or down and not in time."""
SHAFT_NOISE = 0.04
"""Shaft lengths: one standard deviation of a clubhead's place (about 2° of the shaft)."""
HEAD_SEEN = 0.85
"""Least confidence at which the clubhead's place counts: one wrong near the ball undoes a start."""
SHAFT_SEEN = 0.5
"""A shaft less sure than this is not used."""
HEAD_SPAN_S = 0.01
"""Half the time over which the head's way through the ball is taken."""
REST_NOISE, REST_SMOOTH_S = 0.01, 0.012
"""Shaft lengths by which the end of a resting shaft trembles (measured on rendered swings: 0.006 in
the middle, 0.02 in one of ten), and the standard deviation, in seconds, of the smoothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Signal:
    """`value` and `noise`, both (n,)."""

    value: Floats
    noise: Floats

    def minus(self, level: float) -> Signal:
        """The same signal, zero where it was `level`."""
        return Signal(self.value - level, self.noise)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What a signal is made from: the tracks, and the instants that are known so far."""

    body: BodyTrack
    known: Mapping[MomentName, Uncertain]
    """Seconds with their ±. Start, top, impact and finish are rough at first."""
    club: ClubTrack | None = None

    def at(self, name: MomentName) -> float:
        """Seconds of a known instant."""
        return self.known[name].value

    @property
    def trunk_px(self) -> float:
        """Median distance from the middle of the shoulders to the middle of the hips."""
        apart = np.linalg.norm(self.body.middle("shoulder") - self.body.middle("hip"), axis=1)
        return float(np.nanmedian(apart))

    def hands(self) -> Signal:
        """Where the lead wrist is, (n, 2): its own landmark and, less surely, the trail wrist's."""
        lead, trail = self.body.point("lead_wrist"), self.body.point("trail_wrist")
        near = self.body.spread("lead_wrist")
        far = np.hypot(self.body.spread("trail_wrist"), GRIP_APART * self.trunk_px)
        weight = np.stack([near**-2, far**-2])
        weight = np.where(np.isfinite(weight), weight, 0.0)
        total = weight.sum(axis=0)
        total = np.where(total > 0, total, np.nan)
        place = weight[0][:, None] * np.nan_to_num(lead) + weight[1][:, None] * np.nan_to_num(trail)
        return Signal(place / total[:, None], total**-0.5)


def hands_height(seen: Evidence) -> Signal:
    """Height of the hands over the hips, in heights of the shoulders over the hips."""
    hips, hands = seen.body.middle("hip"), seen.hands()
    tall = hips[:, 1] - seen.body.middle("shoulder")[:, 1]
    tall = np.fmax(tall, 0.5 * np.nanmedian(tall))
    return Signal((hips[:, 1] - hands.value[:, 1]) / tall, hands.noise / tall)


def arm_height(seen: Evidence, above: float = SHOULDER_ABOVE) -> Signal:
    """How far the lead wrist is above the lead shoulder's joint; `above` is the engine's share."""
    hands = seen.hands()
    noise = np.hypot(hands.noise, seen.body.spread("lead_shoulder"))
    height = seen.body.point("lead_shoulder")[:, 1] - hands.value[:, 1]
    return Signal(height / seen.trunk_px + above, noise / seen.trunk_px)


def arm_hang(seen: Evidence) -> Signal:
    """How far the lead wrist is below the lead shoulder."""
    height = arm_height(seen)
    return Signal(-height.value, STEADY * height.noise)


def reach_back(seen: Evidence) -> Signal:
    """How far the hands have gone back, along the way that they take about the top."""
    hands = seen.hands()
    path = hands.value / seen.trunk_px
    top = _at(seen, path, MomentName.TOP)
    level = (MomentName.ARM_LEVEL_BACK, MomentName.ARM_LEVEL_DOWN)
    feet = [_at(seen, path, name) for name in level if name in seen.known]
    along = top - np.mean(feet, axis=0)
    along = along / max(float(np.linalg.norm(along)), 1e-9)
    return Signal((path - top) @ along, STEADY * hands.noise / seen.trunk_px)


def near_address(seen: Evidence) -> Signal:
    """How near the hands are to where they stood at address: 0 there, negative away."""
    hands = seen.hands()
    away = hands.value - address_place(seen, hands.value)
    return Signal(
        -np.linalg.norm(away, axis=1) / seen.trunk_px, STEADY * hands.noise / seen.trunk_px
    )


def homecoming(seen: Evidence) -> Signal:
    """Nearness to the address place and hang of the lead arm, added."""
    near, hang = near_address(seen), arm_hang(seen)
    return Signal(near.value + hang.value, np.hypot(near.noise, hang.noise))


def address_place(seen: Evidence, path: Floats) -> Floats:
    """Median of a path (n, 2) over the last half second before the start."""
    last = seen.at(MomentName.START)
    time_s = seen.body.time_s
    still = (time_s >= last - AT_REST_S) & (time_s <= last) & np.isfinite(path).all(axis=1)
    if not still.any():
        return sampled(time_s, path, np.array([last]))[0]
    place: Floats = np.median(path[still], axis=0)
    return place


def time_share(seen: Evidence, first: MomentName, last: MomentName, share: float) -> Signal:
    """Time since a share of the way from one known instant to another, in seconds."""
    begin, end = seen.known[first], seen.known[last]
    noise = float(np.hypot((1.0 - share) * begin.sd, share * end.sd))
    at = begin.value + share * (end.value - begin.value)
    return Signal(seen.body.time_s - at, np.full(len(seen.body), noise))


def shaft_rise(seen: Evidence) -> Signal:
    """How far the end of the shaft is above the grip, in lengths of the shaft as usually seen."""
    club = _club(seen)
    rise = (club.grip - club.shaft_end())[:, 1] / _shaft_px(club)
    rise = np.where(club.confidence >= SHAFT_SEEN, rise, np.nan)
    return Signal(rise, np.full(len(rise), SHAFT_NOISE))


def head_past_ball(seen: Evidence) -> Signal:
    """How far the clubhead is past its place at address, along the way that it takes there."""
    head, time_s = _head(seen), seen.body.time_s
    step = float(np.median(np.diff(time_s)))
    about = seen.at(MomentName.IMPACT) + np.array([-1.5, 1.5]) * max(step, HEAD_SPAN_S)
    ends = sampled(time_s, head, about)
    along = (ends[1] - ends[0]) / max(float(np.linalg.norm(ends[1] - ends[0])), 1e-9)
    past = (head - address_place(seen, head)) @ along / _shaft_px(_club(seen))
    return Signal(past, np.full(len(time_s), SHAFT_NOISE))


def head_near_ball(seen: Evidence) -> Signal:
    """How near the clubhead is to its place at address: 0 there, negative away."""
    head = _head(seen)
    away = np.linalg.norm(head - address_place(seen, head), axis=1) / _shaft_px(_club(seen))
    return Signal(-away, np.full(len(away), SHAFT_NOISE))


def shaft_stirs(seen: Evidence, over_s: float, most: float) -> Signal:
    """How much further than `most` shaft lengths the end of the shaft strayed within `over_s`.

    Told from where it was in the seconds before and not from its place at address: seen down the
    line the clubhead sets off toward the camera, and passes its place once more as it rises.
    """
    club, time_s = _club(seen), seen.body.time_s
    end = np.where((club.confidence >= SHAFT_SEEN)[:, None], club.shaft_end(), np.nan)
    path = _smoothed(time_s, end / _shaft_px(club))
    strayed = np.full(len(time_s), np.nan)
    first = np.searchsorted(time_s, time_s - over_s - 1e-9)
    for k in np.flatnonzero((time_s - time_s[0] >= over_s) & np.isfinite(path).all(axis=1)):
        away = np.linalg.norm(path[first[k] : k] - path[k], axis=1)
        strayed[k] = np.nanmax(away) if np.isfinite(away).any() else np.nan
    return Signal(strayed - most, np.full(len(time_s), REST_NOISE))


def _smoothed(time_s: Floats, path: Floats) -> Floats:
    """(n, 2) a path under a Gaussian of `REST_SMOOTH_S`; NaN where nothing is known nearby."""
    known = np.isfinite(path).all(axis=1)
    weight = np.exp(-0.5 * ((time_s[:, None] - time_s) / REST_SMOOTH_S) ** 2) * known
    total = weight.sum(axis=1)
    total = np.where(total > 0.3, total, np.nan)
    return np.asarray((weight @ np.nan_to_num(path)) / total[:, None])


def _club(seen: Evidence) -> ClubTrack:
    if seen.club is None:
        raise ValueError("got no club track; expected one for a signal of the club")
    return seen.club


def _head(seen: Evidence) -> Floats:
    """(n, 2) the clubhead where it was seen, NaN where its place was worked out."""
    club = _club(seen)
    seen_at = club.confidence >= HEAD_SEEN
    if club.head_seen is not None:
        seen_at = seen_at & club.head_seen
    return np.where(seen_at[:, None], club.head, np.nan)


def _shaft_px(club: ClubTrack) -> float:
    length = np.linalg.norm(club.shaft_end() - club.grip, axis=1)
    known = length[np.isfinite(length)]
    return float(np.quantile(known, 0.9)) if len(known) else float("nan")


def _at(seen: Evidence, path: Floats, name: MomentName) -> Floats:
    return sampled(seen.body.time_s, path, np.array([seen.at(name)]))[0]


def sampled(time_s: Floats, path: Floats, at: Floats) -> Floats:
    """A path (n, 2) at any times, straight between frames; NaN frames are passed over."""
    known = np.isfinite(path).all(axis=1)
    if not known.any():
        return np.full((len(at), 2), np.nan)
    return np.stack([np.interp(at, time_s[known], path[known, axis]) for axis in (0, 1)], axis=1)
