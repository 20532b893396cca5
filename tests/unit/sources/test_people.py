"""From the detector's raw answer to people, with answers written by hand."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.model.tracks import Person, Region
from causeline.sources.people import (
    decode_anchors,
    decode_distinct,
    decode_overlap,
    decode_people,
)

PICTURE = Region(111.5, 111.5, 224)
"""The square of a picture of 224 pixels, so that the network's pixels are the picture's."""
Answers = tuple[NDArray[np.float32], NDArray[np.float32]]


def _nobody() -> Answers:
    return np.zeros((2254, 12), np.float32), np.full(2254, -9.0, np.float32)


def _say(answers: Answers, anchor: int, box: tuple[float, ...], logit: float = 4.0) -> None:
    """One answer: centre, size, hips and rim as offsets in pixels from the anchor."""
    answers[0][anchor, :8] = box
    answers[1][anchor] = logit


def test_there_are_2254_anchors_in_three_grids() -> None:
    anchors = decode_anchors()
    assert anchors.shape == (2254, 2)
    # 28 × 28 × 2, then 14 × 14 × 2, then 7 × 7 × 6; row by row, centres of cells.
    np.testing.assert_allclose(anchors[[0, 1, 2]], [[0.5 / 28] * 2] * 2 + [[1.5 / 28, 0.5 / 28]])
    np.testing.assert_allclose(anchors[1568], [0.5 / 14, 0.5 / 14])
    np.testing.assert_allclose(anchors[[1960, 1966]], [[0.5 / 7, 0.5 / 7], [1.5 / 7, 0.5 / 7]])
    np.testing.assert_allclose(anchors[2253], [6.5 / 7, 6.5 / 7])


def test_nobody_is_nobody() -> None:
    assert decode_people(*_nobody(), PICTURE) == ()


def test_one_answer_is_one_person() -> None:
    answers = _nobody()
    # The first anchor of the coarsest grid stands at pixel 16 of 224, which is at 15.5 by the
    # middle of pixels.
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 60, 50))
    (person,) = decode_people(*answers, PICTURE)
    assert person.score == pytest.approx(1 / (1 + np.exp(-4)))
    assert person.box == pytest.approx((50.5, 45.5, 80.5, 65.5))
    region = person.region
    assert (region.x, region.y, region.turn_deg) == pytest.approx((75.5, 125.5, 0))
    assert region.size == pytest.approx(2.25 * 60)


def test_somebody_who_leans_to_the_right_has_a_region_turned_clockwise() -> None:
    answers = _nobody()
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 90, 80))
    (person,) = decode_people(*answers, PICTURE)
    assert person.region.turn_deg == pytest.approx(45)


def test_a_square_elsewhere_in_the_picture_moves_and_stretches_the_answer() -> None:
    answers = _nobody()
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 60, 50))
    (person,) = decode_people(*answers, Region(1000 + 223.5, 500 + 223.5, 448))
    assert (person.region.x, person.region.y) == pytest.approx((1000 + 151.5, 500 + 251.5))
    assert person.region.size == pytest.approx(2 * 2.25 * 60)


def test_answers_that_overlap_melt_into_one_by_score() -> None:
    answers = _nobody()
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 60, 50), logit=0.5)
    _say(answers, 1961, (54, 40, 30, 20, 64, 110, 64, 50), logit=4.0)
    (person,) = decode_people(*answers, PICTURE)
    sure, unsure = 1 / (1 + np.exp(-4)), 1 / (1 + np.exp(-0.5))
    assert person.score == pytest.approx(sure)
    assert person.region.x == pytest.approx((75.5 * unsure + 79.5 * sure) / (sure + unsure))


def test_answers_apart_are_two_people_the_surest_first() -> None:
    answers = _nobody()
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 60, 50), logit=1.0)
    _say(answers, 2253, (-20, -100, 30, 20, -20, -30, -20, -90), logit=2.0)
    people = decode_people(*answers, PICTURE)
    assert [person.region.x for person in people] == pytest.approx([187.5, 75.5])


def test_an_unsure_answer_is_nobody() -> None:
    answers = _nobody()
    _say(answers, 1960, (50, 40, 30, 20, 60, 110, 60, 50), logit=-0.01)
    assert decode_people(*answers, PICTURE) == ()


@pytest.mark.parametrize(
    ("second", "share"),
    [
        ((0, 0, 10, 10), 1.0),
        ((5, 0, 15, 10), 50 / 150),
        ((10, 0, 20, 10), 0.0),
        ((40, 40, 40, 40), 0.0),
        ((2, 2, 4, 4), 0.04),
    ],
)
def test_overlap_is_the_shared_part_of_the_union(second: tuple[float, ...], share: float) -> None:
    assert decode_overlap(np.array([0.0, 0, 10, 10]), np.array(second, float)) == pytest.approx(
        share
    )


def test_two_boxes_without_extent_share_nothing() -> None:
    assert decode_overlap(np.zeros(4), np.zeros(4)) == 0.0


def test_somebody_found_in_two_squares_is_one_person() -> None:
    box = (0.0, 0.0, 1.0, 1.0)
    once, again = Person(Region(100, 100, 90), box, 0.6), Person(Region(105, 98, 100), box, 0.9)
    other = Person(Region(180, 100, 90), box, 0.7)
    assert decode_distinct([once, again, other]) == (again, other)
