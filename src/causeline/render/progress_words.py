"""What has changed, said to the coach: the verdict in a word, and the numbers behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from causeline.model.lesson import Checkpoint
from causeline.model.moments import MomentName
from causeline.model.practice import Word
from causeline.model.progress import Change, LeftOut, Practised, Stage, Standing, Verdict
from causeline.render.numbers import HARD_SPACE, UNIT_SIGNS, render_plain, render_uncertain
from causeline.render.words import MOMENT_PLACES, VIEW_WORDS

Titles = Mapping[str, str]
VERDICT_WORDS = {
    Verdict.CHANGED: "Changed",
    Verdict.NOT_TOLD_APART: "Not yet told apart",
    Verdict.OTHER_WAY: "Changed the other way",
    Verdict.SOMETHING_ELSE: "Changed in something else",
}
STAGE_WORDS = {
    Stage.PRACTISE: "Practise on",
    Stage.FILM: "Film again, on another day",
    Stage.OVER: "The plan is over: your word is due",
    Stage.FURTHER: "Met on two days: the target moves",
    Stage.NEXT: "In the band on two days: the next cause",
}
WORD_WORDS = {
    Word.THERE: "there",
    Word.NEARLY: "nearly",
    Word.NOT_YET: "not yet",
    Word.UNSEEN: "could not be seen",
}


def render_aim(check: Checkpoint, titles: Titles) -> str:
    """What is worked on: `Lead knee, toward the target, at the top`."""
    when = f", {MOMENT_PLACES[check.moment]}" if check.moment else ""
    return f"{titles.get(check.measure, check.measure)}{when}"


def render_other(name: str, titles: Titles) -> str:
    """Another measure that changed, by its name, moment and view."""
    measure, moment, view = name.split("@")
    when = f", {MOMENT_PLACES[MomentName(moment)]}" if moment else ""
    seen = next((words for one, words in VIEW_WORDS.items() if one.value == view), view)
    return f"{titles.get(measure, measure)}{when}, {seen}"


def render_amount(value: float, sd: float, check: Checkpoint) -> str:
    """A value with its ± in the reader's unit."""
    factor = check.shown_factor
    told = render_uncertain(value * factor, sd * abs(factor), check.shown_unit or check.unit)
    return told.replace(" ± ", f"{HARD_SPACE}±{HARD_SPACE}")


def render_target(check: Checkpoint) -> str:
    """The target in the reader's unit."""
    value = check.target * check.shown_factor
    unit = _unit(check)
    places = 1 if unit in ("ratio", "s") or abs(value) < 1 else 0
    return _with(render_plain(value, places), unit)


def render_difference(change: Change, check: Checkpoint) -> str:
    """`−16 cm ± 2 → −8 cm ± 2`."""
    before, after = (
        render_amount(one.value, one.sd, check) for one in (change.before, change.after)
    )
    return f"{before} → {after}"


def render_interval(change: Change, check: Checkpoint) -> str:
    """The difference, and the interval that holds it in 95 of 100."""
    low, high = sorted(one * check.shown_factor for one in (change.low, change.high))
    places = 0 if high - low >= 20 else 1
    unit = _unit(check)
    size, first, last = (
        ("+" if one > 0 else "") + render_plain(one, places)
        for one in (change.difference.value * check.shown_factor, low, high)
    )
    return f"Difference {_with(size, unit)}; with 95 % between {first} and {_with(last, unit)}."


def render_why(change: Change, check: Checkpoint) -> str:
    """Why the verdict is what it is, and what would settle it."""
    least = _plain(change.detectable, check)
    one = _plain(change.sem, check)
    base = f"One swing differs from the next by {one}; less than {least} could be chance."
    if change.verdict is Verdict.CHANGED:
        kept = (
            "Filmed on a day without practice before it: it was kept."
            if change.kept
            else "Filmed after practice: whether it is kept shows on another day."
        )
        return f"{base} {kept}"
    if change.verdict is Verdict.OTHER_WAY:
        return f"{base} It moved away from the target."
    return f"{base} {_settles(change)}"


def render_practice(done: Practised) -> str:
    """`5 of 8 practices done, 1 missed`."""
    if not done.planned:
        return "No practices planned"
    missed = f", {done.missed} missed" if done.missed else ""
    return f"{done.done} of {done.planned} practices done{missed}"


def render_left_out(out: Sequence[LeftOut]) -> tuple[str, ...]:
    """Each swing that does not count, and why."""
    return tuple(
        f"{render_day(one.day)}, {one.name}, swing {one.number}: {one.why.value}"
        + (f" ({one.detail})" if one.detail else "")
        for one in out
    )


def render_headline(standing: Standing) -> str:
    """The verdict in a word, or that there is none yet."""
    if standing.change is not None:
        return VERDICT_WORDS[standing.change.verdict]
    if standing.checkpoint is None:
        return "No number tells how it goes"
    return "Nothing filmed since" if not standing.after else "Nothing filmed before"


def render_day(day: date) -> str:
    """`4 May 2026`."""
    return f"{day.day} {day:%B %Y}"


def _settles(change: Change) -> str:
    if change.more_swings:
        more = "one more swing" if change.more_swings == 1 else f"{change.more_swings} more swings"
        return f"If it stays so, {more} from the same spot would settle it."
    if change.more_days:
        more = "one more day" if change.more_days == 1 else f"{change.more_days} more days"
        return f"If it stays so, filming on {more} would settle it."
    return (
        "With what was filmed before the lesson, a difference of this size cannot be told from "
        "chance, however much is filmed now."
    )


def _plain(size: float, check: Checkpoint) -> str:
    """A size to two figures, in the reader's unit."""
    value = abs(size * check.shown_factor)
    places = 0 if value >= 10 else 1
    return _with(render_plain(value, places), _unit(check))


def _with(number: str, unit: str) -> str:
    """A number and its unit, as `render_number` sets them."""
    return number + UNIT_SIGNS.get(unit, HARD_SPACE + unit)


def _unit(check: Checkpoint) -> str:
    return check.shown_unit or check.unit
