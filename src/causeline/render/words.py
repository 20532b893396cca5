"""The trade's words for the model's names, and plain words for how sure a decision is."""

from __future__ import annotations

from causeline.model.clip import Called, Clip, ScaleFrom, View
from causeline.model.filming import Severity
from causeline.model.moments import MomentName
from causeline.render.numbers import render_plain

MOMENT_TITLES = {
    MomentName.ADDRESS: "Address",
    MomentName.START: "Start",
    MomentName.SHAFT_LEVEL_BACK: "Shaft level, going back",
    MomentName.ARM_LEVEL_BACK: "Lead arm level, going back",
    MomentName.TOP: "Top",
    MomentName.ARM_LEVEL_DOWN: "Lead arm level, coming down",
    MomentName.SHAFT_LEVEL_DOWN: "Shaft level, coming down",
    MomentName.IMPACT: "Impact",
    MomentName.SHAFT_LEVEL_THROUGH: "Shaft level, going through",
    MomentName.FINISH: "Finish",
}

MOMENT_PLACES = {
    MomentName.ADDRESS: "at address",
    MomentName.START: "at the start",
    MomentName.SHAFT_LEVEL_BACK: "with the shaft level, going back",
    MomentName.ARM_LEVEL_BACK: "with the lead arm level, going back",
    MomentName.TOP: "at the top",
    MomentName.ARM_LEVEL_DOWN: "with the lead arm level, coming down",
    MomentName.SHAFT_LEVEL_DOWN: "with the shaft level, coming down",
    MomentName.IMPACT: "at impact",
    MomentName.SHAFT_LEVEL_THROUGH: "with the shaft level, going through",
    MomentName.FINISH: "at the finish",
}
"""The same, as they stand inside a sentence."""

MOMENT_SHORT = {
    MomentName.ADDRESS: "Address",
    MomentName.START: "Start",
    MomentName.SHAFT_LEVEL_BACK: "Shaft back",
    MomentName.ARM_LEVEL_BACK: "Arm back",
    MomentName.TOP: "Top",
    MomentName.ARM_LEVEL_DOWN: "Arm down",
    MomentName.SHAFT_LEVEL_DOWN: "Shaft down",
    MomentName.IMPACT: "Impact",
    MomentName.SHAFT_LEVEL_THROUGH: "Shaft through",
    MomentName.FINISH: "Finish",
}
"""The same where there is little room; the numbers of the strip say which is which."""

VIEW_WORDS = {View.FACE_ON: "face-on", View.DOWN_THE_LINE: "down the line"}

SEVERITY_WORDS = {
    Severity.SPOILS: "Most of this reading is unsure",
    Severity.COSTS: "It cost some measures",
    Severity.NOTE: "For the next clip",
}
"""Worst first: the order in which advice is shown."""

_SURE = (
    (1.0, "as given"),
    (0.98, "plain in the pictures"),
    (0.9, "very likely"),
    (0.7, "likely"),
    (0.0, "unsure"),
)

_SCALE_WORDS = {
    ScaleFrom.REAL_TIME: "",
    ScaleFrom.CONTAINER: "as the file itself says",
    ScaleFrom.GIVEN: "as given",
    ScaleFrom.INFERRED: "worked out from the swing itself, so check it",
}


def render_confidence(called: Called) -> str:
    """How sure a decision is: a word, and the probability where it was decided from pictures."""
    word = next(word for least, word in _SURE if called.confidence >= least)
    if called.confidence >= 1.0:
        return word
    return f"{word}, {int(100 * called.confidence)} in 100"


def render_view(called: Called) -> str:
    """The view as a coach says it: `face-on`, `down the line`."""
    return next((words for view, words in VIEW_WORDS.items() if view == called.name), called.name)


def render_clock(clip: Clip) -> str:
    """How time was measured: `240 frames a second, slowed 8×, as the file itself says`."""
    rate = clip.capture_rate_hz
    if rate != rate:
        return "a single frame, so no time at all"
    parts = [f"{_count(rate)} frames a second"]
    scale = float(clip.clock.time_scale)
    if scale > 1:
        parts.append(f"slowed {_count(scale)}×")
    elif scale < 1:
        parts.append(f"speeded up {_count(1 / scale)}×")
    if clip.clock.variable:
        parts.append("unevenly spaced")
    parts.append(_SCALE_WORDS[clip.time_scale_from])
    return ", ".join(part for part in parts if part)


def _count(number: float) -> str:
    """A whole number where it nearly is one, otherwise one place."""
    return render_plain(number, 0 if abs(number - round(number)) < 0.05 else 1)
