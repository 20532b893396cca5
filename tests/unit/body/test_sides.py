from __future__ import annotations

import numpy as np

from causeline.body.sides import name_sides
from causeline.model.clip import Hand
from causeline.model.tracks import BODY_LANDMARKS, ENGINE_LANDMARKS, LandmarkTrack


def _numbered() -> LandmarkTrack:
    """One frame in which landmark number k stands at x = 10 k."""
    count = len(ENGINE_LANDMARKS)
    xy = np.stack([10.0 * np.arange(count), np.arange(count) * 1.0], axis=1)[None]
    return LandmarkTrack(np.arange(1), np.zeros(1), xy, np.full((1, count), 0.5))


def _x(track: np.ndarray, name: str) -> float:
    return float(track[0, BODY_LANDMARKS.index(name), 0])


def test_a_right_hander_leads_with_the_left() -> None:
    xy, _ = name_sides(_numbered(), Hand.RIGHT, 400)
    assert _x(xy, "lead_wrist") == 10 * ENGINE_LANDMARKS.index("left_wrist")
    assert _x(xy, "trail_knuckle") == 10 * ENGINE_LANDMARKS.index("right_index")
    assert _x(xy, "lead_toe") == 10 * ENGINE_LANDMARKS.index("left_foot_index")
    assert _x(xy, "nose") == 0


def test_a_left_hander_leads_with_the_right_and_is_mirrored_at_the_last_pixel() -> None:
    xy, _ = name_sides(_numbered(), Hand.LEFT, 400)
    assert _x(xy, "lead_wrist") == 399 - 10 * ENGINE_LANDMARKS.index("right_wrist")
    assert _x(xy, "nose") == 399


def test_unknown_confidence_is_none() -> None:
    track = _numbered()
    track.confidence[0, 0] = np.nan
    _, confidence = name_sides(track, Hand.RIGHT, 400)
    assert confidence[0, 0] == 0
