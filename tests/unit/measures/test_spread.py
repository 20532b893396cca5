"""Each part of the ± against arithmetic done by hand, and figures of authorities/camera.json."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from causeline.measures.context import SwingContext, measure_distance_m, measure_pixels_per_metre
from causeline.measures.evaluate import measure_at
from causeline.measures.pose import Pose, measure_pose
from causeline.measures.spread import CHANGING, LASTING_SHARE, measure_change, measure_parts
from causeline.measures.stance import STANCE_WIDTH
from causeline.measures.trunk import TRUNK
from causeline.model.clip import View
from causeline.model.moments import MomentName
from causeline.quantities.angle import Floats, from_vertical_deg
from causeline.quantities.length import Scale
from tests.unit.measures import stick

CAMERA = json.loads((Path(__file__).parents[3] / "authorities" / "camera.json").read_text())


def _context(view: View = View.DOWN_THE_LINE) -> tuple[SwingContext, Scale]:
    address = stick.face_on() if view is View.FACE_ON else stick.down_the_line(bend=0.0)
    context = stick.swing(view, address)
    assert isinstance(context.scale, Scale)
    return context, context.scale


def _lean(pose: Pose) -> Floats:
    return from_vertical_deg(pose.middle("hip"), pose.middle("shoulder"))


LASTING_PX = {part: share * 875.0 for part, share in LASTING_SHARE.items()}
"""Stature is 1.75 m × 500 px."""


def _parts_of_lean(context: SwingContext, scale: Scale, sd_px: float = 30.0) -> dict[str, float]:
    pose = measure_pose(context.body, TRUNK, 0.5)
    return measure_parts(context, scale, (pose,), np.full((1, 4), sd_px), _lean, True)


def test_jitter_of_an_upright_trunk_by_hand() -> None:
    """30 px at each of four points, of which 0.020 × 875 = 17.5 px last: √(30² − 17.5²) = 24.4 px.

    Divided by √2 at either end of a trunk of 0.284 × 0.975 × 875 = 242.3 px: 5.76°.
    """
    # 1 %: 24 px on 242 px is not quite a small angle.
    assert _parts_of_lean(*_context())["jitter"] == pytest.approx(5.76, rel=0.01)


def test_landmark_places_of_an_upright_trunk_by_hand() -> None:
    """17.5 px at hips and shoulders; a middle keeps √(½ + ¼) of it: 15.2·√2 px on 242.3 px."""
    assert _parts_of_lean(*_context())["landmark places"] == pytest.approx(5.06, rel=0.01)


def test_a_track_that_is_surer_than_usual_is_believed() -> None:
    """At 2 px all of it lasts, and nothing is jitter."""
    parts = _parts_of_lean(*_context(), sd_px=2.0)
    assert parts["jitter"] == 0.0
    assert parts["landmark places"] == pytest.approx(
        math.degrees(math.sqrt(0.75) * 2.0 * math.sqrt(2) / 242.3), rel=0.001
    )


def test_roll_adds_to_a_lean_one_for_one() -> None:
    context, scale = _context()
    parts = _parts_of_lean(replace(context, roll_sd_deg=1.5), scale)
    assert parts["roll"] == pytest.approx(1.5, abs=1e-9)


def test_a_level_camera_square_to_the_golfer_adds_nothing() -> None:
    context, scale = _context()
    parts = _parts_of_lean(replace(context, roll_sd_deg=0.0, yaw_sd_deg=0.0), scale)
    assert (parts["roll"], parts["yaw"]) == (0.0, 0.0)


def test_a_landmark_off_the_plane_is_mis_scaled_by_depth_over_distance() -> None:
    """The table's rule, through the model: both ankles 5 cm off the plane scale the stance."""
    context, scale = _context(View.FACE_ON)
    names = ("lead_ankle", "trail_ankle")
    pose = measure_pose(context.body, names, 0.5)

    def width(pose: Pose) -> Floats:
        return (pose.point("lead_ankle") - pose.point("trail_ankle"))[..., 0]

    parts = measure_parts(context, scale, (pose,), np.zeros((1, 2)), width, False)
    distance = measure_distance_m(context, scale)
    # Alike by 0.05 m and against each other by 0.05 m: only the first scales a centred stance.
    assert parts["distance"] == pytest.approx(float(width(pose)) * 0.05 / distance, rel=1e-6)
    for row in CAMERA["perspective"]["rows"]:
        assert row[1] == pytest.approx(100 * CAMERA["perspective"]["depth_m"] / row[0], abs=0.05)


def test_the_camera_is_as_far_as_the_golfer_is_small() -> None:
    context, scale = _context()
    assert measure_pixels_per_metre(scale) == pytest.approx(stick.PER_METRE, rel=1e-4)
    # 0.8 of 2001 px is the focal length; 500 px in a metre.
    assert measure_distance_m(context, scale) == pytest.approx(3.2016, rel=1e-3)


def test_places_of_hip_and_knee_are_of_the_published_size() -> None:
    for part in ("hip", "knee"):
        low, high = CAMERA["landmark_offset"][f"{part}_mm"]
        in_space = 1000 * 1.75 * LASTING_SHARE[part] * math.sqrt(3)
        # Another engine than the published ones, and rendered people: to a third.
        assert low / 1.34 <= in_space <= 1.34 * high


def test_an_error_shared_by_two_poses_cancels_in_their_difference() -> None:
    context, scale = _context()
    names = ("lead_ear", "trail_ear")
    pose = measure_pose(context.body, names, 0.5)

    def moved(address: Pose, later: Pose) -> Floats:
        return (later.middle("ear") - address.middle("ear"))[..., 0]

    sd_px = np.full((2, 2), 25.0)
    parts = measure_parts(context, scale, (pose, pose), sd_px, moved, False)
    lasting = 0.026 * 875
    # Four points, two averaged in each pose: √(½ + ½) of the jitter.
    assert parts["jitter"] == pytest.approx(math.sqrt(25.0**2 - lasting**2), rel=1e-6)
    assert parts["landmark places"] == pytest.approx(
        CHANGING["ear"] * lasting * math.sqrt(0.75), rel=1e-6
    )
    assert parts["roll"] == pytest.approx(0.0, abs=1e-9)


def test_angles_change_the_short_way_round() -> None:
    assert measure_change(np.array(-179.0), np.array(179.0), True) == pytest.approx(2.0)
    assert measure_change(np.array(-179.0), np.array(179.0), False) == pytest.approx(-358.0)


def test_what_is_too_unsure_is_refused() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on(), sd_px=40.0)

    def width(pose: Pose) -> Floats:
        return (pose.point("lead_ankle") - pose.point("trail_ankle"))[..., 0]

    refused = measure_at(context, STANCE_WIDTH, MomentName.ADDRESS, width)
    # 40 px at either ankle is 40·√2 ÷ 5 px a centimetre = 11.3 cm, and the rest of the ±.
    assert stick.reason(refused).startswith("It would be unsure by ±12 cm")


def test_a_landmark_without_a_known_spread_is_refused() -> None:
    context = stick.swing(View.FACE_ON, stick.face_on(), sd_px=float("nan"))
    scale = stick.swing(View.FACE_ON, stick.face_on()).scale

    def width(pose: Pose) -> Floats:
        return (pose.point("lead_ankle") - pose.point("trail_ankle"))[..., 0]

    refused = measure_at(replace(context, scale=scale), STANCE_WIDTH, MomentName.ADDRESS, width)
    assert "is not known" in stick.reason(refused)
