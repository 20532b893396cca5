"""Every swing of a checkpoint's measure over the days: what changed, beside what could be chance.

Days run to the right. Small rings are swings, a full mark is a day's mean with its ±; a hollow one
was made after practice on that day. The tinted field around the level of before is what could be
chance: a level outside it has changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

import numpy as np

from causeline.model.lesson import Checkpoint
from causeline.model.progress import Session, Standing
from causeline.render.numbers import render_plain
from causeline.render.plot import Span, render_ticks

TOP, BOTTOM = 24.0, 46.0
INK, QUIET, HAIR, MARK, FIELD = "#0d2335", "#4a6072", "#c3cfd6", "#b23a1c", "#dfe7ea"
FACE = "Causeline Figures, sans-serif"
APART = 17.0
"""Least distance between two names on the right."""
STEP = 4.0
"""From one swing of a session to the next."""
DAY_NAME = 50.0
"""Least distance between two days that are named beneath the axis."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The size of a chart, and the room left of and right of its days."""

    wide: float
    high: float
    left: float
    right: float


DESK = Sheet(760.0, 340.0, 66.0, 138.0)
PHONE = Sheet(400.0, 320.0, 46.0, 112.0)


@dataclass(frozen=True, slots=True)
class _Field:
    """Where days and values lie."""

    sheet: Sheet

    first: date
    days: int
    span: Span
    factor: float

    def x(self, day: date) -> float:
        share = (day - self.first) / timedelta(days=1) / self.days
        return self.sheet.left + (self.end - self.sheet.left) * share

    def y(self, value: float) -> float:
        share = self.span.share(value * self.factor) / 100
        return self.low - (self.low - TOP) * min(max(share, -0.02), 1.02)

    @property
    def low(self) -> float:
        """Where the days are named."""
        return self.sheet.high - BOTTOM

    @property
    def end(self) -> float:
        """Where the days end."""
        return self.sheet.wide - self.sheet.right


def render_progress_chart(standing: Standing, title: str, sheet: Sheet = DESK) -> str:
    """One `<svg>` element; empty without a checkpoint or anything measured.

    Its numbers are in the reader's unit, with the sign that the measure has.
    """
    check = standing.checkpoint
    sessions = (*standing.before, *standing.after)
    if check is None or not sessions:
        return ""
    field, ticks = _field(standing, check, sessions, sheet)
    parts = [*_fields(standing, check, field), *_axes(field, sessions, ticks, check)]
    for session in sessions:
        parts += _session(field, session)
    parts += _names(_named(standing, check), field)
    return (
        f'<svg class="progress-chart" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'viewBox="0 0 {sheet.wide:.0f} {sheet.high:.0f}"><title>{escape(title)}</title>'
        f"{''.join(parts)}</svg>"
    )


def _field(
    standing: Standing, check: Checkpoint, sessions: Sequence[Session], sheet: Sheet
) -> tuple[_Field, Sequence[tuple[str, float]]]:
    factor = check.shown_factor
    known = [check.target]
    for session in sessions:
        known += [value.value for value in session.values]
        mean, sd = _mean(session)
        known += [mean - sd, mean + sd]
    if standing.change:
        level, reach = standing.change.before.value, standing.change.detectable
        known += [level - reach, level + reach]
    shown = [value * factor for value in known]
    air = 0.06 * (max(shown) - min(shown) or 1.0)
    unit = check.shown_unit or check.unit
    span, ticks = render_ticks(min(shown) - air, max(shown) + air, unit, most=5)
    first = min(session.day for session in sessions) - timedelta(days=2)
    last = max(max(session.day for session in sessions), standing.made) + timedelta(days=2)
    field = _Field(sheet, first, max((last - first).days, 1), span, factor)
    return field, [(tick.label, tick.at) for tick in ticks]


def _fields(standing: Standing, check: Checkpoint, field: _Field) -> list[str]:
    """What could be chance, the target, and the day of the lesson."""
    right = field.end
    made = field.x(standing.made)
    parts = []
    if standing.change:
        level, reach = standing.change.before.value, standing.change.detectable
        top, bottom = sorted((field.y(level - reach), field.y(level + reach)))
        parts += [
            f'<rect class="pc-field" x="{made:.1f}" y="{top:.1f}" width="{right - made:.1f}" '
            f'height="{bottom - top:.1f}" fill="{FIELD}"/>',
            _line("pc-hair", (made, field.y(level), right, field.y(level)), QUIET, "2 4"),
        ]
    target = field.y(check.target)
    return [
        *parts,
        _line("pc-ink", (made, target, right, target), INK, "9 5"),
        _line("pc-hair", (made, TOP, made, field.low), QUIET, "1 3"),
        _text(made + 5, TOP + 11, "lesson", QUIET, "pc-quiet"),
    ]


def _axes(
    field: _Field,
    sessions: Sequence[Session],
    ticks: Sequence[tuple[str, float]],
    check: Checkpoint,
) -> list[str]:
    low = field.low
    unit = check.shown_unit or check.unit
    parts = [
        _line("pc-axis", (field.sheet.left, TOP - 6, field.sheet.left, low), INK),
        _line("pc-axis", (field.sheet.left, low, field.end, low), INK),
    ]
    for label, share in ticks:
        y = low - (low - TOP) * share / 100
        parts.append(_line("pc-hair", (field.sheet.left - 5, y, field.sheet.left, y), QUIET))
        sign = unit if unit == "°" else ""
        parts.append(_text(field.sheet.left - 9, y + 4.5, label + sign, QUIET, "pc-quiet", "end"))
    if unit != "°":
        parts.append(_text(field.sheet.left - 9, TOP - 13, unit, QUIET, "pc-quiet", "end"))
    named = -1e9
    for day in sorted({session.day for session in sessions}):
        x = field.x(day)
        parts.append(_line("pc-hair", (x, low, x, low + 5), QUIET))
        if x - named >= DAY_NAME:
            parts.append(_text(x, low + 21, f"{day.day} {day:%b}", QUIET, "pc-quiet", "middle"))
            named = x
    return parts


def _session(field: _Field, session: Session) -> list[str]:
    x = field.x(session.day)
    mean, sd = _mean(session)
    count = len(session.values)
    parts = []
    if count > 1:
        for place, value in enumerate(session.values):
            at = x + STEP * (place - (count - 1) / 2)
            parts.append(
                f'<circle class="pc-swing" cx="{at:.1f}" cy="{field.y(value.value):.1f}" r="2.8" '
                f'fill="none" stroke="{QUIET}"/>'
            )
    parts.append(_line("pc-mark", (x, field.y(mean - sd), x, field.y(mean + sd)), MARK, width=2.5))
    fill = "#ffffff" if session.practised else MARK
    kind = "pc-mark-hollow" if session.practised else "pc-mark-fill"
    y = field.y(mean)
    return [
        *parts,
        f'<circle class="{kind}" cx="{x:.1f}" cy="{y:.1f}" r="6" fill="{fill}" stroke="{MARK}" '
        f'stroke-width="2"/>',
    ]


def _named(standing: Standing, check: Checkpoint) -> list[tuple[str, float, str]]:
    """What stands at the right: words, the value that they belong to, and how they are drawn."""
    words = [(f"target {_number(check.target, check)}", check.target, "pc-ink")]
    if standing.change:
        change = standing.change
        words.append(
            (f"before {_number(change.before.value, check)}", change.before.value, "pc-quiet")
        )
        edge = change.before.value + (change.detectable if check.upward else -change.detectable)
        words.append(("could be chance", edge, "pc-quiet"))
    return words


def _names(words: Sequence[tuple[str, float, str]], field: _Field) -> list[str]:
    """Each at the height of its value, moved apart where they would touch."""
    order = sorted(words, key=lambda one: field.y(one[1]))
    parts, lowest = [], -1e9
    for text, value, kind in order:
        y = max(field.y(value), lowest + APART)
        lowest = y
        colour = INK if kind == "pc-ink" else QUIET
        parts.append(_text(field.end + 8, y + 4.5, text, colour, kind))
    return parts


def _mean(session: Session) -> tuple[float, float]:
    """Mean of the swings, and the ± of one swing's measuring or of their own spread in the mean."""
    values = np.array([value.value for value in session.values])
    stated = float(np.mean([value.sd**2 for value in session.values]))
    own = float(values.var(ddof=1)) / len(values) if len(values) > 1 else 0.0
    return float(values.mean()), float(np.sqrt(stated / 2 + max(own, stated / 2 / len(values))))


def _number(value: float, check: Checkpoint) -> str:
    shown = value * check.shown_factor
    unit = check.shown_unit or check.unit
    places = 1 if unit in ("ratio", "s") or abs(shown) < 1 else 0
    space = "" if unit == "°" else "\N{NO-BREAK SPACE}"
    return f"{render_plain(shown, places)}{space}{'' if unit == 'ratio' else unit}"


def _line(
    kind: str,
    ends: tuple[float, float, float, float],
    colour: str,
    dash: str = "",
    width: float = 1,
) -> str:
    x1, y1, x2, y2 = ends
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path class="{kind}" d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="{colour}" '
        f'stroke-width="{width:g}" fill="none"{dashes}/>'
    )


def _text(x: float, y: float, text: str, colour: str, kind: str, anchor: str = "start") -> str:
    return (
        f'<text class="{kind}-fill" x="{x:.1f}" y="{y:.1f}" fill="{colour}" font-family="{FACE}" '
        f'font-size="13" text-anchor="{anchor}">{escape(text)}</text>'
    )
