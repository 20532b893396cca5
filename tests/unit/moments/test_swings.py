from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from causeline.errors import NoPersonFound, NoSwingFound
from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName as M
from causeline.model.tracks import LandmarkTrack
from causeline.moments import find_swinger, find_swings, swings
from causeline.moments.coarse import hands_height
from tests.motions.puppet import PLAIN_SWING, Camera, Flaws, Puppet
from tests.motions.scenes import (
    HANDS,
    cut,
    joined,
    standing,
    stretching,
    teeing,
    thinned,
    waggling,
    walking,
)

ROUGH_S = 0.12
"""Top and impact of a window are rough: one step of a coarse look, and the height's own peak."""


def _nobody(track: LandmarkTrack) -> LandmarkTrack:
    return replace(track, xy=np.full_like(track.xy, np.nan))


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("every", [1, 5])
def test_one_swing_is_one_window_around_it(view: View, hand: Hand, every: int) -> None:
    puppet = Puppet(camera=Camera(view), hand=hand)
    track = thinned(puppet.landmarks(Flaws(noise_px=4.0)), every)
    (window,) = find_swings(track)
    assert window.whole
    assert window.confidence > 0.8
    assert window.top_s == pytest.approx(PLAIN_SWING[M.TOP], abs=ROUGH_S)
    assert window.impact_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=ROUGH_S)
    assert window.first_frame / 60 < PLAIN_SWING[M.ADDRESS]
    assert window.last_frame / 60 > PLAIN_SWING[M.FINISH]


@pytest.mark.parametrize("slower", [1.0, 2.0, 4.0, 8.0])
def test_a_swing_may_last_as_long_as_it_likes(slower: float) -> None:
    puppet = Puppet(rate_hz=30.0).slowed(slower)
    (window,) = find_swings(puppet.landmarks(Flaws(noise_px=3.0)))
    assert window.whole
    assert window.impact_s == pytest.approx(slower * PLAIN_SWING[M.IMPACT], abs=slower * ROUGH_S)


def test_three_swings_are_three_windows_that_do_not_touch() -> None:
    swing = Puppet(duration_s=4.5).landmarks(Flaws(noise_px=3.0))
    windows = find_swings(joined(swing, swing, swing))
    assert [window.whole for window in windows] == [True, True, True]
    for k, window in enumerate(windows):
        assert window.impact_s == pytest.approx(4.5 * k + PLAIN_SWING[M.IMPACT], abs=ROUGH_S)
    for before, after in pairwise(windows):
        assert before.last_frame < after.first_frame


def test_what_golfers_do_around_a_swing_is_no_swing() -> None:
    swing = Puppet().landmarks(Flaws(noise_px=3.0))
    day = joined(
        walking(2.0), teeing(3.0), standing(1.0), waggling(2.0), swing, standing(1.0), walking(2.0)
    )
    (window,) = find_swings(day)
    assert window.impact_s == pytest.approx(8.0 + PLAIN_SWING[M.IMPACT], abs=ROUGH_S)


@pytest.mark.parametrize(
    "track",
    [standing(4.0), waggling(4.0), walking(4.0), teeing(4.0), stretching(6.0)],
    ids=["standing", "waggling", "walking", "teeing a ball", "stretching"],
)
def test_without_a_swing_none_is_found_and_the_error_says_what_to_do(track: LandmarkTrack) -> None:
    with pytest.raises(NoSwingFound, match="Film one whole swing"):
        find_swings(track)


@pytest.mark.parametrize(
    ("heights", "said"),
    [
        ([np.nan, np.nan], "nowhere plainly seen"),
        ([0.0, 0.1, 0.4, 0.1], "never rise to the shoulders"),
        ([0.0, 0.3, 0.8, 1.2, 1.3], "half a swing"),
        ([1.2, 0.9, 1.3, 0.4], "not up, down and up again"),
    ],
)
def test_what_was_seen_instead_of_a_swing_is_said(heights: list[float], said: str) -> None:
    came, _, _ = swings._what_was_seen(np.array(heights))
    assert said in came


def test_a_half_swing_to_the_waist_is_practice() -> None:
    with pytest.raises(NoSwingFound, match="A full swing with both hands was expected"):
        find_swings(Puppet(backswing=0.35).landmarks())


@pytest.mark.parametrize("backswing", [0.45, 0.55])
@pytest.mark.parametrize("view", list(View))
def test_a_half_swing_is_a_swing_when_it_goes_through_to_a_finish(
    view: View, backswing: float
) -> None:
    """The hands stop between waist and shoulders; without what follows it is a rehearsal."""
    track = Puppet(camera=Camera(view), backswing=backswing).landmarks(Flaws(noise_px=3.0))
    assert 0.5 < np.nanmax(hands_height(track)[: round(60 * PLAIN_SWING[M.IMPACT])]) < 1.0
    (window,) = find_swings(thinned(track, 4))
    assert window.whole
    assert window.impact_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=ROUGH_S)
    back = cut(track, 0.0, PLAIN_SWING[M.IMPACT])
    with pytest.raises(NoSwingFound):
        find_swings(joined(back, standing(1.0)))


def test_hands_that_hide_behind_the_head_do_not_hide_the_swing() -> None:
    """A fifth of a second at the top in which the engine, unsure, has the wrists at the hips."""
    track = Puppet().landmarks(Flaws(noise_px=3.0))
    hidden = np.abs(track.time_s - PLAIN_SWING[M.TOP]) < 0.1
    xy, confidence = track.xy.copy(), track.confidence.copy()
    for frame in np.flatnonzero(hidden):
        xy[frame, HANDS] = track.xy[30, HANDS]
        confidence[frame, HANDS] = 0.15
    (window,) = find_swings(thinned(replace(track, xy=xy, confidence=confidence), 4))
    assert window.whole
    assert window.top_s == pytest.approx(PLAIN_SWING[M.TOP], abs=ROUGH_S + 0.1)
    assert window.impact_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=ROUGH_S)


def test_one_wrist_misplaced_at_address_does_not_hide_the_swing() -> None:
    """Until the hands are half-way up, the engine has one wrist a trunk's length away."""
    track = Puppet().landmarks(Flaws(noise_px=3.0))
    xy = track.xy.copy()
    xy[track.time_s < PLAIN_SWING[M.ARM_LEVEL_BACK], HANDS[0], 0] += 250.0
    (window,) = find_swings(thinned(replace(track, xy=xy), 4))
    assert window.whole


@pytest.mark.parametrize(
    ("first_s", "last_s", "lacks"),
    [
        (0.0, 1.95, "ends before impact"),
        (0.0, 2.14, "ends before the finish"),
        (1.86, 3.5, "begins after the backswing"),
    ],
)
def test_half_a_swing_is_found_and_marked(first_s: float, last_s: float, lacks: str) -> None:
    (window,) = find_swings(cut(Puppet().landmarks(), first_s, last_s))
    assert lacks in window.lacks
    assert window.confidence < 0.9


def test_the_one_who_swings_is_found_among_others() -> None:
    swing = Puppet().landmarks(Flaws(noise_px=3.0))
    others = [standing(3.5), walking(3.5), waggling(3.5)]
    assert find_swinger([others[0], others[1], swing, others[2]]) == 2


def test_of_two_who_swing_the_larger_is_meant() -> None:
    near = Puppet().landmarks(Flaws(noise_px=2.0))
    far = Puppet(camera=Camera(distance_m=9.0)).landmarks(Flaws(noise_px=2.0))
    assert find_swinger([far, near]) == 1


def test_a_golfer_whom_the_engine_never_saw_is_no_golfer() -> None:
    with pytest.raises(NoPersonFound, match="whole golfer in the picture"):
        find_swinger([_nobody(standing(2.0))])
    with pytest.raises(NoPersonFound):
        find_swinger([])


def test_frames_without_landmarks_are_passed_over() -> None:
    track = Puppet().landmarks(Flaws(noise_px=3.0))
    xy = track.xy.copy()
    xy[30:45] = np.nan
    (window,) = find_swings(replace(track, xy=xy))
    assert window.whole


def test_single_wild_frames_neither_hide_a_swing_nor_make_one() -> None:
    """The hands at the hips for one frame of the backswing, and thrice in the finish."""
    track = Puppet().landmarks(Flaws(noise_px=3.0))
    xy = track.xy.copy()
    for frame in (95, 175, 180, 200):
        xy[frame, HANDS] = track.xy[30, HANDS]
    (window,) = find_swings(replace(track, xy=xy))
    assert window.whole
    assert window.impact_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=ROUGH_S)


@pytest.mark.parametrize("way", [0.25, 0.4])
def test_one_look_that_misplaces_the_hands_behind_the_head_hides_no_swing(way: float) -> None:
    """Fifteen looks a second leave a misplaced one without a neighbour to be held against."""
    track = thinned(Puppet().landmarks(Flaws(noise_px=3.0)), 4)
    xy = track.xy.copy()
    look = int(np.searchsorted(track.time_s, PLAIN_SWING[M.TOP]))
    xy[look, HANDS] += way * (track.xy[8, HANDS] - xy[look, HANDS])
    (window,) = find_swings(replace(track, xy=xy))
    assert window.whole
    assert window.impact_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=ROUGH_S)


def test_a_window_found_coarsely_holds_the_same_swing_when_looked_at_closely() -> None:
    track = Puppet(duration_s=5.0).landmarks(Flaws(noise_px=3.0))
    (coarse,) = find_swings(thinned(track, 5))
    (fine,) = find_swings(cut(track, coarse.first_frame / 60, coarse.last_frame / 60))
    assert fine.whole
    assert fine.impact_s == pytest.approx(coarse.impact_s, abs=ROUGH_S)
