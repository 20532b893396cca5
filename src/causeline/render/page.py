"""A reading and its stills become one HTML file: no script needed, nothing fetched."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from causeline.model.moments import MomentName
from causeline.model.reading import Reading
from causeline.render.contract import Page
from causeline.render.curves import Curve
from causeline.render.sections import render_sections
from causeline.render.stills import Still
from causeline.render.telling import MeasureText

HERE = Path(__file__).parent
TEMPLATES = HERE / "templates"
ASSETS = HERE / "assets"

Stills = Sequence[Mapping[MomentName, Still]]
"""One mapping for each swing of the reading, in order; a moment may be absent."""


@dataclass(frozen=True, slots=True)
class PageNotes:
    """What the page says beyond the reading."""

    texts: tuple[MeasureText, ...] = ()
    """Title and one-line explanation of each measure, from the catalogue."""
    filmed_on: date | None = None
    curves: Sequence[Sequence[Curve]] | None = None
    """For each swing; None lets the page draw its own out of the body tracks."""
    club_stills: Sequence[Still | None] = ()
    """For each swing, the still beneath the club's way."""


@dataclass(frozen=True, slots=True)
class _Dress:
    """Looks and behaviour, embedded as they are."""

    style: Markup
    script: Markup
    policy: str = field(default="")


def render_page(reading: Reading, stills: Stills = (), notes: PageNotes | None = None) -> str:
    """The page, as the text of one HTML file.

    Fewer stills than swings is no error: a moment without a still shows its lines on plain ground.
    """
    notes = notes or PageNotes()
    page = render_sections(
        reading, stills, notes.texts, notes.filmed_on, notes.curves, notes.club_stills
    )
    return render_html(page)


def render_html(page: Page) -> str:
    """Fill the templates with a page that is already told in sections."""
    dress = _dress()
    template = _environment().get_template("page.html.j2")
    return template.render(page=page, dress=dress)


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _dress() -> _Dress:
    style = render_fonts() + (TEMPLATES / "page.css").read_text(encoding="utf-8")
    script = (TEMPLATES / "page.js").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = (
        "default-src 'none'; img-src data:; font-src data:; "
        f"style-src 'unsafe-inline'; script-src 'sha256-{digest}'"
    )
    return _Dress(Markup(style), Markup(script), policy)  # noqa: S704


def render_fonts() -> str:
    """The three faces as style rules with the files inside."""
    faces = (
        ("Causeline Serif", "source-serif-4.woff2", "normal", "400"),
        ("Causeline Serif", "source-serif-4-italic.woff2", "italic", "400"),
        ("Causeline Figures", "encode-sans.woff2", "normal", "300 600"),
    )
    return "".join(_face(*face) for face in faces)


def _face(family: str, file: str, style: str, weight: str) -> str:
    data = base64.b64encode((ASSETS / file).read_bytes()).decode()
    return (
        f'@font-face{{font-family:"{family}";font-style:{style};font-weight:{weight};'
        f"font-display:block;src:url(data:font/woff2;base64,{data}) format('woff2')}}\n"
    )
