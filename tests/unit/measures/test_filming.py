"""Each advice appears when it should, and not otherwise."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from causeline.measures.context import SwingContext
from causeline.measures.filming import measure_filming
from causeline.model.clip import Called, Clip, ScaleFrom, View
from causeline.model.filming import Advice, PictureFacts, Severity
from causeline.model.moments import MomentName
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.clock import Clock
from causeline.quantities.length import Scale
from tests.unit.measures import stick

GOOD = PictureFacts(luminance=0.45, sharpness=0.5, clipped=0.02)
FRAMES = 240


def _clean(view: View = View.FACE_ON) -> SwingContext:
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line()
    context = stick.swing(view, address)
    return replace(context, clip=stick.clip(len(context.body), 240))


def _names(advice: tuple[Advice, ...]) -> list[str]:
    return [one.name for one in advice]


def _on_clip(clip: Clip) -> tuple[Advice, ...]:
    return measure_filming(clip, ())


def _on_body(context: SwingContext) -> tuple[Advice, ...]:
    return measure_filming(context.clip, (context,))


@pytest.mark.parametrize("view", list(View))
def test_a_clip_filmed_well_needs_no_advice(view: View) -> None:
    context = _clean(view)
    said = measure_filming(context.clip, (context,), Called(view, 0.99), (GOOD, GOOD))
    assert said == ()


@pytest.mark.parametrize(
    ("rate_hz", "severity", "tempo"),
    [(30, Severity.COSTS, "±0.6"), (60, Severity.NOTE, "±0.3"), (100, Severity.NOTE, "±0.2")],
)
def test_a_low_rate_says_what_more_frames_would_gain(
    rate_hz: int, severity: Severity, tempo: str
) -> None:
    """The figures are those of authorities/tempo.json, one frame off."""
    (advice,) = _on_clip(stick.clip(FRAMES, rate_hz))
    assert (advice.name, advice.severity) == ("frame_rate", severity)
    assert tempo in advice.advice
    assert "±0.07" in advice.advice
    assert ("graded" in advice.advice) == (rate_hz < 60)


@pytest.mark.parametrize("rate_hz", [120, 240])
def test_enough_frames_are_enough(rate_hz: int) -> None:
    assert _on_clip(stick.clip(FRAMES, rate_hz)) == ()


def test_slow_motion_that_was_guessed_is_told() -> None:
    clip = stick.clip(FRAMES, 240, ScaleFrom.INFERRED)
    assert _names(_on_clip(clip)) == ["slow_motion_inferred"]


def test_a_variable_rate_is_only_a_note() -> None:
    stamps = 10 * np.arange(FRAMES)
    stamps[100:] += 5
    clock = Clock(stamps, Fraction(1, 2400))
    (advice,) = _on_clip(replace(stick.clip(FRAMES, 240), clock=clock))
    assert (advice.name, advice.severity) == ("variable_rate", Severity.NOTE)


@pytest.mark.parametrize(("repeats", "told"), [(8, False), (40, True)])
def test_repeated_frames_are_told_when_they_are_many(repeats: int, told: bool) -> None:
    clip = stick.clip(FRAMES, 240)
    repeated = np.zeros(FRAMES, bool)
    repeated[:repeats] = True
    said = _on_clip(replace(clip, repeated=repeated))
    assert ("repeated_frames" in _names(said)) == told


@pytest.mark.parametrize(("damaged", "severity"), [(3, Severity.COSTS), (60, Severity.SPOILS)])
def test_damage_is_told_by_its_size(damaged: int, severity: Severity) -> None:
    (advice,) = _on_clip(replace(stick.clip(FRAMES, 240), damaged=damaged))
    assert (advice.name, advice.severity) == ("damaged_file", severity)


def test_times_that_were_filled_in_are_told() -> None:
    assert _names(_on_clip(replace(stick.clip(FRAMES, 240), mended=4))) == ["times_filled_in"]


@pytest.mark.parametrize(
    ("shrink", "severity"), [(1.0, None), (0.35, Severity.COSTS), (0.2, Severity.SPOILS)]
)
def test_a_golfer_too_small_is_told(shrink: float, severity: Severity | None) -> None:
    """Stature is 875 pixels in the full picture, 306 and 175 in the others."""
    context = _clean()
    assert isinstance(context.scale, Scale)
    scale = replace(context.scale, stature_px=context.scale.stature_px.times(shrink))
    said = {one.name: one for one in _on_body(replace(context, scale=scale))}
    assert said.get("too_small", Advice("", Severity.NOTE, "")).severity == (
        severity or Severity.NOTE
    )
    assert ("too_small" in said) == (severity is not None)


def _shifted(context: SwingContext, x: float, y: float, first: int = 0) -> SwingContext:
    xy = context.body.xy.copy()
    xy[first:] += (x, y)
    return replace(context, body=replace(context.body, xy=xy))


@pytest.mark.parametrize(("first", "severity"), [(0, Severity.SPOILS), (200, Severity.COSTS)])
def test_parts_that_leave_the_picture_are_named(first: int, severity: Severity) -> None:
    """Feet are 50 px above ground, and 600 px further down they are out of the picture."""
    said = {one.name: one for one in _on_body(_shifted(_clean(), 0.0, 600.0, first))}
    assert said["leaves_picture"].severity == severity
    assert "(feet;" in said["leaves_picture"].advice


def test_hands_near_the_edge_leave_no_room_for_the_club() -> None:
    """Hands in the middle of 2001 px have 400 px left after 600, and a club wants 437."""
    assert _names(_on_body(_shifted(_clean(), 600.0, 0.0))) == ["club_leaves_picture"]


@pytest.mark.parametrize(("slope_deg", "told"), [(3.0, False), (7.0, True), (-7.0, True)])
def test_a_tilted_camera_is_told_from_the_line_of_the_feet(slope_deg: float, told: bool) -> None:
    context = _clean()
    turn = np.radians(slope_deg)
    across = context.body.xy - context.centre
    xy = context.body.xy.copy()
    xy[..., 1] = xy[..., 1] - np.tan(turn) * across[..., 0]
    said = _on_body(replace(context, body=replace(context.body, xy=xy)))
    tilt = [one.advice for one in said if one.name == "tilted"]
    assert bool(tilt) == told
    if told:
        assert "about 7°" in tilt[0]
        assert ("to the target side" in tilt[0]) == (slope_deg > 0)


def test_down_the_line_a_tilt_cannot_be_told() -> None:
    context = _clean(View.DOWN_THE_LINE)
    xy = context.body.xy.copy()
    xy[..., 1] -= 0.2 * (xy[..., 0] - 1000.0)
    said = _on_body(replace(context, body=replace(context.body, xy=xy)))
    assert "tilted" not in _names(said)


@pytest.mark.parametrize(("apart_m", "told"), [(0.05, False), (0.25, True)])
def test_ankles_side_by_side_down_the_line_mean_a_camera_off_the_line(
    apart_m: float, told: bool
) -> None:
    """A stance of 0.27 × 1.75 m seen 0.25 m wide: asin(0.53) = 32°."""
    address = stick.down_the_line()
    ankle = address["lead_ankle"]
    wide = {**address, "lead_ankle": (ankle[0] + apart_m, ankle[1])}
    context = stick.swing(View.DOWN_THE_LINE, wide)
    context = replace(context, clip=stick.clip(len(context.body), 240))
    said = {one.name: one.advice for one in _on_body(context)}
    assert ("off_axis" in said) == told
    if told:
        assert "about 3" in said["off_axis"]


def test_a_camera_that_moves_takes_both_feet_along() -> None:
    assert "camera_moved" in _names(_on_body(_shifted(_clean(), 40.0, 0.0, first=100)))


def test_a_golfer_who_moves_one_foot_is_not_a_camera() -> None:
    context = _clean()
    xy = context.body.xy.copy()
    xy[100:, BODY_LANDMARKS.index("lead_ankle")] += (60.0, 0.0)
    said = _on_body(replace(context, body=replace(context.body, xy=xy)))
    assert "camera_moved" not in _names(said)


@pytest.mark.parametrize(
    ("missing", "severity"),
    [
        ((MomentName.FINISH,), Severity.NOTE),
        ((MomentName.ADDRESS,), Severity.COSTS),
        ((MomentName.FINISH, MomentName.IMPACT), Severity.SPOILS),
    ],
)
def test_a_part_of_the_swing_that_is_missing_is_named(
    missing: tuple[MomentName, ...], severity: Severity
) -> None:
    context = replace(_clean(), moments=stick.moments(without=missing))
    (advice,) = [one for one in _on_body(context) if one.name == "part_missing"]
    assert advice.severity == severity
    assert all(name in advice.advice for name in missing)


@pytest.mark.parametrize(
    ("facts", "name"),
    [
        (replace(GOOD, luminance=0.05), "too_dark"),
        (replace(GOOD, luminance=0.95), "too_bright"),
        (replace(GOOD, clipped=0.5), "harsh_light"),
        (replace(GOOD, sharpness=0.1), "blurred"),
    ],
)
def test_bad_light_and_blur_are_told_by_the_middle_picture(facts: PictureFacts, name: str) -> None:
    clip = stick.clip(FRAMES, 240)
    assert _names(measure_filming(clip, (), None, (facts, facts, GOOD))) == [name]
    assert measure_filming(clip, (), None, (facts, GOOD, GOOD)) == ()


def test_a_picture_that_tells_nothing_is_passed_over() -> None:
    nothing = PictureFacts(np.nan, np.nan, np.nan)
    assert measure_filming(stick.clip(FRAMES, 240), (), None, (nothing,)) == ()


def test_a_view_that_is_unsure_is_told() -> None:
    said = measure_filming(stick.clip(FRAMES, 240), (), Called(View.FACE_ON, 0.6))
    assert _names(said) == ["between_views"]


def test_each_thing_is_said_once_and_the_worst_first() -> None:
    context = replace(_clean(), moments=stick.moments(without=(MomentName.IMPACT,)))
    only_finish = replace(_clean(), moments=stick.moments(without=(MomentName.FINISH,)))
    said = measure_filming(stick.clip(FRAMES, 30), (only_finish, context))
    assert _names(said) == ["part_missing", "frame_rate"]
    assert said[0].severity == Severity.SPOILS


@pytest.mark.parametrize("view", list(View))
def test_a_golfer_who_is_never_seen_breaks_no_check(view: View) -> None:
    context = stick.hiding(_clean(view), *BODY_LANDMARKS)
    assert measure_filming(context.clip, (context,)) == ()


def test_advice_speaks_to_the_golfer() -> None:
    """Second person, whole sentences, and something to do."""
    worst = replace(
        stick.clip(FRAMES, 30, ScaleFrom.INFERRED), damaged=5, repeated=np.ones(FRAMES, bool)
    )
    dark = PictureFacts(0.05, 0.05, 0.9)
    for one in measure_filming(worst, (), Called(View.FACE_ON, 0.5), (dark,)):
        assert one.advice.endswith(".")
        assert one.advice[0].isupper() or one.advice[0].isdigit()
