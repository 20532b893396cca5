"""A reading in two halves: what was seen, kept in a file, and judged without the clip."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from causeline.errors import SettingError
from causeline.model.clip import Hand, View
from causeline.model.moments import MomentName
from causeline.model.motion import Correction
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.uncertain import Uncertain
from causeline.reading.pair import run_both, run_pairing
from causeline.reading.run import Settings, run_judging, run_reading, run_seeing
from causeline.sources.motion_prior import decode_prior
from causeline.store.reading_file import save_reading
from causeline.store.seen_file import load_seen, save_seen
from tests.end_to_end.scripted import PATH, Heard, doors_on, small
from tests.motions.puppet import Puppet

GOLFER = Puppet(camera=small(), rate_hz=60.0)


def test_judging_a_saved_file_gives_the_reading_of_the_clip(tmp_path: Path) -> None:
    result = run_reading(PATH, doors_on(GOLFER), Settings(), Heard([]))
    save_seen(tmp_path / "seen.npz", result.seen)
    save_reading(result.reading, tmp_path / "clip.json")
    save_reading(run_judging(load_seen(tmp_path / "seen.npz")), tmp_path / "seen.json")
    assert (tmp_path / "seen.json").read_text() == (tmp_path / "clip.json").read_text()


def test_the_coach_may_change_view_hand_and_height_afterwards() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    changed = Settings(View.DOWN_THE_LINE, Hand.LEFT, stature_m=Uncertain(1.7, 0.01))
    reading = run_judging(seen, changed)
    assert (reading.view.name, reading.hand.name) == ("down-the-line", "left")
    assert (reading.view.confidence, reading.hand.confidence) == (1.0, 1.0)
    assert reading.swings[0].body.mirrored
    assert not run_judging(seen).swings[0].body.mirrored


def test_another_capture_rate_needs_the_clip() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    with pytest.raises(SettingError, match="the clip itself again"):
        run_judging(seen, Settings(capture_hz=120.0))
    given = Settings(capture_hz=60.0)
    assert run_judging(run_seeing(PATH, doors_on(GOLFER), given), given).swings


def test_a_corrected_landmark_is_where_the_coach_set_it() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    plain = run_judging(seen, prior=decode_prior())
    swing = plain.swings[0]
    top = swing.moments.get(MomentName.TOP)
    assert top is not None
    row, hip = int(top.frame) - int(swing.body.frames[0]), BODY_LANDMARKS.index("lead_hip")
    at = swing.body.shown_xy()[row, hip]
    hips = []
    for beside in (-9.0, 9.0):
        x, y = (float(part) for part in at + np.array([beside, 0.0]))
        given = Settings(corrections=(Correction("lead_hip", top.frame, x, y, 1.0),))
        mended = run_judging(seen, given, prior=decode_prior(), before=plain).swings[0]
        assert mended.body.shown_xy()[row, hip] == pytest.approx([x, y])
        assert mended.motion is not None
        hips.append(mended.motion.point("lead_hip")[row, 1])
    # face-on, to the right in the picture is toward the target: 18 px are about 8 cm here
    assert hips[1] - hips[0] == pytest.approx(0.08, abs=0.02)


def test_a_left_handers_correction_is_given_as_the_clip_is_shown() -> None:
    seen = run_seeing(PATH, doors_on(GOLFER))
    left = Settings(hand=Hand.LEFT)
    body = run_judging(seen, left).swings[0].body
    row, frame = 5, int(body.frames[5])
    x, y = body.shown_xy()[row, 0] + [4.0, 3.0]
    set_right = (Correction("nose", frame, float(x), float(y), 1.0),)
    mended = run_judging(seen, Settings(hand=Hand.LEFT, corrections=set_right)).swings[0].body
    assert mended.shown_xy()[row, 0] == pytest.approx([x, y])


def test_two_clips_of_one_swing_make_one_body() -> None:
    front = run_seeing(PATH, doors_on(GOLFER))
    side = run_seeing(PATH, doors_on(Puppet(camera=small(View.DOWN_THE_LINE), rate_hz=60.0)))
    prior = decode_prior()
    alone, (both, there) = run_judging(front, prior=prior), run_both(front, side, prior)
    motions = alone.swings[0].motion, both.swings[0].motion
    assert motions[0] is not None
    assert motions[1] is not None
    assert motions[1].second is not None
    assert motions[1].second.view is View.DOWN_THE_LINE
    assert motions[1].second.one_swing
    assert np.nanmean(motions[1].turn_sd) < np.nanmean(motions[0].turn_sd)
    turned = [one for one in both.swings[0].measures if one.name == "shoulder_turn"]
    assert any("two views of one swing" in getattr(one, "method", "") for one in turned)
    beside = there.swings[0].motion
    assert beside is not None
    assert beside.second is not None
    assert beside.second.view is View.FACE_ON
    # one body on two clocks: at its own top each clip tells the same turn
    tops = [reading.swings[0].moments.get(MomentName.TOP) for reading in (both, there)]
    told = [
        float(np.interp(top.time_s, motion.time_s, motion.turn("shoulder_turn")[0]))
        for top, motion in zip(tops, (motions[1], beside), strict=True)
        if top is not None
    ]
    assert told[0] == pytest.approx(told[1], abs=1.5)


def test_only_swings_that_are_there_are_paired() -> None:
    front = run_seeing(PATH, doors_on(GOLFER))
    for pairs in ({1: 2}, {0: 1}, {1: 1, 2: 1}):
        with pytest.raises(SettingError, match="each goes with one other"):
            run_both(front, front, decode_prior(), pairs=pairs)


def test_clips_of_golfers_of_different_hands_are_not_paired() -> None:
    front = run_seeing(PATH, doors_on(GOLFER))
    with pytest.raises(SettingError, match=r"right-handed golfer and .* a left-handed one"):
        run_pairing(front, front, decode_prior(), Settings(), Settings(hand=Hand.LEFT))
