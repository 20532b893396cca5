"""The fake engine: pictures that tell their number, and people where the script puts them."""

from __future__ import annotations

import numpy as np
import pytest

from causeline.model.tracks import Region
from causeline.sources.fake_engine import FakeEngine, frame_number, numbered_picture
from tests.stickman import standing


@pytest.mark.parametrize("number", [0, 1, 255, 256, 40_000, 65_535])
def test_a_picture_tells_its_number(number: int) -> None:
    assert frame_number(numbered_picture(number, 7, 5)) == number


def test_people_of_a_shrunk_picture_are_shrunk_too() -> None:
    engine = FakeEngine(lambda _: [standing(100, 60, 50)], width=200)
    (person,) = engine.find_people(numbered_picture(3, 100, 80))
    # The middle of pixel 100 is 100.5 pixels from the edge, which is 50.25 in half the size.
    assert (person.region.x, person.region.y) == pytest.approx((49.75, 29.75))


def test_the_person_nearest_to_the_middle_of_the_region_answers() -> None:
    one, other = standing(100, 60, 50), standing(150, 60, 50)
    engine = FakeEngine([[one, None, other]], width=200)
    look = (numbered_picture(0, 200, 100), Region(140, 60, 60))
    (answer,) = engine.find_landmarks([look])
    np.testing.assert_allclose(answer.xy, other)
    assert answer.score == 1.0


def test_nobody_in_the_region_scores_nothing() -> None:
    engine = FakeEngine([[standing(100, 60, 50)]], width=200)
    (answer,) = engine.find_landmarks([(numbered_picture(0, 200, 100), Region(20, 60, 60))])
    assert answer.score == 0.0
    assert not answer.confidence.any()


def test_it_remembers_what_it_was_asked() -> None:
    engine = FakeEngine(lambda _: [], width=20)
    engine.find_people(numbered_picture(4, 20, 20))
    assert list(engine.find_landmarks([])) == []
    assert (engine.searched, engine.looked) == ([4], [])
