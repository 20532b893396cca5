"""Where a golfer stands with a lesson, in lines: the same on screen, on paper and in the shell."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.model.lesson import Checkpoint
from causeline.model.progress import Checked, Standing
from causeline.render.progress_words import (
    STAGE_WORDS,
    WORD_WORDS,
    Titles,
    render_aim,
    render_amount,
    render_day,
    render_difference,
    render_headline,
    render_interval,
    render_left_out,
    render_other,
    render_practice,
    render_target,
    render_why,
)


@dataclass(frozen=True, slots=True)
class DayLine:
    """One day's answer to the checkpoint."""

    day: str
    swings: str
    mean: str
    """With its ±; empty where nothing was measured."""
    word: str


@dataclass(frozen=True, slots=True)
class ProgressLines:
    """One lesson and what came of it."""

    title: str
    made: str
    aim: str
    """What is worked on; empty where the lesson has no checkpoint."""
    target: str
    headline: str
    """The verdict in a word."""
    difference: str
    """Before and after; empty where there is no verdict."""
    told: tuple[str, ...]
    """The interval, and why the verdict is what it is."""
    others: tuple[str, ...]
    """What else changed."""
    days: tuple[DayLine, ...]
    left_out: tuple[str, ...]
    practice: str
    """What was practised, and what the lesson has come to."""


def render_progress_lines(one: Standing, titles: Titles) -> ProgressLines:
    """Everything that is said of one lesson to the coach."""
    check, change = one.checkpoint, one.change
    return ProgressLines(
        title=one.title,
        made=render_day(one.made),
        aim=render_aim(check, titles) if check else "",
        target=render_target(check) if check else "",
        headline=render_headline(one),
        difference=render_difference(change, check) if change and check else "",
        told=(render_interval(change, check), render_why(change, check))
        if change and check
        else (),
        others=tuple(render_other(each.measure, titles) for each in one.others),
        days=tuple(_day(day, check) for day in one.checked),
        left_out=render_left_out(one.left_out),
        practice=f"{render_practice(one.practice)}. {STAGE_WORDS[one.stage]}.",
    )


def _day(day: Checked, check: Checkpoint | None) -> DayLine:
    return DayLine(
        day=render_day(day.day),
        swings=str(day.swings),
        mean=render_amount(day.value.value, day.value.sd, check) if day.value and check else "",
        word=WORD_WORDS[day.word] + (", after practice" if day.practised else ""),
    )
