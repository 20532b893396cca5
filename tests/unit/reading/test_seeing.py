"""What is kept of the swings that were looked at."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from causeline.errors import NoSwingFound
from causeline.model.moments import Moment, MomentName, Moments
from causeline.reading import seeing

TOP = Moments((Moment(MomentName.TOP, 1.0, 0.01, 30, "by hand"),))
NONE = Moments((), ((MomentName.TOP, "the arms are hidden"),))


def _looked(*moments: Moments) -> list[Any]:
    return [(SimpleNamespace(moments=each), {}) for each in moments]


def test_a_swing_of_which_no_moment_is_known_is_left_out() -> None:
    kept = seeing._told(_looked(NONE, TOP, NONE))
    assert [tracks.moments for tracks, _ in kept] == [TOP]


def test_a_clip_of_which_no_moment_is_known_is_refused_with_the_reason() -> None:
    with pytest.raises(NoSwingFound, match=r"the arms are hidden\. .* was expected\. Film again"):
        seeing._told(_looked(NONE, NONE))


def test_what_is_not_found_in_a_damaged_clip_may_be_in_what_was_lost() -> None:
    clip: Any = SimpleNamespace(damaged=37)
    lost = r"37 frames could not be decoded, and in the rest .*\. Send the file once more"
    with pytest.raises(NoSwingFound, match=lost), seeing._owning_up(clip):
        raise NoSwingFound("the hands never rise", "a swing was expected", "film again")
