"""The door to the landmark networks: who is in a picture, and where their joints are."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Picture
from causeline.model.tracks import Landmarks, Person, Region
from causeline.sources.landmarks import ANSWERS, HEAT_SIDE, LANDMARK_SIDE, decode_landmarks
from causeline.sources.networks import Layout, Network, Request, decode_network
from causeline.sources.people import DETECTOR_SIDE, decode_anchors, decode_distinct, decode_people
from causeline.sources.squares import decode_search, decode_square

WEIGHTS = Path(__file__).parent / "weights"
_WAITING = 1
"""Looks that wait their turn, so that no core idles while the next frame is decoded."""
Output = NDArray[np.float32]
Answer = TypeVar("Answer")


class LandmarkModel(StrEnum):
    """The landmark network: the heavy one takes four times as long and errs half as much."""

    FULL = "full"
    HEAVY = "heavy"


class OpenvinoEngine:
    """Finds people and landmarks. Networks are loaded at first use and shared in the process."""

    def __init__(
        self, model: LandmarkModel = LandmarkModel.HEAVY, weights: Path = WEIGHTS, threads: int = 0
    ) -> None:
        """`threads` is how many cores may be used; 0 means all of them."""
        self._model = model
        self._weights = weights
        self._threads = threads

    @property
    def version(self) -> str:
        """Names what made the landmarks, for the record of a reading."""
        return f"pose_landmark_{self._model} 0.5.1675469404"

    def load(self) -> None:
        """Load both networks now; else the first look waits for them. Raises EngineError."""
        self._network("pose_detection", _detector_layout())
        self._network(f"pose_landmark_{self._model}", _landmark_layout())

    def find_people(self, picture: Picture) -> tuple[Person, ...]:
        """Everybody in the picture, the surest first."""
        network = self._network("pose_detection", _detector_layout())
        looks = ((picture, square) for square in decode_search(picture))
        finds = _answers(network, looks, DETECTOR_SIDE, _people)
        return decode_distinct(person for people in finds for person in people)

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        """One answer for each look, in order. Looks are taken a few ahead of the answers."""
        network = self._network(f"pose_landmark_{self._model}", _landmark_layout())
        return _answers(network, looks, LANDMARK_SIDE, _landmarks)

    def _network(self, name: str, layout: Layout) -> Network:
        return decode_network(self._weights / f"{name}.tflite", layout, self._threads)


def _answers(
    network: Network,
    looks: Iterable[tuple[Picture, Region]],
    side: int,
    understand: Callable[[list[Output], Region], Answer],
) -> Iterator[Answer]:
    flying: deque[tuple[Request, Region]] = deque()
    try:
        for picture, region in looks:
            flying.append((network.take(), region))
            flying[-1][0].start(decode_square(picture, region, side))
            if len(flying) > network.at_once + _WAITING:
                yield understand(flying[0][0].answers(), flying[0][1])
                network.give(flying.popleft()[0])
        while flying:
            yield understand(flying[0][0].answers(), flying[0][1])
            network.give(flying.popleft()[0])
    finally:
        for request, _ in flying:
            network.give(request)


def _people(outputs: list[Output], square: Region) -> tuple[Person, ...]:
    answers, logits = outputs
    return decode_people(answers[0], logits[0, :, 0], square)


def _landmarks(outputs: list[Output], region: Region) -> Landmarks:
    points, score, heat = outputs
    return decode_landmarks(points.reshape(ANSWERS, 5), heat[0], float(score[0, 0]), region)


def _detector_layout() -> Layout:
    anchors = len(decode_anchors())
    outputs = (("Identity", (1, anchors, 12)), ("Identity_1", (1, anchors, 1)))
    return Layout(DETECTOR_SIDE, 127.5, 127.5, outputs)


def _landmark_layout() -> Layout:
    heat = (1, HEAT_SIDE, HEAT_SIDE, ANSWERS)
    outputs = (("Identity", (1, 5 * ANSWERS)), ("Identity_1", (1, 1)), ("Identity_3", heat))
    return Layout(LANDMARK_SIDE, 0.0, 255.0, outputs)
