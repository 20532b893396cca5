"""From the landmark network's raw answer to points in the picture, with answers written by hand."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from causeline.model.tracks import ENGINE_LANDMARKS, Region
from causeline.sources.landmarks import decode_landmarks

SQUARE = Region(128.0, 128.0, 256.0)
"""A picture of 256 pixels and more: the network's pixels are the picture's."""
WRIST = ENGINE_LANDMARKS.index("left_wrist")


def _points(x: float, y: float, seen: float = 20.0, inside: float = 20.0) -> NDArray[np.float32]:
    """All 39 points at one place."""
    return np.tile(np.array([x, y, 0, seen, inside], np.float32), (39, 1))


def _heat(x: float, y: float, spread: float = 1.5, peak: float = 0.99) -> NDArray[np.float32]:
    """A bell around a cell of the heat map, for every point."""
    column, row = np.meshgrid(np.arange(64), np.arange(64))
    bell = peak * np.exp(-0.5 * ((column - x) ** 2 + (row - y) ** 2) / spread**2)
    bell = np.clip(bell, 1e-6, None)
    return np.repeat(np.log(bell / (1 - bell))[:, :, None], 39, axis=2).astype(np.float32)


def test_a_sharp_heat_map_says_where_the_point_is() -> None:
    found = decode_landmarks(_points(100, 80), _heat(26, 21), 0.9, SQUARE)
    # Cell 26 is at 104 of 256; the coordinates only say near which cells to look. The bell is cut
    # off on one side by that: it pulls less than a tenth of a cell.
    assert found.xy.shape == (33, 2)
    assert found.xy[WRIST] == pytest.approx([104, 84], abs=0.6)
    assert found.score == 0.9


def test_a_bell_half_a_cell_away_is_read_between_cells() -> None:
    found = decode_landmarks(_points(103, 83), _heat(25.5, 20.5, spread=0.9), 1.0, SQUARE)
    assert found.xy[WRIST] == pytest.approx([102, 82], abs=0.05)


def test_a_flat_heat_map_leaves_the_coordinates() -> None:
    found = decode_landmarks(_points(100.25, 80.5), _heat(26, 21, peak=0.4), 1.0, SQUARE)
    assert found.xy[WRIST] == pytest.approx([100.25, 80.5])


def test_a_bell_out_of_reach_leaves_the_coordinates() -> None:
    found = decode_landmarks(_points(20, 20), _heat(40, 40), 1.0, SQUARE)
    assert found.xy[WRIST] == pytest.approx([20, 20])


@pytest.mark.parametrize("place", [(-30.0, 90.0), (300.0, 90.0), (90.0, -2.0), (256.0, 256.0)])
def test_a_point_beyond_the_square_stays_where_it_is(place: tuple[float, float]) -> None:
    found = decode_landmarks(_points(*place), _heat(32, 32), 1.0, SQUARE)
    assert found.xy[WRIST] == pytest.approx(place)


def test_a_bell_at_the_edge_of_the_square_is_read_without_wrapping_round() -> None:
    found = decode_landmarks(_points(1, 1), _heat(0, 0, spread=0.5), 1.0, SQUARE)
    # Half of the bell is cut off by the edge.
    assert found.xy[WRIST] == pytest.approx([0, 0], abs=1.5)


def test_points_go_to_the_picture_through_the_region() -> None:
    turned = Region(500, 300, 128, 90)
    found = decode_landmarks(_points(0, 0), _heat(60, 60), 1.0, turned)
    assert found.xy[WRIST] == pytest.approx([564, 236])


@pytest.mark.parametrize(
    ("seen", "inside", "peak", "confidence"),
    [
        (20, 20, 0.99, 1.0),
        (0, 20, 0.99, 0.5),
        (0, 0, 0.99, 0.25),
        (20, 20, 0.425, 0.5),
        (-20, 20, 0.99, 0.0),
    ],
)
def test_confidence_is_lost_by_being_hidden_outside_or_vague(
    seen: float, inside: float, peak: float, confidence: float
) -> None:
    found = decode_landmarks(_points(104, 84, seen, inside), _heat(26, 21, peak=peak), 1.0, SQUARE)
    assert found.confidence[WRIST] == pytest.approx(confidence, abs=1e-3)
