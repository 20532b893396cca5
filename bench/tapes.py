"""Tapes: what was seen of a clip, and its truth, kept small so that it can be judged again.

A tape is two files: NAME.seen.npz (`causeline.store.seen_file`) and NAME.tape.npz, the truth file's
content with points in steps of 0.1 mm and 0.1 px, and turns and measures in steps of 0.01. A clip
that could not be read has NAME.refused.txt, with the reason, instead of NAME.seen.npz.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bench.truths import Truth

SEEN_END, TRUTH_END, REFUSED_END = ".seen.npz", ".tape.npz", ".refused.txt"
STEPS = {"points_m": 1e-4, "points_px": 0.1, "turns_deg": 0.01, "measures": 0.01}
GONE = -(2**31)
"""Stands for what has no value."""


def save_truth_tape(path: Path, truth: Truth) -> None:
    """Write the truth of a clip; everything but arrays stays as it is."""
    facts = dict(truth.facts)
    arrays: dict[str, Any] = {"time_s": np.asarray(facts["frames"]["time_s"], float)}
    facts["frames"] = {"count": len(arrays["time_s"])}
    names: dict[str, list[str]] = {}
    for key, step in STEPS.items():
        table: Mapping[str, ArrayLike] = facts.pop(key)
        names[key] = list(table)
        rows = np.array([np.asarray(values, float) for values in table.values()])
        arrays[key] = _packed(rows, step)
    visible = facts.pop("visible")
    names["visible"] = list(visible)
    arrays["visible"] = np.array(list(visible.values()), dtype=np.uint8)
    header = json.dumps({"facts": facts, "names": names}).encode()
    np.savez_compressed(path, header=np.frombuffer(header, np.uint8), **arrays)


def load_truth_tape(path: Path) -> Truth:
    """Read it back, as `bench.truths.load` reads a truth file; tables hold arrays, not lists."""
    with np.load(path, allow_pickle=False) as file:
        arrays = {name: file[name] for name in file.files}
    header = json.loads(arrays["header"].tobytes())
    facts, names = header["facts"], header["names"]
    facts["frames"]["time_s"] = arrays["time_s"]
    for key, step in STEPS.items():
        facts[key] = dict(zip(names[key], _unpacked(arrays[key], step), strict=True))
    facts["visible"] = dict(zip(names["visible"], arrays["visible"], strict=True))
    return Truth(facts)


def _packed(rows: NDArray[np.float64], step: float) -> NDArray[np.int32]:
    """(names, frames, ...) as changes from frame to frame, in steps."""
    steps = np.where(np.isfinite(rows), np.round(rows / step), GONE).astype(np.int64)
    changes = np.diff(steps, axis=1, prepend=0)
    return (changes % 2**32).astype(np.uint32).view(np.int32)


def _unpacked(changes: NDArray[np.int32], step: float) -> NDArray[np.float64]:
    steps = np.cumsum(changes.astype(np.int64), axis=1)
    steps = (steps + 2**31) % 2**32 - 2**31
    return np.where(steps == GONE, np.nan, steps * step)
