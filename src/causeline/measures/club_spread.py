"""What the ± of a measure of the club holds: its formula, tried again with everything a little off.

| part | displaces, one standard deviation |
|---|---|
| shaft | the head end, along either axis, by the track's own error |
| elbow and wrist, lead ankle | each landmark that the measure uses, along either axis |
| camera not square | what is nearer or farther than the hands, sideways by its depth |
| camera above or below | the same, up and down |
| camera not level | all about the hands |
| rows exposed in turn | the head, by its way while rows are read from it to the hands |

How deep the club lies toward or away from the camera follows from how much of it is seen. What is
true is what the club does in the world, so that a shaft that points near the camera is uncertain by
where the camera stands. The sizes were chosen on 33 rendered training swings so that 90 % of the
truths lie inside the 90 % intervals, and judged on others: docs/accuracy.md.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from causeline.measures.context import SwingContext
from causeline.measures.spec import MeasureSpec
from causeline.model.clip import View
from causeline.model.tracks import BODY_LANDMARKS
from causeline.quantities.angle import Floats, wrap_deg

CLUB_SHARE = 0.57
"""Grip end to hosel, of a stature: irons 0.5, drivers 0.64 (common practice)."""
LEAST_DEEP = 0.2
"""A club that looks as long as it can may still lie this share of its length out of the picture's
plane: clubs differ in length by as much as turning one by 11° shortens it."""

TRACK_SHARE = 0.01
"""Where the track has the head end, of a stature, along either axis."""
LANDMARK_SHARE = {"elbow": 0.022, "wrist": 0.022, "ankle": 0.05}
"""The same of landmarks; that of the ankle holds how much nearer to the camera the head lies."""


@dataclass(frozen=True, slots=True)
class Askew:
    """How far a camera may stand off, degrees, and the least depth of the club, in its lengths."""

    square_deg: float
    rise_deg: float
    deep: float = LEAST_DEEP
    flat: bool = False
    """The club is known to lie in the picture's plane: what it lacks of its length is its make."""


USUAL = {View.DOWN_THE_LINE: Askew(6.0, 4.0), View.FACE_ON: Askew(8.0, 4.0)}
"""How far from square to the view, and above or below the hands, the camera sees them."""
LYING = Askew(6.0, 4.0, flat=True)
"""Down the line at address: the club hangs from the hands to the ball, square to the target line
(common practice), so that a short one is no deep one."""
STANDING = Askew(10.0, 4.0, 0.5)
"""Face-on at address and impact. The club then leans toward the camera by 26-34° from hanging
(common practice), though its head, being nearer, is drawn as long as if it hung. Off the picture's
middle what is nearer is drawn farther out, which counts as if the camera stood askew."""
END_ON = Askew(12.0, 9.0)
"""Where a level shaft points at a camera down the line, and is made out all the same: it is seen
in one clip of three, and those are the ones filmed from beside the line."""
READOUT_S = 0.011
"""From the first row of a picture to its last: 6-16 ms in phones, from memory."""


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """Club and arms at one instant; (2,) pixels each."""

    grip: Floats
    hosel: Floats
    head: Floats
    body: Floats
    """(k, 2) in `BODY_LANDMARKS` order."""
    late: Floats
    """(2,) pixels that the head goes while rows are read from it to the hands."""

    def point(self, name: str) -> Floats:
        """One landmark."""
        return np.asarray(self.body[BODY_LANDMARKS.index(name)])


ClubFormula = Callable[..., float]
"""One `Held` for each moment in; degrees, or pixels, out."""

Parts = dict[str, float]
"""What the ± holds, in the unit of the formula."""

Change = Callable[[Held], Held]
ACROSS, UP = np.array([1.0, 0.0]), np.array([0.0, 1.0])


def measure_club_spread(
    context: SwingContext,
    held: Sequence[Held],
    formula: ClubFormula,
    spec: MeasureSpec,
    unit_px: float,
    askew: Sequence[Askew],
) -> Parts:
    """The parts of a formula's ±, all but the timing; `unit_px` is the stature in pixels.

    `askew` has one for each of `held`. A change is tried at each moment by itself, for what is off
    in one is seldom off alike in the other: the club has turned. Only the camera's roll is common
    to all.
    """
    value, angular = formula(*held), spec.unit == "°"

    def off(*changes: Change | Sequence[Change]) -> float:
        """Of changes alike at every moment, or of one for each."""
        each = [[c] * len(held) if callable(c) else c for c in changes]
        tried = [
            formula(*(change[at](one) if k == at else one for k, one in enumerate(held))) - value
            for change in each
            for at in range(len(held))
        ]
        return math.hypot(*(float(wrap_deg(one)) if angular else one for one in tried))

    track, roll = TRACK_SHARE * unit_px, math.radians(context.roll_sd_deg)
    leaning = formula(*(_rolled(one, roll) for one in held)) - value
    parts = {
        "shaft": off(_pushed(ACROSS * track), _pushed(UP * track)),
        "camera not square": off(
            [_deepened(ACROSS * math.tan(math.radians(a.square_deg)), a, unit_px) for a in askew]
        ),
        "camera above or below": off(
            [_deepened(UP * math.tan(math.radians(a.rise_deg)), a, unit_px) for a in askew]
        ),
        "camera not level": float(wrap_deg(leaning)) if angular else leaning,
        "rows exposed in turn": off(lambda one: _pushed(one.late)(one)),
    }
    if spec.landmarks:
        parts["landmarks"] = off(
            *(
                _shifted(name, axis * LANDMARK_SHARE[name.split("_")[-1]] * unit_px)
                for name in spec.landmarks
                for axis in (ACROSS, UP)
            )
        )
    return parts


def _pushed(by: Floats) -> Change:
    return lambda one: replace(one, hosel=one.hosel + by, head=one.head + by)


def _deepened(slope: Floats, askew: Askew, unit_px: float) -> Change:
    """The head end moved by its depth from the hands times a slope."""

    def change(one: Held) -> Held:
        long, seen = CLUB_SHARE * unit_px, float(np.hypot(*(one.hosel - one.grip)))
        lacks = 0.0 if askew.flat else max(long**2 - seen**2, 0.0)
        deep = math.sqrt(lacks + (askew.deep * long) ** 2)
        return _pushed(slope * deep)(one)

    return change


def _shifted(name: str, by: Floats) -> Change:
    def change(one: Held) -> Held:
        body = one.body.copy()
        body[BODY_LANDMARKS.index(name)] += by
        return replace(one, body=body)

    return change


def _rolled(one: Held, angle: float) -> Held:
    """Everything turned about the grip end."""
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])

    def turned(points: Floats) -> Floats:
        return np.asarray(one.grip + (points - one.grip) @ turn.T)

    return replace(one, hosel=turned(one.hosel), head=turned(one.head), body=turned(one.body))
