"""A golfer who stands still but for the hands, and a club whose angle is written down."""

from __future__ import annotations

import numpy as np

from causeline.model.clip import Frame
from causeline.model.club import ClubCrop, ClubGuesses
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, Region
from causeline.quantities.angle import Floats
from causeline.sources.fake_club import FakeClubNet

RATE_HZ = 60
WIDTH, HEIGHT = 720, 1280
STATURE_PX = 800.0
HANDS = np.array([360.0, 700.0])
SHAFT_PX, HEAD_PX, BUTT_PX = 400.0, 20.0, 30.0
"""Grip end to hosel, hosel to the middle of the head, and grip end to the hands."""


def body(n: int, hands: Floats | None = None) -> BodyTrack:
    """Ankle to shoulder is 0.78 of the stature, in one upright line beside the hands."""
    heights = {"ankle": 0.0, "knee": 0.25, "hip": 0.50, "shoulder": 0.78, "elbow": 0.6}
    xy = np.full((n, len(BODY_LANDMARKS), 2), np.nan)
    for i, name in enumerate(BODY_LANDMARKS):
        part = name.split("_")[-1]
        if part in heights:
            xy[:, i] = (300.0, 1200.0 - heights[part] * STATURE_PX)
        if part in ("wrist", "knuckle"):
            xy[:, i] = HANDS if hands is None else hands
    known = np.ones((n, len(BODY_LANDMARKS)))
    return BodyTrack(np.arange(n), np.arange(n) / RATE_HZ, xy, known, known, WIDTH)


def way(deg: float) -> Floats:
    """Unit vector in the picture; zero to the right, positive counter-clockwise as seen."""
    return np.array([np.cos(np.radians(deg)), -np.sin(np.radians(deg))])


def points(deg: float, hands: Floats = HANDS) -> Floats:
    """(3, 2) grip end, hosel and head of a club held at `hands`."""
    butt = hands - way(deg) * BUTT_PX
    hosel = butt + way(deg) * SHAFT_PX
    return np.stack([butt, hosel, hosel + way(deg) * HEAD_PX])


def crop(club: Floats | None, region: Region) -> ClubCrop:
    """What the fake network makes of one frame."""
    frame = Frame(0, np.zeros((2, 2, 3), np.uint8))
    return next(iter(FakeClubNet(lambda _: club).find_club([frame], [region])))


def guess(*degs: float, scores: tuple[float, ...] = (0.8,), seen: bool = True) -> ClubGuesses:
    """Guesses of one frame at those angles."""
    clubs = np.array([points(deg) for deg in degs]).reshape(-1, 3, 2)
    score = np.resize(np.array(scores), len(degs))
    return ClubGuesses(clubs[:, 0], clubs[:, 1], clubs[:, 2], score, np.full(len(degs), seen))
