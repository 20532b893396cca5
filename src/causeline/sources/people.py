"""From the person detector's raw answer to people: anchors, boxes, and overlaps melted together.

The network is an SSD on a square of 224 pixels. Each of its 2254 answers belongs to an anchor, a
place in one of its grids, and tells where the box of face and shoulders is, how large it is, and
where four points are; the first is the middle of the hips, the second lies on the circle around the
whole body. Grids and numbers are those of the published graph of the BlazePose detector
(Bazarevsky et al. 2020, arXiv:2006.10204).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from causeline.model.tracks import REGION_RADII, Person, Region
from causeline.quantities.angle import Floats

DETECTOR_SIDE = 224
_GRIDS = ((28, 2), (14, 2), (7, 6))
"""Cells along a side, and answers for each cell: strides of 8, 16 and three times 32 pixels."""
SURE_ENOUGH = 0.5
_SAME_PERSON = 0.3
"""Boxes that share more of their union than this belong to one person."""
_BOX, _SIZE, _HIPS, _RIM = 0, 1, 2, 3
"""Rows of an answer: centre of the box, its width and height, middle of the hips, rim."""


@cache
def decode_anchors() -> Floats:
    """Centres of the anchors in shares of the square, (2254, 2), in the order of the answers."""
    grids = []
    for cells, answers in _GRIDS:
        at = (np.arange(cells) + 0.5) / cells
        x, y = np.meshgrid(at, at)
        grids.append(np.repeat(np.stack([x.ravel(), y.ravel()], axis=1), answers, axis=0))
    return np.concatenate(grids)


def decode_people(
    answers: NDArray[np.float32], logits: NDArray[np.float32], square: Region
) -> tuple[Person, ...]:
    """The people in `square` from answers (2254, 12) and logits (2254,), the surest first."""
    scores = _probability(logits)
    sure = np.flatnonzero(scores >= SURE_ENOUGH)
    sure = sure[np.argsort(-scores[sure], kind="stable")]
    points = answers[sure].reshape(-1, 6, 2).astype(np.float64) / DETECTOR_SIDE
    points[:, [_BOX, _HIPS, _RIM, 4, 5]] += decode_anchors()[sure, None]
    return tuple(_person(*melted, square) for melted in _melted(points, scores[sure]))


def decode_distinct(people: Iterable[Person]) -> tuple[Person, ...]:
    """Each person once, the surest first, from finds in squares that overlap."""
    distinct: list[Person] = []
    for person in sorted(people, key=lambda person: -person.score):
        if not any(person.region.matches(other.region) for other in distinct):
            distinct.append(person)
    return tuple(distinct)


def decode_overlap(first: Floats, second: Floats) -> float:
    """Shared part of the union of two boxes (left, top, right, bottom), 0 to 1."""
    low, high = np.maximum(first[:2], second[:2]), np.minimum(first[2:], second[2:])
    shared = float(np.prod(np.maximum(high - low, 0.0)))
    union = float(np.prod(first[2:] - first[:2]) + np.prod(second[2:] - second[:2])) - shared
    return shared / union if union > 0 else 0.0


def _melted(points: Floats, scores: Floats) -> list[tuple[Floats, float]]:
    """The mean of the answers for each person, weighted by score, with the highest score."""
    boxes = np.concatenate(
        [points[:, _BOX] - points[:, _SIZE] / 2, points[:, _BOX] + points[:, _SIZE] / 2], axis=1
    )
    left, people = list(range(len(scores))), []
    while left:
        same = [k for k in left if decode_overlap(boxes[left[0]], boxes[k]) > _SAME_PERSON]
        same = same or left[:1]
        mean = np.average(points[same], axis=0, weights=scores[same])
        people.append((mean, float(scores[left[0]])))
        left = [k for k in left if k not in same]
    return people


def _person(points: Floats, score: float, square: Region) -> Person:
    hips, rim = square.to_picture(points[[_HIPS, _RIM]])
    corners = points[_BOX] + np.array([[-0.5], [0.5]]) * points[_SIZE]
    (left, top), (right, bottom) = square.to_picture(corners)
    up = rim - hips
    size = max(REGION_RADII * float(np.hypot(*up)), 1.0)
    turn = float(np.degrees(np.arctan2(up[0], -up[1])))
    return Person(
        Region(float(hips[0]), float(hips[1]), size, turn),
        (float(left), float(top), float(right), float(bottom)),
        score,
    )


def _probability(logits: NDArray[np.float32]) -> Floats:
    probability: Floats = 1.0 / (1.0 + np.exp(-np.clip(logits.astype(np.float64), -100, 100)))
    return probability
