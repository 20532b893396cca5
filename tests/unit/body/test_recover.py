"""Motions drawn from the prior, filmed by a phone at a known place, and recovered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.body.phases import NEEDED, PHASE_MOMENTS, phase_times
from causeline.body.phone import LIKELY, place_phone, project_points
from causeline.body.recover import recover_body, recover_sameness
from causeline.body.shot import View3D
from causeline.body.told import TWO_SWINGS_DEG
from causeline.body.turned import turns_of
from causeline.model.clip import View
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.motion import POINTS, Correction, Motion, MotionPrior
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack
from causeline.quantities.angle import Floats
from causeline.sources.motion_prior import decode_prior

INSTANTS = dict(zip(PHASE_MOMENTS, (0.3, 0.9, 1.2, 1.35, 1.45, 2.3), strict=True))
SIZE = (1080, 1920)
STATURE_M = 1.71


def prior() -> MotionPrior:
    """The shipped one, without the engine's offsets: these tracks have none."""
    return replace(decode_prior(), offsets=None, spread=None, lift=None)


def golfer(seed: int) -> Floats:
    """(P, Q, 3) metres: one motion of the prior."""
    learned = prior()
    ways = np.random.default_rng(seed).normal(0.0, 0.6, len(learned.basis))
    points: Floats = STATURE_M * (learned.mean + np.tensordot(ways, learned.basis, 1))
    return points


def filmed(points: Floats, view: View, slower: float = 1.0, off_deg: float = 4.0) -> View3D:
    """A clip of it at 60 Hz, each landmark known to 2 pixels."""
    clock = phase_times(INSTANTS) * slower
    times = np.arange(0.3 * slower, 2.3 * slower, 1 / 60)
    moving = np.stack(
        [
            [np.interp(times, clock, points[:, point, axis]) for axis in range(3)]
            for point in range(len(BODY_LANDMARKS))
        ]
    ).transpose(2, 0, 1)
    phone = LIKELY.copy()
    phone[1] = np.radians(off_deg)
    xy = project_points(moving, phone, view, SIZE)
    sd = np.full(xy.shape[:2], 2.0)
    body = BodyTrack(np.arange(len(times)), times, xy, np.ones(sd.shape), sd, SIZE[0], False)
    found = tuple(
        Moment(MomentName(name), time * slower, 0.005, 0, "by hand")
        for name, time in INSTANTS.items()
    )
    return View3D(body, Moments(found), view, SIZE)


def error(motion: Motion | None, points: Floats) -> Floats:
    """(P, 3) degrees by which the turns are off."""
    assert motion is not None
    clock = phase_times(INSTANTS)
    read = np.stack([np.interp(clock, motion.time_s, t) for t in motion.turns.T], axis=1)
    off: Floats = np.abs(read - turns_of(points))[:-2]
    return off


@pytest.mark.parametrize("view", list(View))
def test_a_motion_of_the_prior_is_recovered_from_one_view(view: View) -> None:
    # landmarks of 2 px in 1000 px of golfer: 3 mm against a hip line of 170 mm is a degree, and
    # depth is known less well
    points = golfer(1)
    motion = recover_body((filmed(points, view),), prior())
    assert error(motion, points).mean() < 4.0


def test_two_views_know_more_than_one_and_agree_with_it() -> None:
    points = golfer(2)
    one = filmed(points, View.FACE_ON)
    single = recover_body((one,), prior())
    double = recover_body((one, filmed(points, View.DOWN_THE_LINE)), prior())
    assert single is not None
    assert double is not None
    assert np.nanmean(double.turn_sd) < np.nanmean(single.turn_sd)
    assert error(double, points).mean() < 2.5
    assert "one swing" in double.method


def test_two_swings_are_told_apart_by_their_time_and_trusted_less() -> None:
    points = golfer(2)
    views = filmed(points, View.FACE_ON), filmed(points, View.DOWN_THE_LINE, slower=1.15)
    motion = recover_body(views, prior())
    assert motion is not None
    assert "two swings" in motion.method
    assert np.nanmin(motion.turn_sd) >= TWO_SWINGS_DEG
    clock = phase_times(INSTANTS)
    assert recover_sameness(clock, clock + 3.0)


def test_a_landmark_set_by_hand_pulls_the_body_to_it() -> None:
    seen = filmed(golfer(3), View.FACE_ON)
    seen = replace(seen, body=replace(seen.body, sd_px=seen.body.sd_px * 8))
    plain = recover_body((seen,), prior())
    frame = 54
    column = BODY_LANDMARKS.index("lead_hip")
    x, y = seen.body.xy[frame, column] + [25.0, 0.0]
    mended = replace(
        seen,
        corrections=(Correction("lead_hip", frame, float(x), float(y), 1.0),),
    )
    moved = recover_body((mended,), prior())
    assert plain is not None
    assert moved is not None
    # face-on, to the right in the picture is toward the target: 25 px are 6 cm
    shift = moved.point("lead_hip")[frame, 1] - plain.point("lead_hip")[frame, 1]
    assert shift > 0.015


@pytest.mark.parametrize("missing", NEEDED)
def test_without_its_moments_there_is_no_body(missing: str) -> None:
    seen = filmed(golfer(1), View.FACE_ON)
    left = tuple(moment for moment in seen.moments.found if moment.name != missing)
    assert recover_body((replace(seen, moments=Moments(left)),), prior()) is None


def test_a_phone_face_on_looks_against_the_ball_and_has_the_target_to_its_right() -> None:
    axes, stand = place_phone(LIKELY, View.FACE_ON)
    assert stand[0] > 3.0
    assert axes[0] == pytest.approx([0.0, 1.0, 0.0], abs=1e-9)
    axes, stand = place_phone(LIKELY, View.DOWN_THE_LINE)
    assert stand[1] < -3.0
    assert axes[0] == pytest.approx([1.0, 0.0, 0.0], abs=1e-9)


def test_segments_of_the_mean_motion_are_those_of_people() -> None:
    """Shares of the stature. ANSUR II (2012): forearm 0.150, knee to ankle 0.238 by their heights.

    De Leva (1996), from memory: shoulder to elbow joint 0.162. Within a fifth: surveys measure
    between marks on the skin, a motion between joint centres.
    """
    mean = prior().mean

    def length(one: str, other: str) -> float:
        line = mean[:, POINTS.index(one)] - mean[:, POINTS.index(other)]
        return float(np.linalg.norm(line, axis=1)[0])

    assert length("lead_elbow", "lead_wrist") == pytest.approx(0.150, rel=0.2)
    assert length("lead_shoulder", "lead_elbow") == pytest.approx(0.162, rel=0.2)
    assert length("lead_knee", "lead_ankle") == pytest.approx(0.238, rel=0.2)
