"""A face that is hidden cannot be got back from the pixels, and is never shown in doubt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from causeline.model.clip import Frame, View
from causeline.model.tracks import BodyTrack
from causeline.render.veil import (
    CELLS,
    GROWTH,
    HEAD,
    render_hidden,
    render_veiled,
    render_veiled_footage,
    render_veils,
)
from tests.drawn import drawn_reading


@cache
def _body() -> BodyTrack:
    return drawn_reading(View.FACE_ON).reading.swings[0].body


def _stature(body: BodyTrack) -> float:
    """From hip to shoulder at address: 0.288 of the stature (Drillis and Contini 1966)."""
    trunk = np.linalg.norm(body.middle("hip")[0] - body.middle("shoulder")[0])
    return float(trunk) / 0.288


def _heads(body: BodyTrack) -> np.ndarray:
    middle: np.ndarray = body.shown_xy()[:, :3].mean(axis=1)
    return middle


def _without_head(body: BodyTrack, rows: slice) -> BodyTrack:
    xy = body.xy.copy()
    xy[rows, :3] = np.nan
    return replace(body, xy=xy)


def _noise(body: BodyTrack, frame: int, shrink: float = 1.0) -> Frame:
    rng = np.random.default_rng(frame)
    size = (round(1280 * shrink), round(body.width * shrink), 3)
    return Frame(frame, rng.integers(0, 256, size, dtype=np.uint8), shrink)


def test_the_veil_follows_the_head_with_room_around_it() -> None:
    body = _body()
    veils = render_veils(body)
    heads, stature = _heads(body), _stature(body)
    for row in range(0, len(body), 10):
        x, y, radius = veils.at(int(body.frames[row]))
        assert np.hypot(x - heads[row, 0], y - heads[row, 1]) < 1.0
        assert HEAD * stature / 2 < radius < 2.5 * HEAD * stature


def test_a_lost_head_is_hidden_where_it_was_and_will_be_and_wider_with_time() -> None:
    body = _body()
    veils = render_veils(_without_head(body, slice(40, 80)))
    heads = _heads(body)
    radii = []
    for row in range(40, 80):
        x, y, radius = veils.at(int(body.frames[row]))
        radii.append(radius)
        for known in (39, 80):
            apart = np.hypot(x - heads[known, 0], y - heads[known, 1])
            assert apart + HEAD / 2 * _stature(body) < radius
    assert max(radii) == max(radii[15:25])
    assert min(radii) > veils.at(int(body.frames[30]))[2]


def test_a_head_beyond_the_track_is_hidden_wider() -> None:
    body = _body()
    veils = render_veils(body)
    last = int(body.frames[-1])
    growth = GROWTH * _stature(body) * float(body.time_s[-1] - body.time_s[-2])
    wider = veils.at(last + 10)[2] - veils.at(last)[2]
    assert wider == pytest.approx(10 * growth, rel=0.1)


def test_a_head_that_leaps_away_or_lies_far_from_the_shoulders_is_not_believed() -> None:
    body = _body()
    xy = body.xy.copy()
    xy[50, :3] += 0.3 * _stature(body)
    xy[90:99, :3] += 2.0 * _stature(body)
    veils, heads = render_veils(replace(body, xy=xy)), _heads(body)
    for row in (50, 94):
        x, y, radius = veils.at(int(body.frames[row]))
        assert np.hypot(x - heads[row, 0], y - heads[row, 1]) + 30 < radius


@pytest.mark.parametrize("shrink", [1.0, 0.5])
def test_without_any_head_everything_is_hidden(shrink: float) -> None:
    body = _without_head(_body(), slice(None))
    frame = _noise(body, int(body.frames[3]), shrink)
    hidden = render_veiled(frame, render_veils(body)).picture
    assert hidden.std() < 0.2 * frame.picture.std()
    assert hidden.shape == frame.picture.shape


def test_of_noise_nothing_is_left_inside_and_nothing_is_changed_outside() -> None:
    frame = _noise(_body(), 1)
    hidden = render_hidden(frame.picture, (300.0, 400.0), 90.0)
    y, x = np.mgrid[: hidden.shape[0], : hidden.shape[1]]
    apart = np.hypot(x - 300, y - 400)
    outside = apart > 92
    assert (hidden[outside] == frame.picture[outside]).all()
    inside = hidden[apart < 88].astype(float)
    # Uniform noise has a deviation of 74; the mean of 45 × 45 of it has 1.6.
    assert inside.std() < 5
    assert 90 * 2 / CELLS > 40
    assert (frame.picture[~outside] != hidden[~outside]).mean() > 0.9


@pytest.mark.parametrize("at", [(-10.0, 5.0), (720.0, 1280.0), (5000.0, 5000.0), (3.0, 1270.0)])
def test_a_head_at_the_edge_or_outside(at: tuple[float, float]) -> None:
    frame = _noise(_body(), 2)
    assert render_hidden(frame.picture, at, 40.0).shape == frame.picture.shape


def test_footage_is_veiled_at_every_size() -> None:
    body = _body()

    def footage(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        return (_noise(body, index, longest / 1280) for index in wanted)

    veils = render_veils(body)
    (frame,) = render_veiled_footage(footage, veils)([5], 640)
    x, y, radius = (0.5 * each for each in veils.at(5))
    around = slice(int(y - radius / 3), int(y + radius / 3))
    across = slice(int(x - radius / 3), int(x + radius / 3))
    assert frame.picture[around, across].std() < 20
