"""What is kept of the swings that were looked at."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from causeline.errors import NoSwingFound, NotAVideo
from causeline.model.moments import Moment, MomentName, Moments
from causeline.reading import seeing
from causeline.reading.doors import Settings

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


@pytest.mark.parametrize("opens", [True, False])
def test_networks_are_loaded_meanwhile_and_no_more_of_them_for_a_file_that_is_no_clip(
    opens: bool,
) -> None:
    heard: list[str] = []

    def load_ahead() -> Callable[[], None]:
        heard.append("loading")
        return lambda: heard.append("enough")

    def probe(_: Path) -> Any:
        heard.append("opening")
        if opens:
            return SimpleNamespace()
        raise NotAVideo("a letter came", "a video was expected", "send the film")

    doors: Any = SimpleNamespace(load_ahead=load_ahead, source=SimpleNamespace(probe=probe))
    job = seeing._Job(Path("swing.mp4"), doors, Settings(), seeing._quiet)
    with suppress(NotAVideo), job._loading():
        doors.source.probe(job.path)
    assert heard == ["loading", "opening"] + (["enough"] if not opens else [])
