"""What a coach's mark measures at a frame, with its ±: as `frontend/src/scene/measured.ts` has it.

A fixture that both sides' tests read holds the two together.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import atan2, degrees, hypot, isfinite
from typing import Any

import numpy as np

from causeline.quantities.angle import Floats
from causeline.render.talk_facts import SwingFacts

Mark = Mapping[str, Any]

HAND_SHARE = 0.002
"""How well a hand sets a point, one standard deviation: share of the picture's height. Judged."""
WIDEST_DEG = 20.0
"""A direction that is less sure than this says nothing; a length, one as unsure as it is long."""


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A place of the picture with its standard deviation along each axis, clip pixels."""

    at: Floats
    sd_px: float


def render_placed(spot: Sequence[Any], facts: SwingFacts, row: int) -> Placed:
    """Where a spot lies: in the picture, or so far from a tracked point."""
    own, hand = np.array([float(spot[0]), float(spot[1])]), HAND_SHARE * facts.height
    if len(spot) < 3:
        return Placed(own, hand)
    pin = str(spot[2])
    off = hand if hypot(*own) > 0 else 0.0
    return Placed(facts.point(pin, row) + own, hypot(facts.spread(pin, row), off))


def render_spots(mark: Mark, facts: SwingFacts, frame: int) -> list[Placed]:
    """The points of a mark at a frame of the clip; a followed line has those of the tracks."""
    row = facts.row(frame)
    if mark["kind"] != "follow":
        return [render_placed(spot, facts, row) for spot in mark["spots"]]
    return [
        Placed(facts.point(name, at), facts.spread(name, at))
        for name, at in _ends(mark, facts, row)
    ]


def _ends(mark: Mark, facts: SwingFacts, row: int) -> list[tuple[str, int]]:
    """Names and rows of the two ends of a followed line; none for a path."""
    follow = mark.get("follow")
    if follow == "address_shaft":
        stands = facts.moments.get("address")
        then = -1 if stands is None else facts.row(stands)
        return [("hosel", then), ("grip", then)]
    pairs = {
        "shaft": ("grip", "hosel"),
        "lead_forearm": ("lead_elbow", "lead_wrist"),
        "trail_forearm": ("trail_elbow", "trail_wrist"),
        "shoulders": ("trail_shoulder", "lead_shoulder"),
        "hips": ("trail_hip", "lead_hip"),
    }
    return [(name, row) for name in pairs.get(str(follow), ())]


def render_mark_number(mark: Mark, facts: SwingFacts, frame: int, mirrored: bool) -> str:
    """The first thing that a mark measures, as people read it; empty where it measures nothing."""
    points = render_spots(mark, facts, frame)
    if len(points) < 2 or not all(np.isfinite(one.at).all() for one in points):
        return ""
    one, two = points[0], points[1]
    match mark["kind"]:
        case "angle" if len(points) > 2:
            return _told(*_angle(one, two, points[2]), "°")
        case "line" | "follow":
            return _told(*_slope(one, two, mirrored), "°")
        case "arrow":
            return _told(*_heading(one, two, mirrored), "°")
        case "circle":
            return _share(one, two, facts)
    return ""


def _direction(start: Floats, end: Floats) -> float:
    """Zero to the right, counter-clockwise as seen, (-180, 180]; NaN for one place."""
    x, y = end - start
    if not hypot(x, y) > 0:
        return float("nan")
    angle = degrees(atan2(-y, x))
    return 180.0 if angle <= -180 else angle


def _turn_sd(one: Placed, two: Placed) -> float:
    """± of the direction from one place to another, degrees."""
    long = hypot(*(two.at - one.at))
    return degrees(hypot(one.sd_px, two.sd_px) / long) if long > 0 else float("nan")


def _slope(one: Placed, two: Placed, mirrored: bool) -> tuple[float, float]:
    seen = _direction(one.at, two.at)
    seen = seen - 180 if seen > 90 else seen + 180 if seen <= -90 else seen
    return (-seen if mirrored and seen < 90 else seen), _turn_sd(one, two)


def _heading(one: Placed, two: Placed, mirrored: bool) -> tuple[float, float]:
    seen = _direction(one.at, two.at)
    turned = 180 - seen
    turned = turned - 360 if turned > 180 else turned
    return (turned if mirrored else seen), _turn_sd(one, two)


def _angle(first: Placed, joint: Placed, second: Placed) -> tuple[float, float]:
    legs = [one.at - joint.at for one in (first, second)]
    if any(not hypot(*leg) > 0 for leg in legs):
        return float("nan"), float("nan")
    a, b = (leg / hypot(*leg) for leg in legs)
    value = 2 * degrees(atan2(hypot(*(a - b)), hypot(*(a + b))))
    return value, hypot(_turn_sd(first, joint), _turn_sd(joint, second))


def _share(one: Placed, two: Placed, facts: SwingFacts) -> str:
    stature = facts.stature
    long = hypot(*(two.at - one.at))
    if stature is None or not stature.px > 0 or not long > 0:
        return ""
    share = long / stature.px
    sd = share * hypot(hypot(one.sd_px, two.sd_px) / long, stature.px_sd / stature.px)
    return _told(100 * share, 100 * sd, "% of stature")


def _told(value: float, sd: float, unit: str) -> str:
    """A number and its ±, with as many digits as the ± leaves sense in, or why there is none."""
    if not isfinite(value) or not isfinite(sd):
        return "not seen"
    if sd > (WIDEST_DEG if unit == "°" else value):
        return "too unsure to tell"
    digits = 1 if sd < 0.95 else 0
    shown, spread = _fixed(value, digits), f"± {_fixed(sd, digits)}"
    return f"{shown}° {spread}" if unit == "°" else f"{shown} {spread} {unit}"


def _fixed(value: float, digits: int) -> str:
    """Rounded, halves away from zero, as ECMA-262 `toFixed` does; zero without a sign."""
    step = Decimal(1).scaleb(-digits)
    text = str(Decimal(value).quantize(step, ROUND_HALF_UP)).replace("-", "−")
    return text.removeprefix("−") if set(text) <= set("−0.") else text
