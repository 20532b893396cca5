"""The film that a golfer takes home: a title, the swing slowed beside a sound one, what comes next.

Upright, 1080 × 1920, as a phone is held. Words stand under the picture, never on the golfer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from causeline.model.clip import Picture
from causeline.render.film_panel import Panel, render_panel, render_panels
from causeline.render.film_parts import Act, Card, Film
from causeline.render.film_plan import RATE_HZ, Beside, Rest, Shot, render_plan
from causeline.render.ink import Colour, Ink, render_ink
from causeline.render.lettering import (
    DISPLAY,
    FIGURES,
    STRONG,
    TEXT,
    Style,
    render_fitted,
    render_lines_of_text,
    render_text,
)
from causeline.render.stills import Crop

WIDTH, HEIGHT = 1080, 1920
EDGE = 64
PAPER: Colour = (247, 249, 249)
INK: Colour = (13, 35, 53)
QUIET: Colour = (74, 96, 114)
HAIR: Colour = (195, 207, 214)
MARK: Colour = (178, 58, 28)
"""The page's colours."""

TITLE_S, END_S = 3.5, 7.0
ALONE = (Crop(0, 148, WIDTH, 1130),)
PAIRED = (Crop(0, 148, 536, 1010), Crop(544, 148, 536, 1010))
"""Room for the picture of one swing, and of two."""
NAME_DROP, RULE_DROP, CAPTION_DROP = 18, 104, 144
"""Distance of names, time rule and words below the pictures."""

_KICKER = Style(STRONG, 38, QUIET)
_NAME = Style(FIGURES, 34, QUIET)
_HEAD = Style(STRONG, 40, MARK)
_BODY = Style(TEXT, 48, INK, 1.26)
_TITLE = Style(DISPLAY, 92, INK, 1.12)
_WIDE = WIDTH - 2 * EDGE


def render_film_length(film: Film) -> int:
    """How many pictures the film has."""
    cards = round(TITLE_S * RATE_HZ) + round(END_S * RATE_HZ)
    return cards + sum(len(_plan(act)) for act in film.acts)


def render_film(film: Film) -> Iterator[Picture]:
    """Every picture of the film, (1920, 1080, 3), `RATE_HZ` a second."""
    yield from [render_card(film.title)] * round(TITLE_S * RATE_HZ)
    for act in film.acts:
        yield from _act(film, act)
    yield from [render_card(film.end)] * round(END_S * RATE_HZ)


def render_card(card: Card) -> Picture:
    """A page of words."""
    page = _page()
    render_text(page, card.kicker, (EDGE, 380), _KICKER)
    style, tall = render_fitted(card.text, _TITLE, _WIDE, 640)
    _set(page, card.text, (EDGE, 450), style)
    y = 450 + tall + 64
    render_ink(page, (Ink(np.array([[EDGE, y], [EDGE + 120.0, y]]), 3.0, MARK),))
    y += 52
    for note in card.notes:
        style, tall = render_fitted(note, _BODY, _WIDE, max(HEIGHT - EDGE - y, 120))
        _set(page, note, (EDGE, y), style)
        y += tall + 32
    return page


def _plan(act: Act) -> tuple[Shot, ...]:
    partner = act.partner
    beside = Beside(partner.cast.swing, partner.to_other) if partner else None
    return render_plan(act.cast.swing, act.rests, beside)


def _act(film: Film, act: Act) -> Iterator[Picture]:
    """One view, shot by shot; a shot that is held is drawn once."""
    shots = _plan(act)
    panels = render_panels(act.cast, act.partner, PAIRED if act.partner else ALONE, film.reader)
    numbers = [[_number(shot, place) for shot in shots] for place in range(len(panels))]
    streams = [panel.stream(each) for panel, each in zip(panels, numbers, strict=True)]
    bare = _bare(act, panels)
    page = bare
    for place, (shot, *frames) in enumerate(zip(shots, *streams, strict=True)):
        if place == 0 or shot != shots[place - 1]:
            page = bare.copy()
            for panel, frame, each in zip(panels, frames, numbers, strict=True):
                own = shot.rest if panel is panels[0] else None
                render_panel(page, panel, frame, each[place], own)
            _time_rule(page, act, shot, _below(panels) + RULE_DROP)
            if shot.rest:
                _caption(page, film, shot.rest, _below(panels) + CAPTION_DROP)
        yield page


def _number(shot: Shot, place: int) -> int:
    return shot.frame if place == 0 or shot.other is None else shot.other


def _below(panels: Sequence[Panel]) -> int:
    return panels[0].at[1] + panels[0].size[1]


def _page() -> Picture:
    page = np.empty((HEIGHT, WIDTH, 3), dtype=np.uint8)
    page[...] = PAPER
    return page


def _bare(act: Act, panels: Sequence[Panel]) -> Picture:
    """What stays the same throughout a view."""
    page = _page()
    render_text(page, act.title, (EDGE, 72), _KICKER)
    for panel in panels:
        x = max(panel.at[0], EDGE)
        render_text(page, panel.cast.name, (x, _below(panels) + NAME_DROP), _NAME)
    return page


def _time_rule(page: Picture, act: Act, shot: Shot, y: float) -> None:
    """The swing as a line, its moments as ticks, and where it is now."""
    found = act.cast.swing.moments.found
    if not found:
        return
    first, last = found[0].time_s, found[-1].time_s
    spoken = {rest.moment.name for rest in act.rests}

    def x(time_s: float) -> float:
        share = np.clip((time_s - first) / max(last - first, 1e-9), 0.0, 1.0)
        return float(EDGE + share * _WIDE)

    inks = [Ink(np.array([[EDGE, y], [WIDTH - EDGE, y]]), 2.0, HAIR)]
    for moment in found:
        tall, wide = (18.0, 3.0) if moment.name in spoken else (9.0, 2.0)
        at = x(moment.time_s)
        inks.append(Ink(np.array([[at, y - tall], [at, y]]), wide, INK))
    inks.append(Ink(np.array([[EDGE, y], [x(shot.time_s), y]]), 4.0, INK))
    inks.append(Ink(np.array([[x(shot.time_s), y]]), 22.0, MARK))
    render_ink(page, tuple(inks))


def _caption(page: Picture, film: Film, rest: Rest, top: float) -> None:
    """The moment's name and what is said of it, as large as there is room for."""
    render_text(page, film.moment_words(rest.moment.name), (EDGE, top), _HEAD)
    y = top + 64
    style, _ = render_fitted(rest.text, _BODY, _WIDE, HEIGHT - EDGE - y)
    _set(page, rest.text, (EDGE, y), style)


def _set(page: Picture, text: str, at: tuple[float, float], style: Style) -> None:
    kept = text.replace("± ", "±\N{NO-BREAK SPACE}")
    render_text(page, "\n".join(render_lines_of_text(kept, style, _WIDE)), at, style)
