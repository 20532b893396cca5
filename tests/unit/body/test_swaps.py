from __future__ import annotations

import numpy as np
import pytest

from causeline.body.sides import name_sides
from causeline.body.swaps import GROUPS, mend_swaps
from causeline.model.clip import Hand, View
from causeline.model.tracks import BODY_LANDMARKS
from tests.motions.puppet import Camera, Flaws, Puppet

TRUNK_PX = 190.0
NOISE_PX = 4.0


def _mended(view: View, swaps: tuple[tuple[int, int, str], ...], rate_hz: float) -> np.ndarray:
    """(n, 3): where trunk, arms and legs were exchanged back."""
    puppet = Puppet(camera=Camera(view), rate_hz=rate_hz)
    track = puppet.landmarks(Flaws(noise_px=NOISE_PX, swaps=swaps))
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    *_, mended = mend_swaps(track.time_s, xy, confidence, TRUNK_PX)
    return np.stack(
        [mended[:, BODY_LANDMARKS.index(f"lead_{parts[0]}")] for parts in GROUPS.values()], axis=1
    )


def _expected(n: int, swaps: tuple[tuple[int, int, str], ...]) -> np.ndarray:
    exchanged = np.zeros((n, 3), bool)
    for first, last, part in swaps:
        for column, group in enumerate(GROUPS):
            exchanged[first : last + 1, column] |= part in ("whole", group)
    return exchanged


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("rate_hz", [30.0, 60.0])
@pytest.mark.parametrize(
    "swaps_s",
    [
        (),
        ((1.3, 1.4, "whole"),),
        ((1.75, 1.95, "whole"),),
        ((1.75, 1.95, "arms"), (2.2, 2.3, "legs")),
        ((1.4, 1.4, "legs"), (2.0, 2.05, "arms")),
    ],
    ids=["none", "going back", "at the top", "arms, then legs", "single frames"],
)
def test_exchanges_are_found_where_they_are(
    view: View, rate_hz: float, swaps_s: tuple[tuple[float, float, str], ...]
) -> None:
    swaps = tuple((int(a * rate_hz), int(b * rate_hz), part) for a, b, part in swaps_s)
    mended = _mended(view, swaps, rate_hz)
    assert np.array_equal(mended, _expected(len(mended), swaps))


def test_a_second_of_exchange_in_the_follow_through_is_mended_face_on() -> None:
    swaps = ((138, 204, "whole"),)
    mended = _mended(View.FACE_ON, swaps, 60.0)
    assert np.array_equal(mended, _expected(len(mended), swaps))


@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 240.0])
def test_down_the_line_the_back_of_a_finished_golfer_is_no_chest(rate_hz: float) -> None:
    """The exchange begins edge-on, so only the view tells."""
    first, last = round(2.3 * rate_hz), round(3.4 * rate_hz)
    puppet = Puppet(camera=Camera(View.DOWN_THE_LINE), rate_hz=rate_hz)
    track = puppet.landmarks(Flaws(noise_px=NOISE_PX, swaps=((first, last, "whole"),)))
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    *_, mended = mend_swaps(track.time_s, xy, confidence, TRUNK_PX, View.DOWN_THE_LINE)
    shoulder = mended[:, BODY_LANDMARKS.index("lead_shoulder")]
    assert np.mean(shoulder[first : last + 1]) > 0.99
    assert shoulder.sum() < 1.01 * (last - first + 1)


@pytest.mark.parametrize("view", list(View))
def test_the_view_exchanges_nothing_that_is_right(view: View) -> None:
    puppet = Puppet(camera=Camera(view))
    track = puppet.landmarks(Flaws(noise_px=NOISE_PX))
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    *_, mended = mend_swaps(track.time_s, xy, confidence, TRUNK_PX, view)
    assert mended.sum() == 0


@pytest.mark.parametrize("rate_hz", [30.0, 60.0])
def test_wrists_that_leap_at_the_finish_turn_nobody_about(rate_hz: float) -> None:
    """Lost behind the head they leap faster than any hands swing; that is no impact."""
    puppet = Puppet(camera=Camera(View.DOWN_THE_LINE), rate_hz=rate_hz)
    track = puppet.landmarks(Flaws(noise_px=NOISE_PX))
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    leaping = np.flatnonzero((track.time_s > 3.0) & (np.arange(len(xy)) % 4 < 2))
    for side in ("lead", "trail"):
        xy[leaping, BODY_LANDMARKS.index(f"{side}_wrist"), 0] += 2 * TRUNK_PX
    *_, mended = mend_swaps(track.time_s, xy, confidence, TRUNK_PX, View.DOWN_THE_LINE)
    assert not mended[track.time_s < 3.0].any()


def test_points_and_confidence_change_sides_together() -> None:
    puppet = Puppet(rate_hz=30.0)
    track = puppet.landmarks(Flaws(swaps=((45, 48, "arms"),)))
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    wrist = BODY_LANDMARKS.index("lead_wrist")
    confidence[45:49, wrist] = 0.5
    mended_xy, mended_confidence, _ = mend_swaps(track.time_s, xy, confidence, TRUNK_PX)
    assert np.allclose(mended_xy[45:49, wrist], puppet.body().xy[45:49, wrist])
    assert np.all(mended_confidence[45:49, BODY_LANDMARKS.index("trail_wrist")] == 0.5)


def test_frames_without_points_are_passed_over() -> None:
    track = Puppet(rate_hz=30.0).landmarks()
    xy, confidence = name_sides(track, Hand.RIGHT, 720)
    xy[10:20] = np.nan
    *_, mended = mend_swaps(track.time_s, xy, confidence, TRUNK_PX)
    assert not mended.any()
