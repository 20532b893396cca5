"""A lesson in a coach's hands: words edited, strengths left out, drills chosen, composed again."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from causeline.errors import LessonFileError
from causeline.lesson.compose import compose_edited
from causeline.model.drill import Drill
from causeline.model.lesson import MOST_DRILLS, Lesson, Part


def run_edited(lesson: Lesson, texts: Mapping[str, str], by: str) -> Lesson:
    """The lesson with the lines of `texts` (id to new text) rewritten; an empty text drops a line.

    What the template wrote stays beside each edited line; a text that is unchanged is no edit.

    Raises LessonFileError for a line that the lesson does not have.
    """
    for name, text in texts.items():
        line = lesson.line(name)
        if line is None:
            raise LessonFileError(
                f"the lesson has no line {name!r}",
                "one of its own lines was expected",
                "open the lesson again: somebody may have composed it anew",
            )
        if not text.strip():
            left = tuple(one for one in lesson.lines if one.id != name)
            lesson = replace(lesson, lines=left)
        elif text.strip() != line.text:
            lesson = compose_edited(lesson, name, text.strip(), by)
    return lesson


def run_shelf(
    drills: Sequence[Drill], cause: str, chosen: Sequence[str], check: str
) -> list[Drill]:
    """The shelf from which only the chosen drills suit the cause, the first two of them.

    `check` names the one whose aim becomes the checkpoint; empty leaves the choice to their aims.
    Names that the shelf lacks are passed over.
    """
    kept = [name for name in chosen if any(one.name == name for one in drills)][:MOST_DRILLS]
    return [_suited(drill, cause, drill.name in kept, check) for drill in drills]


def _suited(drill: Drill, cause: str, wanted: bool, check: str) -> Drill:
    treats = tuple(name for name in drill.treats if name != cause)
    if not wanted:
        return replace(drill, treats=treats or ("",))
    aim = drill.aim if check in ("", drill.name) else None
    return replace(drill, treats=(cause, *treats), aim=aim)


def run_revised(fresh: Lesson, before: Lesson, by: str) -> Lesson:
    """A lesson composed anew, with the coach's own words of before where the line is still there.

    Strengths that the coach had left out stay out.
    """
    edited = [line for line in before.lines if line.written is not None]
    for line in edited:
        if fresh.line(line.id) is not None:
            fresh = compose_edited(fresh, line.id, line.text, line.edited_by or by)
    kept = {line.id for line in before.part(Part.STRENGTHS)}
    known = {name for line in fresh.part(Part.STRENGTHS) for name in line.source}
    if not kept or not known:
        return fresh
    lines = tuple(
        line for line in fresh.lines if line.part is not Part.STRENGTHS or line.id in kept
    )
    return (
        replace(fresh, lines=lines) if any(one.part is Part.STRENGTHS for one in lines) else fresh
    )


def run_differing(mine: Lesson, theirs: Lesson, texts: Collection[str]) -> dict[str, str]:
    """Of the lines named in `texts`: how the other version has them, where it differs."""
    found = {}
    for name in texts:
        other, own = theirs.line(name), mine.line(name)
        if other is not None and (own is None or other.text != own.text):
            found[name] = other.text
    return found
