"""Keeping several people apart from look to look."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np

from causeline.model.clip import Picture
from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, Region
from causeline.quantities.angle import Floats
from causeline.reading.crowd import LOST_AFTER, MOST_HELD, MOST_PEOPLE, SEARCH_EVERY, Crowd
from causeline.sources.fake_engine import FakeEngine, Script, numbered_picture
from tests.stickman import standing

WIDTH, HEIGHT = 800, 300


def _followed(script: Script, looks: int) -> tuple[list[dict[int, Floats]], FakeEngine]:
    engine = FakeEngine(script, WIDTH)
    crowd = Crowd(engine)
    for look in range(looks):
        crowd.look(numbered_picture(look, WIDTH, HEIGHT), look)
    people = [{look: found.xy for look, found in one.items()} for one in crowd.followed()]
    return people, engine


def test_who_is_followed_is_not_searched_for_in_every_picture() -> None:
    people, engine = _followed(lambda _: [standing(200, 150, 100)], 40)
    assert [len(one) for one in people] == [40]
    assert engine.searched == list(range(0, 40, SEARCH_EVERY))


def test_an_empty_scene_is_searched_in_every_picture_until_somebody_comes() -> None:
    people, engine = _followed(lambda f: [standing(200, 150, 100)] if f >= 7 else [], 20)
    assert engine.searched == list(range(8))
    assert sorted(people[0]) == list(range(7, 20))


def test_somebody_gone_for_long_comes_back_as_another_track() -> None:
    away = range(10, 10 + LOST_AFTER)
    people, _ = _followed(lambda f: [None if f in away else standing(200, 150, 100)], 60)
    assert [len(one) for one in people] == [60 - away.stop, 10]


def test_two_who_walk_past_each_other_stay_two() -> None:
    def script(frame: int) -> list[Floats | None]:
        return [standing(150 + 10 * frame, 150, 100), standing(650 - 10 * frame, 150, 100)]

    people, _ = _followed(script, 50)
    assert len(people) >= 2
    assert all(len(one) > 20 for one in people[:2])


def test_one_person_is_not_followed_twice_for_long() -> None:
    def script(frame: int) -> list[Floats | None]:
        apart = max(0.0, 60.0 - 4.0 * frame)
        return [standing(200, 150, 100), standing(200 + apart, 150, 100)]

    people, engine = _followed(script, 60)
    assert len(people[0]) == 60
    assert engine.looked.count(59) == 1


def test_no_more_than_a_few_are_followed() -> None:
    crowd = [standing(60.0 + 90 * k, 150, 100) for k in range(8)]
    people, _ = _followed(lambda _: crowd, 8)
    assert len(people) == MOST_PEOPLE
    np.testing.assert_allclose(people[0][4], crowd[0], atol=1e-6)


def test_a_picture_that_stays_the_same_is_looked_at_now_and_then() -> None:
    engine = FakeEngine(lambda _: [standing(200, 150, 100)], WIDTH)
    crowd, picture = Crowd(engine), numbered_picture(0, WIDTH, HEIGHT)
    for look in range(3 * SEARCH_EVERY):
        crowd.look(picture, look)
    (golfer,) = crowd.followed()
    assert sorted(golfer) == list(range(3 * SEARCH_EVERY))
    assert len(engine.searched) == 3
    assert 3 * SEARCH_EVERY / (MOST_HELD + 1) <= len(engine.looked) <= 3 * SEARCH_EVERY / 3


def test_a_hand_that_moves_is_looked_at() -> None:
    """A patch of 16 by 16 pixels goes through a picture of grain; the grain alone is no change."""
    grain, engine = np.random.default_rng(3), FakeEngine(lambda _: [standing(200, 150, 100)], 400)

    def looks(moving: bool) -> int:
        crowd, before = Crowd(engine), len(engine.looked)
        for look in range(20):
            picture = grain.normal(120, 4, (300, 400, 3))
            left = 10 * look if moving else 10
            picture[100:116, left : left + 16] += 60
            picture[0, 0] = 0
            crowd.look(picture.clip(0, 255).astype(np.uint8), look)
        return len(engine.looked) - before

    assert looks(moving=True) >= 20
    assert looks(moving=False) <= 8


class _Nearsighted(FakeEngine):
    """Puts legs that the region cuts short too high, and says that it doubts them.

    As the networks did with white trousers on grey ground. Even whole, legs come out a bit short.
    """

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        wanted = list(looks)
        for (_, region), answer in zip(wanted, super().find_landmarks(wanted), strict=True):
            room = region.size / Region.around(answer.xy).size
            short = min(room, 1.0) * 0.92
            xy, confidence = answer.xy.copy(), answer.confidence.copy()
            hips = xy[_LEGS[:2]].mean(axis=0)
            xy[_LEGS] = hips + short * (xy[_LEGS] - hips)
            confidence[_LEGS] = 0.8 if room > 0.9 else 0.2
            yield Landmarks(xy, confidence, answer.score)


_LEGS = [ENGINE_LANDMARKS.index(f"{side}_hip") for side in ("left", "right")] + [
    ENGINE_LANDMARKS.index(f"{side}_{part}")
    for part in ("knee", "ankle", "heel", "foot_index")
    for side in ("left", "right")
]


def test_legs_that_are_hard_to_see_do_not_narrow_the_look_until_they_are_lost() -> None:
    engine = _Nearsighted(lambda _: [standing(200, 150, 100)], WIDTH)
    crowd = Crowd(engine)
    for look in range(SEARCH_EVERY):
        crowd.look(numbered_picture(look, WIDTH, HEIGHT), look)
    (answers,) = crowd.followed()
    doubted = [answers[look].confidence[_LEGS].max() < 0.5 for look in range(SEARCH_EVERY)]
    assert not any(before and after for before, after in pairwise(doubted))
