"""What the pages about progress are given: where golfers stand, and two ways to change a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from causeline.model.course import Course
from causeline.model.library import LessonEntry


class Standings(Protocol):
    """Where one golfer stands, and all of a coach's."""

    def course(self, golfer: str) -> Course:
        """One golfer's way, by their id."""

    def morning(self, coach: str) -> tuple[Course, ...]:
        """Every golfer of a coach who is not archived, by name."""


class Plans(Protocol):
    """Ways to change a plan that was sent; both save a new version of the lesson."""

    def moved_on(self, golfer: str, lesson: str, by: str) -> LessonEntry:
        """The target moves a step on. Raises StoreError where it was not met on two days."""

    def shortened(self, golfer: str, lesson: str) -> LessonEntry:
        """What is left becomes lighter after missed practice; else it stays as it is."""


@dataclass(frozen=True, slots=True)
class ProgressDoors:
    """Both."""

    standings: Standings
    plans: Plans
