"""An engine that knows its answers beforehand: the fake that tests, demos and benches use."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np

from causeline.model.clip import Picture
from causeline.model.tracks import ENGINE_LANDMARKS, Landmarks, Person, Region
from causeline.quantities.angle import Floats

Script = Callable[[int], Sequence[Floats | None]]
"""From the number of a frame to the (33, 2) landmarks of each person in it, in pixels of the clip;
None for somebody who is not to be seen."""


class FakeEngine:
    """Sees in each picture the people that its script puts there, wherever it is shown them.

    Which frame a picture is of, it reads from the picture itself; see `numbered_picture`. Pictures
    may be shrunk: they are compared with the clip's `width`.
    """

    version = "fake"

    def __init__(self, script: Script | Sequence[Sequence[Floats | None]], width: int) -> None:
        """`script` is a function of the frame number, or one entry for each frame."""
        self._script = script if callable(script) else script.__getitem__
        self._width = width
        self.searched: list[int] = []
        """Frames in which people were looked for."""
        self.looked: list[int] = []
        """Frames in which landmarks were looked for, once for each look."""

    def find_people(self, picture: Picture) -> tuple[Person, ...]:
        """Everybody in the script of that frame."""
        self.searched.append(frame_number(picture))
        return tuple(_person(xy) for xy in self._people(picture))

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        """The person whose hips are nearest to the middle of the region, inside it."""
        for picture, region in looks:
            self.looked.append(frame_number(picture))
            yield _nearest(self._people(picture), region)

    def _people(self, picture: Picture) -> list[Floats]:
        shrink = picture.shape[1] / self._width
        people = self._script(frame_number(picture))
        return [(xy + 0.5) * shrink - 0.5 for xy in people if xy is not None]


def numbered_picture(number: int, width: int, height: int) -> Picture:
    """A picture of one colour that tells its number, at any size, up to 65535.

    Pictures that follow each other differ much, as if everything moved.
    """
    picture = np.zeros((height, width, 3), np.uint8)
    picture[...] = (number // 256, number * _LEAP % 256, 0)
    return picture


def frame_number(picture: Picture) -> int:
    """The number that `numbered_picture` wrote."""
    high, leapt = (int(level) for level in picture[0, 0, :2])
    return leapt * pow(_LEAP, -1, 256) % 256 + 256 * high


_LEAP = 101
"""Levels between the pictures of one number and the next; odd, so that each number has its own."""


def _person(xy: Floats) -> Person:
    (left, top), (right, bottom) = xy.min(axis=0), xy.max(axis=0)
    return Person(Region.around(xy), (float(left), float(top), float(right), float(bottom)), 0.9)


def _nearest(people: list[Floats], region: Region) -> Landmarks:
    def distance(xy: Floats) -> float:
        own = Region.around(xy)
        return float(np.abs(region.to_share(np.array([own.x, own.y])) - 0.5).max())

    best = min(people, key=distance, default=None)
    if best is None or distance(best) > 0.5:
        nowhere = np.full((len(ENGINE_LANDMARKS), 2), (region.x, region.y))
        return Landmarks(nowhere, np.zeros(len(nowhere)), 0.0)
    return Landmarks(best, np.ones(len(best)), 1.0)
