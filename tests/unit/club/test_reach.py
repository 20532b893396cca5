"""Where the club is looked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from causeline.club.reach import (
    REACH,
    track_arms,
    track_hands,
    track_hidden,
    track_regions,
    track_stature_px,
)
from causeline.model.tracks import BODY_LANDMARKS
from tests.unit.club import clubs


def test_the_stature_is_the_chain_from_ankle_to_shoulder_by_its_share() -> None:
    assert track_stature_px(clubs.body(5)) == pytest.approx(clubs.STATURE_PX)


def test_the_square_is_around_the_hands_and_as_wide_as_a_club_reaches() -> None:
    region = track_regions(clubs.body(3))[1]
    assert (region.x, region.y) == tuple(clubs.HANDS)
    assert region.size == pytest.approx(2 * REACH * clubs.STATURE_PX)


def test_hands_that_are_lost_for_a_while_are_bridged() -> None:
    body = clubs.body(5)
    xy = body.xy.copy()
    xy[2:4] = np.nan
    middle = track_hands(replace(body, xy=xy))
    assert middle[2] == pytest.approx(clubs.HANDS)


def test_a_golfer_who_is_never_seen_has_no_squares() -> None:
    body = clubs.body(4)
    assert track_regions(replace(body, xy=np.full_like(body.xy, np.nan))) == ()


def test_hands_are_hidden_where_neither_wrist_is_sure() -> None:
    """Both are unsure by a tenth of the stature in the second frame, one of them in the third."""
    body = clubs.body(3)
    sd = body.sd_px.copy()
    sd[1:, BODY_LANDMARKS.index("lead_wrist")] = 0.1 * clubs.STATURE_PX
    sd[1, BODY_LANDMARKS.index("trail_wrist")] = 0.1 * clubs.STATURE_PX
    body = replace(body, sd_px=sd)
    assert list(track_hidden(body)) == [False, True, False]
    arms = track_arms(body)
    assert arms.bones is not None
    assert np.isfinite(arms.bones[:, :, 0, 0]).any(axis=0).tolist() == [False, True, False]
    assert np.isfinite(arms.forearms[0, :, 0]).tolist() == [True, False, True]
