"""What a phone, a coder and a messenger do to a picture, done to batches on the GPU."""

from __future__ import annotations

import math

import torch
from torch import Tensor
from torch.nn import functional

CHUNK = 32
"""Samples that share one resolution."""


def spoil(x: Tensor) -> Tensor:
    """(n, 5, s, s) of 0..255 to the network's input: poorer, noisier, (v - 127.5) / 127.5."""
    x = torch.cat([_resampled(chunk) for chunk in x.split(CHUNK)])
    x = _recoloured(x)
    still = torch.rand(len(x), 1, 1, 1, device=x.device) < 0.08
    grey = (x[:, :3] * _luma(x)).sum(1, keepdim=True)
    x = torch.cat([x[:, :3], torch.where(still, grey, x[:, 3:])], 1)
    return ((x.clamp(0, 255) - 127.5) / 127.5).contiguous(memory_format=torch.channels_last)


def _luma(x: Tensor) -> Tensor:
    return torch.tensor([0.299, 0.587, 0.114], device=x.device).view(1, 3, 1, 1)


def _resampled(x: Tensor) -> Tensor:
    """Blur, a smaller size, block coding at that size, noise, sharpening, and back up."""
    size = x.shape[-1]
    small = size if _chance(0.3) else 8 * int(torch.randint(8, size // 8 + 1, ()).item())
    if _chance(0.35):
        x = _blurred(x, float(torch.rand(()) * 1.2 + 0.2))
    if small < size:
        x = functional.interpolate(x, size=(small, small), mode="area")
    noise = torch.rand(len(x), 1, 1, 1, device=x.device) ** 2 * 11
    x = x + torch.randn_like(x) * noise
    if _chance(0.6):
        x = _coded(x)
    if _chance(0.3):
        x = x + (x - _blurred(x, 1.0)) * float(torch.rand(()) * 0.9)
    if small < size:
        x = functional.interpolate(
            x.clamp(0, 255), size=(size, size), mode="bilinear", align_corners=False
        )
    return x


def _chance(share: float) -> bool:
    return bool(torch.rand(()) < share)


def _blurred(x: Tensor, sigma: float) -> Tensor:
    for axis in (2, 3):
        pad = (3, 3, 0, 0) if axis == 3 else (0, 0, 3, 3)
        wide, size = functional.pad(x, pad, "reflect"), x.shape[axis]
        taps = [math.exp(-((k - 3) ** 2) / (2 * sigma**2)) for k in range(7)]
        x = sum(wide.narrow(axis, k, size) * (tap / sum(taps)) for k, tap in enumerate(taps))
    return x


def _coded(x: Tensor) -> Tensor:
    """Eight-by-eight blocks with their fine waves rounded away, as JPEG and video coders do."""
    n, c, size, _ = x.shape
    shift = tuple(int(v) for v in torch.randint(0, 8, (2,)))
    x = torch.roll(x, shift, (2, 3))
    k = torch.arange(8, device=x.device, dtype=x.dtype)
    basis = torch.cos(math.pi / 8 * (k[None] + 0.5) * k[:, None]) / 2
    basis[0] /= math.sqrt(2)
    blocks = x.view(n, c, size // 8, 8, size // 8, 8)
    waves = torch.einsum("ui,ncaibj,vj->ncuavb", basis, blocks, basis)
    strength = 2 ** (torch.rand(n, 1, 1, 1, 1, 1, device=x.device) * 4 + 1)
    step = strength * (1 + 0.35 * (k.view(1, 1, 8, 1, 1, 1) + k.view(1, 1, 1, 1, 8, 1)))
    waves = torch.round(waves / step) * step
    blocks = torch.einsum("ui,ncuavb,vj->ncaibj", basis, waves, basis)
    return torch.roll(blocks.reshape(n, c, size, size), (-shift[0], -shift[1]), (2, 3))


def _recoloured(x: Tensor) -> Tensor:
    n = len(x)
    draw = lambda *shape: torch.randn(n, *shape, device=x.device)  # noqa: E731
    x = (x.clamp(0, 255) / 255) ** torch.exp(draw(1, 1, 1) * 0.18) * 255
    gain = 1 + 0.12 * draw(3, 1, 1)
    x = x * torch.cat([gain, gain.mean(1, keepdim=True).expand(-1, 2, -1, -1)], 1)
    x = (x - 127.5) * (1 + 0.15 * draw(1, 1, 1)) + 127.5 + 10 * draw(1, 1, 1)
    grey = (x[:, :3] * _luma(x)).sum(1, keepdim=True)
    keep = torch.rand(n, 1, 1, 1, device=x.device) * 1.2
    return torch.cat([grey + (x[:, :3] - grey) * keep, x[:, 3:]], 1)
