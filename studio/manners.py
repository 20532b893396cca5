"""What golfers do around a swing: waggles, a look at the target, and the arms coming down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from studio.swing import Part, Swing

STILL_S = (0.35, 1.4)
"""Standing still before the start."""


def with_manners(swing: Swing, rng: np.random.Generator) -> Swing:
    """The swing with waggles and a look before it, and a finish that is held and given up."""
    parts: list[Part] = []
    before = -0.12 - float(rng.uniform(*STILL_S))
    if rng.random() < 0.15:
        parts.append(_press(rng))
    for _ in range(int(rng.choice([0, 1, 2, 3], p=[0.35, 0.3, 0.25, 0.1]))):
        waggle, before = _waggle(rng, before)
        parts.append(waggle)
    if rng.random() < 0.4:
        look, before = _look(rng, before)
        parts.append(look)
    hold = float(rng.uniform(0.5, 1.6))
    if rng.random() < 0.5:
        parts.append(_arms_down(swing, hold))
        hold += 1.1
    spans: list[tuple[float, float]] = []
    for _ in range(int(rng.choice([0, 1, 2], p=[0.82, 0.14, 0.04]))):
        practice, span = _practice(swing, rng, before)
        parts.append(practice)
        spans.insert(0, span)
        before = span[0] - float(rng.uniform(0.1, 0.6))
    lead_in = -before + float(rng.uniform(0.2, 0.6))
    return replace(
        swing,
        parts=(*swing.parts, *parts),
        rehearsals_s=tuple(spans),
        lead_in_s=lead_in,
        hold_s=hold,
    )


def _bump(last: float, long_s: float, **peaks: float) -> Part:
    """There and back again, done at `last`."""
    knots = (last - long_s, last - 0.6 * long_s, last - 0.4 * long_s, last)
    rows = {name: (0.0, peak, 0.9 * peak, 0.0) for name, peak in peaks.items()}
    return Part(rows, knots_s=knots)


def _waggle(rng: np.random.Generator, last: float) -> tuple[Part, float]:
    size, long_s = float(rng.uniform(0.4, 1.2)), float(rng.uniform(0.55, 0.95))
    part = _bump(
        last,
        long_s,
        shaft_angle=-22.0 * size,
        hands_lift=2.0 * size,
        hands_across=2.0 * size,
        chest_turn=2.0 * size,
        club_roll=4.0 * size,
        pelvis_y=float(rng.normal(0, 0.004)),
    )
    return part, last - long_s - float(rng.uniform(0.0, 0.4))


def _look(rng: np.random.Generator, last: float) -> tuple[Part, float]:
    long_s = float(rng.uniform(1.0, 1.8))
    part = _bump(last, long_s, head_turn=-float(rng.uniform(45, 75)), head_pitch=-24.0)
    return part, last - long_s


def _press(rng: np.random.Generator) -> Part:
    """The hands go a little forward just before the start."""
    return _bump(-0.02, 0.45, shaft_angle=-float(rng.uniform(2, 5)), lead_knee_in=3.0)


def _arms_down(swing: Swing, hold: float) -> Part:
    """After the finish was held, the arms come down in front of the body."""
    finish = swing.times()["finish"]
    knots = (finish + hold, finish + hold + 0.5, finish + hold + 1.0)
    rows = {
        "hands_lift": (0.0, -26.0, -40.0),
        "hands_across": (0.0, 4.0, 4.0),
        "shaft_angle": (0.0, -70.0, -120.0),
        "trail_reach": (0.0, 0.05, 0.08),
        "chest_turn": (0.0, 8.0, 14.0),
    }
    return Part({name: tuple(np.array(row)) for name, row in rows.items()}, knots_s=knots)


def _practice(
    swing: Swing, rng: np.random.Generator, last: float
) -> tuple[Part, tuple[float, float]]:
    """A practice swing over the ball, done at `last`: slower, shorter, above the grass."""
    slow = float(rng.uniform(1.15, 1.6))
    own = np.array([slow * time for time in swing.times().values()])
    back_again = float(rng.uniform(0.9, 1.5))
    knots = np.concatenate([own, [own[-1] + 0.2, own[-1] + 0.2 + back_again]])
    knots += last - knots[-1]
    rows = {}
    for name, row in swing.rows.items():
        change = np.array(row) - row[0]
        rows[name] = (*change, change[-1], 0.0)
    clear = (0.0, -0.02, 0.0, 0.0, 0.0, 0.0, -0.02, -0.05, -0.02, 0.0, 0.0, 0.0, 0.0)
    rows["lead_reach"] = tuple(np.array(rows["lead_reach"]) + clear)
    first = float(knots[0]) - 0.3
    return Part(rows, knots_s=tuple(knots.tolist())), (first, float(knots[-1]) - 0.05)
