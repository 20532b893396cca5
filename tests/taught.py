"""A lesson on a drawn swing, with its pictures: nobody was filmed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

from causeline.lesson.compose import compose_lesson
from causeline.model.clip import Frame, Hand, View
from causeline.model.lesson import Golfer, Lesson
from causeline.model.words import Words
from causeline.progress.beside import compare_fit
from causeline.render.film_parts import Cast, Partner
from causeline.render.lesson_figures import Scene, render_figures
from causeline.render.lesson_page import Sheet, render_sheet
from causeline.store.drill_files import load_drills
from causeline.store.languages import load_words
from tests.drawn import drawn_reading
from tests.unit.lesson.swings import NOTHING, brief

SAID = "I have been trying to turn more, and I hit it fat."


def a_cast(view: View, hand: Hand = Hand.RIGHT) -> Cast:
    """The drawn golfer, whose frames between the moments look like the one nearest."""
    drawn = drawn_reading(view, hand)
    clip, frames = drawn.reading.clip, drawn.frames[0]

    def footage(wanted: Sequence[int], longest: int) -> Iterator[Frame]:
        for index in wanted:
            nearest = min(frames, key=lambda known: abs(known - index))
            step = max(1, round(max(clip.width, clip.height) / longest))
            picture = frames[nearest].picture[::step, ::step]
            yield Frame(index, picture, picture.shape[0] / clip.height)

    return Cast(drawn.reading.swings[0], clip, footage, "You", view)


def taught(language: str = "en", found: bool = True) -> Lesson:
    """The lesson; without a cause where nothing was found."""
    golfer = Golfer("Ivo", language=language, time_zone="Europe/Berlin", said=SAID)
    findings = None if found else NOTHING
    words = load_words(language) if language != "en" else Words()
    return compose_lesson(brief(golfer, findings, load_drills()), words)


@cache
def sheet(language: str = "en", found: bool = True, beside: bool = False) -> Sheet:
    """The lesson as page and print show it."""
    lesson = taught(language, found)
    cast = a_cast(View.FACE_ON)
    fit = compare_fit(cast.swing, cast.swing)
    assert fit is not None
    partner = Partner(cast, fit, lambda time: time) if beside else None
    scenes = {View.FACE_ON: Scene(cast, partner)}
    return render_sheet(lesson, render_figures(lesson, scenes))
