"""Makes the motion prior that the package ships from posed swings.

`nice .venv/bin/python -m training.motion.make --packed FILE... --out FILE`
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from training.motion.packed import Packed
from training.motion.widen import widen

from causeline.model.motion import POINTS

KEPT = 200
PER_SWING = 4
SEED = 5
WEIGHTS = {"hip": 3.0, "shoulder": 2.0, "butt": 0.5, "hosel": 0.3, "toe": 0.5, "heel": 0.5}
"""What a point counts for when ways are chosen: turns rest on short lines, a club is long."""


def main() -> None:
    """Read, widen, reduce, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--packed", type=Path, nargs="+", required=True)
    parser.add_argument("--out", type=Path, required=True)
    arguments = parser.parse_args()
    rng = np.random.default_rng(SEED)
    made = []
    for packed in map(Packed, arguments.packed):
        for number in range(len(packed)):
            made.append(packed.swing(number, rng))
            made += [widen(packed.swing(number, rng), rng) for _ in range(PER_SWING - 1)]
    swings = np.stack(made).reshape(len(made), -1)
    mean = swings.mean(axis=0)
    swings -= mean
    weight = _weights(made[0].shape)
    swings *= weight
    values, vectors = np.linalg.eigh(swings @ swings.T / len(swings))
    top = np.argsort(values)[::-1][:KEPT]
    basis = (vectors[:, top].T @ swings) / np.sqrt(len(swings)) / weight
    spread = (swings / weight).var(axis=0)
    rest = np.sqrt(np.maximum(spread - (basis**2).sum(axis=0), 0.0))
    shape = (*made[0].shape,)
    np.savez_compressed(
        arguments.out,
        mean=mean.reshape(shape).astype(np.float32),
        basis=basis.reshape(KEPT, *shape).astype(np.float16),
        rest=rest.reshape(shape).astype(np.float16),
    )


def _weights(shape: tuple[int, ...]) -> NDArray[np.float64]:
    counts = np.array([WEIGHTS.get(name.rpartition("_")[2], 1.0) for name in POINTS])
    return np.broadcast_to(counts[:, None], shape).reshape(-1)


if __name__ == "__main__":
    main()
