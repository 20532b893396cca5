"""How often a change is told: golfers with a known change and known noise, drawn at random.

    python -m bench.progress [--golfers 2000] [--write]

Prints the share of golfers who did not change and are told that they did, and the share who are
told of a true change, by its size. `--write` puts both into docs/progress.md and draws the curve.

Two kinds of golfers are drawn. "As assumed": their spreads are those that the model begins with.
"As they come": from swing to swing they vary by half to twice as much, a camera's spot takes from
a fifth to four fifths of the measuring error, and a day adds from nothing to twice what is assumed.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from causeline.model.progress import Aim, Session, Verdict
from causeline.progress import change
from causeline.progress.change import compare_change, compare_changes
from causeline.quantities.uncertain import Uncertain

ROOT = Path(__file__).parents[1]
DOC = ROOT / "docs" / "progress.md"
PICTURE = ROOT / "docs" / "pictures" / "progress_power.svg"
UNIT, STATED = "°", 3.0
"""A turn, measured to ± 3° in one swing."""
AIM = Aim("shoulder_turn", upward=True)
SIZES = tuple(range(0, 21, 2))
FIRST = date(2026, 4, 6)
OTHERS = 24
"""Other measures that are looked at beside the aim, as findings look at in one view."""
BEGIN, END = "<!-- figures: begin -->", "<!-- figures: end -->"


@dataclass(frozen=True, slots=True)
class Plan:
    """How much is filmed before and after."""

    title: str
    swings: int
    days_after: int = 1
    same_spot: bool = False


PLANS = (
    Plan("one swing, one swing", 1),
    Plan("three, three", 3),
    Plan("five, five", 5),
    Plan("five, five on each of two days", 5, 2),
    Plan("five, five, from one spot", 5, 1, same_spot=True),
)


@dataclass(frozen=True, slots=True)
class Noise:
    """Standard deviations of one golfer, in the measure's unit."""

    swing: float
    spot: float
    day: float


def noise_of(rng: np.random.Generator, as_they_come: bool) -> Noise:
    """One golfer's: as the model begins with, or drawn around it."""
    own, share, day = change.OWN_VARIATION[UNIT], change.SETUP_SHARE, change.DAY_SHARE
    if as_they_come:
        own *= 2.0 ** rng.uniform(-1, 1)
        share, day = rng.uniform(0.2, 0.8), day * rng.uniform(0.0, 2.0)
    spot = STATED * np.sqrt(share)
    return Noise(
        swing=float(np.hypot(own, STATED * np.sqrt(1 - share))),
        spot=float(spot),
        day=float(np.sqrt(day * (spot**2 + change.OWN_VARIATION[UNIT] ** 2))),
    )


def sides_of(
    rng: np.random.Generator, plan: Plan, noise: Noise, size: float
) -> tuple[list[Session], list[Session]]:
    """What one golfer films before and after a true change of that size."""
    spots: dict[str, float] = {}

    def filmed(level: float, day: int) -> Session:
        spot = "one" if plan.same_spot else f"day {day}"
        shift = spots.setdefault(spot, rng.normal(0, noise.spot)) + rng.normal(0, noise.day)
        values = level + shift + rng.normal(0, noise.swing, plan.swings)
        told = tuple(Uncertain(float(value), STATED) for value in values)
        return Session(FIRST + timedelta(days=day), spot, told)

    return [filmed(100.0, 0)], [filmed(100.0 + size, 21 + i) for i in range(plan.days_after)]


def share_told(plan: Plan, size: float, golfers: int, as_they_come: bool) -> float:
    """Share of golfers who are told that the measure changed, either way."""
    rng = np.random.default_rng(20260)
    told = 0
    for _ in range(golfers):
        sides = sides_of(rng, plan, noise_of(rng, as_they_come), size)
        told += compare_change(*sides, AIM, UNIT).verdict is not Verdict.NOT_TOLD_APART
    return told / golfers


def share_else(plan: Plan, golfers: int, as_they_come: bool) -> float:
    """Share of unchanged golfers who are told that something else changed."""
    rng = np.random.default_rng(4177)
    told = 0
    for _ in range(golfers):
        noise = noise_of(rng, as_they_come)
        aimed = compare_change(*sides_of(rng, plan, noise, 0.0), AIM, UNIT)
        others = {f"m{i}": (*sides_of(rng, plan, noise, 0.0), UNIT) for i in range(OTHERS)}
        told += bool(compare_changes(aimed, others)[1])
    return told / golfers


def tables(golfers: int) -> Iterator[str]:
    """The two tables of the docs."""
    yield f"Of {golfers} golfers who did not change, told that they did (±: one sd of a share):\n"
    yield "| filmed before, after | as assumed | as they come | something else, as assumed |"
    yield "|---|---|---|---|"
    for plan in PLANS:
        shares = [share_told(plan, 0.0, golfers, way) for way in (False, True)]
        shares.append(share_else(plan, max(golfers // 10, 50), False))
        counts = (golfers, golfers, max(golfers // 10, 50))
        yield f"| {plan.title} | " + " | ".join(map(_share, shares, counts)) + " |"
    yield "\nTold of a true change, as golfers come, by its size:\n"
    yield "| filmed | " + " | ".join(f"{size}°" for size in SIZES[1:]) + " |"
    yield "|---|" + "---|" * len(SIZES[1:])


def curves(golfers: int) -> dict[str, list[float]]:
    """Share told by size of the true change, for each way of filming."""
    return {plan.title: [share_told(plan, size, golfers, True) for size in SIZES] for plan in PLANS}


def picture(found: dict[str, list[float]]) -> str:
    """The power curve as an SVG picture; the key names the lines from the left one on."""
    wide, high, left, top, bottom = 840, 440, 60, 20, 60
    style = (
        "text{font:14px sans-serif;fill:#0d2335}.axis{stroke:#0d2335;fill:none}"
        ".hair{stroke:#c3cfd6}.line{fill:none;stroke:#0d2335;stroke-width:2}"
        ".chance{stroke:#b23a1c;stroke-dasharray:3 5}"
    )
    across, down = 480, high - top - bottom

    def x(size: float) -> float:
        return left + across * size / SIZES[-1]

    def y(share: float) -> float:
        return top + down * (1 - share)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" role="img">',
        "<title>Share of golfers told of a true change, by its size</title>",
        f'<style>{style}</style><rect width="{wide}" height="{high}" fill="#fff"/>',
    ]
    for tenth in range(0, 11, 2):
        parts.append(f'<path class="hair" d="M{left} {y(tenth / 10):.1f}h{across}"/>')
        parts.append(f'<text x="{left - 44}" y="{y(tenth / 10) + 5:.1f}">{tenth * 10} %</text>')
    parts += [f'<text x="{x(s) - 8:.1f}" y="{high - 38}">{s}°</text>' for s in SIZES[::2]]
    parts.append(f'<path class="chance" d="M{left} {y(0.05):.1f}h{across}"/>')
    dashes = dict(zip(found, ("", "2 4", "8 4", "14 4 2 4", "4 2"), strict=True))
    for name, values in found.items():
        points = "L".join(f"{x(s):.1f} {y(v):.1f}" for s, v in zip(SIZES, values, strict=True))
        parts.append(f'<path class="line" stroke-dasharray="{dashes[name]}" d="M{points}"/>')
    steepest = sorted(found, key=lambda name: -sum(found[name]))
    for place, name in enumerate(steepest):
        at, row = x(SIZES[-1]) + 24, top + 60 + 28 * place
        parts.append(f'<path class="line" stroke-dasharray="{dashes[name]}" d="M{at} {row}h44"/>')
        parts.append(f'<text x="{at + 54}" y="{row + 5}">{name}</text>')
    parts.append(f'<path class="axis" d="M{left} {top}v{down}h{across}"/>')
    caption = "true change of a measure that is ± 3° in one swing; dotted: 5 %, chance"
    return "\n".join([*parts, f'<text x="{left}" y="{high - 10}">{caption}</text></svg>']) + "\n"


def _share(share: float, golfers: int) -> str:
    return f"{100 * share:.1f} % ± {100 * (share * (1 - share) / golfers) ** 0.5:.1f}"


def main() -> None:
    """Print the figures, and write them where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--golfers", type=int, default=2000)
    parser.add_argument("--write", action="store_true")
    given = parser.parse_args()
    change.MOST_SWINGS = change.MOST_DAYS = 0  # how many more would settle it is not asked here
    lines = list(tables(given.golfers))
    found = curves(given.golfers)
    lines += [
        f"| {name} | " + " | ".join(f"{100 * share:.0f} %" for share in values[1:]) + " |"
        for name, values in found.items()
    ]
    text = "\n".join(lines)
    print(text)
    if given.write:
        head, _, rest = DOC.read_text(encoding="utf-8").partition(BEGIN)
        tail = rest.partition(END)[2]
        DOC.write_text(f"{head}{BEGIN}\n{text}\n{END}{tail}", encoding="utf-8")
        PICTURE.write_text(picture(found), encoding="utf-8")


if __name__ == "__main__":
    main()
