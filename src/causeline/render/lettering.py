"""Text set into pictures, in the page's own faces: measured, broken into lines, drawn."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from causeline.model.clip import Picture
from causeline.render.ink import Colour

ASSETS = Path(__file__).parent / "assets"

TEXT, DISPLAY, ITALIC = "print-text.ttf", "print-display.ttf", "print-italic.ttf"
FIGURES, STRONG = "print-figures.ttf", "print-strong.ttf"


@dataclass(frozen=True, slots=True)
class Style:
    """How a run of text is set."""

    face: str
    size: int
    """Pixels."""
    colour: Colour
    leading: float = 1.28
    """Distance from line to line, in sizes."""
    casing: Colour | None = None
    """Drawn around the letters, over pictures."""


def render_lines_of_text(text: str, style: Style, width: float) -> tuple[str, ...]:
    """The text broken so that no line is wider than `width`; a longer word stands alone."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if line and render_text_width(longer, style) > width:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return tuple(lines)


def render_fitted(text: str, style: Style, width: float, height: float) -> tuple[Style, float]:
    """The style, made smaller where the text would be higher than `height`; and its height.

    Not smaller than three fifths: the caller shortens what does not fit then.
    """
    for size in range(style.size, round(0.6 * style.size) - 1, -2):
        smaller = Style(style.face, size, style.colour, style.leading, style.casing)
        tall = len(render_lines_of_text(text, smaller, width)) * size * style.leading
        if tall <= height:
            break
    return smaller, tall


def render_text(picture: Picture, text: str, at: tuple[float, float], style: Style) -> None:
    """Set lines into the picture itself, `at` the upper left corner of the first."""
    image = Image.fromarray(picture)
    draw = ImageDraw.Draw(image)
    x, y = at
    for line in text.split("\n"):
        draw.text(
            (x, y),
            line,
            font=_font(style.face, style.size),
            fill=style.colour,
            stroke_width=round(style.size / 9) if style.casing else 0,
            stroke_fill=style.casing,
        )
        y += style.size * style.leading
    picture[...] = np.asarray(image)


def render_text_width(text: str, style: Style) -> float:
    """Pixels that a line takes."""
    return float(_font(style.face, style.size).getlength(text))


@cache
def _font(face: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(ASSETS / face, size)
