"""Where in a talk-through which moment of a swing is shown: found from what was on the screen.

Nothing is listened to. A moment counts as shown where its frame, or one that its ± cannot tell from
it, stands still for a while; to run past it in playing does not count.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from causeline.model.lesson import SwingRef
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.talk import Screen, Take, Talk

Shows = tuple[SwingRef, MomentName]

LEAST_MS = 400
"""Shorter is a glance in passing."""
GAP_MS = 1500
"""To look away for less than this, a frame back and forth, is still the same place."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is known of a swing that a talk-through shows."""

    moments: Moments
    interval_s: float
    """Usual real time between its frames."""

    def shows(self, frame: int) -> MomentName | None:
        """The moment that a frame shows: the nearest within two of its ±, or a frame; else None."""
        near = [one for one in self.moments.found if abs(one.frame - frame) <= self._reach(one)]
        nearest = min(near, key=lambda one: abs(one.frame - frame), default=None)
        return None if nearest is None else nearest.name

    def _reach(self, moment: Moment) -> int:
        return max(1, int(2 * moment.sd_s / self.interval_s))


@dataclass(frozen=True, slots=True)
class Stretch:
    """A moment of a swing is on the screen from `start_ms` up to `stop_ms` of the talk."""

    swing: SwingRef
    moment: MomentName
    start_ms: int
    stop_ms: int


def shown_moments(talk: Talk, told: Mapping[SwingRef, Told]) -> tuple[Stretch, ...]:
    """Every stretch, in order of time; several swings may be on the screen at once."""
    changes = list(talk.changes())
    stops = [at for at, _, _ in changes[1:]] + [talk.lasts_ms] * bool(changes)
    going: dict[Shows, _Going] = {}
    done: list[Stretch] = []
    for (at, take, screen), stop in zip(changes, stops, strict=True):
        for shows in _seen(take, screen, told):
            before = going.get(shows)
            if before is not None and at - before.stop_ms > GAP_MS:
                done += _ended(shows, before)
                before = None
            going[shows] = _Going(
                at if before is None else before.start_ms,
                stop,
                stop - at + (0 if before is None else before.seen_ms),
            )
    for shows, last in going.items():
        done += _ended(shows, last)
    return tuple(sorted(done, key=lambda one: (one.start_ms, one.stop_ms)))


@dataclass(frozen=True, slots=True)
class _Going:
    """A stretch that may not be at its end yet."""

    start_ms: int
    stop_ms: int
    seen_ms: int
    """Of it, with the moment on the screen."""


def _ended(shows: Shows, going: _Going) -> list[Stretch]:
    """The stretch, where the moment was on the screen for long enough."""
    if going.seen_ms < LEAST_MS:
        return []
    return [Stretch(*shows, going.start_ms, going.stop_ms)]


def _seen(take: Take, screen: Screen, told: Mapping[SwingRef, Told]) -> list[Shows]:
    """Each swing and moment that is on the screen, once."""
    found: dict[Shows, None] = {}
    for row in screen.rows:
        swing = take.swings[row.swing]
        moment = told[swing].shows(row.frame) if swing in told else None
        if moment is not None:
            found[(swing, moment)] = None
    return list(found)
