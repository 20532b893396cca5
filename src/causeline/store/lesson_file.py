"""The lesson file: one lesson as JSON, schema `causeline.lesson/1`.

`schemas/lesson-1.schema.json` is its definition. It mirrors the records of `model/lesson.py` field
by field, so that a lesson comes back as it was. Dates are ISO 8601; a practice keeps its time zone
by its name beside its local time, because an offset alone does not say what a clock will show.
"""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from pathlib import Path
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

from causeline.errors import LessonFileError
from causeline.model.lesson import Lesson
from causeline.store.whole_file import save_whole

Json = dict[str, Any]

SCHEMA = "causeline.lesson/1"
SCHEMA_FILE = Path(__file__).parent / "schemas" / "lesson-1.schema.json"


def save_lesson(lesson: Lesson, path: Path | str) -> None:
    """Write the lesson file, whole or not at all. Raises OutputError when it cannot be written."""
    text = json.dumps(save_lesson_dict(lesson), allow_nan=False, ensure_ascii=False, indent=1)
    save_whole(Path(path), (text + "\n").encode("utf-8", "backslashreplace"))


def load_lesson(path: Path | str) -> Lesson:
    """The lesson of a file. Raises LessonFileError where it is missing or broken."""
    try:
        found = json.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise LessonFileError(
            f"{path} could not be read as JSON ({error})",
            "a lesson file was expected",
            "Write it again with `causeline lesson`.",
        ) from error
    return load_lesson_dict(found, str(path))


def save_lesson_dict(lesson: Lesson) -> Json:
    """The lesson as plain data, ready for JSON: the file's whole content."""
    return {"schema": SCHEMA, **_plain(lesson)}


def load_lesson_dict(found: object, named: str = "the lesson") -> Lesson:
    """The lesson that plain data describes. Raises LessonFileError where it is none."""
    schema = found.get("schema") if isinstance(found, dict) else None
    if schema != SCHEMA or not isinstance(found, dict):
        raise LessonFileError(
            f"{named} has schema {schema!r}",
            f"this version reads {SCHEMA!r}",
            "Compose the lesson again, or use the version of Causeline that wrote the file.",
        )
    wrong = best_match(_validator().iter_errors(found))
    if wrong is not None:
        where = ".".join(str(step) for step in wrong.absolute_path) or "the file"
        raise LessonFileError(f"{named}, {where}: {wrong.message[:200]}", "", "Compose it again.")
    try:
        lesson: Lesson = _record(Lesson, {k: v for k, v in found.items() if k != "schema"})
    except (KeyError, TypeError, ValueError) as error:
        raise LessonFileError(f"{named} is no lesson ({error})", "", "Compose it again.") from error
    return lesson


@cache
def _validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, datetime):
        return {"local": value.replace(tzinfo=None).isoformat(), "zone": _zone(value)}
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    return value


def _zone(at: datetime) -> str:
    """The zone's name. Raises ValueError for a bare offset, which names no place."""
    key = getattr(at.tzinfo, "key", None) or ("UTC" if at.tzname() == "UTC" else None)
    if key is None:
        raise ValueError(
            f"got a practice at {at} with a bare offset; expected a time zone with a name: "
            "give one such as Europe/Berlin"
        )
    return str(key)


def _record(kind: type, content: Json) -> Any:
    hints = _hints(kind)
    unknown = set(content) - set(hints)
    if unknown:
        raise KeyError(f"{kind.__name__} has no {', '.join(sorted(unknown))}")
    return kind(**{key: _value(hints[key], value) for key, value in content.items()})


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _value(kind: Any, value: Any) -> Any:
    """Plain data as what an annotation asks for."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        others = [one for one in inner if one is not NoneType]
        return None if value is None else _value(others[0], value)
    if origin is tuple:
        if len(inner) == 2 and inner[1] is Ellipsis:
            return tuple(_value(inner[0], one) for one in value)
        return tuple(_value(k, one) for k, one in zip(inner, value, strict=True))
    if origin is not None:
        return dict(value)
    return _one(kind, value)


def _one(kind: type, value: Any) -> Any:
    if is_dataclass(kind):
        return _record(kind, value)
    if kind is datetime:
        return datetime.fromisoformat(value["local"]).replace(tzinfo=ZoneInfo(value["zone"]))
    if kind is date:
        return date.fromisoformat(value)
    if kind is float:
        return float(value)
    return kind(value) if issubclass(kind, StrEnum) else value
