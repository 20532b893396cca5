"""How far the engine's points lie off the joints, as a posture has it: fitted on rendered golfers.

    python offsets.py OFFSETS.npz TRACKS_FOLDER TRUTHS_FOLDER NAME...

Needs the package. For each name there is `<name>.npz`, the engine's 33 points of every frame (`xy`,
`confidence`, `time_s`, `width`), and `<name>.truth.json` of the studio. Training seeds only.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import torch
from layout import JOINTS, STEPS, phase_times
from numpy.typing import NDArray
from view import postures, scaled

from causeline.body.refine import refine_body
from causeline.model.clip import Hand, View
from causeline.model.tracks import LandmarkTrack

Floats = NDArray[np.float64]
VIEWS = ("face-on", "down-the-line")
STIFF, STIFF_PHASE = 3.0, 6.0
"""Ridge: how much the figure, and the phase, are kept from explaining."""
LEFT_LEAST = 0.005


def read_swing(track: Path, truth: Path) -> tuple[str, Floats, Floats, Floats]:
    """View, then what is true and what is seen (STEPS, J, 2), scaled, and trust (STEPS, J)."""
    with np.load(track) as kept:
        seen = {name: kept[name] for name in kept.files}
    told: dict[str, Any] = json.loads(truth.read_text())
    count, width = len(seen["time_s"]), int(seen["width"])
    landmarks = LandmarkTrack(
        np.arange(count), seen["time_s"], seen["xy"].astype(float), seen["confidence"].astype(float)
    )
    view = told["camera"]["view"]
    body = refine_body(landmarks, Hand(told["hand"]), width, View(view))
    knots = [told["moments"][name]["time_s"] for name in ("address", "top", "impact", "finish")]
    at = np.clip(phase_times(knots), body.time_s[0], body.time_s[-1])
    true = np.stack([_true_path(told, name, width, at) for name in JOINTS], axis=1)
    xy = np.stack([_path(at, body.time_s, body.xy[:, k]) for k in range(len(JOINTS))], axis=1)
    trust = np.stack([np.interp(at, body.time_s, column) for column in body.confidence.T], axis=1)
    return view, _up(true), _up(xy), trust


def _true_path(told: dict[str, Any], name: str, width: int, at: Floats) -> Floats:
    path = np.array([[np.nan if v is None else v for v in row] for row in told["points_px"][name]])
    if told["hand"] == "left":
        path[:, 0] = width - 1 - path[:, 0]
    return _path(at, np.array(told["frames"]["time_s"]), path)


def _path(at: Floats, time_s: Floats, path: Floats) -> Floats:
    seen = np.isfinite(path).all(axis=1)
    return np.stack([np.interp(at, time_s[seen], path[seen, i]) for i in (0, 1)], axis=1)


def _up(path: Floats) -> Floats:
    flipped = torch.tensor(path * np.array([1.0, -1.0]))
    return np.asarray(scaled(flipped[None])[0])


def fit_view(swings: list[tuple[str, Floats, Floats, Floats]]) -> tuple[Floats, Floats, Floats]:
    """Weights (F, 2 J), what is left (STEPS, J), and the mean trust (STEPS, J)."""
    figures = postures(torch.tensor(np.stack([swing[1] for swing in swings]))).numpy()
    off = np.stack([swing[2] - swing[1] for swing in swings])
    x, y = figures.reshape(-1, figures.shape[2]), off.reshape(-1, off[0, 0].size)
    stiff = np.full(x.shape[1], STIFF)
    stiff[-10:] = STIFF_PHASE
    stiff[-1] = 0.01
    weight = np.linalg.solve(x.T @ x + np.diag(stiff), x.T @ y)
    left = np.sqrt(((y - x @ weight).reshape(off.shape) ** 2).mean(axis=(0, 3)))
    return weight, np.maximum(left, LEFT_LEAST), np.stack([swing[3] for swing in swings]).mean(0)


def main() -> None:
    """Read all, fit each view, write one file."""
    out, tracks, truths = (Path(name) for name in sys.argv[1:4])
    swings = [
        read_swing(tracks / f"{name}.npz", truths / f"{name}.truth.json") for name in sys.argv[4:]
    ]
    views = [fit_view([swing for swing in swings if swing[0] == view]) for view in VIEWS]
    weight, left, trust = (np.stack(part).astype(np.float32) for part in zip(*views, strict=True))
    np.savez(out, weight=weight, left=left, trust=trust)
    print(len(swings), "clips;", STEPS, "phases; left over", left.mean(axis=1).round(4).tolist())


if __name__ == "__main__":
    main()
