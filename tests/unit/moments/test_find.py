from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from causeline.body import refine_body
from causeline.errors import SettingError
from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName as M
from causeline.model.touched import BY_HAND, MomentMark
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.moments import find_moments
from causeline.moments.finder import Kind, find_instant
from causeline.moments.rules import CLUB_RULES
from causeline.moments.signals import Evidence, shaft_stirs
from causeline.quantities.uncertain import Uncertain
from tests.motions.puppet import PLAIN_SWING, Camera, Flaws, Puppet

FAR_M, FAR_FOCAL_PX = 40.0, 15000.0
"""So far away that what is level in space is level in the picture."""
WRISTS_LOW_FACE_ON = 0.0116
"""Share of the stature by which the engine draws wrists below their joints face-on (measured on
rendered golfers of known joints)."""
BY_GEOMETRY = (M.ARM_LEVEL_BACK, M.ARM_LEVEL_DOWN)
"""Found where they are, but for 6 ms: the yardstick of the shoulder's mark is seen short."""
WITHIN_S = {
    M.ADDRESS: 0.09,
    M.START: 0.12,
    M.SHAFT_LEVEL_BACK: 0.06,
    M.TOP: 0.04,
    M.SHAFT_LEVEL_DOWN: 0.05,
    M.IMPACT: 0.025,
    M.SHAFT_LEVEL_THROUGH: 0.025,
    M.FINISH: 0.20,
}
"""Of rules that carry what is usual in golfers over to a puppet: about two of their own ±."""


def _puppet(view: View, rate_hz: float = 60.0) -> Puppet:
    camera = Camera(view, distance_m=FAR_M, focal_px=FAR_FOCAL_PX)
    low = WRISTS_LOW_FACE_ON if view is View.FACE_ON else 0.0
    return Puppet(camera=camera, rate_hz=rate_hz, wrists_low=low)


def _errors(puppet: Puppet, body: BodyTrack) -> dict[M, float]:
    found = find_moments(body, puppet.camera.view)
    assert found.missing == ()
    return {moment.name: moment.time_s - puppet.moments[moment.name] for moment in found.found}


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 240.0])
def test_all_ten_are_found_where_they_were_put(view: View, rate_hz: float) -> None:
    puppet = _puppet(view, rate_hz)
    errors = _errors(puppet, puppet.body())
    for name in BY_GEOMETRY:
        assert abs(errors[name]) < 0.1 / rate_hz + 0.006
    for name, within_s in WITHIN_S.items():
        assert abs(errors[name]) < within_s, name


@pytest.mark.parametrize("view", list(View))
def test_noise_and_missing_frames_move_the_arms_by_less_than_half_a_frame(view: View) -> None:
    puppet = _puppet(view)
    flaws = Flaws(noise_px=4.0, missing=(20, 21, 70, 100))
    errors = _errors(puppet, refine_body(puppet.landmarks(flaws), Hand.RIGHT, 720))
    for name in BY_GEOMETRY:
        assert abs(errors[name]) < 0.5 / 60
    assert abs(errors[M.IMPACT]) < WITHIN_S[M.IMPACT]


@pytest.mark.parametrize("view", list(View))
def test_times_that_wander_are_taken_as_they_are(view: View) -> None:
    """A phone's 60 frames a second that are 11 to 22 ms apart."""
    wander = np.random.default_rng(2).uniform(0.011, 0.022, 210)
    puppet = replace(_puppet(view), times=tuple(np.cumsum(wander)))
    errors = _errors(puppet, puppet.body())
    for name in BY_GEOMETRY:
        assert abs(errors[name]) < 0.008
    assert abs(errors[M.IMPACT]) < WITHIN_S[M.IMPACT]


def test_each_moment_says_its_rule_its_frame_and_a_spread_of_a_frame_at_least() -> None:
    puppet = _puppet(View.FACE_ON)
    for moment in find_moments(puppet.body(), View.FACE_ON).found:
        assert moment.rule
        assert moment.sd_s >= 1 / 60 / np.sqrt(12)
        assert abs(puppet.time_s[moment.frame] - moment.time_s) <= 0.5 / 60 + 1e-9


def test_moments_come_in_the_order_of_the_swing() -> None:
    found = find_moments(_puppet(View.FACE_ON).body(), View.FACE_ON).found
    assert [moment.name for moment in found] == list(M)
    assert all(a.time_s <= b.time_s for a, b in pairwise(found))


def test_a_clip_that_begins_at_the_top_lacks_what_went_before_and_says_why() -> None:
    puppet = _puppet(View.FACE_ON)
    body = _cut(puppet.body(), first=round(1.86 * 60))
    moments = find_moments(body, View.FACE_ON)
    assert moments.get(M.ARM_LEVEL_BACK) is None
    assert "does not show" in moments.why_missing(M.ARM_LEVEL_BACK)
    impact = moments.get(M.IMPACT)
    assert impact is not None
    assert impact.time_s == pytest.approx(PLAIN_SWING[M.IMPACT], abs=0.03)


def test_a_clip_that_ends_before_impact_keeps_the_backswing() -> None:
    moments = find_moments(_cut(_puppet(View.FACE_ON).body(), last=round(1.95 * 60)), View.FACE_ON)
    back = moments.get(M.ARM_LEVEL_BACK)
    assert back is not None
    assert back.time_s == pytest.approx(PLAIN_SWING[M.ARM_LEVEL_BACK], abs=0.006)
    assert moments.get(M.IMPACT) is None
    assert moments.why_missing(M.IMPACT)


def test_somebody_who_stands_has_no_moments_each_with_a_reason() -> None:
    moments = find_moments(_cut(_puppet(View.FACE_ON).body(), last=50), View.FACE_ON)
    assert moments.found == ()
    assert {name for name, why in moments.missing if why} == set(M)


@pytest.mark.parametrize("view", list(View))
def test_hands_misplaced_for_an_instant_again_and_again_do_not_hide_the_swing(view: View) -> None:
    """Behind the head, twice for a thirtieth of a second: up and down three times over."""
    puppet = _puppet(view, 120.0)
    body = puppet.body()
    xy, top_s = body.xy.copy(), puppet.moments[M.TOP]
    hips = body.middle("hip")
    for away_s in (-0.10, 0.06):
        rows = np.abs(body.time_s - top_s - away_s) < 0.018
        for wrist in ("lead_wrist", "trail_wrist"):
            xy[rows, BODY_LANDMARKS.index(wrist)] = hips[rows]
    errors = _errors(puppet, replace(body, xy=xy))
    assert abs(errors[M.IMPACT]) < WITHIN_S[M.IMPACT]
    assert abs(errors[M.TOP]) < 0.15


def test_the_sound_of_the_strike_draws_impact_to_itself() -> None:
    body = _puppet(View.FACE_ON, 30.0).body()
    alone = find_moments(body, View.FACE_ON).get(M.IMPACT)
    heard = find_moments(body, View.FACE_ON, Uncertain(2.100, 0.003)).get(M.IMPACT)
    assert alone is not None
    assert heard is not None
    assert heard.time_s == pytest.approx(2.100, abs=0.003)
    assert heard.sd_s < 0.003
    assert "sound" in heard.rule


def test_a_sound_far_from_impact_is_somebody_elses() -> None:
    body = _puppet(View.FACE_ON).body()
    alone = find_moments(body, View.FACE_ON).get(M.IMPACT)
    heard = find_moments(body, View.FACE_ON, Uncertain(2.3, 0.003)).get(M.IMPACT)
    assert heard == alone


@pytest.mark.parametrize("view", list(View))
def test_where_the_club_is_seen_its_rules_take_over(view: View) -> None:
    puppet = _puppet(view)
    grip, head = puppet.club()
    body = puppet.body()
    club = ClubTrack(grip, head, np.ones(len(body)))
    moments = find_moments(body, view, club=club)
    rules = {rule.words: rule for rule in CLUB_RULES[view]}
    for name in (M.SHAFT_LEVEL_BACK, M.SHAFT_LEVEL_DOWN, M.IMPACT, M.SHAFT_LEVEL_THROUGH):
        moment = moments.get(name)
        assert moment is not None
        # Seen from so far, level in the picture is level: what near cameras ask for comes off.
        seen_s = moment.time_s - rules[moment.rule].later_s
        assert seen_s == pytest.approx(puppet.moments[name], abs=0.006)


@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 240.0])
def test_a_shaft_that_passes_its_resting_place_again_has_stirred_before(rate_hz: float) -> None:
    """Down the line the end of the shaft circles once about its place, in half a second, from 1 s
    on, before it leaves for good; until then it rests, but for a waggle that ends at 0.5 s."""
    time_s = np.arange(0.0, 1.8, 1 / rate_hz)
    since = np.maximum(time_s - 1.0, 0.0)
    turn = 2 * np.pi * since / 0.5
    end = 100.0 * np.stack([0.1 * np.sin(turn), 1.0 + 0.1 * (1 - np.cos(turn))], axis=1)
    end[:, 0] += 20.0 * np.sin(8 * np.pi * time_s) * (time_s < 0.5)
    still = np.full((len(time_s), 21, 2), 50.0)
    body = replace(
        _puppet(View.DOWN_THE_LINE).body(),
        frames=np.arange(len(time_s)),
        time_s=time_s,
        xy=still,
        confidence=np.ones(still.shape[:2]),
        sd_px=np.ones(still.shape[:2]),
    )
    club = ClubTrack(np.zeros_like(end), end, np.ones(len(end)))
    signal = shaft_stirs(Evidence(body, {}, club), over_s=0.25, most=0.04)
    instant = find_instant(time_s, signal.value, Kind.STIRS)
    assert instant is not None
    assert instant.time_s == pytest.approx(1.0 + 0.04 / 0.1 / (4 * np.pi), abs=0.012)


def test_a_club_that_is_never_seen_leaves_the_rules_of_the_body() -> None:
    body = _puppet(View.FACE_ON).body()
    nothing = np.full((len(body), 2), np.nan)
    club = ClubTrack(nothing, nothing, np.zeros(len(body)))
    with_club = find_moments(body, View.FACE_ON, club=club)
    assert with_club.found == find_moments(body, View.FACE_ON).found


def _cut(body: BodyTrack, first: int = 0, last: int | None = None) -> BodyTrack:
    inside = slice(first, last)
    return replace(
        body,
        frames=body.frames[inside],
        time_s=body.time_s[inside],
        xy=body.xy[inside],
        confidence=body.confidence[inside],
        sd_px=body.sd_px[inside],
    )


def test_a_moment_that_was_set_stands_and_what_leans_on_it_leans_on_that() -> None:
    body = _puppet(View.FACE_ON).body()
    before = find_moments(body, View.FACE_ON)
    top = before.get(M.TOP)
    assert top is not None
    mark = MomentMark(M.TOP, top.time_s - 0.04, 0.006)
    after = find_moments(body, View.FACE_ON, marks=(mark,))
    found = after.get(M.TOP)
    assert found is not None
    assert (found.time_s, found.sd_s, found.rule) == (mark.time_s, 0.006, BY_HAND)
    assert found.frame == int(body.frames[np.argmin(np.abs(body.time_s - mark.time_s))])
    assert [moment.name for moment in after.found] == [moment.name for moment in before.found]
    assert after.get(M.IMPACT) == before.get(M.IMPACT)


def test_a_set_impact_is_not_moved_by_the_sound() -> None:
    body = _puppet(View.FACE_ON).body()
    impact = find_moments(body, View.FACE_ON).get(M.IMPACT)
    assert impact is not None
    mark = MomentMark(M.IMPACT, impact.time_s + 0.01, 0.004)
    heard = Uncertain(impact.time_s, 0.003)
    found = find_moments(body, View.FACE_ON, heard, marks=(mark,)).get(M.IMPACT)
    assert found is not None
    assert found.time_s == mark.time_s


def test_moments_set_in_another_order_are_refused_and_those_of_another_swing_left_out() -> None:
    body = _puppet(View.FACE_ON).body()
    last = float(body.time_s[-1])
    wrong = (MomentMark(M.TOP, 1.5, 0.01), MomentMark(M.START, 1.6, 0.01))
    with pytest.raises(SettingError, match="top was set at"):
        find_moments(body, View.FACE_ON, marks=wrong)
    other = (MomentMark(M.TOP, last + 1.0, 0.01),)
    assert find_moments(body, View.FACE_ON, marks=other) == find_moments(body, View.FACE_ON)


def test_where_no_swing_is_found_a_set_moment_still_stands() -> None:
    body = _cut(_puppet(View.FACE_ON).body(), last=2)
    mark = MomentMark(M.ADDRESS, float(body.time_s[1]), 0.01)
    found = find_moments(body, View.FACE_ON, marks=(mark,))
    assert [moment.name for moment in found.found] == [M.ADDRESS]
    assert M.ADDRESS not in dict(found.missing)
