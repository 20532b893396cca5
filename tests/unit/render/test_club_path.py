"""The club's way over a still: which lines there are, where, and what is said to be worked out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName, Moments
from causeline.model.reading import Swing
from causeline.render.club_path import render_club_crop, render_club_path, render_club_still
from causeline.render.contract import ClubPath
from tests.drawn import Drawn, drawn_reading

DRAWN = drawn_reading(View.DOWN_THE_LINE, Hand.RIGHT, 1)
SWING = DRAWN.reading.swings[0]
CLIP = DRAWN.reading.clip


def _path(swing: Swing = SWING) -> ClubPath:
    told = render_club_path(swing, CLIP, None)
    assert told is not None
    return told


def test_head_and_hands_each_have_a_way_back_and_a_way_down() -> None:
    ways = [(way.what, way.way, bool(way.path), way.guessed) for way in _path().ways]
    assert ways == [
        ("hands", "down", True, ""),
        ("hands", "back", True, ""),
        ("head", "down", True, ""),
        ("head", "back", True, ""),
    ]


def test_the_way_back_ends_where_the_way_down_begins() -> None:
    down, back = (way.path for way in _path().ways if way.what == "head")
    end, begin = (np.array(text.split(), float) for text in (back.split("L")[-1],
                                                             down[1:].split("L")[0]))  # fmt: skip
    # Drawn at frames: the top lies between two.
    assert float(np.hypot(*(end - begin))) < 60


def test_the_way_lies_in_the_space_of_a_cut_that_stays_in_the_picture() -> None:
    crop = render_club_crop(SWING, CLIP)
    assert crop.left >= 0
    assert crop.top >= 0
    assert crop.left + crop.width <= CLIP.width
    assert crop.top + crop.height <= CLIP.height


def test_the_shaft_is_drawn_at_the_moments_up_to_impact_under_their_numbers() -> None:
    found = [moment.name for moment in SWING.moments.found]
    numbers = [shaft.number for shaft in _path().shafts]
    assert numbers == [found.index(name) + 1 for name in found
                       if name not in (MomentName.START, MomentName.SHAFT_LEVEL_THROUGH,
                                       MomentName.FINISH)]  # fmt: skip


def test_the_line_at_address_starts_at_the_shaft_s_end_and_runs_past_the_hands() -> None:
    told = _path()
    end, far = (np.array(text.split(), float) for text in told.plane[1:].split("L"))
    grip = np.array(told.shafts[0].path[1:].split("L")[0].split(), float)
    along = (grip - end) / np.hypot(*(grip - end))
    # 2.6 shafts long; both ends are rounded to the drawing's unit.
    assert abs(float((far - end) @ along) / float(np.hypot(*(grip - end))) - 2.6) < 0.02


def test_where_the_head_is_not_seen_the_line_is_dotted_and_said() -> None:
    club = SWING.club
    assert club is not None
    seen = np.ones(len(SWING.body), dtype=np.bool_)
    top = SWING.moments.get(MomentName.TOP)
    assert top is not None
    seen[np.abs(SWING.body.time_s - top.time_s) < 0.1] = False
    told = _path(replace(SWING, club=replace(club, head_seen=seen)))
    assert told.guessed
    assert [bool(way.guessed) for way in told.ways] == [False, False, True, True]


def test_without_club_or_moments_there_is_no_picture() -> None:
    assert render_club_path(replace(SWING, club=None), CLIP, None) is None
    assert render_club_path(replace(SWING, moments=Moments((), ())), CLIP, None) is None
    assert render_club_still(replace(SWING, club=None), CLIP, DRAWN.frames[0]) is None


def test_a_left_hander_s_way_is_drawn_where_the_clip_shows_it() -> None:
    mirrored: Drawn = drawn_reading(View.DOWN_THE_LINE, Hand.LEFT, 1)
    swing, clip = mirrored.reading.swings[0], mirrored.reading.clip
    still = render_club_still(swing, clip, mirrored.frames[0])
    assert still is not None
    told = render_club_path(swing, clip, still)
    assert told is not None
    assert told.picture is not None
    crop = render_club_crop(swing, clip)
    ours, theirs = (np.array(t.shafts[0].path[1:].split("L")[0].split(), float)
                    for t in (_path(), told))  # fmt: skip
    other = render_club_crop(SWING, CLIP)
    scale = (other.height / 1000, crop.height / 1000)
    x, mirrored_x = other.left + ours[0] * scale[0], crop.left + theirs[0] * scale[1]
    # A unit of the drawing is about a pixel.
    assert abs((clip.width - 1 - mirrored_x) - x) < 3
