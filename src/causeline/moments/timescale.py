"""Slow motion, judged from the swing itself.

A downswing lasts about a quarter of a second and a backswing about three times as long (common
practice; facts: 0.233-0.333 s and 0.70-1.00 s among players counted on broadcast pictures). A
swing that lasts four or eight times as long in the file was filmed fast. A slow practice swing in
real time must never be taken for it, so anything short of three times is real time.
"""

from __future__ import annotations

import math
from fractions import Fraction

from causeline.model.moments import ScaleGuess, SwingWindow
from causeline.quantities.clock import Clock

FALL_S = 0.130
"""Typical real seconds in which the hands fall from nine tenths to one fifth of their height."""
RISE_S = 0.31
FALL_SPREAD, RISE_SPREAD = 0.22, 0.32
"""Standard deviations of the logarithm among golfers, clubs and views."""
CAPTURE_HZ = (60, 100, 120, 200, 240, 300, 480, 960)
CAPTURE_ODDS = (0.05, 0.05, 0.35, 0.05, 0.39, 0.02, 0.06, 0.03)
"""How often phones and cameras film slow motion at each rate: judgement, not data."""
REAL_TIME_ODDS = 0.8
LED_SHARE, LED, LED_SPREAD = 0.15, 1.5, 0.3
"""One real-time swing in seven is led gently: half as long again, with a wide spread. Judgement."""
LEAST_SLOWING = 3.0
LEAST_BALLISTIC = 1.7
"""Rise over fall: below this the swing is not thrown but led, and proves nothing about time."""


def find_time_scale(window: SwingWindow, clock: Clock) -> ScaleGuess | None:
    """How many file seconds one real second takes; None where the window shows too little.

    `window` must have been found in file time (`clock.time_scale` 1). A scale of 1 is real time.
    """
    if not (math.isfinite(window.fall_s) and math.isfinite(window.rise_s)) or len(clock) < 3:
        return None
    slowing, spread = _slowing(window)
    if window.rise_s < LEAST_BALLISTIC * window.fall_s and slowing > LEAST_SLOWING:
        return None
    scales, weight = _weigh(slowing, spread, round(clock.rate_hz))
    best = max(range(1, len(scales)), key=lambda k: weight[k]) if slowing > LEAST_SLOWING else 0
    return ScaleGuess(scales[best], weight[best] / sum(weight))


def _slowing(window: SwingWindow) -> tuple[float, float]:
    """File over typical real duration, and the spread of its logarithm: fall and rise together."""
    fall, rise = FALL_SPREAD**-2, RISE_SPREAD**-2
    logs = fall * math.log(window.fall_s / FALL_S) + rise * math.log(window.rise_s / RISE_S)
    return math.exp(logs / (fall + rise)), (fall + rise) ** -0.5


def _weigh(slowing: float, spread: float, file_hz: int) -> tuple[list[Fraction], list[float]]:
    """Real time and every plausible slowing, each with what speaks for it."""
    lead = REAL_TIME_ODDS * (1.0 - LED_SHARE)
    led = _density(math.log(slowing / LED), math.hypot(spread, LED_SPREAD))
    scales = [Fraction(1), Fraction(1)]
    weight = [
        lead * _density(math.log(slowing), spread),
        REAL_TIME_ODDS * LED_SHARE * led,
    ]
    for rate, odds in zip(CAPTURE_HZ, CAPTURE_ODDS, strict=True):
        if rate > file_hz:
            scales.append(Fraction(rate, file_hz))
            off = math.log(slowing * file_hz / rate)
            weight.append((1.0 - REAL_TIME_ODDS) * odds * _density(off, spread))
    return [Fraction(1), *scales[2:]], [weight[0] + weight[1], *weight[2:]]


def _density(off: float, spread: float) -> float:
    return math.exp(-0.5 * (off / spread) ** 2) / spread
