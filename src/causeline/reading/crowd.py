"""Everybody in a clip, followed from look to look: a region comes from the landmarks before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from causeline.model.clip import Picture
from causeline.model.seams import LandmarkEngine
from causeline.model.tracks import Landmarks, Region
from causeline.quantities.angle import Floats

SEARCH_EVERY = 30
"""Looks, two seconds, between searches for people who are not followed yet: a search costs as much
as ten looks. While nobody is seen, there is one in every look."""
LOST_AFTER = 15
"""Looks without an answer after which a person is followed no more."""
TWICE = 5
"""Looks on end in which two are followed at one place before the newer one is let go."""
MOST_PEOPLE = 4
"""No more are followed at a time: a search takes the surest."""
IS_PERSON = 0.5
"""Score from which there is a person in a region."""
MOST_HELD = 3
"""Looks on end, a fifth of a second, for which an answer holds while the picture stays the same."""
BLOCK_PX = 8
"""Side of the blocks whose brightness is compared: noise averages out."""
CHANGING, SAME = 0.005, 3.0
"""A picture is the same when this share of its blocks, those that change most, change by fewer
levels than this on average. Compression makes about one; a hand that moves by its width, ten."""


@dataclass(slots=True, eq=False)
class _Followed:
    region: Region
    answers: dict[int, Landmarks] = field(default_factory=dict)
    """By number of the look."""
    missed: int = 0
    twice: int = 0

    def take(self, look: int, answer: Landmarks) -> None:
        if answer.score >= IS_PERSON:
            self.answers[look] = answer
            self.region = self.region.after(answer)
            self.missed = 0
        else:
            self.missed += 1

    def hold(self, look: int) -> None:
        """The answer of the look before once more; none where there was none."""
        if look - 1 in self.answers:
            self.answers[look] = self.answers[look - 1]


class Crowd:
    """Keeps the people apart. Pictures come in order, all of one size."""

    def __init__(self, engine: LandmarkEngine) -> None:
        self._engine = engine
        self._gone: list[_Followed] = []
        self._here: list[_Followed] = []
        self._scene = _Scene()

    def look(self, picture: Picture, look: int) -> None:
        """Find everybody again in the next picture, and now and then those who are new."""
        if self._scene.stays(picture) and look % SEARCH_EVERY:
            for person in self._here:
                person.hold(look)
            return
        self._ask(picture, look, self._here)
        if look % SEARCH_EVERY == 0 or all(person.missed for person in self._here):
            self._search(picture, look)
        self._let_go()

    def followed(self) -> list[dict[int, Landmarks]]:
        """The answers for each person by number of the look, those seen longest first.

        Who is seen for a few looks only, beside others seen for longer, is left out.
        """
        everybody = [person.answers for person in self._gone + self._here if person.answers]
        everybody.sort(key=len, reverse=True)
        return [person for person in everybody if len(person) > TWICE] or everybody[:1]

    def _ask(self, picture: Picture, look: int, people: Sequence[_Followed]) -> None:
        answers = self._engine.find_landmarks((picture, person.region) for person in people)
        for person, answer in zip(people, answers, strict=True):
            person.take(look, answer)

    def _search(self, picture: Picture, look: int) -> None:
        asked = []
        for found in self._engine.find_people(picture):
            known = [other for other in self._here if other.region.matches(found.region)]
            if not known and len(self._here) < MOST_PEOPLE:
                self._here.append(_Followed(found.region))
                asked.append(self._here[-1])
            elif known and known[0].missed:
                known[0].region = found.region
                asked.append(known[0])
        self._ask(picture, look, asked)
        self._here = [person for person in self._here if person.answers]

    def _let_go(self) -> None:
        for place, person in enumerate(self._here):
            twins = (other.region.matches(person.region) for other in self._here[:place])
            person.twice = person.twice + 1 if any(twins) else 0
        leaving = [p for p in self._here if p.missed >= LOST_AFTER or p.twice >= TWICE]
        self._gone += leaving
        self._here = [person for person in self._here if person not in leaving]


class _Scene:
    """Knows the picture that was looked at last."""

    def __init__(self) -> None:
        self._blocks: Floats | None = None
        self._held = 0

    def stays(self, picture: Picture) -> bool:
        """Whether this picture shows nothing that the last one did not; it is the last one else."""
        blocks, last = _blocks(picture), self._blocks
        self._held += 1
        if last is not None and self._held <= MOST_HELD and _change(last, blocks) < SAME:
            return True
        self._blocks, self._held = blocks, 0
        return False


def _blocks(picture: Picture) -> Floats:
    """Mean of the green in each block, flat; what is left over at the edges does not count."""
    high, wide = (max(side // BLOCK_PX, 1) for side in picture.shape[:2])
    green = picture[: high * BLOCK_PX, : wide * BLOCK_PX, 1]
    if green.shape != (high * BLOCK_PX, wide * BLOCK_PX):
        return np.array([green.mean()])
    rows = np.add.reduce(green.reshape(high, BLOCK_PX, -1), axis=1, dtype=np.float32)
    return np.asarray(rows.reshape(high, wide, BLOCK_PX).mean(axis=2).ravel() / BLOCK_PX)


def _change(before: Floats, after: Floats) -> float:
    change = np.abs(after - before)
    most = max(1, round(CHANGING * change.size))
    return float(np.partition(change, -most)[-most:].mean())
