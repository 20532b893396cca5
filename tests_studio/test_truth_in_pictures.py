"""The truth file says where a point is; here a small bright ball is drawn there, and found again.

The picture goes through everything that a clip goes through: skinning, the rows' own times, blur,
hand shake, lens, mirror. Only the golfer is left out.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from studio.acting import Acting, act
from studio.camera import DOWN_THE_LINE, FACE_ON, Camera, Station, hand_shake, stand
from studio.draw.backdrop import Development, draw_backdrop
from studio.draw.exposure import Shutter
from studio.draw.mesh import make_mesh
from studio.draw.parts import Material, Part
from studio.draw.solids import ball
from studio.dressed import dress
from studio.looks import make_look
from studio.performance import Body, Performance
from studio.place import make_place
from studio.stage import Scenery, Stage
from studio.truth import Filmed, mirrored, seen_at

SIZE = (360, 640)
CLOSE_PX = 0.5
"""The ball is some 12 px wide; its centroid is known to about a tenth of a pixel."""
SIDED = ("shoulder", "elbow", "wrist", "knuckle", "hip", "knee", "ankle", "heel", "toe")


def body() -> Body:
    one = np.zeros((1, 8))
    one[0, 0] = 1.0
    return Body(
        vertices=np.zeros((1, 3)), faces=np.zeros((0, 3), np.int32), uv=None, uv_faces=None,
        skin_bones=np.zeros((1, 8), np.int32), skin_weights=one, bones=("root",),
        bone_parents=np.array([-1], np.int32), bone_heads=np.zeros((1, 3)), stature_m=1.8,
    )  # fmt: skip


def performance(speed: float) -> Performance:
    """All joints stand still far below, but for the lead wrist: it runs round a circle."""
    times = np.arange(0.0, 1.0, 1 / 480)
    still = np.tile([0.0, 0.0, -3.0], (len(times), 1))
    turn = speed / 0.5 * times
    wrist = np.stack([0.3 + 0 * turn, 0.5 * np.sin(turn), 1.0 + 0.5 * np.cos(turn)], 1)
    wrist[:, 0] += 0.2 * np.sin(turn)
    names = ["nose", *(f"{side}_{part}" for part in ("ear", *SIDED) for side in ("lead", "trail"))]
    moves = np.zeros((len(times), 1, 3, 4), np.float32)
    moves[:, 0, :, :3] = np.eye(3)
    moves[:, 0, :, 3] = wrist
    down = np.array([0.0, 0.0, -1.0])
    return Performance(
        body=body(), time_s=times, bone_transforms=moves,
        joints={**dict.fromkeys(names, still), "lead_wrist": wrist},
        butt=still, hands=still, head=still + down, hosel=still + down,
        face_normal=np.tile([0.0, 1.0, 0.0], (len(times), 1)), ball=np.array([0.0, 0.0, -4.0]),
        club={"kind": "mid iron"}, moments={}, turns={},
    )  # fmt: skip


def stage(camera: Camera, shutter: Shutter, speed: float) -> Stage:
    place = replace(make_place(np.random.default_rng(1), "fairway"), things=(), trees=())
    white: Material = {"base_colour": np.full(3, 40.0), "roughness": 1.0, "shine": 0.0}
    part = Part("ball", make_mesh(*ball(np.zeros(3), 0.03, 10)), "plain.frag", white)
    developed = Development(sharpen=0.0, grain=0.0)
    scenery = Scenery(camera, place.light, draw_backdrop(camera, place, []), shutter, developed)
    look = make_look(np.random.default_rng(1), body())
    return Stage(dress(act(performance(speed)), look, [part]), scenery)


def brightest(picture: np.ndarray, without: np.ndarray) -> np.ndarray:
    """(2,) centroid of what the ball adds; its shadow takes light away, and does not count."""
    extra = np.clip(picture.astype(float) - without.astype(float), 0, None).sum(-1)
    extra[extra < 12] = 0.0
    rows, columns = np.mgrid[0 : picture.shape[0], 0 : picture.shape[1]]
    return np.array([(extra * columns).sum(), (extra * rows).sum()]) / extra.sum()


@pytest.mark.parametrize("view", [FACE_ON, DOWN_THE_LINE])
@pytest.mark.parametrize(
    ("shutter", "speed"),
    [
        pytest.param(Shutter(1 / 2000, 0.0), 0.0, id="still"),
        pytest.param(Shutter(1 / 2000, 0.012), 6.0, id="rolling shutter"),
        pytest.param(Shutter(1 / 250, 0.012), 6.0, id="rolling shutter and blur"),
    ],
)
def test_a_drawn_ball_is_where_the_truth_has_it(view: str, shutter: Shutter, speed: float) -> None:
    camera = stand(Station(view, 3.4, 1.1, off_axis_deg=4, roll_deg=1.5), SIZE)
    shake = hand_shake(np.random.default_rng(3), 1.0, 0.3)
    camera = replace(camera, shake_deg=shake)
    drawn = stage(camera, shutter, speed)
    filmed = Filmed(drawn.acting, camera, shutter, np.array([0.0]), left_handed=False)
    left = replace(filmed, left_handed=True)
    for time_s in (0.11, 0.32, 0.53):
        picture = drawn.frame(time_s)
        without = drawn.empty(time_s)
        truth = seen_at(filmed, "lead_wrist", np.array([time_s]))[0][0]
        assert np.abs(brightest(picture, without) - truth).max() < CLOSE_PX
        found = brightest(mirrored(picture, True), mirrored(without, True))
        mirror = seen_at(left, "lead_wrist", np.array([time_s]))[0][0]
        assert np.abs(found - mirror).max() < CLOSE_PX


def test_lens_distortion_moves_picture_and_truth_alike() -> None:
    camera = replace(stand(Station(FACE_ON, 3.0, 1.1), SIZE), distortion=-0.08)
    shutter = Shutter(1 / 2000, 0.0)
    drawn = stage(camera, shutter, 0.0)
    filmed = Filmed(drawn.acting, camera, shutter, np.array([0.0]), left_handed=False)
    found = brightest(drawn.frame(0.2), drawn.empty(0.2))
    truth = seen_at(filmed, "lead_wrist", np.array([0.2]))[0][0]
    assert np.abs(found - truth).max() < CLOSE_PX


def test_a_path_is_its_points() -> None:
    acting = Acting(performance(3.0), np.array([0.4, 0.5]), np.array([[0.0, 0, -4], [1.0, 2, 3]]))
    times = np.linspace(-0.1, 1.1, 29)
    for name in ("lead_wrist", "head", "ball"):
        one_by_one = [acting.point(name, float(time_s)) for time_s in times]
        np.testing.assert_allclose(acting.path(name, times), one_by_one, atol=1e-12)
