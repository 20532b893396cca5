"""Where a golfer stands with a lesson: swings before and since, practice, and what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache

import numpy as np

from causeline.findings import explain_findings
from causeline.findings.bands import BANDS
from causeline.lesson.compose import compose_sure
from causeline.lesson.step import compose_target
from causeline.lesson.telling import compose_base, compose_unwound
from causeline.model.clip import View
from causeline.model.course import Case
from causeline.model.findings import ClubSort, Finding
from causeline.model.lesson import Checkpoint, Lesson
from causeline.model.library import Tick
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.practice import Word
from causeline.model.progress import (
    Aim,
    Change,
    Checked,
    LeftOut,
    NextCause,
    Practised,
    Session,
    Stage,
    Standing,
    Swung,
    Unfit,
)
from causeline.progress.change import SETUP_SHARE, compare_change, compare_changes
from causeline.progress.spots import compare_spots
from causeline.quantities.uncertain import Uncertain
from causeline.reading.check_in import run_word

KEPT_CAUSES = 256
LATEST_DAYS = 2
"""Days of filming that count as now: the level moves while it is practised."""
TWICE = 2
"""Days on which a target is met before it counts as met."""
SLOW = 1.3
"""Times the golfer's usual time from the top to the ball: slower is no full swing (judged)."""

Key = tuple[str, MomentName | None]
Others = dict[str, tuple[Sequence[Session], Sequence[Session], str]]


def run_standing(case: Case) -> Standing:
    """Where the golfer stands with that lesson."""
    lesson, check = case.lesson, case.lesson.checkpoint
    practice = run_practised(lesson, case.ticks, case.now)
    sides, left_out = _sides(case)
    only = sides.only(check) if check else _Sides((), ())
    ours = [_sessions(each, check) for each in (only.before, only.after)] if check else [(), ()]
    checked = run_days(check, ours[1]) if check else ()
    met = _met(lesson, checked)
    change, others = _change(check, sides) if check else (None, ())
    return Standing(
        lesson=case.lesson_id,
        title=case.title,
        made=lesson.made,
        checkpoint=check,
        before=ours[0],
        after=ours[1],
        change=change,
        others=others,
        checked=checked,
        met_on=met,
        left_out=left_out,
        practice=practice,
        stage=_stage(case, checked, met),
    )


def run_practised(lesson: Lesson, ticks: Iterable[Tick], now: datetime) -> Practised:
    """What came of the plan: a practice is due when its day is over for the golfer."""
    done = {tick.session for tick in ticks}
    due = [
        one
        for one in lesson.sessions
        if one.starts.date() < now.astimezone(one.starts.tzinfo).date()
    ]
    missed = sum(one.uid not in done for one in due)
    last = max((tick.ticked_at for tick in ticks), default=None)
    zone = lesson.sessions[0].starts.tzinfo if lesson.sessions else now.tzinfo
    known = {one.uid for one in lesson.sessions}
    return Practised(
        planned=len(lesson.sessions),
        due=len(due),
        done=len(done & known),
        missed=missed,
        last=last.astimezone(zone).date() if last else None,
    )


def run_days(check: Checkpoint, sessions: Sequence[Session]) -> tuple[Checked, ...]:
    """The checkpoint's answer of each day on which something was measured, in order.

    Swings made before the day's practice count, where there are any: the end of a session is no
    test of what stays.
    """
    answers = []
    for day in sorted({session.day for session in sessions}):
        mine = [session for session in sessions if session.day == day]
        fresh = [session for session in mine if not session.practised]
        values = [value for session in fresh or mine for value in session.values]
        mean = _mean(values)
        answers.append(Checked(day, run_word(check, mean)[0], mean, len(values), not fresh))
    return tuple(answers)


def _met(lesson: Lesson, checked: Sequence[Checked]) -> tuple[date, ...]:
    """Days on which the target was met, without practice before, since its plan began.

    A target that moved on has a plan of its own: what was filmed before it met the last one.
    """
    began = lesson.sessions[0].starts.date() if lesson.sessions else lesson.made
    there = (one for one in checked if one.word is Word.THERE and not one.practised)
    return tuple(one.day for one in there if one.day >= began)


def _mean(values: Sequence[Uncertain]) -> Uncertain:
    """A day's mean as measured; what the set-up does to all swings does not shrink."""
    stated = float(np.mean([value.sd**2 for value in values]))
    variance = stated * (SETUP_SHARE + (1 - SETUP_SHARE) / len(values))
    return Uncertain(float(np.mean([value.value for value in values])), float(np.sqrt(variance)))


def run_further(
    check: Checkpoint, checked: Sequence[Checked], met: Sequence[date]
) -> Checkpoint | None:
    """The next step from where the golfer is on the days that met the target.

    None where they are in the band already, or where the step would lead back.
    """
    values = [one.value for one in checked if one.day in met and one.value][-TWICE:]
    if not values:
        return None
    level = float(np.mean([value.value for value in values]))
    sd = float(np.mean([value.sd for value in values]))
    low = -np.inf if check.low is None else check.low
    high = np.inf if check.high is None else check.high
    target = compose_target(level, low, high, check.detectable)
    if target is None or (target > level) != check.upward:
        return None
    return replace(check, now=Uncertain(level, sd), target=target)


def run_next(case: Case) -> NextCause | None:
    """What the newest day's swings say comes first now; None where nothing is sure enough."""
    struck = [swing for swing in case.swings if swing.struck and swing.day > case.lesson.made]
    if not struck:
        return None
    day = max(swing.day for swing in struck)
    newest = {swing.view: swing for swing in reversed(struck) if swing.day == day}
    seen = tuple((view, swing.measures) for view, swing in newest.items())
    cause = _sure_cause(seen, case.lesson.club)
    if cause is None:
        return None
    again = cause.name == case.lesson.cause
    return NextCause(cause.name, cause.title, cause.probability, cause.sentence, day, again)


@lru_cache(maxsize=KEPT_CAUSES)
def _sure_cause(
    seen: tuple[tuple[View, tuple[Measure | Refusal, ...]], ...], club: ClubSort | None
) -> Finding | None:
    """What the same measures say is worked out once: a morning asks for it of every golfer."""
    return compose_sure(explain_findings(dict(seen), club))


def _stage(case: Case, checked: Sequence[Checked], met: Sequence[date]) -> Stage:
    """Met on two separate days: further, or on to the next cause; else what its time has come."""
    check, lesson = case.lesson.checkpoint, case.lesson
    if check and len(met) >= TWICE:
        return Stage.FURTHER if run_further(check, checked, met) else Stage.NEXT
    if case.now.date() < lesson.film_again:
        return Stage.PRACTISE
    filmed = any(one.day >= lesson.film_again for one in checked)
    return Stage.OVER if filmed and not met else Stage.FILM


@dataclass(frozen=True, slots=True)
class _Sides:
    """Swings of before and of since that may be compared, from any place."""

    before: tuple[Swung, ...]
    after: tuple[Swung, ...]

    def only(self, check: Checkpoint) -> _Sides:
        """Those in which the checkpoint was measured."""

        def has(swing: Swung) -> bool:
            seen = swing.measure(check.measure, check.moment) is not None
            return swing.view is check.view and seen

        return _Sides(tuple(filter(has, self.before)), tuple(filter(has, self.after)))

    def latest(self, days: int) -> _Sides:
        """With the latest days of since alone."""
        kept = sorted({swing.day for swing in self.after})[-days:]
        return _Sides(self.before, tuple(one for one in self.after if one.day in kept))


def _sides(case: Case) -> tuple[_Sides, tuple[LeftOut, ...]]:
    """Every swing that counts on its side; those since that do not, with why."""
    own = {swing.sha256 for swing in case.lesson.swings}
    before: list[Swung] = []
    after: list[Swung] = []
    out: list[LeftOut] = []
    for swing in sorted(case.swings, key=lambda one: (one.day, one.name, one.number)):
        early = swing.clip in own or swing.day <= case.lesson.made
        older = case.since is not None and swing.day <= case.since and swing.clip not in own
        why = _unfit(case.lesson, swing)
        if why is None and not older:
            (before if early else after).append(swing)
        elif why is not None and not early:
            out.append(LeftOut(swing.day, swing.name, swing.number, why))
    slow = _slow(before, after)
    out += [LeftOut(one.day, one.name, one.number, Unfit.SLOW) for one in slow]
    kept = tuple(one for one in after if one not in slow)
    return _Sides(tuple(before), kept), (*out, *_unseen(case.lesson.checkpoint, kept))


def _unfit(lesson: Lesson, swing: Swung) -> Unfit | None:
    if swing.hand is not lesson.golfer.hand:
        return Unfit.OTHER_HAND
    if not swing.struck:
        return Unfit.NO_BALL
    if lesson.club and swing.club and swing.club is not lesson.club:
        return Unfit.OTHER_CLUB
    return None


def _unseen(check: Checkpoint | None, after: Sequence[Swung]) -> list[LeftOut]:
    """Swings since in which the checkpoint is not to be seen, on days without a better one."""
    if check is None:
        return []
    seen = _Sides((), tuple(after)).only(check).after
    days = {swing.day for swing in seen if swing.view is check.view}
    out = []
    for swing in after:
        if swing.view is not check.view and swing.day not in days:
            out.append(LeftOut(swing.day, swing.name, swing.number, Unfit.OTHER_VIEW))
        elif swing.view is check.view and swing not in seen:
            why = next(
                (one.refused for one in swing.measures if isinstance(one, Refusal)
                 and (one.name, one.moment) == (check.measure, check.moment)), "",
            )  # fmt: skip
            out.append(LeftOut(swing.day, swing.name, swing.number, Unfit.UNMEASURED, why))
    return out


def _slow(before: Sequence[Swung], after: Sequence[Swung]) -> list[Swung]:
    """Swings made slowly, as in a drill: what shows in them need not show at full speed."""
    usual = [one.value for swing in before if (one := swing.measure("downswing_time", None))]
    if not usual:
        return []
    longest = SLOW * float(np.median(usual))
    times = [(swing, swing.measure("downswing_time", None)) for swing in after]
    return [swing for swing, one in times if one and one.value - one.sd > longest]


def _change(check: Checkpoint, sides: _Sides) -> tuple[Change | None, tuple[Change, ...]]:
    """The change in the checkpoint's measure, and in everything else that findings look at."""
    ours, everything = sides.only(check).latest(LATEST_DAYS), sides.latest(LATEST_DAYS)
    if not ours.before or not ours.after:
        return None, ()
    aim = Aim(check.measure, check.upward)
    was, is_now = _sessions(ours.before, check), _sessions(ours.after, check)
    aimed = compare_change(was, is_now, aim, check.unit)
    return compare_changes(aimed, _others(check, everything))


def _others(check: Checkpoint, sides: _Sides) -> Others:
    """Every other measure of the bands that both sides have, by name, moment and view."""
    found: Others = {}
    for band in BANDS.values():
        if compose_base(band.measure) == compose_base(check.measure):
            continue
        for view in band.views:
            before, after = (
                [swing for swing in side if swing.view is view]
                for side in (sides.before, sides.after)
            )
            key = (band.measure, band.moment)
            unit = _unit(key, before)
            was, is_now = _sessions_of(before, key, unit), _sessions_of(after, key, unit)
            if was and is_now:
                found[run_key(band.measure, band.moment, view)] = was, is_now, unit
    return found


def run_key(measure: str, moment: MomentName | None, view: View) -> str:
    """How another measure that changed is named: measure, moment and view."""
    return f"{measure}@{moment.value if moment else ''}@{view.value}"


def _unit(key: Key, swings: Sequence[Swung]) -> str:
    return next((one.unit for swing in swings if (one := swing.measure(*key))), "")


def _sessions(swings: Sequence[Swung], check: Checkpoint) -> tuple[Session, ...]:
    key = (check.measure, check.moment)
    return _sessions_of(swings, key, check.unit, check.now.value)


def _sessions_of(
    swings: Sequence[Swung], key: Key, unit: str, near: float | None = None
) -> tuple[Session, ...]:
    """Swings of one day from one spot, with or without practice before, are a session."""
    groups: dict[tuple[date, str, bool], list[Uncertain]] = {}
    for swing, spot in zip(swings, compare_spots(swings), strict=True):
        one = swing.measure(*key)
        if one is None:
            continue
        near = one.value if near is None else near
        value = compose_unwound(one.value, near, unit)
        groups.setdefault((swing.day, spot, swing.practised), []).append(Uncertain(value, one.sd))
    return tuple(
        Session(day, spot, tuple(values), practised)
        for (day, spot, practised), values in sorted(groups.items())
    )


def run_stopped(standing: Standing, last_sign: date | None, today: date) -> int | None:
    """Days without a sign from a golfer who had something to do; None where nothing is amiss."""
    if standing.practice.due == 0 and standing.stage is not Stage.FILM:
        return None
    since = (today - max(last_sign or standing.made, standing.made)) // timedelta(days=1)
    return since if since >= STOPPED_DAYS else None


STOPPED_DAYS = 8
"""Days without a tick, a word or a clip after which the coach should ask: two or three practices
lie in them."""
