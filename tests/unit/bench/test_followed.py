"""Counting pictures in which the golfer is followed, with answers written by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
from bench.followed import Counted, Kept, count_followed, shoulders_kept, shoulders_told, table_of

from causeline.model.tracks import ENGINE_LANDMARKS, LandmarkTrack

FRAMES = 5
TALL_PX, HIP_PX = 400.0, (200.0, 300.0)


def test_who_is_lost_and_who_is_somebody_else_are_counted() -> None:
    hips = np.tile(np.array(HIP_PX), (FRAMES, 1))
    hips[1] = np.nan
    hips[3] += (0.3 * TALL_PX, 0.0)
    hips[4] += (0.2 * TALL_PX, 0.0)
    assert count_followed(_truth(), _seen(hips)) == Counted(pictures=5, seen=4, golfer=3)


def test_shares_are_told_over_all_clips() -> None:
    lines = list(table_of([Counted(600, 600, 600), Counted(400, 399, 398)]))
    assert lines[0] == "somebody is seen: 999 of 1,000 pictures (99.900%), 2 clips"
    assert lines[1] == "it is the golfer: 998 of 1,000 pictures (99.800%), 2 clips"


def test_the_shoulder_line_at_the_top_is_told_of_its_length_at_address() -> None:
    """A left-hander's lead shoulder is the right one; 80 px apart at address, 20 at the top."""
    frames, still = np.arange(3), np.zeros((3, 2))
    xy = np.zeros((3, len(ENGINE_LANDMARKS), 2))
    xy[:, ENGINE_LANDMARKS.index("right_shoulder"), 0] = (80.0, 50.0, 20.0)
    track = LandmarkTrack(frames, frames / 60.0, xy, np.ones(xy.shape[:2]))
    lead = still + np.array([[80.0, 0.0], [40.0, 0.0], [-8.0, 0.0]])
    truth = SimpleNamespace(
        moments={"address": 0.0, "top": 2 / 60},
        facts={
            "file": {"view": "face-on"}, "hand": "left", "faults": [],
            "frames": {"time_s": frames / 60.0},
            "points_px": {"lead_shoulder": lead, "trail_shoulder": still},
        },
    )  # fmt: skip
    seen: Any = SimpleNamespace(swings=[SimpleNamespace(landmarks=track)])
    assert shoulders_kept(cast("Any", truth), seen) == Kept(seen=0.25, true=0.1, sound=True)
    told = list(shoulders_told([None, Kept(0.25, 0.1, sound=True), Kept(0.5, 0.2, sound=False)]))
    assert "all (2 clips): seen 0.38, true 0.15 of address; difference +0.22" in told[0]
    assert "sound (1 clips): seen 0.25, true 0.10 of address; difference +0.15" in told[1]


def _truth() -> Any:
    """A figure that stands still; truth has one frame more than was looked at."""
    still = np.tile(np.array(HIP_PX), (FRAMES + 1, 1))
    places = {"hip": 0.0, "ear": -0.5 * TALL_PX, "ankle": 0.5 * TALL_PX}
    points = {
        f"{side}_{part}": still + np.array((0.0, down))
        for part, down in places.items()
        for side in ("lead", "trail")
    }
    return SimpleNamespace(facts={"points_px": points})


def _seen(hips: np.ndarray) -> Any:
    xy = np.repeat(hips[:, None], len(ENGINE_LANDMARKS), axis=1)
    track = LandmarkTrack(
        np.arange(FRAMES), np.arange(FRAMES) / 60.0, xy, np.ones((FRAMES, len(ENGINE_LANDMARKS)))
    )
    return cast("Any", SimpleNamespace(swings=[SimpleNamespace(landmarks=track)]))
