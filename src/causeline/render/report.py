"""A golfer's term on paper: each lesson with its chart and verdict, set by Typst."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typst

from causeline.model.course import Course
from causeline.model.progress import Standing
from causeline.render.lesson_page import render_kept
from causeline.render.lettering import ASSETS
from causeline.render.page import TEMPLATES
from causeline.render.progress_chart import render_progress_chart
from causeline.render.progress_lines import render_progress_lines
from causeline.render.progress_words import Titles, render_aim, render_day

Json = dict[str, Any]
PICTURES = (".svg", ".png", ".pdf")
PAPERS = ("a4", "us-letter")
PIXELS_PER_INCH = 150


def render_report(course: Course, titles: Titles, paper: str = "a4", coach: str = "") -> bytes:
    """The report as a PDF: of every lesson, the oldest first.

    Raises ValueError for another paper than `PAPERS`.
    """
    if paper not in PAPERS:
        raise ValueError(f"got paper {paper!r}; expected one of {', '.join(PAPERS)}")
    standings = course.standings[::-1]
    charts = {
        f"chart{place}.svg": render_progress_chart(one, _aim(one, titles))
        for place, one in enumerate(standings)
    }
    data: Json = {
        "paper": paper,
        "name": course.entry.golfer.name,
        "coach": coach,
        "today": render_day(course.today),
        "summary": _summary(course),
        "lessons": [
            _lesson(one, titles, name if charts[name] else "")
            for name, one in zip(charts, standings, strict=True)
        ],
        "next": f"{course.next_cause.title}" if course.next_cause else "",
        "said": [
            {"day": render_day(one.sent_at.astimezone(course.zone).date()), "felt": one.felt,
             "answer": one.answer}
            for one in course.check_ins[::-1] if one.felt or one.answer
        ],
    }  # fmt: skip
    files = {name: svg.encode() for name, svg in charts.items() if svg}
    template = (TEMPLATES / "report.typ").read_text(encoding="utf-8")
    return _set(template, {**files, "report.json": _json(data)})


def render_chart_file(svg: str, kind: str) -> bytes:
    """A chart as a file of that kind, its letters inside; `kind` is one of `PICTURES`."""
    if kind == ".svg":
        return svg.encode()
    page = '#set page(width: 190mm, height: auto, margin: 6mm)\n#image("chart.svg", width: 100%)\n'
    return _set(page, {"chart.svg": svg.encode()}, png=kind == ".png")


def _set(template: str, files: dict[str, bytes], *, png: bool = False) -> bytes:
    with TemporaryDirectory() as named:
        folder = Path(named)
        for name, content in files.items():
            (folder / name).write_bytes(content)
        (folder / "page.typ").write_text(template, encoding="utf-8")
        compiled: Callable[..., bytes] = typst.compile
        more: Json = {"format": "png", "ppi": PIXELS_PER_INCH} if png else {}
        return compiled(
            str(folder / "page.typ"), font_paths=[str(ASSETS)], ignore_system_fonts=True, **more
        )


def _json(data: Json) -> bytes:
    return json.dumps(_kept(data), ensure_ascii=False).encode("utf-8", "backslashreplace")


def _aim(standing: Standing, titles: Titles) -> str:
    return render_aim(standing.checkpoint, titles) if standing.checkpoint else standing.title


def _summary(course: Course) -> list[str]:
    """What came of the term in counts."""
    done = sum(one.practice.done for one in course.standings)
    planned = sum(one.practice.planned for one in course.standings)
    first = min((one.made for one in course.standings), default=None)
    filmed = {session.day for one in course.standings for session in one.after}
    return [
        _count(len(course.standings), "lesson") + (f" since {render_day(first)}" if first else ""),
        f"{done} of {planned} practices done",
        _count(len(filmed), "day") + " filmed after a lesson",
        _count(len(course.check_ins), "check-in"),
    ]


def _lesson(one: Standing, titles: Titles, chart: str) -> Json:
    lines = asdict(render_progress_lines(one, titles))
    days = [list(day.values()) for day in lines["days"]]
    return {**lines, "aim": _aim(one, titles), "days": days, "chart": chart}


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _kept(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _kept(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_kept(one) for one in value]
    return render_kept(value)
