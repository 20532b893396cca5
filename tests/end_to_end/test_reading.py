"""The whole walk through the hallway, on a golfer whose moments the test wrote down."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from causeline.errors import NoPersonFound, NoSwingFound, SettingError
from causeline.model.clip import Hand, ScaleFrom, View
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.tracks import ENGINE_LANDMARKS
from causeline.quantities.uncertain import Uncertain
from causeline.reading.run import Settings, run_reading
from causeline.store.reading_file import save_reading
from tests.end_to_end.scripted import HEIGHT, PATH, Heard, doors, doors_on, read, small
from tests.motions.puppet import PLAIN_SWING, Puppet

FAR_APART_S = 0.06
"""The body alone places the shaft's moments by what is typical, to within about this."""
SHARP = (MomentName.TOP, MomentName.ARM_LEVEL_BACK, MomentName.ARM_LEVEL_DOWN, MomentName.IMPACT)


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("hand", list(Hand))
def test_view_hand_and_moments_come_out_as_written(view: View, hand: Hand) -> None:
    reading = read(Puppet(camera=small(view), hand=hand)).reading
    assert (reading.view.name, reading.hand.name) == (view, hand)
    (swing,) = reading.swings
    found = {moment.name: moment for moment in swing.moments.found}
    for name in SHARP:
        # two frames at 60 Hz: the smoothing rounds the puppet's abrupt turn at the top
        assert found[name].time_s == pytest.approx(PLAIN_SWING[name], abs=2 / 60), name
    for name, moment in found.items():
        if name not in (MomentName.ADDRESS, MomentName.FINISH):
            assert moment.time_s == pytest.approx(PLAIN_SWING[name], abs=FAR_APART_S + 2 / 60), name


def test_every_measure_is_a_value_with_a_spread_or_a_refusal_with_a_reason() -> None:
    (swing,) = read(Puppet(camera=small())).reading.swings
    for each in swing.measures:
        if isinstance(each, Measure):
            assert np.isfinite(each.value)
            assert each.sd > 0
            assert each.method
        else:
            assert isinstance(each, Refusal)
            assert each.refused
    refused = {each.name for each in swing.measures if isinstance(each, Refusal)}
    assert {"shoulder_turn", "shoulder_turn_level", "pelvis_turn"} <= refused


def test_a_left_hander_has_the_mirrored_right_handers_numbers() -> None:
    right, left = (
        read(Puppet(camera=small(), hand=hand)).reading.swings[0]
        for hand in (Hand.RIGHT, Hand.LEFT)
    )
    for one, other in zip(right.measures, left.measures, strict=True):
        assert type(one) is type(other)
        if isinstance(one, Measure) and isinstance(other, Measure):
            assert other.value == pytest.approx(one.value, abs=1e-6), one.name


def test_slow_motion_that_nothing_tells_of_is_inferred_and_marked() -> None:
    filmed = Puppet(camera=small(), rate_hz=240.0)
    result = run_reading(PATH, doors_on(filmed, file_rate_hz=30.0), Settings(), Heard([]))
    clip = result.reading.clip
    assert clip.time_scale_from == ScaleFrom.INFERRED
    assert clip.clock.time_scale == 8
    top = result.reading.swings[0].moments.get(MomentName.TOP)
    assert top is not None
    assert top.time_s == pytest.approx(PLAIN_SWING[MomentName.TOP], abs=0.02)


def test_a_given_capture_rate_beats_what_is_inferred() -> None:
    filmed = Puppet(camera=small(), rate_hz=120.0)
    result = run_reading(
        PATH, doors_on(filmed, file_rate_hz=30.0), Settings(capture_hz=120.0), Heard([])
    )
    assert result.reading.clip.time_scale_from == ScaleFrom.GIVEN
    assert result.reading.clip.clock.time_scale == 4


def test_an_impossible_capture_rate_is_refused() -> None:
    with pytest.raises(SettingError, match="capture rate of 5"):
        read(Puppet(camera=small()), Settings(capture_hz=5.0))


def test_what_the_coach_says_of_view_and_hand_holds() -> None:
    settings = Settings(view=View.DOWN_THE_LINE, hand=Hand.LEFT)
    reading = read(Puppet(camera=small()), settings).reading
    assert (reading.view.name, reading.view.confidence) == (View.DOWN_THE_LINE, 1.0)
    assert (reading.hand.name, reading.hand.confidence) == (Hand.LEFT, 1.0)


def test_a_known_stature_narrows_centimetres_and_leaves_per_cent_alone() -> None:
    rough = {(m.name, m.moment): m for m in read(Puppet(camera=small())).reading.swings[0].measures}
    known = (
        read(Puppet(camera=small()), Settings(stature_m=Uncertain(1.75, 0.01)))
        .reading.swings[0]
        .measures
    )
    width = next(m for m in known if m.name == "stance_width")
    share = next(m for m in known if m.name == "stance_width_percent")
    before, before_share = rough["stance_width", width.moment], rough[share.name, share.moment]
    assert isinstance(width, Measure)
    assert isinstance(before, Measure)
    assert width.sd < before.sd
    assert isinstance(share, Measure)
    assert isinstance(before_share, Measure)
    assert share.sd == pytest.approx(before_share.sd, rel=0.05)


def test_the_golfer_is_read_and_the_bystander_is_not() -> None:
    golfer = Puppet(camera=small())
    still = replace(golfer, at_m=(0.0, 1.2)).landmarks().xy[0]
    people = [[still, xy] for xy in golfer.landmarks().xy]
    result = run_reading(PATH, doors(people, golfer.rate_hz), Settings(), Heard([]))
    wrist = result.reading.swings[0].body.point("lead_wrist")
    assert np.ptp(wrist[:, 1]) > 100


def test_two_swings_in_one_clip_give_two_readings() -> None:
    once = Puppet(camera=small()).landmarks().xy
    people = [[xy] for xy in np.concatenate([once, once])]
    result = run_reading(PATH, doors(people, 60.0), Settings(), Heard([]))
    first, second = result.reading.swings
    assert first.last_frame < second.first_frame
    tops = [swing.moments.get(MomentName.TOP) for swing in (first, second)]
    assert tops[0] is not None
    assert tops[1] is not None
    assert tops[1].time_s - tops[0].time_s == pytest.approx(3.5, abs=0.03)


def test_half_a_swing_is_read_as_far_as_it_goes() -> None:
    cut = Puppet(camera=small()).landmarks().xy[: round(60 * 2.02)]
    people = [[xy] for xy in cut]
    result = run_reading(PATH, doors(people, 60.0), Settings(), Heard([]))
    (swing,) = result.reading.swings
    assert swing.moments.get(MomentName.TOP) is not None
    assert swing.moments.get(MomentName.IMPACT) is None
    assert swing.moments.why_missing(MomentName.IMPACT)
    tempo = next(m for m in swing.measures if m.name == "tempo_ratio")
    assert isinstance(tempo, Refusal)


def test_slow_motion_that_breaks_off_is_inferred_and_read_as_far_as_it_goes() -> None:
    """At 240 Hz, stored to play at 30, and cut off 0.15 s after the strike."""
    filmed = Puppet(camera=small(), rate_hz=240.0)
    kept = filmed.landmarks().xy[: round(240 * (PLAIN_SWING[MomentName.IMPACT] + 0.15))]
    result = run_reading(PATH, doors([[xy] for xy in kept], 30.0), Settings(), Heard([]))
    clip, (swing,) = result.reading.clip, result.reading.swings
    assert clip.time_scale_from == ScaleFrom.INFERRED
    assert clip.clock.time_scale == 8
    for name in (MomentName.TOP, MomentName.IMPACT):
        moment = swing.moments.get(name)
        assert moment is not None
        assert moment.time_s == pytest.approx(PLAIN_SWING[name], abs=0.03)
    assert "part_missing" in {advice.name for advice in result.reading.filming}


def test_of_two_golfers_who_swing_side_by_side_the_nearer_is_read() -> None:
    near, late = Puppet(camera=small()), 40
    far = Puppet(camera=replace(small(), distance_m=8.0), at_m=(0.0, 1.6)).landmarks().xy
    other = np.concatenate([np.repeat(far[:1], late, axis=0), far[:-late]])
    people = [[*pair] for pair in zip(other, near.landmarks().xy, strict=True)]
    reading = run_reading(PATH, doors(people, near.rate_hz), Settings(), Heard([])).reading
    (swing,) = reading.swings
    impact = swing.moments.get(MomentName.IMPACT)
    assert impact is not None
    assert impact.time_s == pytest.approx(PLAIN_SWING[MomentName.IMPACT], abs=0.03)


def test_a_golfer_whose_feet_are_cut_off_is_read_and_the_coach_is_told() -> None:
    down = np.array([0.0, 150.0])
    low = [xy + down for xy in Puppet(camera=small()).landmarks().xy]
    reading = run_reading(PATH, doors([[xy] for xy in low], 60.0), Settings(), Heard([])).reading
    assert max(xy[:, 1].max() for xy in low) > HEIGHT
    assert reading.swings[0].moments.get(MomentName.TOP) is not None
    assert "leaves_picture" in {advice.name for advice in reading.filming}


def test_nobody_and_nobody_who_swings_are_two_different_answers() -> None:
    empty: list[list[None]] = [[None]] * 60
    with pytest.raises(NoPersonFound):
        run_reading(PATH, doors(empty, 30.0), Settings(), Heard([]))
    standing = [[Puppet(camera=small()).landmarks().xy[0]]] * 60
    with pytest.raises(NoSwingFound):
        run_reading(PATH, doors(standing, 30.0), Settings(), Heard([]))


def test_progress_is_reported_to_the_end_of_each_stage() -> None:
    heard = Heard([])
    read(Puppet(camera=small()), heard=heard)
    last = {stage: (done, total) for stage, done, total in heard.reports}
    assert len(last) >= 2
    for stage, (done, total) in last.items():
        assert done == total, stage


def test_the_reading_file_keeps_the_golfers_own_picture(tmp_path: Path) -> None:
    puppet = Puppet(camera=small(), hand=Hand.LEFT)
    result = read(puppet)
    save_reading(result.reading, tmp_path / "reading.json")
    stored = json.loads((tmp_path / "reading.json").read_text())
    tracks = stored["swings"][0]["tracks"]
    row = tracks["frame"].index(30)
    x, y, _ = tracks["body"]["lead_ankle"][row]
    shown = puppet.landmarks().xy[30][ENGINE_LANDMARKS.index("right_ankle")]
    assert (x, y) == pytest.approx(tuple(shown), abs=3.0)
