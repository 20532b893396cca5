"""A golfer's course as plain data, for JSON and for a table: what pages show, unrounded."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO
from typing import Any

from causeline.model.course import Course, Item
from causeline.model.progress import Change, Session, Standing
from causeline.quantities.uncertain import Uncertain
from causeline.render.progress_words import Titles, render_aim, render_headline

Json = dict[str, Any]
SCHEMA = "causeline.progress/1"
COLUMNS = (
    "golfer", "lesson", "made", "aim", "unit", "verdict", "before", "before_sd", "after",
    "after_sd", "difference", "low_95", "high_95", "detectable_95", "one_swing_sd", "more_swings",
    "more_days", "kept", "met_on", "stage", "practices_planned", "practices_due",
    "practices_done", "practices_missed", "last_sign", "film_again", "waiting",
)  # fmt: skip


def render_progress_data(course: Course, titles: Titles) -> Json:
    """Everything of one golfer. Numbers are in the measures' own units, never rounded."""
    return {
        "schema": SCHEMA,
        "golfer": {"id": course.entry.id, "name": course.entry.golfer.name},
        "today": course.today.isoformat(),
        "last_sign": course.last_sign.isoformat() if course.last_sign else None,
        "lessons": [
            _standing(standing, case.lesson.film_again.isoformat(), titles)
            for standing, case in zip(course.standings, course.cases, strict=True)
        ],
        "next_cause": _next(course),
    }


def render_morning_data(items: Sequence[Item], titles: Titles) -> Json:
    """A coach's morning: each matter, and each golfer once."""
    courses = {item.course.entry.id: item.course for item in items}
    return {
        "schema": "causeline.morning/1",
        "matters": [
            {
                "matter": item.matter.value,
                "golfer": item.course.entry.id,
                "name": item.course.entry.golfer.name,
                "days": item.days,
                "check_in": item.check_in.id if item.check_in else None,
            }
            for item in items
        ],
        "golfers": [render_progress_data(course, titles) for course in courses.values()],
    }


def render_progress_table(courses: Sequence[Course], titles: Titles) -> str:
    """One row for each golfer's newest lesson, as CSV (RFC 4180)."""
    out = StringIO()
    rows = csv.writer(out)
    rows.writerow(COLUMNS)
    for course in courses:
        rows.writerow(_row(course, titles))
    return out.getvalue()


def _row(course: Course, titles: Titles) -> list[object]:
    standing = course.standing
    name, last = _safe(course.entry.golfer.name), course.last_sign or ""
    waiting = sum(one.answered_at is None for one in course.check_ins)
    if standing is None:
        return [name, *[""] * (len(COLUMNS) - 4), last, "", waiting]
    check, change, done = standing.checkpoint, standing.change, standing.practice
    numbers: list[object] = [""] * 11
    if change is not None:
        numbers = [
            change.before.value, change.before.sd, change.after.value, change.after.sd,
            change.difference.value, change.low, change.high, change.detectable, change.sem,
            _blank(change.more_swings), _blank(change.more_days),
        ]  # fmt: skip
    return [
        name, _safe(standing.title), standing.made, render_aim(check, titles) if check else "",
        check.unit if check else "", render_headline(standing), *numbers,
        _blank(change.kept if change else None), " ".join(map(str, standing.met_on)),
        standing.stage.value, done.planned, done.due, done.done, done.missed, last,
        course.cases[0].lesson.film_again, waiting,
    ]  # fmt: skip


def _safe(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def _blank(value: object) -> object:
    return "" if value is None else value


def _standing(one: Standing, film_again: str, titles: Titles) -> Json:
    check = one.checkpoint
    return {
        "id": one.lesson,
        "title": one.title,
        "made": one.made.isoformat(),
        "aim": check
        and {
            "title": render_aim(check, titles),
            "measure": check.measure,
            "moment": check.moment.value if check.moment else None,
            "view": check.view.value,
            "unit": check.unit,
            "now": _number(check.now),
            "target": check.target,
            "band": [check.low, check.high],
        },
        "verdict": one.change.verdict.value if one.change else None,
        "headline": render_headline(one),
        "change": one.change and _change(one.change),
        "others": [_change(each) for each in one.others],
        "before": [_session(each) for each in one.before],
        "after": [_session(each) for each in one.after],
        "days": [
            {
                "day": each.day.isoformat(),
                "word": each.word.value,
                "value": each.value and _number(each.value),
                "swings": each.swings,
                "after_practice": each.practised,
            }
            for each in one.checked
        ],
        "met_on": [day.isoformat() for day in one.met_on],
        "left_out": [
            {
                "day": each.day.isoformat(),
                "clip": each.name,
                "swing": each.number,
                "why": each.why.value,
                "detail": each.detail,
            }
            for each in one.left_out
        ],
        "practice": {
            "planned": one.practice.planned,
            "due": one.practice.due,
            "done": one.practice.done,
            "missed": one.practice.missed,
            "last": one.practice.last.isoformat() if one.practice.last else None,
        },
        "stage": one.stage.value,
        "film_again": film_again,
    }


def _next(course: Course) -> Json | None:
    cause = course.next_cause
    if cause is None:
        return None
    return {
        "name": cause.name,
        "title": cause.title,
        "probability": cause.probability,
        "sentence": cause.sentence,
        "day": cause.day.isoformat(),
        "again": cause.again,
    }


def _change(change: Change) -> Json:
    return {
        "measure": change.measure,
        "before": _number(change.before),
        "after": _number(change.after),
        "difference": _number(change.difference),
        "interval_95": [change.low, change.high],
        "freedom": change.freedom,
        "one_swing_sd": change.sem,
        "detectable_95": change.detectable,
        "verdict": change.verdict.value,
        "more_swings": change.more_swings,
        "more_days": change.more_days,
        "kept": change.kept,
    }


def _session(session: Session) -> Json:
    return {
        "day": session.day.isoformat(),
        "spot": session.spot,
        "after_practice": session.practised,
        "swings": [_number(value) for value in session.values],
    }


def _number(one: Uncertain) -> Json:
    return {"value": one.value, "sd": one.sd}
