"""From readings of one swing, in one view or two, to the lesson that it asks for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from causeline.errors import SettingError
from causeline.findings import explain_findings
from causeline.findings.graph import ARROWS
from causeline.lesson.compose import compose_lesson
from causeline.model.clip import View
from causeline.model.drill import Drill
from causeline.model.findings import ClubSort, Findings, Role, Ruling
from causeline.model.lesson import Brief, Golfer, Lesson, SwingRef
from causeline.model.reading import Reading, Swing
from causeline.model.words import Words


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """One swing of a reading, and in which view it is seen."""

    reading: Reading
    number: int
    """Place among the swings of the reading, from 1."""

    @property
    def swing(self) -> Swing:
        """The swing itself."""
        return self.reading.swings[self.number - 1]

    @property
    def view(self) -> View:
        """Where the camera stood."""
        return View(self.reading.view.name)

    @property
    def ref(self) -> SwingRef:
        """What finds it again."""
        clip = self.reading.clip
        return SwingRef(clip.name, clip.sha256, self.view, self.number)


@dataclass(frozen=True, slots=True)
class Order:
    """What the coach decides of a lesson."""

    golfer: Golfer
    made: date
    starts: datetime
    """The first practice, with the golfer's time zone."""
    coach: str = ""
    club: ClubSort | None = None
    rulings: tuple[Ruling, ...] = ()
    first: str = ""
    """The finding that the coach begins with; empty leaves it to the chain."""


def run_choice(reading: Reading, number: int | None = None) -> Shown:
    """A swing of a reading: that of the number, else the first that is no rehearsal.

    Raises SettingError where there is none.
    """
    count = len(reading.swings)
    if number is None:
        real = [place for place, one in enumerate(reading.swings, 1) if not one.rehearsal]
        number = (real or [1])[0]
    if not 1 <= number <= count:
        raise SettingError(
            f"swing {number} of {reading.clip.name} was asked for",
            f"its reading has {count} swing{'' if count == 1 else 's'}",
            "give a number from 1 on",
        )
    return Shown(reading, number)


def run_findings(
    shown: Sequence[Shown], club: ClubSort | None = None, rulings: Sequence[Ruling] = ()
) -> Findings:
    """What all views of the swing support together.

    Raises SettingError where two readings show the same view.
    """
    views = _by_view(shown)
    return explain_findings(
        {view: one.swing.measures for view, one in views.items()},
        club,
        rulings,
        {view: one.swing.moments for view, one in views.items()},
    )


def run_begun(found: Findings, first: str) -> Findings:
    """The findings with that one in front, as a cause of its own; as they are where it is none."""
    chosen = found.get(first)
    if chosen is None or chosen is found.cause:
        return found
    role = Role.CAUSE if chosen.explains else Role.ALONE
    begun = replace(chosen, role=role, because=None)
    rest = tuple(one for one in found.findings if one is not chosen)
    return replace(found, findings=(begun, *rest))


def run_lesson(
    shown: Sequence[Shown],
    order: Order,
    drills: Sequence[Drill],
    words: Words,
    references: Sequence[Shown] = (),
) -> Lesson:
    """The lesson of one swing. Raises SettingError where two readings show the same view."""
    views = _by_view(shown)
    brief = Brief(
        golfer=order.golfer,
        swings=tuple(one.ref for one in shown),
        measures={view: one.swing.measures for view, one in views.items()},
        findings=run_begun(run_findings(shown, order.club, order.rulings), order.first),
        drills=tuple(drills),
        made=order.made,
        starts=order.starts,
        coach=order.coach,
        club=order.club,
        references=tuple(one.ref for one in references),
        filming=tuple(advice for one in shown for advice in one.reading.filming),
        whys={(arrow.cause, arrow.effect): arrow.why for arrow in ARROWS},
    )
    return compose_lesson(brief, words)


def _by_view(shown: Sequence[Shown]) -> Mapping[View, Shown]:
    views = {one.view: one for one in shown}
    if not shown or len(views) < len(shown):
        told = ", ".join(f"{one.reading.clip.name} {one.view.value}" for one in shown) or "none"
        raise SettingError(
            f"readings of one swing came: {told}",
            "one reading is expected, or two from different places",
            "leave one out, or read it again with --view where the view was called wrongly",
        )
    return views
