"""What a phone and the landmark engine make of a swing: perspective, then an error model.

Two error models are mixed. One has the sizes of the package's `body/trust.py`, without knowing
where the engine errs. The other does (`Offsets`): the engine's points lie off the joints by what
the posture says, far enough to make a turned golfer's shoulders half as wide as they look.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import torch
from layout import ADDRESS, JOINTS, STEPS
from motion import AT, wander
from torch import Tensor

PLAIN = {
    "nose": 0.0145, "ear": 0.019, "shoulder": 0.021, "elbow": 0.016, "wrist": 0.0085,
    "knuckle": 0.019, "hip": 0.020, "knee": 0.012, "ankle": 0.0095, "heel": 0.012, "toe": 0.016,
}  # fmt: skip
GUESSED = {
    "nose": 6.0, "ear": 4.0, "shoulder": 5.0, "elbow": 2.5, "wrist": 8.0, "knuckle": 2.5,
    "hip": 3.0, "knee": 0.5, "ankle": 2.0, "heel": 2.0, "toe": 5.0,
}  # fmt: skip
JITTER, WITHIN = 0.004, 0.05
FACE_ON, DOWN_THE_LINE = 0, 1
NOSE_TO_ANKLES = 0.82
LEAST_SHAFT_TRUST = 0.3


def project(points: Tensor, view: Tensor) -> Tensor:
    """(b, STEPS, P, 2): right and up on the picture, of a phone somewhere on that side (b,)."""
    count, device = len(points), points.device
    rand = lambda low, high: low + (high - low) * torch.rand(count, device=device)  # noqa: E731
    normal = lambda spread: spread * torch.randn(count, device=device)  # noqa: E731
    distance, height = rand(1.3, 4.2), rand(0.2, 1.1)
    face_on = view == FACE_ON
    off = torch.deg2rad(normal(6.0).clamp(-16, 16))
    heading = torch.where(face_on, off, off - torch.pi / 2)
    aim = torch.stack([torch.where(face_on, 0.12, 0.2) + normal(0.08), normal(0.1)], -1)
    away = torch.stack([heading.cos(), heading.sin()], -1)
    eye = torch.cat([aim + away * distance[:, None], height[:, None]], -1)
    target = torch.cat([aim, rand(0.4, 0.7)[:, None]], -1)
    ahead = torch.nn.functional.normalize(target - eye, dim=-1)
    up = torch.tensor([0.0, 0.0, 1.0], device=device).expand_as(ahead)
    right = torch.nn.functional.normalize(torch.linalg.cross(ahead, up), dim=-1)
    above = torch.linalg.cross(right, ahead)
    roll = torch.deg2rad(normal(1.2))[:, None]
    right, above = right * roll.cos() + above * roll.sin(), above * roll.cos() - right * roll.sin()
    axes = torch.stack([right, above, ahead], -1)
    seen = (points - eye[:, None, None]) @ axes[:, None]
    return seen[..., :2] / seen[..., 2:].clamp_min(0.2)


def scaled(flat: Tensor) -> Tensor:
    """From the middle of the ankles at address, in distances from there to the nose."""
    still = flat[:, ADDRESS - 3 : ADDRESS + 1].mean(1, keepdim=True)
    root = (still[:, :, AT["lead_ankle"]] + still[:, :, AT["trail_ankle"]]) / 2
    size = (still[:, :, AT["nose"]] - root).norm(dim=-1)
    return (flat - root[:, :, None]) / size[..., None, None].clamp_min(1e-3)


class Offsets:
    """The engine's own errors on rendered golfers, made by offsets.py."""

    def __init__(self, path: Path, device: torch.device) -> None:
        with np.load(path) as kept:
            every = {name: torch.tensor(kept[name], device=device) for name in kept.files}
        self.held = {name[5:]: every[name] for name in every if name.startswith("held_")}
        self.weight = every["weight"]
        self.left, self.trust, self.club = (
            every[f"bank_{name}"].float() for name in ("left", "trust", "club")
        )
        views = every["bank_view"]
        self.of_view = [torch.nonzero(views == view)[:, 0] for view in (FACE_ON, DOWN_THE_LINE)]

    def spoil(self, flat: Tensor, view: Tensor, much: Tensor) -> tuple[Tensor, Tensor, Tensor]:
        """The posture's usual error, more or less of it, and what was left of a whole real clip.

        Joints and trust as `spoil` below gives them, and the clip's errors of the club.
        """
        count, device = len(flat), flat.device
        usual = (postures(flat) @ self.weight[view]).unflatten(2, (len(JOINTS), 2))
        share = 1 + 0.15 * torch.randn(count, 1, 1, 1, device=device)
        share = share + 0.12 * torch.randn(count, 1, len(JOINTS), 1, device=device)
        one, other = self._drawn(view), self._drawn(view)
        mixed = torch.rand(count, 1, 1, 1, device=device) * torch.pi / 2
        mixed = mixed * (torch.rand_like(mixed) < 0.5)
        rest = mixed.cos() * self.left[one] + mixed.sin() * self.left[other]
        rest = rest * (0.7 + 0.6 * torch.rand(count, 1, 1, 1, device=device))
        fixed = torch.randn(count, 1, len(JOINTS), 2, device=device)
        rest = rest + 0.004 * (fixed + _wanders(count, 7, device))
        off = usual.clamp(-0.3, 0.3) * share + rest
        shaky = 0.3 * torch.randn(count, 1, len(JOINTS), device=device)
        trust = torch.sigmoid(torch.logit(self.trust[one].clamp(0.002, 0.9998)) + shaky)
        joints = flat[:, :, : len(JOINTS)] + off * (much > 0).float()[:, None, None, None]
        return joints, trust, self.club[one]

    def _drawn(self, view: Tensor) -> Tensor:
        """A clip of the bank for each swing, from the same view."""
        at = torch.rand(len(view), device=view.device)
        picked = [clips[(at * len(clips)).long()] for clips in self.of_view]
        return torch.where(view == FACE_ON, picked[0], picked[1])


SHOWN = tuple(
    AT[name]
    for name in (
        "nose", "lead_shoulder", "trail_shoulder", "lead_elbow", "trail_elbow", "lead_wrist",
        "trail_wrist", "lead_hip", "trail_hip", "lead_knee", "trail_knee",
    )
)  # fmt: skip
PHASES = 9


def postures(flat: Tensor) -> Tensor:
    """(b, STEPS, F) what the engine's errors are made to depend on: the figure, and when."""
    hips = (flat[:, :, AT["lead_hip"]] + flat[:, :, AT["trail_hip"]]) / 2
    figure = (flat[:, :, list(SHOWN)] - hips[:, :, None]).flatten(2)
    at = torch.linspace(0, 1, STEPS, device=flat.device)[:, None]
    centres = torch.linspace(0, 1, PHASES, device=flat.device)
    when = torch.exp(-0.5 * ((at - centres) * (PHASES - 1) / 0.9) ** 2)
    rest = torch.cat([when, torch.ones_like(at)], 1).expand(len(flat), -1, -1)
    return torch.cat([figure, rest], 2)


def spoil(flat: Tensor, view: Tensor, much: Tensor) -> tuple[Tensor, Tensor]:
    """Joints as the engine would give them, `much` (b,) times as wrong, and their trust (b, n, J).

    `flat` (b, STEPS, P, 2), scaled.
    """
    count, steps = flat.shape[:2]
    device = flat.device
    unsure = _unsure(count, steps, view, device)
    plain = torch.tensor([PLAIN[_part(n)] for n in JOINTS], device=device) / NOSE_TO_ANKLES
    guessed = torch.tensor([GUESSED[_part(n)] for n in JOINTS], device=device)
    spread = plain * (1 + guessed * unsure**2)
    joints = _less_closed(flat[:, :, : len(JOINTS)], much)
    fixed = torch.randn(count, 1, len(JOINTS), 2, device=device)
    slow = _wanders(count, 7, device)
    fast = _wanders(count, 24, device)
    error = 0.7 * fixed + 0.6 * slow + 0.25 * fast * (1 + unsure[..., None])
    jitter = 0.5 * JITTER * torch.randn_like(joints) * (1 + 3 * unsure[..., None])
    joints = joints + (error * spread[..., None] + jitter) * much[:, None, None, None]
    joints = _swapped(joints)
    sd = (spread**2 + JITTER**2).sqrt() * NOSE_TO_ANKLES
    trust = 1 - torch.exp(-0.5 * (WITHIN / sd) ** 2)
    trust = trust * (1 - 0.1 * torch.rand(count, 1, 1, device=device))
    return joints, trust


def features(joints: Tensor, trust: Tensor, club: Tensor, time_s: Tensor, view: Tensor) -> Tensor:
    """(b, FEATURES, STEPS) from what is seen: `club` is (b, STEPS, 4)."""
    count, steps = time_s.shape
    step = torch.diff(time_s, dim=1, append=time_s[:, -1:] + 0.05).clamp(1e-3, 0.2)
    rest = torch.stack(
        [
            (2.0 * view.float() - 1)[:, None].expand(count, steps),
            torch.log(step / 0.01),
            torch.ones_like(step),
        ],
        dim=-1,
    )
    each = torch.cat([joints * (trust > 0.02)[..., None], trust[..., None]], -1).flatten(2)
    return torch.cat([each, club, rest], -1).transpose(1, 2)


def club_seen(flat: Tensor, much: Tensor) -> Tensor:
    """(b, STEPS, 4): the shaft's direction, its length, and trust; zeros where it is not seen."""
    count, steps = flat.shape[:2]
    shaft = flat[:, :, AT["hosel"]] - flat[:, :, AT["butt"]]
    length = shaft.norm(dim=-1)
    angle = torch.atan2(shaft[..., 1], shaft[..., 0])
    wrong = torch.deg2rad(
        0.8 * torch.randn(count, steps, device=flat.device)
        + 2.5 * wander(count, 20, flat.device) * (0.15 / length.clamp_min(0.05)).clamp(0.2, 3)
    )
    angle = angle + wrong * much[:, None]
    trust = torch.sigmoid(
        2.5 + 8 * (length - 0.15).clamp(-0.2, 0.2) + wander(count, 12, angle.device)
    )
    lost = wander(count, 10, angle.device) > 1.8
    never = torch.rand(count, 1, device=angle.device) < 0.1
    trust = trust * ~(lost | never)
    length = length * (1 + 0.03 * wander(count, 10, angle.device) * much[:, None])
    seen = torch.stack([angle.cos(), angle.sin(), length], -1) * (trust > 0.3)[..., None]
    return torch.cat([seen, trust[..., None]], -1)


def club_followed(flat: Tensor, wrong: Tensor) -> Tensor:
    """The same with a real clip's errors (b, STEPS, 3): radians, logarithm of length, trust."""
    shaft = flat[:, :, AT["hosel"]] - flat[:, :, AT["butt"]]
    angle = torch.atan2(shaft[..., 1], shaft[..., 0]) + wrong[..., 0]
    length = shaft.norm(dim=-1) * wrong[..., 1].exp()
    seen = torch.stack([angle.cos(), angle.sin(), length], -1)
    seen = seen * (wrong[..., 2] > LEAST_SHAFT_TRUST)[..., None]
    return torch.cat([seen, wrong[..., 2:]], -1)


def _part(name: str) -> str:
    return name.rpartition("_")[2]


def _wanders(count: int, knots: int, device: torch.device) -> Tensor:
    """(count, STEPS, J, 2)."""
    rows = wander(count * len(JOINTS) * 2, knots, device)
    return rows.reshape(count, len(JOINTS), 2, -1).permute(0, 3, 1, 2)


def _unsure(count: int, steps: int, view: Tensor, device: torch.device) -> Tensor:
    """(b, STEPS, J) from 0, plainly seen, to 1, guessed: spells, more of the far side."""
    far = torch.tensor([name.startswith("lead") for name in JOINTS], device=device)
    often = -1.1 + 0.8 * ((view == DOWN_THE_LINE)[:, None] & far)
    often = often + 0.6 * torch.randn(count, len(JOINTS), device=device)
    rows = wander(count * len(JOINTS), 9, device).reshape(count, len(JOINTS), steps)
    return torch.sigmoid(3.0 * (rows + often[..., None]) - 0.7).transpose(1, 2)


def _less_closed(joints: Tensor, much: Tensor) -> Tensor:
    """Lines seen end on keep some width in half of the swings, and are a little wide or narrow."""
    joints = joints.clone()
    for part, most in (("shoulder", 0.05), ("hip", 0.035)):
        lead, trail = AT[f"lead_{part}"], AT[f"trail_{part}"]
        half = (joints[:, :, lead] - joints[:, :, trail]) / 2
        centre = (joints[:, :, lead] + joints[:, :, trail]) / 2
        least = most * torch.rand(len(joints), 1, device=joints.device) * much[:, None]
        least = least * (torch.rand(len(joints), 1, device=joints.device) < 0.5)
        x = half[..., 0]
        wide = (
            torch.where(x < 0, -1.0, 1.0) * (x**2 + least**2 * torch.exp(-((x / 0.08) ** 2))).sqrt()
        )
        half = torch.stack([wide, half[..., 1]], -1)
        half = half * (
            1 + 0.06 * torch.randn(len(joints), 1, 1, device=joints.device) * much[:, None, None]
        )
        joints[:, :, lead], joints[:, :, trail] = centre + half, centre - half
    return joints


def _swapped(joints: Tensor) -> Tensor:
    """In one swing of thirty a pair is swapped for a while."""
    joints = joints.clone()
    count, steps = joints.shape[:2]
    at = torch.arange(steps, device=joints.device)[None]
    for part in ("shoulder", "hip", "elbow", "knee", "ankle"):
        start = torch.randint(0, steps, (count, 1), device=joints.device)
        some = torch.rand(count, 1, device=joints.device) < 0.03
        length = torch.randint(3, 14, (count, 1), device=joints.device)
        there = (some & (at >= start) & (at < start + length))[..., None]
        lead, trail = joints[:, :, AT[f"lead_{part}"]], joints[:, :, AT[f"trail_{part}"]]
        one, other = torch.where(there, trail, lead), torch.where(there, lead, trail)
        joints[:, :, AT[f"lead_{part}"]], joints[:, :, AT[f"trail_{part}"]] = one, other
    return joints
