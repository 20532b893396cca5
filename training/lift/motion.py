"""More motion than was posed: each swing is bent, turned and re-proportioned at random.

Tensors are (b, STEPS, P, 3) in statures; x toward the ball, y toward the target, z up. What comes
out need not be a good swing, nor a possible one: it must tell the parts of the body from each
other, so that the lifter reads the pelvis from the pelvis.
"""

from __future__ import annotations

import torch
from layout import ADDRESS, FINE, POINTS, SPANS, STEPS
from torch import Tensor

AT = {name: k for k, name in enumerate(POINTS)}
UPPER = [
    k for k, name in enumerate(POINTS)
    if name.rpartition("_")[2] not in ("hip", "knee", "ankle", "heel", "toe")
]  # fmt: skip
UP = torch.tensor([0.0, 0.0, 1.0])


def wander(count: int, knots: int, device: torch.device) -> Tensor:
    """(count, STEPS) smooth curves of unit spread."""
    centres = torch.linspace(-1.0 / knots, 1 + 1.0 / knots, knots + 2, device=device)
    at = torch.linspace(0, 1, STEPS, device=device)
    bumps = torch.exp(-0.5 * ((at[:, None] - centres) * knots / 0.9) ** 2)
    bumps = bumps / bumps.square().sum(1, keepdim=True).sqrt()
    return torch.randn(count, knots + 2, device=device) @ bumps.T


def draw_swings(
    pool: Tensor, time_s: Tensor, which: Tensor, view: Tensor, loose: float
) -> tuple[Tensor, Tensor, Tensor]:
    """Points (b, STEPS, P, 3) and seconds (b, STEPS) of those swings, played a little unevenly.

    Then the sample (b,) at which each truly stands at address, where its turns are zero.
    """
    device = pool.device
    at = torch.arange(STEPS, device=device)[None] * (FINE / STEPS)
    late = wander(len(which), 6, device) + _misread(view)
    at = at + loose * (FINE / STEPS) * late
    at = at.cummax(dim=1).values.clamp(0, FINE - 1.001)
    low = at.floor().long()
    share = (at - low)[..., None, None]
    row = which[:, None]
    points = pool[row, low].float() * (1 - share) + pool[row, low + 1].float() * share
    share = share[..., 0, 0]
    times = time_s[row, low] * (1 - share) + time_s[row, low + 1] * share
    return points, times, (at - ADDRESS * FINE / STEPS).abs().argmin(dim=1)


LATE = ((0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0))
MISREAD = ((1.2, 1.0, 0.5, 3.5), (2.5, 1.7, 0.5, 3.0))
"""Samples by which address, top, impact and finish are read late face-on and down the line, and
the spread: on 67 and 61 clips of the training set."""


def _misread(view: Tensor) -> Tensor:
    """(b, STEPS) samples later: the moments that hold the clock are read from pictures."""
    late, spread = (torch.tensor(rows, device=view.device)[view] for rows in (LATE, MISREAD))
    off = late + spread * torch.randn_like(late)
    off = torch.cat([off[:, :1], off, off[:, -1:]], dim=1)
    knots = torch.tensor([0, *SPANS], device=view.device).cumsum(0).float()
    at = torch.arange(STEPS, device=view.device).float()
    after = torch.bucketize(at, knots, right=True).clamp(1, len(SPANS))
    share = (at - knots[after - 1]) / (knots[after] - knots[after - 1])
    return off[:, after - 1] * (1 - share) + off[:, after] * share


def bend_swings(points: Tensor, wild: Tensor) -> Tensor:
    """The swings, each changed by an amount that `wild` (b,) scales."""
    points = points.clone()
    lengths = _limb_lengths(points)
    points = _proportioned(points)
    points = _moved(points, wild)
    points = _upper_turned(points, wild)
    points = _pelvis_turned(points, wild)
    points = _shoulders_slid(points, wild)
    return _limbs_solved(points, lengths, wild)


def turn_by(vector: Tensor, axis: Tensor, angle: Tensor) -> Tensor:
    """`vector` (..., 3) turned about unit `axis` by `angle` (...), radians."""
    axis = axis.expand_as(vector)
    cos, sin = torch.cos(angle)[..., None], torch.sin(angle)[..., None]
    along = (axis * vector).sum(-1, keepdim=True) * axis
    return vector * cos + torch.linalg.cross(axis, vector) * sin + along * (1 - cos)


def middle(points: Tensor, part: str) -> Tensor:
    """Half-way between lead and trail, (b, STEPS, 3)."""
    return (points[:, :, AT[f"lead_{part}"]] + points[:, :, AT[f"trail_{part}"]]) / 2


def unit(vector: Tensor) -> Tensor:
    """Of length one."""
    return vector / vector.norm(dim=-1, keepdim=True).clamp_min(1e-6)


def turns_of(points: Tensor, zero: Tensor | None = None) -> Tensor:
    """(b, STEPS, 3) degrees from the sample `zero` (b,), or that of address, as we define turns."""
    line = points[:, :, AT["lead_shoulder"]] - points[:, :, AT["trail_shoulder"]]
    hips = points[:, :, AT["lead_hip"]] - points[:, :, AT["trail_hip"]]
    axis = unit(middle(points, "shoulder") - middle(points, "hip"))
    up = UP.to(points).expand_as(axis)
    hinge = torch.linalg.cross(axis, up)
    cross = torch.linalg.cross(hinge, line)
    stood = line + cross + torch.linalg.cross(hinge, cross) / (1 + axis[..., 2:]).clamp_min(0.05)
    lines = torch.stack([stood, line, hips], dim=2)
    angle = torch.atan2(lines[..., 0], lines[..., 1])
    step = torch.diff(angle, dim=1, prepend=angle[:, :1])
    step = torch.remainder(step + torch.pi, 2 * torch.pi) - torch.pi
    turned = torch.rad2deg(step.cumsum(1))
    if zero is None:
        return turned - turned[:, ADDRESS : ADDRESS + 1]
    return turned - turned[torch.arange(len(turned), device=turned.device), zero][:, None]


def _one(points: Tensor, spread: float) -> Tensor:
    return spread * torch.randn(len(points), 1, device=points.device)


def _proportioned(points: Tensor) -> Tensor:
    """Wider or narrower shoulders and hips, a longer or shorter trunk, another head."""
    for part, spread in (("shoulder", 0.07), ("hip", 0.13), ("ear", 0.10)):
        centre, scale = middle(points, part), (1 + _one(points, spread))[..., None]
        for side in ("lead", "trail"):
            k = AT[f"{side}_{part}"]
            points[:, :, k] = centre + (points[:, :, k] - centre) * scale
    spine = middle(points, "shoulder") - middle(points, "hip")
    points[:, :, UPPER] += (spine * _one(points, 0.05)[..., None])[:, :, None]
    return points


def _moved(points: Tensor, wild: Tensor) -> Tensor:
    """Pelvis and all above it shifted: sway, thrust, rise."""
    count, device = len(points), points.device
    shift = torch.stack([wander(count, 7, device) for _ in range(3)], -1)
    shift = shift * torch.tensor([0.014, 0.02, 0.010], device=device) * wild[:, None, None]
    moved = [*UPPER, AT["lead_hip"], AT["trail_hip"]]
    points[:, :, moved] += shift[:, :, None]
    return points


def _about(points: Tensor, which: list[int], centre: Tensor, axis: Tensor, angle: Tensor) -> None:
    seen = points[:, :, which] - centre[:, :, None]
    points[:, :, which] = centre[:, :, None] + turn_by(
        seen, axis[:, :, None], angle[:, :, None].expand(seen.shape[:3])
    )


def _upper_turned(points: Tensor, wild: Tensor) -> Tensor:
    """Trunk, arms and club turned about the spine, and bent, as one piece about the hips."""
    count, device = len(points), points.device
    hips = middle(points, "hip")
    spine = unit(middle(points, "shoulder") - hips)
    turn = torch.deg2rad(turns_of(points)[..., 0])
    more = 0.15 * torch.randn(count, 1, device=device) * turn
    angle = (more + 0.14 * wander(count, 8, device)) * wild[:, None] + _one(points, 0.05)
    _about(points, UPPER, hips, spine, -angle)
    bend = torch.zeros_like(spine)
    bend[..., 0] = 0.06 * wander(count, 7, device) * wild[:, None] + _one(points, 0.03)
    bend[..., 1] = 0.06 * wander(count, 7, device) * wild[:, None] + _one(points, 0.07)
    size = bend.norm(dim=-1)
    _about(points, UPPER, hips, bend / size.clamp_min(1e-6)[..., None], size)
    return points


def _pelvis_turned(points: Tensor, wild: Tensor) -> Tensor:
    """Hips turned about the upright apart from the rest, and tilted."""
    count, device = len(points), points.device
    hips, pair = middle(points, "hip"), [AT["lead_hip"], AT["trail_hip"]]
    turn = torch.deg2rad(turns_of(points)[..., 2])
    more = 0.25 * torch.randn(count, 1, device=device) * turn
    angle = (more + 0.20 * wander(count, 8, device)) * wild[:, None] + _one(points, 0.06)
    _about(points, pair, hips, UP.to(points).expand_as(hips), -angle)
    ahead = torch.linalg.cross(UP.to(points).expand_as(hips), points[:, :, pair[0]] - hips)
    tilt = 0.06 * wander(count, 7, device) * wild[:, None] + _one(points, 0.02)
    _about(points, pair, hips, unit(ahead), tilt)
    return points


def _shoulders_slid(points: Tensor, wild: Tensor) -> Tensor:
    """Shoulders turned and tilted while hands and club stay.

    In some by a little, in some by 15° and more: people hold their arms less alike than the golfers
    of one model do.
    """
    count, device = len(points), points.device
    much = 0.06 + 0.22 * torch.rand(count, 1, device=device).square()
    centre = middle(points, "shoulder")
    spine = unit(centre - middle(points, "hip"))
    pair = [AT["lead_shoulder"], AT["trail_shoulder"]]
    angle = much * wander(count, 8, device) * wild[:, None] + _one(points, 0.03)
    _about(points, pair, centre, spine, angle)
    ahead = unit(torch.linalg.cross(spine, points[:, :, pair[0]] - centre))
    _about(points, pair, centre, ahead, 0.07 * wander(count, 7, device) * wild[:, None])
    return points


_LIMBS = tuple(
    (f"{side}_{a}", f"{side}_{b}", f"{side}_{c}")
    for side in ("lead", "trail")
    for a, b, c in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle"))
)


def _limb_lengths(points: Tensor) -> list[tuple[Tensor, Tensor]]:
    lengths = []
    for a, b, c in _LIMBS:
        near = (points[:, :, AT[b]] - points[:, :, AT[a]]).norm(dim=-1).median(1, True).values
        far = (points[:, :, AT[c]] - points[:, :, AT[b]]).norm(dim=-1).median(1, True).values
        lengths.append((near, far))
    return lengths


def _limbs_solved(points: Tensor, lengths: list[tuple[Tensor, Tensor]], wild: Tensor) -> Tensor:
    """Elbows and knees put back between their neighbours, bent to the side where they were."""
    count, device = len(points), points.device
    for (a, b, c), (near, far) in zip(_LIMBS, lengths, strict=True):
        start, end, old = (points[:, :, AT[k]] for k in (a, c, b))
        line = end - start
        span = line.norm(dim=-1)
        way = line / span.clamp_min(1e-6)[..., None]
        # A reach beyond the limb's length makes a longer limb, not hands off the club.
        stretch = (1.002 * span / (near + far)).amax(1, keepdim=True).clamp_min(1.0)
        one, other = near * stretch, far * stretch
        along = (span**2 + one**2 - other**2) / (2 * span.clamp_min(1e-6))
        out = old - start
        out = unit(out - (out * way).sum(-1, keepdim=True) * way)
        swivel = 0.12 * wander(count, 6, device) * wild[:, None] + _one(points, 0.08)
        out = turn_by(out, way, swivel)
        aside = (one**2 - along**2).clamp_min(0).sqrt()
        points[:, :, AT[b]] = start + way * along[..., None] + out * aside[..., None]
    return points
