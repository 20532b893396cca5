"""The bench of the club's frames, on a club whose angles are written down."""

from __future__ import annotations

import numpy as np
import pytest
from bench.club_frames import joined, judged_frames, tables
from bench.truths import Truth

from causeline.model.tracks import ClubTrack
from tests.unit.club import clubs

FRAMES = 6
TRUE_DEG = [-90.0, -80.0, -70.0, 0.0, 20.0, 40.0]
OFF_DEG = [0.0, 1.0, -2.0, 20.0, 0.0, 3.0]
SURENESS = [0.99, 0.95, 0.9, 0.85, 0.4, 0.7]


def _truth() -> Truth:
    """Filmed from 4 m with a focal length of 2,000 px: 500 px a metre, a stature of 875 px."""
    points = [clubs.points(deg) for deg in TRUE_DEG]
    butt, hosel, head = (np.array([one[k] for one in points]) for k in range(3))
    head[0] = (-50.0, 900.0)
    return Truth(
        {
            "file": {"name": "a.mp4", "view": "face-on", "rate_hz": 60.0, "width": 1080,
                     "height": 1280},
            "body": {"stature_m": 1.75},
            "camera": {"position": [4.0, 0.0, 1.0], "focal_px": 2000.0},
            "moments": {
                "address": {"time_s": 0.0}, "top": {"time_s": 2.5 / 60},
                "impact": {"time_s": 3.5 / 60}, "finish": {"time_s": 4.5 / 60},
            },
            "points_px": {"butt": butt, "hosel": hosel, "head": head},
            "points_m": {"butt": np.tile([0.0, 0.0, 1.0], (FRAMES, 1))},
            "visible": {"hosel": [1, 1, 0, 1, 1, 1]},
        }
    )  # fmt: skip


def _track() -> ClubTrack:
    points = [clubs.points(true + off) for true, off in zip(TRUE_DEG, OFF_DEG, strict=True)]
    butt, hosel, head = (np.array([one[k] for one in points]) for k in range(3))
    return ClubTrack(grip=butt, hosel=hosel, head=head, confidence=np.array(SURENESS))


def test_frames_count_from_address_to_finish_with_the_head_in_the_picture() -> None:
    frames = judged_frames(_truth(), clubs.body(FRAMES), _track())
    # The first frame's head is outside; the last comes after the finish.
    assert frames.off_deg == pytest.approx([1.0, 2.0, 20.0, 0.0])
    assert frames.hidden.tolist() == [False, True, False, False]
    assert frames.coming_down.tolist() == [False, False, True, False]
    assert frames.after.tolist() == [False, False, False, True]
    # 400 px from the grip end to the hosel.
    assert frames.length == pytest.approx([400 / 875] * 4)


def test_the_head_is_told_in_per_cent_of_the_stature() -> None:
    frames = judged_frames(_truth(), clubs.body(FRAMES), _track())
    # 390 px from the hands, seen 20° beside: a chord of 2 · 390 · sin 10°.
    assert frames.head[2] == pytest.approx(100 * 2 * 390 * np.sin(np.radians(10)) / 875)


def test_the_tables_tell_who_was_sure_and_wrong() -> None:
    one = judged_frames(_truth(), clubs.body(FRAMES), _track())
    lines = list(tables(joined([one, one])))
    every = next(line for line in lines if line.startswith("| all |"))
    # Of 1, 2, 20 and 0°, twice, the middle is 1.5°; three of four are answered; one of three sure.
    assert every.startswith("| all | 8 | 1.50° | 20.0° | 75.0% | 20.0° |")
    assert every.endswith("| 2 of 6 (33.33%) |")
    assert lines[-1] == "confidently wrong: a.mp4 2"
