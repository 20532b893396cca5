"""Advice on filming: what in this clip costs precision, and what to do next time.

Each check looks at one thing and gives one advice or none. Limits that carry no source are judged.
"""

from __future__ import annotations

from collections.abc import Iterable

from causeline.measures.context import SwingContext
from causeline.measures.filming_body import BODY_CHECKS
from causeline.measures.filming_clip import CLIP_CHECKS
from causeline.measures.filming_picture import measure_light
from causeline.model.clip import Called, Clip
from causeline.model.filming import Advice, PictureFacts, Severity

SUREST_VIEW = 0.8
"""Below this probability the camera probably stands between the two views."""

_WORST_FIRST = (Severity.SPOILS, Severity.COSTS, Severity.NOTE)


def measure_filming(
    clip: Clip,
    swings: Iterable[SwingContext],
    view: Called | None = None,
    pictures: Iterable[PictureFacts] = (),
) -> tuple[Advice, ...]:
    """Everything worth saying about how a clip was filmed, the worst first, each thing once.

    `pictures` are the facts of a few frames (address, top, impact), by `measure_picture`.
    """
    said = [check(clip) for check in CLIP_CHECKS]
    said += [check(swing) for swing in swings for check in BODY_CHECKS]
    said.append(_between_views(view))
    said += measure_light(tuple(pictures))
    return _each_once(advice for advice in said if advice is not None)


def _between_views(view: Called | None) -> Advice | None:
    if view is None or not view.confidence < SUREST_VIEW:
        return None
    return Advice(
        "between_views",
        Severity.COSTS,
        f"Your camera stands between face-on and down-the-line; this was taken as {view.name}. "
        "Stand it square to your chest, or behind your hands on a line to the target.",
    )


def _each_once(said: Iterable[Advice]) -> tuple[Advice, ...]:
    worst: dict[str, Advice] = {}
    for advice in said:
        held = worst.get(advice.name)
        if held is None or _rank(advice) < _rank(held):
            worst[advice.name] = advice
    return tuple(sorted(worst.values(), key=_rank))


def _rank(advice: Advice) -> int:
    return _WORST_FIRST.index(advice.severity)
