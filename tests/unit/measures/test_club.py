"""Measures of the club, on sticks whose answers are written by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from inspect import getsource
from math import cos, radians, sin

import numpy as np
import pytest

from causeline.measures import club as measures
from causeline.measures import club_path
from causeline.measures.club_catalogue import CLUB_CATALOGUE
from causeline.measures.club_spread import CLUB_SHARE
from causeline.measures.context import (
    SwingContext,
    measure_distance_m,
    measure_pixels_per_metre,
)
from causeline.measures.spec import MeasureSpec
from causeline.measures.swing import measure_swing
from causeline.model.clip import View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.tracks import BodyTrack, ClubTrack
from causeline.quantities.length import Scale
from tests.unit.measures import stick

SHAFT_M, HEAD_M = 1.0, 0.05
STATURE_PX = stick.STATURE_M * stick.PER_METRE
AngleMeasure = Callable[[SwingContext, MomentName], Measure | Refusal]
FACE, LINE = View.FACE_ON, View.DOWN_THE_LINE
BACK, DOWN = MomentName.ARM_LEVEL_BACK, MomentName.ARM_LEVEL_DOWN
LEVEL, TOP = MomentName.SHAFT_LEVEL_BACK, MomentName.TOP


def _club(body: BodyTrack, from_up: Mapping[MomentName, float], long: float = SHAFT_M) -> ClubTrack:
    """A club held at the lead wrist that leans, head end, by these angles from straight up.

    To the right is positive, and between the moments it turns at constant speed.
    """
    times = [stick.TIMES[name] for name in from_up]
    lean = np.radians(np.interp(body.time_s, times, list(from_up.values())))
    way = np.stack([np.sin(lean), -np.cos(lean)], -1)
    grip = body.point("lead_wrist")
    shaft, head = long * stick.PER_METRE, (long + HEAD_M) * stick.PER_METRE
    sure = np.ones(len(body))
    return ClubTrack(grip, grip + head * way, sure, grip + shaft * way, sure.astype(np.bool_))


def _swing(
    view: View,
    from_up: Mapping[MomentName, float],
    later: Mapping[MomentName, stick.Posture] | None = None,
    long: float = SHAFT_M,
) -> SwingContext:
    address = stick.face_on() if view is FACE else stick.down_the_line()
    context = stick.swing(view, address, later)
    return replace(context, club=_club(context.body, from_up, long))


@pytest.mark.parametrize(
    ("measure", "view", "moment", "from_up", "expected"),
    [
        # Head straight below the grip is 180 from up: hanging, 0.
        (measures.measure_shaft_angle, FACE, MomentName.ADDRESS, 180.0, 0.0),
        # Head to the left of the picture is away from the target face-on: level going back is 90.
        (measures.measure_shaft_angle, FACE, LEVEL, -90.0, 90.0),
        (measures.measure_shaft_angle, LINE, BACK, -30.0, 150.0),
        (measures.measure_shaft_from_upright, FACE, BACK, -15.0, -15.0),
        (measures.measure_shaft_from_upright, LINE, BACK, 10.0, 10.0),
        # The head left of the grip below it: the grip leans toward the target, hands ahead.
        (measures.measure_shaft_lean, FACE, MomentName.IMPACT, 187.0, 7.0),
        (measures.measure_shaft_lean, FACE, MomentName.ADDRESS, 178.0, -2.0),
    ],
)
def test_directions_of_the_shaft(
    measure: AngleMeasure, view: View, moment: MomentName, from_up: float, expected: float
) -> None:
    context = _swing(view, {moment: from_up})
    assert stick.value(measure(context, moment)) == pytest.approx(expected, abs=1e-6)


def _with_trail_forearm(from_up_deg: float) -> dict[str, stick.Point]:
    """Trail elbow that lies in that direction from the trail wrist."""
    posture = stick.down_the_line()
    return {
        **posture,
        "trail_elbow": stick.toward(posture["trail_wrist"], stick.FOREARM, from_up_deg),
    }


@pytest.mark.parametrize(
    ("forearm", "shaft", "expected"),
    [
        # Forearm 60 left of upright, shaft 45 left of upright: 15 above.
        (-60.0, -45.0, 15.0),
        # Shaft flatter than the forearm: dropped below it.
        (-60.0, -85.0, -25.0),
        (-60.0, 5.0, 65.0),
    ],
)
def test_the_shaft_is_above_the_trail_forearm_when_it_is_more_upright(
    forearm: float, shaft: float, expected: float
) -> None:
    context = _swing(LINE, {BACK: shaft}, {BACK: _with_trail_forearm(forearm)})
    result = measures.measure_shaft_above_forearm(context, BACK)
    assert stick.value(result) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("back", "down", "expected"),
    [
        # From upright -20 going back to -45 coming down: it lies down by 25, shallower.
        (-20.0, -45.0, -25.0),
        # Over the top: from -45 up to -10.
        (-45.0, -10.0, 35.0),
        (-30.0, -30.0, 0.0),
        # Past upright it goes on being steeper.
        (-10.0, 15.0, 25.0),
    ],
)
def test_the_shaft_is_steeper_down_when_it_stands_more_upright(
    back: float, down: float, expected: float
) -> None:
    context = _swing(LINE, {BACK: back, DOWN: down})
    assert stick.value(measures.measure_shaft_steepening(context, DOWN)) == pytest.approx(
        expected, abs=1e-6
    )


def test_the_shaft_is_compared_with_its_line_at_address() -> None:
    """At address it rises 50° to the left; coming down it rises 65°: 15° steeper."""
    context = _swing(LINE, {MomentName.ADDRESS: 140.0, DOWN: -25.0})
    result = measures.measure_shaft_against_address(context, DOWN)
    assert stick.value(result) == pytest.approx(15.0, abs=1e-6)


@pytest.mark.parametrize(("lean", "expected"), [(50.0, 1.0), (-50.0, -1.0)])
def test_the_head_is_outside_the_hands_when_nearer_to_the_ball(
    lean: float, expected: float
) -> None:
    context = _swing(LINE, {LEVEL: lean}, long=0.4)
    result = measures.measure_head_outside_hands(context, LEVEL)
    club, scale = context.club, context.scale
    assert club is not None
    assert isinstance(scale, Scale)
    # 0.45 m are seen of 0.57 statures, 0.9975 m: the head is 0.890 m nearer than the hands, and
    # drawn in toward the picture's middle by that share of its distance.
    nearer = 0.890 / measure_distance_m(context, scale)
    row = int(np.argmin(np.abs(context.body.time_s - stick.TIMES[LEVEL])))
    in_px = nearer * (club.head[row, 0] - (context.clip.width - 1) / 2)
    shown = expected * 0.45 * sin(radians(50.0)) - in_px / stick.PER_METRE
    assert stick.value(result) == pytest.approx(shown / stick.STATURE_M * 100.0, abs=0.1)
    # Its shaft shows 0.4 m, so lies 0.94 m deep with the fifth that it always may; a camera 12°
    # askew moves its head by 0.2 m, 11.4 %, drawn in alike. The track adds 1 %; and a head moved
    # out shows more of the club and is drawn in less, which is a fifth on one side.
    assert stick.spread(result) == pytest.approx(11.4 * (1 - nearer), rel=0.25)


@pytest.mark.parametrize(
    ("lean", "expected"),
    [
        # Parallel to the shaft at address, which rises 50° to the left: on the plane.
        (-40.0, 0.0),
        # Upright: 40° above it.
        (0.0, 40.0),
        # 30° flatter than it: behind the golfer.
        (-70.0, -30.0),
    ],
)
def test_the_head_is_off_the_plane_of_address_by_the_sine_of_the_angle(
    lean: float, expected: float
) -> None:
    context = _swing(LINE, {MomentName.ADDRESS: 140.0, BACK: lean}, long=0.4)
    result = measures.measure_head_off_plane(context, BACK)
    shown = 0.45 * sin(radians(expected)) / stick.STATURE_M * 100.0
    assert stick.value(result) == pytest.approx(shown, abs=1e-6)


def test_a_level_shaft_s_head_is_drawn_in_by_its_nearness() -> None:
    """A pinhole by hand: head where the hands are, but for its length toward the camera.

    So it lies on the plane through the hands; its picture does not, unless that is taken out.
    """
    context = _swing(LINE, {MomentName.ADDRESS: 140.0, LEVEL: 0.0}, long=0.4)
    club, scale = context.club, context.scale
    assert club is not None
    assert isinstance(scale, Scale)
    middle = np.array([context.clip.width, context.clip.height]) / 2
    away = measure_distance_m(context, scale) * measure_pixels_per_metre(scale)
    long = CLUB_SHARE * scale.stature_px.value
    place = context.moments.get(LEVEL)
    assert place is not None
    row = int(np.argmin(np.abs(context.body.time_s - place.time_s)))
    grip = club.grip[row]
    head = club.head.copy()
    head[row - 1 : row + 2] = middle + (grip - middle) / (1 - long / away)
    context = replace(context, club=replace(club, head=head))
    result = measures.measure_head_off_plane(context, LEVEL)
    # The shaft's short picture is taken for the length it lacks: off by less than 0.2 %.
    assert stick.value(result) == pytest.approx(0.0, abs=0.2)
    assert stick.spread(result) > 7.0


@pytest.mark.parametrize(("arm", "shaft", "expected"), [(90.0, 0.0, 90.0), (90.0, -90.0, 180.0)])
def test_the_wrist_is_90_when_hinged_and_180_when_straight(
    arm: float, shaft: float, expected: float
) -> None:
    """The lead arm level, away from the target, and the club upright or in line with it."""
    context = _swing(FACE, {BACK: shaft}, {BACK: stick.face_on(arm=arm)})
    assert stick.value(measures.measure_wrist_hinge(context, BACK)) == pytest.approx(
        expected, abs=1e-4
    )


def test_the_ball_lies_behind_the_lead_ankle() -> None:
    """Head 0.05 m left of a wrist at 0.18; ankle at 0.23: 0.10 m of 1.75."""
    context = _swing(FACE, {MomentName.ADDRESS: 180.0})
    club = context.club
    assert club is not None
    head = club.head - [0.05 * stick.PER_METRE, 0.0]
    context = replace(context, club=replace(club, head=head))
    ankle = context.body.point("lead_ankle")[0, 0]
    expected = (ankle - head[0, 0]) / STATURE_PX * 100
    result = measures.measure_ball_position(context, MomentName.ADDRESS)
    assert stick.value(result) == pytest.approx(expected, rel=1e-6)
    assert expected == pytest.approx(100 * 0.10 / 1.75, abs=0.1)


def test_a_turning_shaft_carries_the_error_of_its_moment() -> None:
    """From 90 to 180 in the 0.15 s before arm level down: 600°/s, so that ±5 ms is ±3°.

    Rows: 0.8 of 10 ms from first to last, and the head is 1.05 m of 500 px above the hands.
    """
    angles = {TOP: -90.0, DOWN: 0.0, MomentName.SHAFT_LEVEL_DOWN: 42.0}
    context = _swing(FACE, angles)
    moving = stick.spread(measures.measure_shaft_angle(context, DOWN))
    still = stick.spread(measures.measure_shaft_angle(_swing(FACE, {DOWN: 0.0}), DOWN))
    rows = 600.0 * 0.008 * 1.05 * stick.PER_METRE / stick.HEIGHT
    assert (moving**2 - still**2) ** 0.5 == pytest.approx(np.hypot(3.0, rows), rel=0.05)


def test_a_club_that_is_short_at_address_down_the_line_is_a_short_club() -> None:
    """It lies in the picture's plane there, so that a camera askew moves its head no farther.

    Were what it lacks taken for 0.75 m of depth, tan 6° of that would turn 0.66 m by 5° more.
    """
    context = _swing(LINE, {MomentName.ADDRESS: 140.0, DOWN: -25.0})
    club = context.club
    assert club is not None
    assert club.hosel is not None
    row = round(stick.TIMES[MomentName.ADDRESS] * stick.RATE_HZ)
    hosel = club.hosel.copy()
    hosel[row] = club.grip[row] + 0.66 * (hosel[row] - club.grip[row])
    short = replace(context, club=replace(club, hosel=hosel))
    result = [measures.measure_shaft_against_address(one, DOWN) for one in (context, short)]
    # The same errors turn a shorter shaft by half as much again: 1.0 to 1.5° for the track's, 0.9
    # to 1.4° for a camera not square, 0.5 to 0.8° for one above the hands; 2.8 in squares.
    assert stick.spread(result[1]) ** 2 - stick.spread(result[0]) ** 2 < 3.0


def test_the_other_view_is_refused() -> None:
    context = _swing(FACE, {BACK: -20.0, DOWN: -40.0})
    reason = stick.reason(measures.measure_shaft_steepening(context, DOWN))
    assert reason == "Your clip is filmed face-on; this can be seen only down-the-line."


def test_a_clip_without_a_club_is_refused() -> None:
    context = replace(_swing(FACE, {BACK: 0.0}), club=None)
    reason = stick.reason(measures.measure_shaft_angle(context, BACK))
    assert reason == "The club was not looked for in this clip."


def test_a_shaft_that_points_at_the_camera_is_refused() -> None:
    context = _swing(LINE, {LEVEL: -30.0}, long=0.3)
    reason = stick.reason(measures.measure_shaft_angle(context, LEVEL))
    assert reason.startswith("The shaft points at the camera at shaft level back")


def test_a_club_that_is_not_made_out_is_refused() -> None:
    context = _swing(LINE, {BACK: -30.0})
    club = context.club
    assert club is not None
    unsure = replace(club, confidence=np.full(len(club.confidence), 0.3))
    reason = stick.reason(measures.measure_shaft_angle(replace(context, club=unsure), BACK))
    assert reason == "The club cannot be made out at arm level back."


def test_a_missing_moment_is_said() -> None:
    context = replace(_swing(LINE, {BACK: -30.0}), moments=stick.moments(without=(BACK,)))
    assert "cloudy" in stick.reason(measures.measure_shaft_angle(context, BACK))


def _hands_at(across: float, up: float) -> dict[str, stick.Point]:
    posture = stick.down_the_line()
    return {**posture, "lead_wrist": (across, up), "trail_wrist": (across, up)}


@pytest.mark.parametrize("outside_m", [0.15, -0.12])
def test_the_hands_loop_is_how_far_the_way_down_lies_beside_the_way_up(outside_m: float) -> None:
    """Straight up at 0.5 m; half-way down, at arm level, beside that; and back to 0.5 m."""
    later = {
        MomentName.START: _hands_at(0.5, 0.7),
        LEVEL: _hands_at(0.5, 0.9),
        BACK: _hands_at(0.5, 1.2),
        TOP: _hands_at(0.5, 1.6),
        DOWN: _hands_at(0.5 + outside_m, 1.2),
        MomentName.SHAFT_LEVEL_DOWN: _hands_at(0.5 + outside_m / 2, 0.9),
        MomentName.IMPACT: _hands_at(0.5, 0.7),
    }
    context = _swing(LINE, {BACK: 0.0}, later)
    result = club_path.measure_hands_loop(context)
    # The largest distance lies at one height; 25 heights over 0.9 m miss it by 2 cm at most, along
    # which the way turns by a third of that.
    assert stick.value(result) == pytest.approx(outside_m / 1.75 * 100, abs=0.4)


@pytest.mark.parametrize("outside_m", [0.15, -0.12])
def test_the_head_loop_is_that_of_the_hands_when_the_shaft_does_not_turn(outside_m: float) -> None:
    """A shaft held upright: the head is as far beside its way up as the hands are."""
    later = {
        MomentName.START: _hands_at(0.5, 0.7),
        LEVEL: _hands_at(0.5, 0.9),
        BACK: _hands_at(0.5, 1.2),
        TOP: _hands_at(0.5, 1.6),
        DOWN: _hands_at(0.5 + outside_m, 1.2),
        MomentName.SHAFT_LEVEL_DOWN: _hands_at(0.5 + outside_m / 2, 0.9),
        MomentName.IMPACT: _hands_at(0.5, 0.7),
    }
    result = club_path.measure_head_loop(_swing(LINE, {BACK: 0.0}, later))
    # As for the hands: 25 heights miss the largest by 2 cm of height at most.
    assert stick.value(result) == pytest.approx(outside_m / 1.75 * 100, abs=0.4)


def test_the_head_loop_is_refused_where_the_head_was_not_seen() -> None:
    context = _swing(LINE, {LEVEL: -60.0, TOP: 40.0, MomentName.SHAFT_LEVEL_DOWN: -60.0})
    club = context.club
    assert club is not None
    hidden = replace(club, head_seen=np.zeros(len(club.confidence), dtype=np.bool_))
    reason = stick.reason(club_path.measure_head_loop(replace(context, club=hidden)))
    assert reason == "Too few frames show the way up or the way down."


def test_the_low_point_is_where_a_pendulum_hangs_straight_down() -> None:
    """The head passes straight below the wrist at impact, which is where it stood at address."""
    angles = {MomentName.ADDRESS: 180.0, DOWN: 280.0, MomentName.IMPACT: 180.0}
    angles[MomentName.SHAFT_LEVEL_THROUGH] = 90.0
    context = _swing(FACE, angles)
    result = club_path.measure_low_point(context)
    # Address straight below, and the arc is symmetric about the wrist: 0, to the fit of an arc of
    # 90° by a parabola whose halves turn at 909°/s and 1500°/s.
    assert stick.value(result) == pytest.approx(0.0, abs=4.0)


def test_the_low_point_is_where_the_head_s_path_is_lowest() -> None:
    """A path that is a parabola, lowest 0.10 m past the head's place at address: 10 cm.

    In the scale's own centimetres: the stature is taken for 1.75 m, as the stick is tall.
    """
    context = _fast(2_500.0, 240)
    club, scale = context.club, context.scale
    assert club is not None
    assert isinstance(scale, Scale)
    times = context.body.time_s
    across = np.where(times < 1.5, 0.0, club.head[:, 0])
    lowest = 0.10 * stick.PER_METRE
    down = 1400.0 - (across - lowest) ** 2 / 1000.0
    context = replace(context, club=replace(club, head=np.stack([across, down], axis=-1)))
    centimetres = 100.0 * scale.stature_m.value / scale.stature_px.value
    result = club_path.measure_low_point(context)
    assert stick.value(result) == pytest.approx(lowest * centimetres, abs=1e-6)
    assert stick.value(result) == pytest.approx(10.0, rel=0.06)


def test_head_speed_needs_slow_motion() -> None:
    context = _swing(FACE, {DOWN: 280.0, MomentName.IMPACT: 180.0})
    reason = stick.reason(club_path.measure_head_speed(context))
    assert reason == "Your clip has 100 frames a second; 200 are needed: film in slow motion."


def _fast(speed_px_s: float, rate_hz: int) -> SwingContext:
    """A head that passes the picture at constant speed, in a clip of that rate."""
    context = _swing(FACE, {MomentName.IMPACT: 180.0})
    n = round(2.4 * rate_hz)
    time_s = np.arange(n) / rate_hz
    body = BodyTrack(
        np.arange(n),
        time_s,
        np.repeat(context.body.xy[:1], n, axis=0),
        np.ones((n, context.body.xy.shape[1])),
        np.ones((n, context.body.xy.shape[1])),
        stick.WIDTH,
    )
    head = np.stack([speed_px_s * (time_s - 1.66), np.full(n, 1400.0)], -1)
    club = ClubTrack(head, head, np.ones(n), head, np.ones(n, dtype=np.bool_))
    return replace(context, clip=stick.clip(n, rate_hz), body=body, club=club)


def test_head_speed_is_way_by_time() -> None:
    """2,500 pixels in a second at 500 pixels in a metre are 5 m/s, as the scale has it."""
    context = _fast(2_500.0, 240)
    assert isinstance(context.scale, Scale)
    metres = context.scale.stature_m.value / context.scale.stature_px.value
    result = club_path.measure_head_speed(context)
    assert stick.value(result) == pytest.approx(2_500.0 * metres, rel=1e-6)
    assert stick.value(result) == pytest.approx(5.0, rel=0.06)


def test_the_speed_of_a_full_swing_is_refused_as_too_unsure() -> None:
    """40 m/s: 2 % of 1.75 m at each end of 12.5 ms alone are 4 m/s, the most that is told."""
    reason = stick.reason(club_path.measure_head_speed(_fast(20_000.0, 240)))
    assert reason.startswith("It would be unsure by")


@pytest.mark.parametrize("name", ["shaft_angle", "wrist_hinge", "head_outside_hands"])
def test_values_do_not_depend_on_the_scale_of_the_picture(name: str) -> None:
    """Angles and shares stay when everything is half as large."""
    view = LINE if name == "head_outside_hands" else FACE
    moment = LEVEL if name == "head_outside_hands" else BACK
    context = _swing(
        view, {moment: -40.0}, {moment: stick.face_on(arm=80.0)} if view is FACE else None
    )
    club = context.club
    assert club is not None
    half = replace(context.body, xy=context.body.xy / 2, sd_px=context.body.sd_px / 2)
    small_club = replace(
        club,
        grip=club.grip / 2,
        head=club.head / 2,
        hosel=None if club.hosel is None else club.hosel / 2,
    )
    scale = context.scale
    assert not isinstance(scale, Refusal)
    small = replace(
        context,
        body=half,
        club=small_club,
        scale=replace(scale, stature_px=scale.stature_px.times(0.5)),
    )
    measure = getattr(measures, f"measure_{name}")
    assert stick.value(measure(small, moment)) == pytest.approx(
        stick.value(measure(context, moment)), abs=1e-6
    )


def test_cosine_of_the_stick_is_what_the_picture_shows() -> None:
    """A check of the sticks themselves: a club 60° from up rises by half its length."""
    context = _swing(FACE, {BACK: 60.0})
    club = context.club
    assert club is not None
    at = int(np.argmin(np.abs(context.body.time_s - stick.TIMES[BACK])))
    assert club.hosel is not None
    rise = club.grip[at, 1] - club.hosel[at, 1]
    assert rise == pytest.approx(SHAFT_M * stick.PER_METRE * cos(radians(60.0)))


@pytest.mark.parametrize("spec", CLUB_CATALOGUE, ids=lambda spec: str(spec.name))
def test_each_measure_is_a_function_of_its_own_name(spec: MeasureSpec) -> None:
    assert spec.measure.__name__ == f"measure_{spec.name}"
    assert spec.measure.__doc__
    assert spec.widest > 0


@pytest.mark.parametrize("view", [FACE, LINE])
def test_a_whole_swing_answers_for_every_measure(view: View) -> None:
    """A club level going back, up at the top and down at impact: each is measured or refused."""
    context = _swing(view, {MomentName.START: 150.0, TOP: -40.0, MomentName.IMPACT: 170.0})
    results = measure_swing(context, CLUB_CATALOGUE)
    assert {result.name for result in results} == {spec.name for spec in CLUB_CATALOGUE}
    assert all(isinstance(one, Measure) or one.refused for one in results)


@pytest.mark.parametrize("view", [FACE, LINE])
def test_without_a_scale_every_measure_is_refused_for_that_or_for_its_view(view: View) -> None:
    whole = {MomentName.START: 150.0, TOP: -40.0, MomentName.IMPACT: 170.0}
    context = replace(_swing(view, whole), scale=Refusal("scale", None, "The feet are not seen."))
    results = measure_swing(context, CLUB_CATALOGUE)
    reasons = {one.refused for one in results if isinstance(one, Refusal)}
    assert all(isinstance(one, Refusal) for one in results)
    assert "The feet are not seen." in reasons


WORKED: dict[str, Callable[..., None]] = {
    "shaft_angle": test_directions_of_the_shaft,
    "shaft_from_upright": test_directions_of_the_shaft,
    "shaft_above_forearm": test_the_shaft_is_above_the_trail_forearm_when_it_is_more_upright,
    "head_outside_hands": test_the_head_is_outside_the_hands_when_nearer_to_the_ball,
    "head_off_plane": test_the_head_is_off_the_plane_of_address_by_the_sine_of_the_angle,
    "shaft_steepening": test_the_shaft_is_steeper_down_when_it_stands_more_upright,
    "shaft_against_address": test_the_shaft_is_compared_with_its_line_at_address,
    "hands_loop": test_the_hands_loop_is_how_far_the_way_down_lies_beside_the_way_up,
    "head_loop": test_the_head_loop_is_that_of_the_hands_when_the_shaft_does_not_turn,
    "wrist_hinge": test_the_wrist_is_90_when_hinged_and_180_when_straight,
    "shaft_lean": test_directions_of_the_shaft,
    "ball_position": test_the_ball_lies_behind_the_lead_ankle,
    "low_point": test_the_low_point_is_where_the_head_s_path_is_lowest,
    "head_speed": test_head_speed_is_way_by_time,
}
"""Each measure of the catalogue, and the worked example whose answer is written by hand."""


@pytest.mark.parametrize("spec", CLUB_CATALOGUE, ids=lambda spec: str(spec.name))
def test_each_measure_has_a_worked_example(spec: MeasureSpec) -> None:
    """The example is of that very measure, and compares a value."""
    example = getsource(WORKED[spec.name])
    assert f"measure_{spec.name}" in example
    assert "stick.value(" in example
    assert "expected" in example or "approx(" in example


def test_no_worked_example_is_of_a_measure_that_is_gone() -> None:
    assert set(WORKED) == {spec.name for spec in CLUB_CATALOGUE}
