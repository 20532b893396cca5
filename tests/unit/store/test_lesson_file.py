from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from causeline.errors import LessonFileError
from causeline.lesson.compose import compose_edited, compose_lesson
from causeline.model.clip import View
from causeline.model.lesson import Golfer, Lesson, SwingRef
from causeline.model.words import Words
from causeline.store.drill_files import load_drills
from causeline.store.lesson_file import (
    SCHEMA_FILE,
    load_lesson,
    load_lesson_dict,
    save_lesson,
    save_lesson_dict,
)
from tests.unit.lesson.swings import NOTHING, brief


def _lesson() -> Lesson:
    said = "I have been trying to turn more. Grüße, “Ivo” — and a ✓."
    golfer = Golfer("Ivo", time_zone="Europe/Berlin", said=said, stature_cm=181)
    lesson = compose_lesson(brief(golfer, drills=load_drills()), Words())
    return compose_edited(lesson, "cause.what", "Too far.", "Maren Oakes")


def test_a_lesson_comes_back_as_it_was(tmp_path: Path) -> None:
    lesson = replace(_lesson(), references=(SwingRef("ref.mp4", "cc", View.FACE_ON, 2),))
    save_lesson(lesson, tmp_path / "lesson.json")
    assert load_lesson(tmp_path / "lesson.json") == lesson


def test_a_lesson_without_a_cause_comes_back_too(tmp_path: Path) -> None:
    lesson = compose_lesson(brief(findings=NOTHING), Words())
    save_lesson(lesson, tmp_path / "lesson.json")
    assert load_lesson(tmp_path / "lesson.json") == lesson


def test_a_practice_keeps_its_place_and_its_clock(tmp_path: Path) -> None:
    save_lesson(_lesson(), tmp_path / "lesson.json")
    starts = load_lesson(tmp_path / "lesson.json").sessions[0].starts
    assert (starts.hour, starts.minute) == (18, 30)
    assert str(starts.tzinfo) == "Europe/Berlin"


def test_the_schema_is_sound_and_holds_what_is_written() -> None:
    schema = json.loads(SCHEMA_FILE.read_text())
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(save_lesson_dict(_lesson()))


def test_every_field_of_the_schema_is_written_and_none_besides() -> None:
    written = json.loads(json.dumps(save_lesson_dict(_lesson())))
    assert set(written) == set(json.loads(SCHEMA_FILE.read_text())["properties"])


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"schema": "causeline.lesson/2"}, "lesson/2"),
        ({"film_again": "tomorrow"}, "film_again"),
        ({"lines": [{"id": "a"}]}, "lines.0"),
        ({"sequence": -1}, "sequence"),
        ({"more": 1}, "more"),
    ],
)
def test_a_broken_lesson_says_where(change: dict[str, object], told: str) -> None:
    with pytest.raises(LessonFileError, match=told):
        load_lesson_dict({**save_lesson_dict(_lesson()), **change})


def test_a_line_that_stands_twice_is_no_lesson() -> None:
    found = save_lesson_dict(_lesson())
    found["lines"].append(found["lines"][0])
    with pytest.raises(LessonFileError, match="each id once"):
        load_lesson_dict(found)


def test_a_zone_that_there_is_not_is_told() -> None:
    found = save_lesson_dict(_lesson())
    found["sessions"][0]["starts"]["zone"] = "Moon/Crater"
    with pytest.raises(LessonFileError, match="Moon"):
        load_lesson_dict(found)


def test_a_file_that_is_not_there_or_no_json_is_told(tmp_path: Path) -> None:
    (tmp_path / "text.json").write_text("a lesson")
    for name in ("none.json", "text.json"):
        with pytest.raises(LessonFileError, match="could not be read"):
            load_lesson(tmp_path / name)


def test_a_bare_offset_is_refused(tmp_path: Path) -> None:
    lesson = _lesson()
    bare = timezone(timedelta(hours=2))
    session = replace(lesson.sessions[0], starts=datetime(2026, 4, 9, 18, tzinfo=bare))
    with pytest.raises(ValueError, match="bare offset"):
        save_lesson(replace(lesson, sessions=(session,)), tmp_path / "lesson.json")
