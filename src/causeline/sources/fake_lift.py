"""A lifter that knows its answer beforehand: the fake that tests, demos and benches use."""

from __future__ import annotations

from collections.abc import Callable

from causeline.model.clip import View
from causeline.model.moments import Moments
from causeline.model.motion import Motion
from causeline.model.tracks import BodyTrack, ClubTrack

LiftScript = Callable[[BodyTrack, View], Motion | None]
"""From the track and the view to what the lifter says."""


def _nothing(body: BodyTrack, view: View) -> None:
    del body, view


class FakeLifter:
    """Says what its script says; without one, that it cannot tell."""

    version = "fake"

    def __init__(self, script: LiftScript = _nothing) -> None:
        self._script = script

    def lift_body(
        self,
        body: BodyTrack,
        club: ClubTrack | None,
        moments: Moments,
        view: View,
        stature_m: float | None = None,
    ) -> Motion | None:
        """The scripted motion."""
        del club, moments, stature_m
        return self._script(body, view)
