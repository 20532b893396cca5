"""The record that the golfer's page shows, from a lesson and what is kept of the practice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from causeline.model.access import Made
from causeline.model.clip import View
from causeline.model.drill import Diagram, Mark, Seen
from causeline.model.lesson import Lesson, Line, Part
from causeline.model.library import Attachment, Kind
from causeline.reading.check_in import run_practice_labels
from causeline.render.checkpoint import render_checkpoint
from causeline.render.diagram import render_diagram
from causeline.render.lesson_page import ShownDrill, render_date, render_sheet
from causeline.store.languages import load_words
from causeline.store.library_lessons import load_attachments
from causeline.web.contract.practice import (
    DrillCard,
    Passage,
    Picture,
    PlanDay,
    PracticePage,
    Spot,
    Stage,
    StateOut,
    Talk,
)
from causeline.web.desk import Desk
from causeline.web.practice_guest import Guest

FILM = {"video/mp4": ".mp4", "video/webm": ".webm"}


def practice_page(
    desk: Desk, guest: Guest, made: Made | None, state: StateOut, assets: Mapping[str, str]
) -> PracticePage:
    """Everything that the page shows; `assets` are the addresses of its script and style."""
    lesson, labels = guest.lesson, practice_labels(guest.lesson)
    sheet = render_sheet(lesson, {})
    show = _Shown(guest, made)
    proof, lead = _led(show.passages(sheet.proof))
    opening = _texts(lesson.part(Part.OPENING))
    return PracticePage(
        language=lesson.golfer.language,
        root=guest.root,
        title=sheet.headline or lesson.label("lesson"),
        to=_addressed(lesson, sheet.made),
        headline=sheet.headline,
        opening=opening,
        lead=lead,
        strengths=show.passages(lesson.part(Part.STRENGTHS)),
        proof=proof,
        effects=show.passages(sheet.effects),
        after=show.passages(sheet.after),
        answer=show.passages(lesson.part(Part.ANSWER)),
        drills=tuple(map(_drill_card, sheet.drills)),
        later=_texts(line for line in lesson.part(Part.DRILLS) if line.id == "drills.later"),
        checkpoint=render_checkpoint(lesson),
        check_words=_texts(lesson.part(Part.CHECKPOINT)),
        days=tuple(PlanDay(day.day, day.time, day.minutes) for day in sheet.days),
        film_again=sheet.film_again,
        plan=_texts(lesson.part(Part.PLAN)),
        spots=_spots(lesson, labels),
        film_words=_texts(line for line in lesson.part(Part.FILM) if line.id not in _PLACES),
        talks=talks_of(desk, guest),
        expect=_texts(lesson.part(Part.EXPECT)),
        care=_texts(lesson.part(Part.CARE)),
        closing=_texts(lesson.part(Part.CLOSING)),
        drawing=made is None,
        data=_data(guest, labels, state),
        labels=labels,
        lesson=lesson.labels,
        script=assets["script"],
        style=assets["style"],
    )


def practice_labels(lesson: Lesson) -> dict[str, str]:
    """The page's own words, in the golfer's language."""
    return run_practice_labels(lesson, load_words(lesson.golfer.language))


def talks_of(desk: Desk, guest: Guest) -> tuple[Talk, ...]:
    """The coach's talk-throughs of that lesson which are films; none where a face would show."""
    if not guest.face:
        return ()
    found = load_attachments(desk.library, guest.golfer.id, guest.entry.id)
    return tuple(
        Talk(f"{guest.root}talk/{one.id}", str(one.content.get("title", "")))
        for one in found
        if is_talk(one) and not one.content.get("check_in")
    )


def is_talk(one: Attachment) -> bool:
    """Whether it is a talk-through with a film to show."""
    return one.kind is Kind.TALK_THROUGH and one.file_key is not None


class _Shown:
    """Lines with their frames, as far as those are drawn."""

    def __init__(self, guest: Guest, made: Made | None) -> None:
        self._root = guest.root
        self._pictures: Mapping[str, Any] = made.content["pictures"] if made else {}
        self._mark = made.key[:12] if made else ""

    def passages(self, lines: Iterable[Line]) -> tuple[Passage, ...]:
        """Each with its frame."""
        return tuple(
            Passage(
                text=line.text,
                picture=self._picture(line),
                quiet=line.id == "cause.sure",
                evidence=line.id.startswith("cause.evidence"),
            )
            for line in lines
        )

    def _picture(self, line: Line) -> Picture | None:
        told = self._pictures.get(line.id)
        if told is None:
            return None
        return Picture(
            src=f"{self._root}picture/{line.id}?v={self._mark}",
            alt=f"{told['caption']}. {line.text}",
            caption=told["caption"],
            width=told["width"],
            height=told["height"],
        )


def _led(proof: tuple[Passage, ...]) -> tuple[tuple[Passage, ...], Picture | None]:
    """The first picture of what proves the one thing stands at the head, and there alone."""
    lead = next((one.picture for one in proof if one.picture), None)
    rest = tuple(replace(one, picture=None) if one.picture is lead else one for one in proof)
    return rest, lead


def _addressed(lesson: Lesson, made: str) -> str:
    parts = [lesson.label("lesson.for")] if lesson.golfer.name else []
    parts += [lesson.label("lesson.by")] if lesson.coach else []
    return " · ".join([*parts, made])


def _texts(lines: Iterable[Line]) -> tuple[str, ...]:
    return tuple(line.text for line in lines)


def _drill_card(shown: ShownDrill) -> DrillCard:
    drill = shown.drill
    return DrillCard(
        name=drill.name,
        title=drill.title,
        purpose=drill.purpose,
        svg=shown.svg,
        caption=drill.diagram.caption,
        cue=drill.cue,
        feel=drill.feel,
        equipment=", ".join(drill.equipment),
        setup=drill.setup,
        steps=drill.steps,
        stages=tuple(Stage(one.name, one.how, one.move_on) for one in drill.stages),
        slips=tuple((one.what, one.instead) for one in drill.slips),
        cautions=drill.cautions,
        sets=drill.dose.sets,
        repeats=drill.dose.repeats,
        minutes=drill.dose.minutes,
    )


_PLACES = {"film.face_on": View.FACE_ON, "film.down_the_line": View.DOWN_THE_LINE}


def _spots(lesson: Lesson, labels: Mapping[str, str]) -> tuple[Spot, ...]:
    """Where to film from: the checkpoint's place, else every place that the lesson names."""
    told = {_PLACES[line.id]: line.text for line in lesson.part(Part.FILM) if line.id in _PLACES}
    views = [lesson.checkpoint.view] if lesson.checkpoint else list(told)
    return tuple(
        Spot(
            view=view.value,
            words=(told.get(view, labels[f"film.place.{view.value}"]),),
            outline=_outline(lesson, view, labels),
            above=_above(lesson, view, labels),
        )
        for view in views
    )


def _outline(lesson: Lesson, view: View, labels: Mapping[str, str]) -> str:
    """The golfer at address as that camera sees them."""
    seen = Seen.FACE_ON if view is View.FACE_ON else Seen.BEHIND
    marks = (Mark("golfer", (0.0, 0.0), pose="address"),)
    return render_diagram(
        Diagram(seen, labels[f"film.alt.{view.value}"], marks), lesson.golfer.hand
    )


def _above(lesson: Lesson, view: View, labels: Mapping[str, str]) -> str:
    """Feet, ball, target and phone from above: the phone opposite, or behind the hands."""
    phone = (0.0, 175.0) if view is View.FACE_ON else (-175.0, 26.0)
    look = (0.0, 100.0) if view is View.FACE_ON else (-90.0, 26.0)
    marks = (
        Mark("line", (-70.0, 62.0), (150.0, 62.0)),
        Mark("feet", (38.0, 0.0)),
        Mark("ball", (0.0, 62.0)),
        Mark("target", (150.0, 62.0)),
        Mark("arrow", phone, look),
        Mark("label", (150.0, 40.0), label=labels["film.line.target"]),
        Mark("label", _beyond(phone), label=labels["film.line.phone"]),
    )
    return render_diagram(Diagram(Seen.ABOVE, labels["film.from_above"], marks), lesson.golfer.hand)


def _beyond(phone: tuple[float, float]) -> tuple[float, float]:
    x, y = phone
    return (x, y + 12.0) if x == 0 else (x, y - 14.0)


def _data(guest: Guest, labels: Mapping[str, str], state: StateOut) -> dict[str, object]:
    lesson = guest.lesson
    return {
        "root": guest.root,
        "language": lesson.golfer.language,
        "labels": dict(labels),
        "state": state.model_dump(mode="json"),
        "drills": [
            {
                "name": drill.name,
                "title": drill.title,
                "sets": drill.dose.sets,
                "repeats": drill.dose.repeats,
                "minutes": drill.dose.minutes,
            }
            for drill in lesson.drills
        ],
        "film": render_date(lesson, lesson.film_again),
    }
