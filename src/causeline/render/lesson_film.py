"""The film of a lesson: which views it shows, where each stands still, and what the cards say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from causeline.model.clip import View
from causeline.model.lesson import Lesson, Line, Part
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.render.film_parts import Act, Card, Film
from causeline.render.film_plan import Rest
from causeline.render.lesson_figures import Scene, render_reader, render_taken
from causeline.render.lesson_page import render_date

LONGEST = 260
"""Letters of a line that can be read while the film stands still."""
MOST_RESTS = 4
"""In one view: more are not watched."""
PAUSES = (MomentName.TOP, MomentName.IMPACT)
"""Where a view stands still of which no line speaks."""
MOST_NOTE = 200


def render_lesson_film(lesson: Lesson, scenes: Mapping[View, Scene]) -> Film | None:
    """The film; None where no view of the swing is at hand.

    A view is shown if a line speaks of a frame of it, or if another swing stands beside it there.
    """
    acts = [_act(lesson, ref.view, scenes[ref.view]) for ref in lesson.swings if ref.view in scenes]
    shown = [act for act in acts if act.rests or act.partner] or acts[:1]
    if not shown:
        return None
    paused = tuple(
        act if act.rests else replace(act, rests=_pauses(act.cast.swing)) for act in shown
    )
    return Film(
        title=_title(lesson),
        acts=paused,
        end=_end(lesson),
        moment_words=lambda name: lesson.label(f"moment.{name.value}"),
        reader=render_reader(lesson, scenes),
    )


def render_rests(lesson: Lesson, view: View, swing: Swing) -> tuple[Rest, ...]:
    """Where that view stands still: each moment once, with the line that says most of it."""
    rests: dict[MomentName, Rest] = {}
    for line in sorted(lesson.lines, key=_weight):
        for still in line.stills:
            moment = swing.moments.get(still.moment)
            if still.view is view and moment and still.moment not in rests:
                rests[still.moment] = Rest(moment, line.text, render_taken(swing, still))
    return tuple(list(rests.values())[:MOST_RESTS])


def _weight(line: Line) -> tuple[int, int]:
    """What proves the one thing comes first, then its effects, then what is done well."""
    order = (Part.CAUSE, Part.STRENGTHS, Part.ANSWER)
    place = order.index(line.part) if line.part in order else len(order)
    numbered = line.id.startswith(("cause.evidence", "cause.effect"))
    return (len(line.text) > LONGEST, 10 * place + (not numbered))


def _act(lesson: Lesson, view: View, scene: Scene) -> Act:
    name = f"{lesson.golfer.name} · " if lesson.golfer.name else ""
    rests = render_rests(lesson, view, scene.cast.swing)
    title = name + lesson.label(f"view.{view.value}")
    return Act(title[:1].upper() + title[1:], scene.cast, rests, scene.partner)


def _pauses(swing: Swing) -> tuple[Rest, ...]:
    found = (swing.moments.get(name) for name in PAUSES)
    return tuple(Rest(moment, "") for moment in found if moment)


def _title(lesson: Lesson) -> Card:
    headline = lesson.line("cause.headline")
    by = [lesson.label("lesson.for")] if lesson.golfer.name else []
    by += [lesson.label("lesson.by")] if lesson.coach else []
    return Card(
        kicker=lesson.label("part.cause"),
        text=headline.text if headline else lesson.label("lesson"),
        notes=(*by, render_date(lesson, lesson.made)),
    )


def _end(lesson: Lesson) -> Card:
    """The checkpoint, the one thought, the day to film again."""
    target = lesson.line("checkpoint.target") or next(iter(lesson.part(Part.CHECKPOINT)), None)
    notes = []
    if lesson.drills:
        drill = lesson.drills[0]
        notes += [drill.title, f"{lesson.label('drill.cue')}: {drill.cue}"]
    notes.append(f"{lesson.label('film.day')}: {render_date(lesson, lesson.film_again)}")
    kicker = lesson.label("part.checkpoint" if target else "part.film")
    closing = next(iter(lesson.part(Part.CLOSING)), None)
    text = target.text if target else closing.text if closing else lesson.label("film.day")
    return Card(kicker, text, tuple(note[:MOST_NOTE] for note in notes))
