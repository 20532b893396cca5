from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from causeline.model.clip import Frame, Hand, View
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.render.stills import (
    HIGH,
    Crop,
    render_crop,
    render_jpeg,
    render_lines,
    render_rows,
    render_still,
    render_stills,
)
from tests.drawn import Drawn, drawn_reading

SIZE = (400, 600)


def _standing(mirrored: bool = False) -> BodyTrack:
    """One row: every point at (200, 300), but the nose at (150, 100) and the toes at y 500."""
    xy = np.full((1, len(BODY_LANDMARKS), 2), (200.0, 300.0))
    xy[0, BODY_LANDMARKS.index("nose")] = (150, 100)
    for side in ("lead", "trail"):
        xy[0, BODY_LANDMARKS.index(f"{side}_toe"), 1] = 500
    sure = np.ones(xy.shape[:2])
    return BodyTrack(np.array([7]), np.zeros(1), xy, sure, sure, SIZE[0], mirrored)


def _with(body: BodyTrack, name: str, confidence: float) -> BodyTrack:
    changed = body.confidence.copy()
    changed[:, BODY_LANDMARKS.index(name)] = confidence
    return replace(body, confidence=changed)


def test_the_crop_holds_the_golfer_and_stays_in_the_picture() -> None:
    crop = render_crop(_standing(), [0], SIZE)
    assert 0 <= crop.left < 150
    assert crop.left + crop.width > 200
    assert crop.top <= 100 - 0.09 * 400
    assert 500 < crop.top + crop.height <= 600
    assert 0.63 <= crop.width / crop.height <= 0.81


def test_a_crop_at_the_edge_is_cut_by_the_picture() -> None:
    crop = render_crop(_standing(), [0], (210, 505))
    assert crop.left >= 0
    assert crop.left + crop.width <= 210
    assert crop.top + crop.height <= 505


def test_a_mirrored_golfer_is_cropped_where_the_clip_shows_him() -> None:
    plain, mirrored = (render_crop(_standing(m), [0], SIZE) for m in (False, True))
    centre = plain.left + plain.width / 2
    assert mirrored.left + mirrored.width / 2 == pytest.approx(399 - centre, abs=2)  # floors


def test_without_a_point_the_crop_is_the_whole_picture() -> None:
    body = _standing()
    lost = replace(body, xy=np.full_like(body.xy, np.nan))
    assert render_crop(lost, [0], SIZE) == Crop(0, 0, 400, 600)


def test_all_stills_of_a_swing_share_crop_and_scale() -> None:
    drawn = drawn_reading()
    stills = render_stills(drawn.reading.swings[0], drawn.reading.clip, drawn.frames[0])
    assert set(stills) == set(MomentName)
    assert len({(still.width, still.height) for still in stills.values()}) == 1


def test_a_moment_without_a_frame_has_no_still() -> None:
    drawn = drawn_reading()
    swing = drawn.reading.swings[0]
    top = swing.moments.get(MomentName.TOP)
    assert top is not None
    stills = render_stills(swing, drawn.reading.clip, {top.frame: drawn.frames[0][top.frame]})
    assert list(stills) == [MomentName.TOP]


def test_a_still_is_cut_from_a_frame_that_was_decoded_small() -> None:
    picture = np.zeros((300, 200, 3), np.uint8)
    picture[100:200, 50:150] = 255
    still = render_still(Frame(0, picture, shrink=0.5), Crop(100, 200, 200, 200))
    image = np.asarray(Image.open(io.BytesIO(still.jpeg)))
    assert image.shape == (100, 100, 3)
    assert image.min() > 250


def test_a_wide_still_is_shrunk_and_a_small_one_is_not_enlarged() -> None:
    grey = np.full((2000, 1600, 3), 128, np.uint8)
    assert render_still(Frame(0, grey), Crop(0, 0, 1600, 2000)).width == 520
    assert render_still(Frame(0, grey), Crop(0, 0, 90, 120)).width == 90


def test_a_jpeg_keeps_to_its_budget_where_a_lower_quality_allows() -> None:
    noise = np.random.default_rng(0).integers(0, 255, (300, 240, 3), np.uint8)
    free, tight = render_jpeg(noise, 10**6), render_jpeg(noise, 45_000)
    assert len(free) > 45_000 >= len(tight)
    assert Image.open(io.BytesIO(tight)).size == (240, 300)


def test_lines_are_whole_where_sure_broken_where_not_and_gone_where_unseen() -> None:
    crop = Crop(0, 0, 400, 600)
    sure = render_lines(_standing(), 0, crop)
    unsure = render_lines(_with(_standing(), "lead_elbow", 0.3), 0, crop)
    gone = render_lines(_with(_standing(), "lead_elbow", 0.1), 0, crop)
    lead = [[s.sure for s in d.strokes if s.side == "lead"] for d in (sure, unsure, gone)]
    assert lead == [[True, True], [True, False, True], [True, True]]
    segments = [sum(s.path.count("L") for s in d.strokes) for d in (sure, unsure, gone)]
    assert segments == [15, 15, 13]


def test_a_missing_point_leaves_a_gap() -> None:
    body = _standing()
    xy = body.xy.copy()
    xy[0, BODY_LANDMARKS.index("trail_knee")] = np.nan
    drawing = render_lines(replace(body, xy=xy), 0, Crop(0, 0, 400, 600))
    assert "nan" not in "".join(stroke.path for stroke in drawing.strokes)
    legs = [s for s in drawing.strokes if s.side == "trail"]
    assert sum(s.path.count("L") for s in legs) == 4  # of 3 + 3 segments two hang on the knee


def test_lines_are_drawn_in_the_crop_s_own_space() -> None:
    drawing = render_lines(_standing(), 0, Crop(100, 200, 200, 400))
    assert drawing.wide == 0.5 * HIGH
    shoulder = next(dot for dot in drawing.dots if dot.side == "lead")
    assert (shoulder.x, shoulder.y) == (250.0, 250.0)


def test_a_left_hander_s_club_is_mirrored_back_with_the_body() -> None:
    body = _standing(mirrored=True)
    club = ClubTrack(np.array([[10.0, 0.0]]), np.array([[30.0, 600.0]]), np.array([0.9]))
    drawing = render_lines(body, 0, Crop(0, 0, 400, 600), club)
    head = next(dot for dot in drawing.dots if dot.side == "club")
    assert head.x == pytest.approx((399 - 30) * HIGH / 600)


def test_a_club_that_was_not_found_is_not_drawn() -> None:
    lost = ClubTrack(np.full((1, 2), np.nan), np.full((1, 2), np.nan), np.array([np.nan]))
    drawing = render_lines(_standing(), 0, Crop(0, 0, 400, 600), lost)
    assert all(stroke.side != "club" for stroke in drawing.strokes)


def test_a_moment_between_tracked_frames_takes_the_nearest_row() -> None:
    drawn: Drawn = drawn_reading(View.DOWN_THE_LINE, Hand.LEFT)
    swing = drawn.reading.swings[0]
    thin = replace(
        swing,
        body=replace(
            swing.body,
            **{name: getattr(swing.body, name)[::10] for name in _ARRAYS},
        ),
    )
    rows = render_rows(thin)
    frames = [int(thin.body.frames[row]) for row in rows]
    wanted = [moment.frame for moment in swing.moments.found]
    assert all(abs(a - b) <= 5 for a, b in zip(frames, wanted, strict=True))


_ARRAYS = ("frames", "time_s", "xy", "confidence", "sd_px")
