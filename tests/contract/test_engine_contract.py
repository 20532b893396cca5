"""What the hallway relies on in a landmark engine, asked of the real one and of the fake.

The real one is shown a frame of a film of real people (the demo of the PyPI package `sports2d`, BSD
licence; `make test` fetches it): a woman walks, a man stands on a wall behind her.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from causeline.model.clip import Picture
from causeline.model.seams import LandmarkEngine
from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, Region
from causeline.quantities.angle import Floats
from causeline.sources.decode import PyavClips
from causeline.sources.detect import LandmarkModel, OpenvinoEngine
from causeline.sources.fake_engine import FakeEngine, numbered_picture
from tests.stickman import standing

FILM = Path(__file__).parents[2] / ".cache" / "reference" / "sports2d" / "Demo" / "demo.mp4"
SAME = 0.01
"""Share of the region, about 2 cm: what resampling the picture may move a plain point by."""
MIRRORED = 0.03
"""The network is not quite symmetric: about 6 cm at a hip in loose clothes."""
SIDES = [
    ENGINE_LANDMARKS.index(f"{side}_{part}")
    for part in ("shoulder", "hip", "knee", "ankle")
    for side in ("left", "right")
]


@dataclass(frozen=True, eq=False)
class Scene:
    """An engine, a picture in which it sees somebody, and that person's hips, by eye."""

    engine: LandmarkEngine
    picture: Picture
    hips: tuple[float, float]

    def look(self) -> tuple[Picture, Region]:
        """The person as found, from the region of the landmarks themselves."""
        person = self.engine.find_people(self.picture)[0]
        (first,) = self.engine.find_landmarks([(self.picture, person.region)])
        return self.picture, Region.around(first.xy)


def _fake() -> Scene:
    engine = FakeEngine(lambda _: [standing(150, 110, 150)], width=300)
    return Scene(engine, numbered_picture(0, 300, 200), (150, 110))


def _real(model: LandmarkModel) -> Scene:
    if not FILM.exists():
        pytest.skip("tools/fetch_reference.py was not run")
    source = PyavClips()
    (frame,) = source.frames(FILM, source.probe(FILM), range(100, 101), longest_side=884)
    return Scene(OpenvinoEngine(model), frame.picture, (515, 362))


@pytest.fixture(scope="module", params=["fake", "full", "heavy"])
def scene(request: pytest.FixtureRequest) -> Scene:
    return _fake() if request.param == "fake" else _real(LandmarkModel(request.param))


def _ask(scene: Scene, *looks: tuple[Picture, Region]) -> list[Landmarks]:
    return list(scene.engine.find_landmarks(looks))


def _apart(first: Floats, second: Floats, region: Region) -> float:
    """Median distance in shares of the region's side."""
    return float(np.median(np.linalg.norm(first - second, axis=1))) / region.size


def test_people_come_surest_first_where_they_are(scene: Scene) -> None:
    people = scene.engine.find_people(scene.picture)
    scores = [person.score for person in people]
    assert scores == sorted(scores, reverse=True)
    assert all(0.0 <= score <= 1.0 for score in scores)
    surest = people[0]
    away = np.hypot(surest.region.x - scene.hips[0], surest.region.y - scene.hips[1])
    assert away < 0.1 * surest.region.size
    left, top, right, bottom = surest.box
    assert left < right
    assert top < bottom


def test_landmarks_have_their_shapes_and_ranges(scene: Scene) -> None:
    (found,) = _ask(scene, scene.look())
    assert found.xy.shape == (33, 2)
    assert found.confidence.shape == (33,)
    assert np.isfinite(found.xy).all()
    assert ((found.confidence >= 0) & (found.confidence <= 1)).all()
    assert 0.9 < found.score <= 1.0


def test_the_head_is_up_and_the_feet_are_down(scene: Scene) -> None:
    (found,) = _ask(scene, scene.look())
    rows = [ENGINE_LANDMARKS.index(name) for name in ("nose", "left_hip", "left_knee", "left_heel")]
    assert np.all(np.diff(found.xy[rows, 1]) > 0)


def test_answers_come_in_order_one_for_each_look(scene: Scene) -> None:
    picture, region = scene.look()
    nowhere = Region(-9 * region.size, 0.0, region.size)
    scores = [found.score for found in _ask(scene, *[(picture, region), (picture, nowhere)] * 5)]
    assert all(score > 0.9 for score in scores[::2])
    assert all(score < 0.5 for score in scores[1::2])


def test_the_same_look_gives_the_same_answer(scene: Scene) -> None:
    first, *others = _ask(scene, *[scene.look()] * 6)
    for other in others:
        np.testing.assert_array_equal(first.xy, other.xy)


def test_no_look_gives_no_answer(scene: Scene) -> None:
    assert _ask(scene) == []


def test_looks_are_taken_only_a_few_ahead(scene: Scene) -> None:
    look, taken = scene.look(), 0

    def looks() -> Iterator[tuple[Picture, Region]]:
        nonlocal taken
        for _ in range(200):
            taken += 1
            yield look

    answers = scene.engine.find_landmarks(looks())
    next(answers)
    # Each decoded frame that waits is kept in memory.
    assert taken <= 80
    next(answers)
    assert taken <= 81


def test_an_engine_left_half_way_works_on(scene: Scene) -> None:
    look = scene.look()
    (whole,) = _ask(scene, look)
    answers = scene.engine.find_landmarks([look] * 9)
    next(answers)
    del answers
    (after,) = _ask(scene, look)
    np.testing.assert_array_equal(whole.xy, after.xy)


def test_a_look_that_fails_leaves_the_engine_working(scene: Scene) -> None:
    look = scene.look()

    def looks() -> Iterator[tuple[Picture, Region]]:
        yield look
        yield look
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        list(scene.engine.find_landmarks(looks()))
    assert len(_ask(scene, look)) == 1


def test_threads_do_not_disturb_each_other(scene: Scene) -> None:
    picture, region = scene.look()
    aside = Region(region.x + region.size / 20, region.y, region.size)
    expected = [found.xy for found in _ask(scene, (picture, region), (picture, aside))]
    with ThreadPoolExecutor(2) as pool:
        runs = pool.map(lambda place: _ask(scene, *[(picture, place)] * 6), (region, aside))
        for answers, xy in zip(runs, expected, strict=True):
            for found in answers:
                np.testing.assert_array_equal(found.xy, xy)


def test_a_picture_of_twice_the_size_doubles_the_coordinates(scene: Scene) -> None:
    picture, region = scene.look()
    size = (2 * picture.shape[1], 2 * picture.shape[0])
    large = np.asarray(Image.fromarray(picture).resize(size, Image.Resampling.BICUBIC))
    (plain,) = _ask(scene, (picture, region))
    twice = Region(2 * region.x + 0.5, 2 * region.y + 0.5, 2 * region.size, region.turn_deg)
    (found,) = _ask(scene, (large, twice))
    assert _apart((found.xy + 0.5) / 2 - 0.5, plain.xy, region) < SAME


def test_a_region_a_little_aside_or_turned_finds_the_same_points(scene: Scene) -> None:
    picture, region = scene.look()
    (plain,) = _ask(scene, (picture, region))
    aside = Region(region.x + 0.05 * region.size, region.y, 1.1 * region.size, region.turn_deg + 10)
    (found,) = _ask(scene, (picture, aside))
    assert _apart(found.xy, plain.xy, region) < 2 * SAME


def test_blank_pictures_show_nobody() -> None:
    engine = OpenvinoEngine(LandmarkModel.FULL)
    blank = np.full((90, 160, 3), 120, np.uint8)
    assert engine.find_people(blank) == ()
    (found,) = engine.find_landmarks([(blank, Region(80, 45, 90))])
    assert found.score < 0.5


@pytest.mark.parametrize("model", list(LandmarkModel))
def test_a_mirrored_picture_exchanges_left_and_right(model: LandmarkModel) -> None:
    scene = _real(model)
    picture, region = scene.look()
    width = picture.shape[1]
    mirrored = Region(width - 1 - region.x, region.y, region.size, -region.turn_deg)
    (plain,) = _ask(scene, (picture, region))
    (found,) = _ask(scene, (np.ascontiguousarray(picture[:, ::-1]), mirrored))
    twins = [SIDES[k + 1 if k % 2 == 0 else k - 1] for k in range(len(SIDES))]
    back = found.xy[twins] * (-1, 1) + (width - 1, 0)
    assert _apart(back, plain.xy[SIDES], region) < MIRRORED


def test_people_in_a_corner_of_a_large_picture_are_found() -> None:
    """A sixth of the picture tall: less than the detector alone can see."""
    scene = _real(LandmarkModel.FULL)
    left, top, side, small = 384, 70, 420, 170
    person = Image.fromarray(scene.picture[top : top + side, left : left + side])
    corner = np.full((480, 854, 3), (110, 130, 90), np.uint8)
    corner[300:470, 670:840] = np.asarray(person.resize((small, small), Image.Resampling.BOX))
    x, y = (np.array(scene.hips) - (left, top)) * small / side + (670, 300)
    people = scene.engine.find_people(corner)
    away = [np.hypot(found.region.x - x, found.region.y - y) for found in people]
    assert min(away, default=np.inf) < 0.1 * small
