"""A defined quantity at a moment: a value with its ±, or a refusal with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.model.moments import MomentName


@dataclass(frozen=True, slots=True)
class Measure:
    """A value that was measured. `sd` is one standard deviation; `method` says what it holds."""

    name: str
    moment: MomentName | None
    """None for a quantity of the whole swing, as tempo is."""
    value: float
    sd: float
    unit: str
    method: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """A value that cannot be given, with the reason in words for the golfer."""

    name: str
    moment: MomentName | None
    refused: str
