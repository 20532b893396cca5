"""Drills from their files: those that come with Causeline, and a coach's own.

One TOML file for each drill; `schemas/drill-1.schema.json` is the definition of its content.
"""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

from causeline.errors import LessonFileError
from causeline.model.clip import View
from causeline.model.drill import Aim, Diagram, Dose, Drill, Mark, Place, Seen, Slip, Stage
from causeline.model.moments import MomentName

Json = dict[str, Any]

SCHEMA_FILE = Path(__file__).parent / "schemas" / "drill-1.schema.json"
SHIPPED = Path(__file__).parents[1] / "lesson" / "drills"
MOST_BYTES = 100_000
LISTS = ("treats", "equipment", "setup", "steps", "cautions")
TEXTS = ("title", "purpose", "rotation", "feel", "cue", "source")


def load_drills(own: Path | str | None = None) -> tuple[Drill, ...]:
    """The drills that come with Causeline, and those of a coach's folder.

    A coach's drill of the same name stands in for the one that came. Raises LessonFileError for a
    folder that is not there and for a file that is no drill.
    """
    found = {drill.name: drill for drill in _load_folder(SHIPPED)}
    if own is not None:
        found |= {drill.name: drill for drill in _load_folder(Path(own))}
    return tuple(found[name] for name in sorted(found))


def load_drill(path: Path | str) -> Drill:
    """One drill. Raises LessonFileError where the file is missing, broken, or no drill."""
    path = Path(path)
    try:
        if path.stat().st_size > MOST_BYTES:
            raise LessonFileError(
                f"{path} has {path.stat().st_size} bytes",
                f"a drill has {MOST_BYTES} at most",
                "Give the drill's own text file.",
            )
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise LessonFileError(
            f"{path} could not be read as a drill ({error})",
            "a TOML file was expected",
            "Compare it with a drill that comes with Causeline.",
        ) from error
    wrong = best_match(_validator().iter_errors(content))
    if wrong is not None:
        where = ".".join(str(step) for step in wrong.absolute_path) or "the file"
        raise LessonFileError(
            f"{path}, {where}: {wrong.message}",
            "a drill as docs/drills.md describes it was expected",
            "Mend that entry.",
        )
    return _drill(path, content)


def _load_folder(folder: Path) -> list[Drill]:
    if not folder.is_dir():
        raise LessonFileError(
            f"{folder} is not a folder",
            "a folder of drills was expected",
            "Make it, or name another.",
        )
    return [load_drill(path) for path in sorted(folder.glob("*.toml"))]


@cache
def _validator() -> Draft202012Validator:
    return Draft202012Validator(json.loads(SCHEMA_FILE.read_text(encoding="utf-8")))


def _drill(path: Path, content: Json) -> Drill:
    try:
        aim = _aim(content["aim"]) if "aim" in content else None
    except ValueError as error:
        raise LessonFileError(
            f"{path}, aim.moment: {error}",
            f"one of {', '.join(MomentName)} was expected",
            "Mend that entry, or leave it out for a measure of the whole swing.",
        ) from error
    lists: Json = {key: tuple(content[key]) for key in LISTS}
    texts: Json = {key: content[key] for key in TEXTS}
    return Drill(
        name=path.stem,
        **lists,
        **texts,
        place=Place(content["place"]),
        diagram=_diagram(content["diagram"]),
        dose=Dose(**content["dose"]),
        aim=aim,
        slips=tuple(Slip(**slip) for slip in content["slips"]),
        stages=tuple(Stage(**stage) for stage in content["stages"]),
        by=content.get("by", ""),
    )


def _aim(content: Json) -> Aim:
    moment = content.get("moment")
    return Aim(
        content["measure"],
        MomentName(moment) if moment is not None else None,
        View(content["view"]),
        content["unit"],
        content.get("low"),
        content.get("high"),
    )


def _diagram(content: Json) -> Diagram:
    marks = tuple(_mark(mark) for mark in content["marks"])
    return Diagram(Seen(content["seen"]), content["caption"], marks)


def _mark(content: Json) -> Mark:
    x, y = content["at"]
    to = content.get("to")
    return Mark(
        kind=content["kind"],
        at=(float(x), float(y)),
        to=None if to is None else (float(to[0]), float(to[1])),
        bend=float(content.get("bend", 0.0)),
        label=content.get("label", ""),
        pose=content.get("pose", ""),
    )
