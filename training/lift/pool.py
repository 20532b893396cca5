"""Gather posed swings into one file that is small enough to carry.

    python pool.py POOL.npz POSES_FOLDER...

Each folder holds one .npz a swing: `time_s`, `j_<joint>`, `butt`, `hosel`, `head` in metres, and
`facts`, JSON with `moments` and `stature`. Every swing is played at the same `FINE` phases.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
from layout import FINE, MOMENTS, POINTS, phase_times
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def gather_swing(path: Path) -> tuple[Floats, Floats, Floats]:
    """(FINE, P, 3) in statures; (FINE,) seconds; (moments,) phases, as shares of all phases."""
    with np.load(path) as kept:
        facts = json.loads(str(kept["facts"]))
        names = [name if name in ("butt", "hosel", "head") else f"j_{name}" for name in POINTS]
        points = np.stack([kept[name] for name in names], axis=1).astype(float)
        time_s = kept["time_s"]
    moments = facts["moments"]
    at = phase_times([moments[name] for name in ("address", "top", "impact", "finish")], FINE)
    at = np.clip(at, time_s[0], time_s[-1])
    flat = points.reshape(len(time_s), -1)
    played = np.stack([np.interp(at, time_s, column) for column in flat.T], axis=1)
    where = [np.interp(moments.get(name, np.nan), at, np.arange(FINE)) for name in MOMENTS]
    return played.reshape(FINE, -1, 3) / facts["stature"], at, np.array(where) / FINE


def main() -> None:
    """Read all, write one."""
    out, folders = Path(sys.argv[1]), [Path(name) for name in sys.argv[2:]]
    swings = []
    for path in sorted(path for folder in folders for path in folder.glob("*.npz")):
        try:
            swings.append(gather_swing(path))
        except (KeyError, ValueError, OSError, EOFError) as error:
            print(path, error)
    points, time_s, where = (np.stack(part) for part in zip(*swings, strict=True))
    np.savez_compressed(
        out, points=points.astype(np.float16), time_s=time_s.astype(np.float32), where=where
    )
    print(len(points), "swings", out.stat().st_size / 1e6, "MB")


if __name__ == "__main__":
    main()
