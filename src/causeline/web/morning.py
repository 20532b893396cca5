"""The coach's morning: the workbench's first page."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse

from causeline.model.course import Item, Matter
from causeline.model.library import Coach
from causeline.model.progress import Stage, Standing, Verdict
from causeline.reading.course import run_morning, run_titles
from causeline.render.change_bar import render_change_bar
from causeline.render.progress_data import render_morning_data, render_progress_table
from causeline.render.progress_words import (
    render_aim,
    render_day,
    render_difference,
    render_headline,
    render_interval,
    render_other,
    render_practice,
    render_why,
)
from causeline.web.contract.progress import Act, MorningLine, MorningPage, MorningPart
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.show import show
from causeline.web.words import count_of

router = APIRouter(include_in_schema=False)
TITLES = {
    Matter.ANSWER: "Checked in, and wait for you",
    Matter.MOVE_ON: "Met the target on two days",
    Matter.REAL: "Really changed",
    Matter.OTHERWISE: "Changed otherwise",
    Matter.QUIET: "Gone quiet",
    Matter.DUE: "Due",
    Matter.UNSURE: "Not told apart yet, and why",
}
SIGNS = {
    Matter.ANSWER: "waiting",
    Matter.MOVE_ON: "ready",
    Matter.REAL: "ready",
    Matter.OTHERWISE: "refused",
    Matter.QUIET: "quiet-sign",
    Matter.DUE: "waiting",
    Matter.UNSURE: "working",
}
LIGHTER_FROM = 2
"""Missed practices from which a lighter plan is offered."""


@router.get("/morning")
def morning(request: Request, desk: OfDesk, coach: Who) -> Response:
    """Who checked in, who stopped, whose change is real, whose is not and why, who is due."""
    courses = desk.progress.standings.morning(coach.id)
    items = run_morning(courses)
    parts = tuple(
        MorningPart(title, SIGNS[matter], tuple(_line(one) for one in mine))
        for matter, title in TITLES.items()
        if (mine := [one for one in items if one.matter is matter])
    )
    page = MorningPage(
        day=f"{desk.library.now():%A} {render_day(desk.library.now().date())}",
        summary=_summary(items),
        parts=parts,
        going=tuple(_line(one) for one in items if one.matter is Matter.GOING),
        nobody=not courses,
    )
    return show(request, "morning.html.j2", page)


@router.get("/morning.json")
def morning_json(desk: OfDesk, coach: Who) -> Response:
    """The same as data, with everything behind it."""
    return JSONResponse(render_morning_data(_items(desk, coach), run_titles()))


@router.get("/morning.csv")
def morning_csv(desk: OfDesk, coach: Who) -> Response:
    """One row for each golfer."""
    table = render_progress_table(desk.progress.standings.morning(coach.id), run_titles())
    return _saved(table, "text/csv; charset=utf-8", "progress.csv")


def _saved(text: str, kind: str, name: str) -> Response:
    about = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=kind, headers=about)


def _items(desk: Desk, coach: Coach) -> tuple[Item, ...]:
    return run_morning(desk.progress.standings.morning(coach.id))


def _summary(items: Sequence[Item]) -> str:
    """The morning in one line."""
    waiting = sum(one.matter is Matter.ANSWER for one in items)
    golfers = len({one.course.entry.id for one in items if one.matter is not Matter.GOING})
    if not golfers:
        return "Nobody needs you this morning."
    return f"{count_of(golfers, 'golfer')} to think of, {count_of(waiting, 'check-in')} to answer."


def _line(item: Item) -> MorningLine:
    entry, standing = item.course.entry, item.course.standing
    headline, told = _told(item, standing)
    return MorningLine(
        name=entry.golfer.name,
        at=f"/golfers/{entry.id}/progress" if standing else f"/golfers/{entry.id}",
        when=_when(item),
        headline=headline,
        told=tuple(each for each in told if each),
        said=item.check_in.felt if item.check_in else "",
        bar=_bar(standing) if item.matter in _NUMBERS else "",
        acts=_acts(item, standing),
    )


_NUMBERS = (Matter.REAL, Matter.OTHERWISE, Matter.UNSURE, Matter.MOVE_ON)


def _told(item: Item, standing: Standing | None) -> tuple[str, list[str]]:
    """A headline and what stands behind it."""
    if item.matter is Matter.ANSWER and item.check_in:
        outcome = item.check_in.outcome or {}
        lines = outcome.get("lines", ())
        return (str(lines[0]) if lines else ""), [str(each) for each in lines[1:2]]
    if standing is None:
        return "No lesson sent yet", [count_of(len(item.course.clips), "clip") + " waiting"]
    if item.matter is Matter.QUIET:
        last = item.course.last_sign
        since = f"Last sign on {render_day(last)}" if last else "No sign since the lesson"
        return since, [render_practice(standing.practice)]
    if item.matter is Matter.DUE:
        return _due(item, standing), [render_practice(standing.practice)]
    return _numbers(item, standing)


def _numbers(item: Item, standing: Standing) -> tuple[str, list[str]]:
    check, change = standing.checkpoint, standing.change
    if check is None or change is None:
        return standing.title, [render_practice(standing.practice)]
    titles = run_titles()
    others = [render_other(each.measure, titles) for each in standing.others]
    also = f"Changed besides: {'; '.join(others)}." if others else ""
    step = _next(item, standing)
    told = [render_interval(change, check), render_why(change, check), also, step]
    return f"{render_aim(check, titles)}: {render_difference(change, check)}", told


def _next(item: Item, standing: Standing) -> str:
    if standing.stage is Stage.OVER:
        return "The plan is over: your word is due."
    if standing.stage is Stage.FURTHER:
        return "The target was met on two days: it can move on by a step."
    if standing.stage is not Stage.NEXT:
        return ""
    cause = item.next_cause
    if cause is None:
        return "In the band on two days, and no further cause is sure enough to name."
    again = ", which was the cause before" if cause.again else ""
    return f"In the band on two days. What comes first now: {cause.title}{again}."


def _due(item: Item, standing: Standing) -> str:
    if standing.stage is Stage.OVER:
        return "The plan is over: practised, filmed, and the target not met"
    if standing.met_on:
        return "Was there once: a film on another day would settle it"
    film_again = item.course.cases[0].lesson.film_again
    return f"To film again on {render_day(film_again)}"


def _when(item: Item) -> str:
    if item.matter is Matter.GOING:
        return ""
    if item.days < 0:
        return "tomorrow" if item.days == -1 else f"in {count_of(-item.days, 'day')}"
    return {0: "today", 1: "yesterday"}.get(item.days, f"{item.days} days")


def _bar(standing: Standing | None) -> str:
    if standing is None or standing.change is None or standing.checkpoint is None:
        return ""
    told = f"{render_headline(standing)}. {render_interval(standing.change, standing.checkpoint)}"
    return render_change_bar(standing.change, standing.checkpoint.upward, told)


def _acts(item: Item, standing: Standing | None) -> tuple[Act, ...]:
    base = f"/golfers/{item.course.entry.id}"
    if item.matter is Matter.ANSWER:
        return (Act("Answer", "/check-ins", changes=False),)
    if standing is None:
        return (Act("See the clips", base, changes=False),)
    moves = standing.stage is Stage.FURTHER and item.matter in _NUMBERS
    if moves:
        return (Act("Move the target on", f"{base}/progress/{standing.lesson}/further", True),)
    if standing.stage is Stage.NEXT and item.matter in _NUMBERS:
        return (Act("See the newest swing", base, changes=False),)
    return act_lighter(item, standing, base)


def act_lighter(item: Item, standing: Standing, base: str) -> tuple[Act, ...]:
    """A lighter plan for who missed practice and has some ahead."""
    done = standing.practice
    ahead = done.planned > done.due and done.missed >= LIGHTER_FROM
    if item.matter is not Matter.QUIET or not ahead:
        return ()
    return (Act("Make the plan lighter", f"{base}/progress/{standing.lesson}/lighter", True),)


def sign_of(standing: Standing) -> str:
    """Which sign stands before a verdict."""
    if standing.change is None:
        return "waiting"
    return {Verdict.CHANGED: "ready", Verdict.NOT_TOLD_APART: "working"}.get(
        standing.change.verdict, "refused"
    )
