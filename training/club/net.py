"""The club's network: an EfficientNet-lite0 backbone and a light pyramid to quarter-size maps.

In: (n, 5, s, s), the middle frame's red, green and blue and the grey of the frames before and
after, each as (value - 127.5) / 127.5. Out: (n, `len(MAPS)`, s / 4, s / 4), see `MAPS`.
"""

from __future__ import annotations

from pathlib import Path

import torch
from torch import Tensor, nn
from torch.nn import functional

MAPS = ("grip", "hosel", "head", "shaft", "cos2", "sin2")
"""Logits of three points and of the shaft's line, and its direction, doubled, as a vector."""

CHANNELS_IN = 5
WIDTH = 64
NORM_EPS = 1e-3
TAPS = {2: 24, 4: 40, 10: 112, 15: 320}
"""Block after which each pyramid level leaves the backbone, and its channels."""

BLOCKS = (
    (1, 3, 1, 1, 32, 16), (2, 3, 2, 6, 16, 24), (2, 5, 2, 6, 24, 40), (3, 3, 2, 6, 40, 80),
    (3, 5, 1, 6, 80, 112), (4, 5, 2, 6, 112, 192), (1, 3, 1, 6, 192, 320),
)  # fmt: skip
"""Repeats, kernel, stride, expansion, channels in and out of each stage."""


class Block(nn.Module):
    """An inverted bottleneck; names as in the published weights."""

    def __init__(self, kernel: int, stride: int, expand: int, cin: int, cout: int) -> None:
        super().__init__()
        wide = cin * expand
        if expand != 1:
            self._expand_conv = nn.Conv2d(cin, wide, 1, bias=False)
            self._bn0 = _norm(wide)
        self._depthwise_conv = nn.Conv2d(
            wide, wide, kernel, stride, kernel // 2, groups=wide, bias=False
        )
        self._bn1 = _norm(wide)
        self._project_conv = nn.Conv2d(wide, cout, 1, bias=False)
        self._bn2 = _norm(cout)
        self.expands = expand != 1
        self.skips = stride == 1 and cin == cout

    def forward(self, x: Tensor) -> Tensor:
        """One block."""
        y = functional.relu6(self._bn0(self._expand_conv(x))) if self.expands else x
        y = functional.relu6(self._bn1(self._depthwise_conv(y)))
        y = self._bn2(self._project_conv(y))
        return x + y if self.skips else y


class Backbone(nn.Module):
    """EfficientNet-lite0 without its classifier."""

    def __init__(self) -> None:
        super().__init__()
        self._conv_stem = nn.Conv2d(CHANNELS_IN, 32, 3, 2, 1, bias=False)
        self._bn0 = _norm(32)
        blocks = []
        for repeats, kernel, stride, expand, cin, cout in BLOCKS:
            for i in range(repeats):
                first = i == 0
                blocks.append(
                    Block(kernel, stride if first else 1, expand, cin if first else cout, cout)
                )
        self._blocks = nn.ModuleList(blocks)

    def forward(self, x: Tensor) -> list[Tensor]:
        """The four levels, finest first."""
        x = functional.relu6(self._bn0(self._conv_stem(x)))
        levels = []
        for i, block in enumerate(self._blocks):
            x = block(x)
            if i in TAPS:
                levels.append(x)
        return levels


class ClubNet(nn.Module):
    """Backbone, pyramid, maps."""

    def __init__(self, width: int = WIDTH) -> None:
        super().__init__()
        self.backbone = Backbone()
        self.lateral = nn.ModuleList([nn.Conv2d(c, width, 1) for c in TAPS.values()])
        self.smooth = nn.ModuleList([_separable(width) for _ in TAPS])
        self.last = _separable(width)
        self.maps = nn.Conv2d(width, len(MAPS), 1)

    def forward(self, x: Tensor) -> Tensor:
        """Logits and direction."""
        levels = self.backbone(x)
        y: Tensor | None = None
        for level, lateral, smooth in reversed(
            list(zip(levels, self.lateral, self.smooth, strict=True))
        ):
            side = lateral(level)
            if y is not None:
                side = side + functional.interpolate(
                    y, scale_factor=2.0, mode="bilinear", align_corners=False
                )
            y = smooth(side)
        return self.maps(self.last(y))


def make_net(weights: Path | None = None) -> ClubNet:
    """A fresh network on published ImageNet weights; grey channels start from the mean filter."""
    net = ClubNet()
    if weights is None:
        return net
    published = torch.load(weights, map_location="cpu", weights_only=True)
    stem = published.pop("_conv_stem.weight")
    missing = net.backbone.load_state_dict(
        {k: v for k, v in published.items() if k in net.backbone.state_dict()}, strict=False
    )
    if missing.missing_keys != ["_conv_stem.weight"]:
        raise ValueError(f"the backbone's weights lack {missing.missing_keys}")
    grey = stem.mean(1, keepdim=True) * 0.15
    with torch.no_grad():
        net.backbone._conv_stem.weight.copy_(torch.cat([stem, grey, grey], 1))
    return net


@torch.no_grad()
def steady_norms(net: ClubNet, x: Tensor) -> None:
    """Let normalisations that only add a bias (`unfold.py`) undo what they do to a batch `x`.

    Afterwards training changes little at first: each takes away mean and spread, as it does while
    it learns, and puts the same back.
    """

    def measure(norm: nn.BatchNorm2d, given: tuple[Tensor, ...]) -> None:
        spread, mean = torch.var_mean(given[0].float(), (0, 2, 3), correction=0)
        norm.running_mean, norm.running_var = mean, spread
        norm.bias += mean
        norm.weight.copy_(torch.sqrt(spread + NORM_EPS))

    norms = [m for m in net.modules() if isinstance(m, nn.BatchNorm2d)]
    hooks = [norm.register_forward_pre_hook(measure) for norm in norms]
    net.eval()(x)
    net.train()
    for hook in hooks:
        hook.remove()


def _norm(channels: int) -> nn.BatchNorm2d:
    return nn.BatchNorm2d(channels, eps=NORM_EPS, momentum=0.01)


def _separable(width: int) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(width, width, 3, padding=1, groups=width, bias=False),
        _norm(width),
        nn.ReLU6(),
        nn.Conv2d(width, width, 1, bias=False),
        _norm(width),
        nn.ReLU6(),
    )
