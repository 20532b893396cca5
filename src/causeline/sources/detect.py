"""The door to the landmark networks: who is in a picture, and where their joints are."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from enum import StrEnum
from importlib.metadata import version
from pathlib import Path

from causeline.model.clip import Picture
from causeline.model.tracks import Landmarks, Person, Region
from causeline.sources.landmarks import ANSWERS, HEAT_SIDE, LANDMARK_SIDE, decode_landmarks
from causeline.sources.networks import Layout, Network, Request, decode_network
from causeline.sources.people import DETECTOR_SIDE, decode_anchors, decode_people
from causeline.sources.squares import decode_square, decode_whole

WEIGHTS = Path(__file__).parent / "weights"
_WAITING = 1
"""Looks that wait their turn, so that no core idles while the next frame is decoded."""


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
    def made_by(self) -> dict[str, str]:
        """Names and versions, for the record of a reading."""
        return {"landmarks": f"pose_landmark_{self._model}", "openvino": version("openvino")}

    def find_people(self, picture: Picture) -> tuple[Person, ...]:
        """Everybody in the picture, the surest first."""
        square = decode_whole(picture)
        network = self._network("pose_detection", _detector_layout())
        request = network.take()
        try:
            request.start(decode_square(picture, square, DETECTOR_SIDE))
            answers, logits = request.answers()
            return decode_people(answers[0], logits[0, :, 0], square)
        finally:
            network.give(request)

    def find_landmarks(self, looks: Iterable[tuple[Picture, Region]]) -> Iterator[Landmarks]:
        """One answer for each look, in order. Looks are taken a few ahead of the answers."""
        network = self._network(f"pose_landmark_{self._model}", _landmark_layout())
        flying: deque[tuple[Request, Region]] = deque()
        try:
            for picture, region in looks:
                flying.append((network.take(), region))
                flying[-1][0].start(decode_square(picture, region, LANDMARK_SIDE))
                if len(flying) > network.at_once + _WAITING:
                    yield _answered(network, flying)
            while flying:
                yield _answered(network, flying)
        finally:
            for request, _ in flying:
                network.give(request)

    def _network(self, name: str, layout: Layout) -> Network:
        return decode_network(self._weights / f"{name}.tflite", layout, self._threads)


def _answered(network: Network, flying: deque[tuple[Request, Region]]) -> Landmarks:
    request, region = flying[0]
    points, score, heat = request.answers()
    found = decode_landmarks(points.reshape(ANSWERS, 5), heat[0], float(score[0, 0]), region)
    network.give(flying.popleft()[0])
    return found


def _detector_layout() -> Layout:
    anchors = len(decode_anchors())
    outputs = (("Identity", (1, anchors, 12)), ("Identity_1", (1, anchors, 1)))
    return Layout(DETECTOR_SIDE, 127.5, 127.5, outputs)


def _landmark_layout() -> Layout:
    heat = (1, HEAT_SIDE, HEAT_SIDE, ANSWERS)
    outputs = (("Identity", (1, 5 * ANSWERS)), ("Identity_1", (1, 1)), ("Identity_3", heat))
    return Layout(LANDMARK_SIDE, 0.0, 255.0, outputs)
