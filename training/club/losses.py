"""Targets, loss and errors of the club's maps; and the small movements given to stored samples."""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

STRIDE = 4
POINT_SPREAD, LINE_SPREAD = 1.2, 0.8
"""Of the targets, map pixels."""


def moved(x: Tensor, points: Tensor) -> tuple[Tensor, Tensor, Tensor]:
    """Pictures turned, scaled, shifted, cut; points (n, 3, 2) and which of them are seen (n, 3)."""
    n, size = len(x), x.shape[-1]
    rand = lambda *shape: torch.randn(n, *shape, device=x.device)  # noqa: E731
    angle, scale, shift = rand() * 0.15, torch.exp(rand() * 0.08), rand(2) * 0.05
    c, s = torch.cos(angle) * scale, torch.sin(angle) * scale
    theta = torch.stack(
        [torch.stack([c, -s, shift[:, 0]], 1), torch.stack([s, c, shift[:, 1]], 1)], 1
    )
    grid = functional.affine_grid(theta, list(x.shape), align_corners=False)
    y = x.float()
    mean = y.mean((2, 3), keepdim=True)
    y = functional.grid_sample(y - mean, grid, align_corners=False, padding_mode="zeros")
    place = points / size * 2 - 1 - shift[:, None]
    det = (c * c + s * s)[:, None]
    place = torch.stack([
        (c[:, None] * place[..., 0] + s[:, None] * place[..., 1]) / det,
        (-s[:, None] * place[..., 0] + c[:, None] * place[..., 1]) / det,
    ], -1)  # fmt: skip
    points = (place + 1) / 2 * size
    y, low, high = _cut(y, size)
    seen = ((points > low[:, None] + 1) & (points < high[:, None] - 1)).all(-1)
    return y + mean, points, seen


def _cut(y: Tensor, size: int) -> tuple[Tensor, Tensor, Tensor]:
    """Beyond the picture's edge there is only its mean."""
    n = len(y)
    cuts = (
        (torch.rand(n, 2, 2, device=y.device) < 0.12) * torch.rand(n, 2, 2, device=y.device) * 0.3
    )
    low, high = cuts[..., 0] * size, size - cuts[..., 1] * size
    at = torch.arange(size, device=y.device) + 0.5
    inside_x = (at > low[:, :1]) & (at < high[:, :1])
    inside_y = (at > low[:, 1:]) & (at < high[:, 1:])
    return y * (inside_y[:, :, None] & inside_x[:, None, :])[:, None], low, high


def club_loss(maps: Tensor, points: Tensor, seen: Tensor) -> Tensor:
    """Points by cross-entropy over the map and by pixel, the line by pixel, the direction on it."""
    place = points / STRIDE - 0.5
    at = torch.arange(maps.shape[-1], device=maps.device, dtype=torch.float32)
    d2 = (at - place[..., 0, None, None]) ** 2 + (at[:, None] - place[..., 1, None, None]) ** 2
    target = torch.exp(-d2 / (2 * POINT_SPREAD**2)) * seen[..., None, None]
    line = torch.exp(-_line_d2(place, at) / (2 * LINE_SPREAD**2))
    pixel = functional.binary_cross_entropy_with_logits(maps[:, :3], target, reduction="none")
    pixel = (pixel * (1 + 60 * target)).mean()
    share = target.flatten(2)
    share = share / (share.sum(-1, keepdim=True) + 1e-6)
    whole = -(share * functional.log_softmax(maps[:, :3].flatten(2), -1)).sum(-1)
    whole = (whole * seen).sum() / seen.sum().clamp(min=1)
    along = functional.binary_cross_entropy_with_logits(maps[:, 3], line, reduction="none")
    along = (along * (1 + 12 * line)).mean()
    way = points[:, 1] - points[:, 0]
    length = way.norm(dim=-1).clamp(min=1e-3)
    way = way / length[:, None]
    twice = torch.stack([way[:, 0] ** 2 - way[:, 1] ** 2, 2 * way[:, 0] * way[:, 1]], 1)
    sure = (line > 0.3).float() * (length / 16).clamp(max=1)[:, None, None]
    turned = ((maps[:, 4:6] - twice[..., None, None]) ** 2).sum(1)
    turned = (turned * sure).sum() / sure.sum().clamp(min=1)
    return 4 * pixel + 0.15 * whole + 2 * along + 0.5 * turned


def _line_d2(place: Tensor, at: Tensor) -> Tensor:
    a, b = place[:, 0], place[:, 1]
    ab = b - a
    px, py = at - a[:, 0, None, None], at[:, None] - a[:, 1, None, None]
    t = (px * ab[:, 0, None, None] + py * ab[:, 1, None, None]) / (ab * ab).sum(-1).clamp(min=1e-3)[
        :, None, None
    ]
    t = t.clamp(0, 1)
    return (px - t * ab[:, 0, None, None]) ** 2 + (py - t * ab[:, 1, None, None]) ** 2


def peaks(maps: Tensor) -> Tensor:
    """Centre of gravity around each map's highest pixel, in picture pixels: (n, k, 2)."""
    w = maps.shape[-1]
    at = maps.flatten(2).argmax(-1)
    cx, cy = (at % w).float(), (at // w).float()
    grid = torch.arange(w, device=maps.device, dtype=torch.float32)
    near = ((grid - cx[..., None, None]).abs() <= 2) & (
        (grid[:, None] - cy[..., None, None]).abs() <= 2
    )
    weight = torch.sigmoid(maps) * near
    total = weight.sum((2, 3))
    x = (weight * grid).sum((2, 3)) / total
    y = (weight * grid[:, None]).sum((2, 3)) / total
    return (torch.stack([x, y], -1) + 0.5) * STRIDE


def club_errors(maps: Tensor, points: Tensor, seen: Tensor) -> dict[str, float]:
    """Median and 95th percentile of the shaft's angle (degrees) and of the points (pixels)."""
    found = peaks(maps[:, :3])
    off = (found - points).norm(dim=-1)
    a, b = found[:, 1] - found[:, 0], points[:, 1] - points[:, 0]
    cross, dot = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(-1)
    angle = torch.rad2deg(torch.atan2(cross, dot)).abs()
    both, length = seen[:, 1] & seen[:, 0], b.norm(dim=-1)
    ok, short = both & (length > 25), both & (length > 8) & (length <= 25)
    q = lambda v, p: round(float(v.quantile(p)), 2)  # noqa: E731
    return {
        "angle50": q(angle[ok], 0.5), "angle90": q(angle[ok], 0.9), "angle95": q(angle[ok], 0.95),
        "butt50": q(off[:, 0][seen[:, 0]], 0.5), "hosel50": q(off[:, 1][seen[:, 1]], 0.5),
        "head50": q(off[:, 2][seen[:, 2]], 0.5), "head90": q(off[:, 2][seen[:, 2]], 0.9),
        "short50": q(angle[short], 0.5), "short90": q(angle[short], 0.9),
    }  # fmt: skip
