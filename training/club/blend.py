"""The mean of two networks, the second trained on from the first.

    python blend.py start.pt net.pt blend.pt

`start.pt` is from `unfold.py`; its normalisations, which only add a bias, are first made those of
`net.pt`, which changes nothing in what it answers.
"""

from __future__ import annotations

import sys

import torch
from net import NORM_EPS
from torch import Tensor

SHARE = 0.5
"""Of the second."""


def main() -> None:
    """Read, mean, write."""
    first, second = (torch.load(path, map_location="cpu") for path in sys.argv[1:3])
    second = {k: v.float() if v.is_floating_point() else v for k, v in second.items()}
    first = _on_norms_of(second, first)
    blend = {
        k: torch.lerp(first[k].float(), v, SHARE) if v.is_floating_point() else v
        for k, v in second.items()
    }
    torch.save(blend, sys.argv[3])


def _on_norms_of(other: dict[str, Tensor], state: dict[str, Tensor]) -> dict[str, Tensor]:
    state = dict(state)
    for key in other:
        norm = key.removesuffix(".running_mean")
        if norm == key:
            continue
        mean, spread = other[key], other[f"{norm}.running_var"]
        state[f"{norm}.bias"] = state[f"{norm}.bias"] + mean
        state[f"{norm}.weight"] = torch.sqrt(spread + NORM_EPS)
        state[key], state[f"{norm}.running_var"] = mean, spread
    return state


if __name__ == "__main__":
    main()
