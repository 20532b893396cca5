"""Turn trained weights into the file that the package ships.

    python export.py net.pt ../../src/causeline/sources/lift_weights pool.npz

Needs torch. Writes `lift.npz`: weights in half precision, and by how much the spreads must be
widened, fitted on the held-out swings of the pool with usual errors: (views, turns).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import torch
from layout import STEPS
from motion import bend_swings, draw_swings, turns_of
from net import DILATIONS, Lifter
from train import Pool, see, split

NINETY = 1.645


def main() -> None:
    """Read, calibrate, write."""
    source, folder, pool = (Path(name) for name in sys.argv[1:4])
    state = torch.load(source, map_location="cpu", weights_only=True)
    net = Lifter(len(state["enter.bias"]))
    net.load_state_dict(state)
    arrays = {name: value.half().numpy() for name, value in state.items()}
    arrays["dilations"] = np.array(DILATIONS)
    arrays["widen"] = widening(net.eval(), Pool(pool, torch.device("cpu")))
    folder.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(folder / "lift.npz", **arrays)
    print((folder / "lift.npz").stat().st_size / 1e6, "MB;", arrays["widen"])


@torch.no_grad()
def widening(net: torch.nn.Module, pool: Pool) -> np.ndarray:
    """(2, 3): what makes nine of ten truths lie in nine-in-ten intervals, half of them bent."""
    torch.manual_seed(7)
    which = pool.held.repeat(4)
    points, time_s = draw_swings(pool.points, pool.time_s, which, 0.5)
    bent = bend_swings(points, torch.ones(len(which)))
    points = torch.where((torch.arange(len(which)) % 2 == 0)[:, None, None, None], bent, points)
    factors = []
    for view in (0, 1):
        every = torch.full((len(which),), view)
        seen = see(pool.offsets, points, time_s, every, torch.ones(len(which)))
        _, turned, _, logs = split(net(seen))
        far = (turned - turns_of(points)).abs() / (10 * logs.exp())
        factors.append(np.quantile(far[:, 16 : STEPS - 8].flatten(0, 1).numpy(), 0.9, axis=0))
    return np.array(factors) / NINETY


if __name__ == "__main__":
    main()
