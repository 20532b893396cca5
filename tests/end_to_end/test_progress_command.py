"""`causeline progress`: the verdict as text, JSON, CSV, a chart and a report."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
import pytest
from click.testing import CliRunner, Result

from causeline.cli import main
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import Library, load_library
from tests.kept_course import MADE, a_golfer_named, a_read_clip, a_sent_lesson, ticked
from tests.shelf import a_coach

BEFORE = (-9.6, -8.7, -9.0, -9.2, -8.5)
CHANGED = (-5.6, -4.7, -5.0, -5.2, -4.5)


@contextmanager
def _opened(folder: Path) -> Iterator[Library]:
    library = load_library(folder)
    try:
        yield library
    finally:
        library.close()


def _filmed(folder: Path, days: Sequence[tuple[int, Sequence[float]]], done: int = 5) -> None:
    with _opened(folder) as library:
        golfer = a_golfer_named(library, a_coach(library).id, "Ivo [Lind]")
        lesson = a_sent_lesson(library, golfer)
        ticked(library, lesson, load_lesson_dict(lesson.content), range(done))
        for day, values in days:
            a_read_clip(library, golfer, MADE + timedelta(days=day), values)


def _run(folder: Path, *options: str) -> Result:
    return CliRunner().invoke(main, ["progress", "Ivo [Lind]", "--library", str(folder), *options])


def test_a_change_is_told_with_its_numbers(tmp_path: Path) -> None:
    _filmed(tmp_path, [(0, BEFORE), (22, CHANGED)])
    done = _run(tmp_path)
    assert done.exit_code == 0
    assert "Ivo [Lind]" in done.output
    assert "Changed\n" in done.output
    assert "with 95 % between" in done.output
    assert "5 of 8 practices done" in done.output


def test_the_same_as_json_with_numbers_that_are_not_rounded(tmp_path: Path) -> None:
    _filmed(tmp_path, [(0, BEFORE), (22, CHANGED)])
    told = json.loads(_run(tmp_path, "--json").output)
    lesson = told["lessons"][0]
    assert told["schema"] == "causeline.progress/1"
    assert lesson["verdict"] == "changed"
    assert lesson["change"]["difference"]["value"] == pytest.approx(4.0)
    low, high = lesson["change"]["interval_95"]
    assert low < 4.0 < high
    assert lesson["practice"] == {
        "planned": 8, "due": 8, "done": 5, "missed": 3, "last": lesson["practice"]["last"],
    }  # fmt: skip


def test_the_same_as_a_row(tmp_path: Path) -> None:
    """Read back by the standard library's reader of RFC 4180."""
    _filmed(tmp_path, [(0, BEFORE), (22, BEFORE)])
    rows = list(csv.DictReader(StringIO(_run(tmp_path, "--csv").output)))
    assert [row["verdict"] for row in rows] == ["Not yet told apart"]
    assert float(rows[0]["difference"]) == pytest.approx(0.0)
    assert rows[0]["stage"] == "the plan is over"


def test_chart_and_report_are_written(tmp_path: Path) -> None:
    _filmed(tmp_path / "library", [(0, BEFORE), (22, CHANGED), (23, CHANGED)])
    for name in ("chart.svg", "chart.png", "chart.pdf"):
        assert _run(tmp_path / "library", "--chart", str(tmp_path / name)).exit_code == 0
    assert (tmp_path / "chart.png").read_bytes().startswith(b"\x89PNG")
    assert _run(tmp_path / "library", "--report", str(tmp_path / "term.pdf")).exit_code == 0
    pdf = pypdfium2.PdfDocument(tmp_path / "term.pdf")
    text = pdf[0].get_textpage().get_text_range()
    assert "Ivo [Lind]" in text
    assert "the next cause" in text


def test_what_cannot_be_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with _opened(tmp_path) as library:
        a_golfer_named(library, a_coach(library).id, "Ivo [Lind]")
    assert "No lesson was sent yet" in _run(tmp_path).output
    drawn = _run(tmp_path, "--chart", str(tmp_path / "chart.svg"))
    assert drawn.exit_code == 2
    nobody = CliRunner().invoke(main, ["progress", "Nobody", "--library", str(tmp_path)])
    assert nobody.exit_code == 2
    assert "no golfer is called" in nobody.output
