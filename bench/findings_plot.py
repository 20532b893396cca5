"""A reliability plot as an SVG picture: what was said against what was true, by tenths."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from causeline.findings.reliability import Bin

SIDE, LEFT, TOP = 420, 60, 20
WIDE, HIGH = 700, 500
MARKS = ("circle", "square", "lozenge")
STYLE = (
    "text{font:14px sans-serif;fill:#0d2335}.axis{stroke:#0d2335;fill:none}"
    ".even{stroke:#4a6072;stroke-dasharray:6 5}.hair{stroke:#c3cfd6}"
    ".mark{fill:#0d2335}.square{fill:#fff;stroke:#0d2335;stroke-width:2}"
    ".lozenge{fill:#b23a1c}.bar{stroke:#4a6072;stroke-width:1}"
)


def plot_of(told: Mapping[str, Sequence[Bin]]) -> str:
    """One mark for each tenth and each way of reading; bars are the binomial ± of the share."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img">',
        "<title>Probabilities said, against the share that was true</title>",
        f"<style>{STYLE}</style>",
        f'<rect width="{WIDE}" height="{HIGH}" fill="#fff"/>',
        *_axes(),
    ]
    for place, (name, bins) in enumerate(told.items()):
        kind = MARKS[place % len(MARKS)]
        shift = 5.0 * (place - (len(told) - 1) / 2)
        parts += [line for one in bins for line in _mark(one, kind, shift)]
        y = TOP + 30 + 26 * place
        parts += [_shape(kind, LEFT + SIDE + 30, y), _text(LEFT + SIDE + 46, y + 5, name)]
    return "\n".join([*parts, "</svg>"]) + "\n"


def _axes() -> list[str]:
    lines = []
    for tenth in range(0, 11, 2):
        x, y = _x(tenth / 10), _y(tenth / 10)
        lines += [
            f'<path class="hair" d="M{LEFT} {y:.1f}H{LEFT + SIDE}"/>',
            _text(x - 10, TOP + SIDE + 20, f"{tenth / 10:.1f}"),
            _text(LEFT - 34, y + 5, f"{tenth / 10:.1f}"),
        ]
    return [
        *lines,
        f'<path class="even" d="M{_x(0):.1f} {_y(0):.1f}L{_x(1):.1f} {_y(1):.1f}"/>',
        f'<path class="axis" d="M{LEFT} {TOP}V{TOP + SIDE}H{LEFT + SIDE}"/>',
        _text(LEFT + SIDE / 2 - 60, TOP + SIDE + 46, "probability said"),
        _text(LEFT + 8, TOP + 12, "share true"),
    ]


def _mark(one: Bin, kind: str, shift: float) -> list[str]:
    x, y = _x(one.said) + shift, _y(one.true)
    reach = SIDE * (max(one.true * (1 - one.true), 1e-9) / one.count) ** 0.5
    bar = f'<path class="bar" d="M{x:.1f} {y - reach:.1f}V{y + reach:.1f}"/>'
    return [bar, _shape(kind, x, y)]


def _shape(kind: str, x: float, y: float) -> str:
    if kind == "circle":
        return f'<circle class="mark" cx="{x:.1f}" cy="{y:.1f}" r="5"/>'
    if kind == "square":
        return f'<rect class="square" x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10"/>'
    return f'<path class="lozenge" d="M{x - 7:.1f} {y:.1f}l7 -7l7 7l-7 7z"/>'


def _text(x: float, y: float, words: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}">{words}</text>'


def _x(share: float) -> float:
    return LEFT + SIDE * share


def _y(share: float) -> float:
    return TOP + SIDE * (1 - share)
