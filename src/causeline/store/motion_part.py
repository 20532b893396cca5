"""The body in three dimensions in a reading file: what a swing's `motion` holds.

Numbers keep six figures: a hundredth of a millimetre.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import View
from causeline.model.motion import TURNS, Motion, SecondView
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

Json = dict[str, Any]


def save_motion_as_dict(motion: Motion | None) -> Json:
    """Nothing at all where there is no motion, so that older readers of the file see no change."""
    if motion is None:
        return {}
    second = motion.second
    told = {
        "method": motion.method,
        "joints": {name: _rows(motion.joints[:, i]) for i, name in enumerate(BODY_LANDMARKS)},
        "joint_sd": {name: _rows(motion.joint_sd[:, i]) for i, name in enumerate(BODY_LANDMARKS)},
        "turns": {name: _column(motion.turns[:, i]) for i, name in enumerate(TURNS)},
        "turn_sd": {name: _column(motion.turn_sd[:, i]) for i, name in enumerate(TURNS)},
        "second_view": second
        and {
            "clip": second.clip,
            "sha256": second.sha256,
            "view": second.view.value,
            "one_swing": second.one_swing,
        },
    }
    return {"motion": told}


def load_motion(found: Json | None, frames: NDArray[np.int64], time_s: Floats) -> Motion | None:
    """The motion over a track's frames; None where the file has none.

    Raises KeyError, TypeError or ValueError where something is amiss in it.
    """
    if found is None:
        return None
    joints, joint_sd = (
        np.stack([_points(found[key][name]) for name in BODY_LANDMARKS], axis=1)
        for key in ("joints", "joint_sd")
    )
    turns, turn_sd = (
        np.stack([_numbers(found[key][name]) for name in TURNS], axis=1)
        for key in ("turns", "turn_sd")
    )
    second = found.get("second_view")
    return Motion(
        frames=frames,
        time_s=time_s,
        joints=joints,
        joint_sd=joint_sd,
        turns=turns,
        turn_sd=turn_sd,
        method=str(found["method"]),
        second=SecondView(
            second["clip"], second["sha256"], View(second["view"]), bool(second["one_swing"])
        )
        if second
        else None,
    )


def _rows(points: Floats) -> list[list[float] | None]:
    return [
        [_short(value) for value in row] if all(map(math.isfinite, row)) else None
        for row in points.tolist()
    ]


def _column(values: Floats) -> list[float | None]:
    return [_short(value) if math.isfinite(value) else None for value in values.tolist()]


def _short(value: float) -> float:
    return float(f"{value:.6g}")


def _points(rows: list[list[float] | None]) -> Floats:
    return np.array([[math.nan] * 3 if row is None else row for row in rows], dtype=float)


def _numbers(values: list[float | None]) -> Floats:
    return np.array([math.nan if value is None else value for value in values], dtype=float)
