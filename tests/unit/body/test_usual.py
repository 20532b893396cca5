"""What the engine is usually off by, and how that follows the figure."""

from dataclasses import replace

import numpy as np
import pytest

from causeline.body.usual import STRANGE, J, figure_of, usual_offsets
from causeline.model.clip import View
from causeline.model.motion import POINTS, MotionPrior
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats

P, SIZE_PX = 6, 500.0
HIP, NOSE = (BODY_LANDMARKS.index(name) for name in ("lead_hip", "nose"))


def _xy(shift: float = 0.0) -> Floats:
    """A figure that stands somewhere in the picture, its nose shifted by statures."""
    xy = np.tile([300.0, 800.0], (P, len(POINTS), 1))
    xy[:, NOSE] += [0.0, -SIZE_PX]
    xy[:, NOSE, 0] += shift * SIZE_PX
    return xy


def _prior() -> MotionPrior:
    """One in which the hip is seen 1 % of the stature to the right of where it is, and farther by
    half of what the nose is to the right of its usual place.
    """
    shape = (P, len(POINTS), 3)
    offsets = np.zeros((2, P, len(POINTS), 2))
    offsets[:, :, HIP, 0] = 0.01
    slopes = np.zeros((2, P, 2 * J, 2 * J))
    slopes[:, :, 2 * NOSE, 2 * HIP] = 0.5
    figures = np.stack([figure_of(_xy(), SIZE_PX)] * 2)
    sd = np.full_like(figures, 0.02)
    plain = MotionPrior(np.zeros(shape), np.zeros((1, *shape)), np.zeros(shape), offsets)
    return replace(plain, figures=figures, figures_sd=sd, slopes=slopes)


@pytest.mark.parametrize(("shift", "expected"), [(0.0, 0.01), (0.03, 0.025), (-0.02, 0.0)])
def test_an_offset_follows_the_figure(shift: float, expected: float) -> None:
    usual = usual_offsets(_prior(), View.FACE_ON, _xy(shift), SIZE_PX)
    assert usual[:, HIP, 0] == pytest.approx(np.full(P, expected * SIZE_PX))
    assert not usual[:, NOSE].any()


def test_a_strange_figure_counts_as_one_at_the_edge_of_what_was_learned() -> None:
    usual = usual_offsets(_prior(), View.DOWN_THE_LINE, _xy(0.4), SIZE_PX)
    assert usual[:, HIP, 0] == pytest.approx(np.full(P, (0.01 + 0.5 * STRANGE * 0.02) * SIZE_PX))


def test_a_missing_point_is_taken_to_be_where_it_usually_is() -> None:
    xy = _xy(0.03)
    xy[:, NOSE] = np.nan
    usual = usual_offsets(_prior(), View.FACE_ON, xy, SIZE_PX)
    assert usual[:, HIP, 0] == pytest.approx(np.full(P, 0.01 * SIZE_PX))


def test_where_nothing_was_learned_nothing_is_taken_off() -> None:
    without = replace(_prior(), offsets=None)
    assert not usual_offsets(without, View.FACE_ON, _xy(0.03), SIZE_PX).any()
