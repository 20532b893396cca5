"""The page of a comparison: one HTML file, no script, nothing fetched."""

from __future__ import annotations

import base64
from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from causeline.render.beside import BesideSheet
from causeline.render.lesson_page import CSS_FILE, POLICY
from causeline.render.page import TEMPLATES, render_fonts


def render_beside_page(sheet: BesideSheet) -> str:
    """The page, as the text of one HTML file."""
    return _environment().get_template("beside.html.j2").render(
        sheet=sheet, style=_style(), policy=POLICY
    )  # fmt: skip


@cache
def _style() -> Markup:
    own = (TEMPLATES / "beside.css").read_text(encoding="utf-8")
    return Markup(render_fonts() + CSS_FILE.read_text(encoding="utf-8") + own)  # noqa: S704


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["uri"] = lambda jpeg: f"data:image/jpeg;base64,{base64.b64encode(jpeg).decode()}"
    return made
