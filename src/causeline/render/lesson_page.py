"""A lesson becomes one HTML file: no script, nothing fetched, good on a phone and on paper."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from babel import Locale
from babel.dates import format_skeleton
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from causeline.model.drill import Drill
from causeline.model.lesson import Lesson, Line, Part, PracticeSession
from causeline.render.checkpoint import render_checkpoint
from causeline.render.diagram import DIAGRAM_CSS, render_diagram
from causeline.render.lesson_figures import Figure
from causeline.render.page import TEMPLATES, render_fonts

POLICY = (
    "default-src 'none'; img-src data:; media-src data:; font-src data:; style-src 'unsafe-inline'"
)
TALKS_HERE = "<!-- talk-through -->"
"""Where the page has room for the coach's talk-throughs."""
MOST_TALKS = 12 * 2**20
"""Bytes of films inside one page: mail boxes take 20 to 25 MB (common practice), and inside a page
each byte takes four thirds."""
CSS_FILE = TEMPLATES / "lesson.css"


@dataclass(frozen=True, slots=True)
class Day:
    """One practice of the plan, in words."""

    day: str
    time: str
    minutes: int
    stage: str


@dataclass(frozen=True, slots=True)
class ShownDrill:
    """One drill with its drawn set-up."""

    drill: Drill
    svg: str
    dose: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """What page and print are made from; both show the same."""

    lesson: Lesson
    language: str
    made: str
    headline: str
    film_again: str
    proof: tuple[Line, ...]
    """What the one thing is, and what shows it."""
    effects: tuple[Line, ...]
    after: tuple[Line, ...]
    """What to do about the effects, and how sure all of it is."""
    figures: Mapping[str, Figure]
    drills: tuple[ShownDrill, ...]
    check: str
    """The checkpoint drawn, an SVG; empty where there is none."""
    days: tuple[Day, ...]


def render_sheet(lesson: Lesson, figures: Mapping[str, Figure]) -> Sheet:
    """Everything that is shown of a lesson, in the golfer's language."""
    locale = _locale(lesson)
    headline = lesson.line("cause.headline")
    said = [line for line in lesson.part(Part.CAUSE) if line is not headline]
    effects = tuple(line for line in said if line.id.startswith("cause.effect"))
    after = tuple(line for line in said if line.id in ("cause.leave", "cause.sure"))
    return Sheet(
        lesson=lesson,
        language=lesson.golfer.language,
        made=render_date(lesson, lesson.made),
        headline=headline.text if headline else "",
        film_again=render_date(lesson, lesson.film_again),
        proof=tuple(line for line in said if line not in (*effects, *after)),
        effects=effects,
        after=after,
        figures=figures,
        drills=tuple(_drill(lesson, drill) for drill in lesson.drills),
        check=render_checkpoint(lesson),
        days=tuple(_day(session, locale) for session in lesson.sessions),
    )


def render_lesson_page(sheet: Sheet) -> str:
    """The page, as the text of one HTML file."""
    template = _environment().get_template("lesson.html.j2")
    return template.render(
        sheet=sheet, lesson=sheet.lesson, Part=Part, style=_style(), policy=POLICY
    )


def render_talks(page: str, heading: str, films: Sequence[bytes]) -> str:
    """The page with films of talk-throughs in it; those for which there is no room are left out.

    `heading` stands above them. Without any film the page is as it was.
    """
    shown, room = [], MOST_TALKS
    for film in films:
        if len(film) <= room:
            shown.append(base64.b64encode(film).decode())
            room -= len(film)
    if not shown:
        return page
    videos = Markup("\n").join(_VIDEO.format(film=film, heading=heading) for film in shown)
    section = _TALKS.format(heading=heading, videos=videos)
    return page.replace(TALKS_HERE, str(section), 1)


_VIDEO = Markup(
    '<video controls playsinline preload="metadata" aria-label="{heading}" '
    'src="data:video/mp4;base64,{film}"></video>'
)
_TALKS = Markup(
    '<section class="talks" aria-labelledby="talks"><h2 id="talks">{heading}</h2>\n'
    "{videos}\n</section>"
)


def render_date(lesson: Lesson, day: date) -> str:
    """A day in the golfer's language: with the year for the lesson's own, else with the weekday."""
    skeleton = "yMMMMd" if day == lesson.made else "MMMMEEEEd"
    return format_skeleton(skeleton, day, locale=_locale(lesson))


def render_data_uri(figure: Figure) -> str:
    """A picture inside the page."""
    return f"data:image/jpeg;base64,{base64.b64encode(figure.jpeg).decode()}"


def render_kept(text: object) -> object:
    """A ± stays on one line with its number."""
    return text.replace("± ", "±\N{NO-BREAK SPACE}") if isinstance(text, str) else text


def _drill(lesson: Lesson, drill: Drill) -> ShownDrill:
    svg = render_diagram(drill.diagram, lesson.golfer.hand)
    sets, times = drill.dose.sets, drill.dose.repeats
    return ShownDrill(drill, svg, f"{sets} × {times}, {drill.dose.minutes}\N{NO-BREAK SPACE}min")


def _day(session: PracticeSession, locale: Locale) -> Day:
    return Day(
        day=format_skeleton("MMMEd", session.starts, tzinfo=session.starts.tzinfo, locale=locale),
        time=format_skeleton("Hm", session.starts, tzinfo=session.starts.tzinfo, locale=locale),
        minutes=session.minutes,
        stage=session.note,
    )


def _locale(lesson: Lesson) -> Locale:
    """Dates as the language has them; English is British unless it says more."""
    tag = lesson.golfer.language
    return Locale.parse("en_GB" if tag == "en" else tag, sep="-" if "-" in tag else "_")


@cache
def _style() -> Markup:
    css = render_fonts() + CSS_FILE.read_text(encoding="utf-8") + DIAGRAM_CSS
    return Markup(css)  # noqa: S704


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=render_kept,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["uri"] = render_data_uri
    made.filters["svg"] = Markup
    return made
