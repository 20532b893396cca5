"""The one sentence for a moment that was not found."""

from __future__ import annotations

from causeline.model.moments import MomentName, Moments


def measure_lacking(moments: Moments, name: MomentName) -> str:
    """Which moment is missing and why, in words for the golfer."""
    words = name.replace("_", " ")
    why = moments.why_missing(name).rstrip(".")
    if why.startswith((words, name)):
        return f"The {words}{why[len(name) :]}."
    return f"The {words} was not found: {why}."
