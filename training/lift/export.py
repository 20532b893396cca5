"""Turn trained weights into the file that the package ships.

    python export.py net.pt ../../src/causeline/sources/lift_weights offsets.npz

Needs torch. Writes `lift.npz`: weights in half precision, and by how much the spreads must be
widened, (views, turns): fitted on the engine's real answers that were held out of training.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import torch
from layout import STEPS
from net import DILATIONS, Lifter
from train import split
from view import Offsets

NINETY = 1.645


def main() -> None:
    """Read, calibrate, write."""
    source, folder, offsets = (Path(name) for name in sys.argv[1:4])
    state = torch.load(source, map_location="cpu", weights_only=True)
    net = Lifter(len(state["enter.bias"]))
    net.load_state_dict(state)
    arrays = {name: value.half().numpy() for name, value in state.items()}
    arrays["dilations"] = np.array(DILATIONS)
    arrays["widen"] = widening(net.eval(), Offsets(offsets, torch.device("cpu")))
    folder.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(folder / "lift.npz", **arrays)
    print((folder / "lift.npz").stat().st_size / 1e6, "MB;", arrays["widen"])


@torch.no_grad()
def widening(net: torch.nn.Module, offsets: Offsets) -> np.ndarray:
    """(2, 3): what makes nine of ten truths lie in nine-in-ten intervals, by view and turn."""
    held = offsets.held
    _, turned, _, logs = split(net(held["seen"].transpose(1, 2)))
    far = (turned - held["turns"]).abs() / (10 * logs.exp())
    views = [far[held["view"] == view, 24 : STEPS - 12].flatten(0, 1) for view in (0, 1)]
    return np.array([np.quantile(each.numpy(), 0.9, axis=0) for each in views]) / NINETY


if __name__ == "__main__":
    main()
