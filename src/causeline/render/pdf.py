"""The lesson for print: a PDF set by Typst from the same sheet that the page is made of."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typst

from causeline.model.lesson import Line, Part
from causeline.render.lesson_page import Sheet, ShownDrill, render_kept
from causeline.render.lettering import ASSETS
from causeline.render.page import TEMPLATES

Json = dict[str, Any]
TEMPLATE: Path = TEMPLATES / "lesson.typ"
PAPERS = ("a4", "us-letter")


@dataclass(frozen=True, slots=True)
class _File:
    name: str
    content: bytes


def render_pdf(sheet: Sheet, paper: str = "a4") -> bytes:
    """The lesson as a PDF with its faces and pictures inside; `paper` is one of `PAPERS`.

    Raises ValueError for another paper.
    """
    if paper not in PAPERS:
        raise ValueError(f"got paper {paper!r}; expected one of {', '.join(PAPERS)}")
    with TemporaryDirectory() as named:
        folder = Path(named)
        for file in _pictures(sheet):
            (folder / file.name).write_bytes(file.content)
        data = json.dumps(_kept(_data(sheet, paper)), ensure_ascii=False)
        (folder / "sheet.json").write_text(data, encoding="utf-8")
        (folder / "lesson.typ").write_bytes(TEMPLATE.read_bytes())
        return typst.compile(
            str(folder / "lesson.typ"), font_paths=[str(ASSETS)], ignore_system_fonts=True
        )


def _pictures(sheet: Sheet) -> list[_File]:
    files = [_File(_jpeg(name), figure.jpeg) for name, figure in sheet.figures.items()]
    files += [_File(_svg(each), each.svg.encode()) for each in sheet.drills]
    return files + ([_File("check.svg", sheet.check.encode())] if sheet.check else [])


def _jpeg(line_id: str) -> str:
    return f"{line_id}.jpg"


def _svg(shown: ShownDrill) -> str:
    return f"{shown.drill.name}.svg"


def _data(sheet: Sheet, paper: str) -> Json:
    lesson = sheet.lesson
    told = (lesson.label("lesson.for") if lesson.golfer.name else "", sheet.made)
    by = lesson.label("lesson.by") if lesson.coach else ""
    return {
        "paper": paper,
        "language": lesson.golfer.language.split("-")[0],
        "coach": lesson.coach,
        "headline": sheet.headline,
        "to": " · ".join(part for part in (told[0], by, told[1]) if part),
        "labels": dict(lesson.labels),
        "parts": {part.value: [_line(sheet, one) for one in lesson.part(part)] for part in Part},
        "proof": [_line(sheet, line) for line in sheet.proof],
        "effects": [_line(sheet, line) for line in sheet.effects],
        "after": [_line(sheet, line) for line in sheet.after],
        "root": lesson.chain[0].title if lesson.chain else sheet.headline,
        "drills": [_drill(sheet, shown) for shown in sheet.drills],
        "check": "check.svg" if sheet.check else "",
        "days": [{"day": d.day, "time": d.time, "minutes": d.minutes} for d in sheet.days],
        "film_again": sheet.film_again,
    }


def _line(sheet: Sheet, line: Line) -> Json:
    figure = sheet.figures.get(line.id)
    shown = {"file": _jpeg(line.id), "caption": figure.caption} if figure else None
    evidence = line.id.startswith("cause.evidence")
    return {"id": line.id, "text": line.text, "figure": shown, "evidence": evidence}


def _drill(sheet: Sheet, shown: ShownDrill) -> Json:
    label, drill = sheet.lesson.label, shown.drill
    return {
        "title": drill.title,
        "purpose": drill.purpose,
        "svg": _svg(shown),
        "caption": drill.diagram.caption,
        "setup": list(drill.setup),
        "steps": list(drill.steps),
        "facts": [
            (label("drill.equipment"), ", ".join(drill.equipment) or label("drill.nothing")),
            (label("drill.place"), label(f"drill.{drill.place.value}")),
            (label("drill.dose"), shown.dose),
        ],
        "cue": drill.cue,
        "feel": drill.feel,
        "stages": [{"name": s.name, "how": s.how, "move_on": s.move_on} for s in drill.stages],
        "slips": [(slip.what, slip.instead) for slip in drill.slips],
        "cautions": list(drill.cautions),
    }


def _kept(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _kept(one) for key, one in value.items()}
    return [_kept(one) for one in value] if isinstance(value, list) else render_kept(value)
