"""The checkpoint as a line: where it is now with its ±, the next step, where most golfers are."""

from __future__ import annotations

from html import escape

from causeline.model.lesson import Checkpoint, Lesson
from causeline.render.numbers import render_plain
from causeline.render.plot import Span

WIDTH, HEIGHT, AXIS = 360.0, 128.0, 66.0
EDGE = 22.0
INK, QUIET, HAIR, MARK, BAND = "#0d2335", "#4a6072", "#c3cfd6", "#b23a1c", "#dfe7ea"
FACE = "Causeline Figures, sans-serif"


def render_checkpoint(lesson: Lesson) -> str:
    """One `<svg>` element, empty where the lesson has no checkpoint.

    Its numbers are the reader's own; a way is told by its size, so that the line runs from zero.
    """
    check = lesson.checkpoint
    if check is None:
        return ""
    sign = -1.0 if check.now.value < 0 else 1.0
    factor = sign * check.shown_factor
    now, target, sd = check.now.value * factor, check.target * factor, check.now.sd * abs(factor)
    low, high = sorted((_end(check.low, factor, sign), _end(check.high, factor, -sign)))
    span = _span([now - 2 * sd, now + 2 * sd, target], (low, high), check.unit)
    said = f"{_number(now, check)} ± {_spread(sd, now, check)}"
    parts = [
        _band(span, low, high, lesson.label("check.band")),
        f'<path class="ck-axis" d="M{EDGE} {AXIS}H{WIDTH - EDGE}" stroke="{INK}" fill="none"/>',
        _whisker(span, now, sd),
        _at(span, now, f"{lesson.label('check.now')} {said}", 36.0, MARK),
        _at(span, target, f"{lesson.label('check.target')} {_number(target, check)}", 116.0, INK),
    ]
    title = f"<title>{escape(check.title)}</title>"
    return (
        f'<svg class="check" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}">{title}{"".join(parts)}</svg>'
    )


def _end(value: float | None, factor: float, open_way: float) -> float:
    """An end of the band; an open one lies far out."""
    return value * factor if value is not None else -open_way * float("inf")


def _span(values: list[float], band: tuple[float, float], unit: str) -> Span:
    ends = [each for each in band if abs(each) != float("inf")]
    floor = [0.0] if unit != "°" or min(values) < 60 else []
    known = [*values, *ends, *floor]
    air = 0.08 * (max(known) - min(known) or 1.0)
    return Span(min(known) - air, max(known) + air)


def _x(span: Span, value: float) -> float:
    share = min(max(span.share(value), 0.0), 100.0)
    return EDGE + (WIDTH - 2 * EDGE) * share / 100.0


def _band(span: Span, low: float, high: float, word: str) -> str:
    left, right = _x(span, low), _x(span, high)
    return (
        f'<rect class="ck-band" x="{left:.1f}" y="{AXIS - 13}" width="{right - left:.1f}" '
        f'height="26" fill="{BAND}"/>'
        f'<text class="ck-quiet" x="{left + 6:.1f}" y="{AXIS + 28}" fill="{QUIET}" '
        f'font-family="{FACE}" font-size="13">{escape(word)}</text>'
    )


def _whisker(span: Span, now: float, sd: float) -> str:
    return (
        f'<path class="ck-mark" d="M{_x(span, now - sd):.1f} {AXIS}H{_x(span, now + sd):.1f}" '
        f'stroke="{MARK}" stroke-width="5" fill="none"/>'
    )


def _at(span: Span, value: float, text: str, y: float, colour: str) -> str:
    """A dot on the line, and a leader to what it is."""
    x = _x(span, value)
    up = y < AXIS
    anchor = "start" if x < 0.3 * WIDTH else "end" if x > 0.7 * WIDTH else "middle"
    shift = {"start": -8.0, "end": 8.0, "middle": 0.0}[anchor]
    kind = "mark" if colour == MARK else "ink"
    end = y + 6 if up else y - 16
    return (
        f'<path class="ck-{kind}" d="M{x:.1f} {AXIS}V{end:.1f}" stroke="{colour}" fill="none"/>'
        f'<circle class="ck-{kind}-fill" cx="{x:.1f}" cy="{AXIS}" r="5.5" fill="{colour}"/>'
        f'<text class="ck-{kind}-fill" x="{x + shift:.1f}" y="{y:.1f}" fill="{colour}" '
        f'font-family="{FACE}" font-size="17" text-anchor="{anchor}">{escape(text)}</text>'
    )


def _places(value: float, check: Checkpoint) -> int:
    return 1 if abs(value) < 10 and check.unit in ("ratio", "s") else 0


def _spread(sd: float, value: float, check: Checkpoint) -> str:
    """The ± at its value's last place, and never none there, as in the lesson's words."""
    places = _places(value, check)
    return render_plain(max(sd, 10.0**-places), places)


def _number(value: float, check: Checkpoint) -> str:
    unit = check.shown_unit or check.unit
    sign = unit if unit == "°" else f"\N{NO-BREAK SPACE}{unit}" if unit != "ratio" else ""
    return f"{render_plain(value, _places(value, check))}{sign}"
