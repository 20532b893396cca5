"""The lifter: a stack of one-dimensional convolutions over the whole swing."""

from __future__ import annotations

import torch
from layout import FEATURES, SAID, STEPS
from torch import Tensor, nn

DILATIONS = (1, 2, 4, 8, 16, 32, 1, 2, 4, 8)


class Block(nn.Module):
    """Widened by dilation, mixed, added to what came in."""

    def __init__(self, width: int, dilation: int, drop: float) -> None:
        super().__init__()
        self.norm = nn.GroupNorm(1, width)
        self.look = nn.Conv1d(width, width, 3, padding=dilation, dilation=dilation)
        self.mix = nn.Conv1d(width, width, 1)
        self.drop = nn.Dropout(drop)

    def forward(self, x: Tensor) -> Tensor:
        """(b, width, STEPS) both ways."""
        y = nn.functional.gelu(self.look(self.norm(x)))
        y = y + y.mean(dim=2, keepdim=True)
        return x + self.drop(self.mix(y))


class Lifter(nn.Module):
    """(b, FEATURES, STEPS) of one view to (b, SAID, STEPS); `usual` is where it starts from."""

    def __init__(self, width: int = 176, drop: float = 0.05) -> None:
        super().__init__()
        self.enter = nn.Conv1d(FEATURES, width, 3, padding=1)
        self.place = nn.Parameter(torch.zeros(1, width, STEPS))
        self.blocks = nn.Sequential(*(Block(width, d, drop) for d in DILATIONS))
        self.leave = nn.Sequential(nn.GroupNorm(1, width), nn.Conv1d(width, SAID, 1))
        self.usual = nn.Parameter(torch.zeros(1, SAID, STEPS))

    def forward(self, x: Tensor) -> Tensor:
        """What is said of each sample."""
        said: Tensor = self.leave(self.blocks(self.enter(x) + self.place))
        return said + self.usual
