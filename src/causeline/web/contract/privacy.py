"""What a golfer agreed to, and what can be done with everything about them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PurposeLine:
    """One purpose, as it stands."""

    value: str
    title: str
    means: str
    """What it lets the coach do."""
    allowed: bool
    assumed: bool
    """Allowed, though nobody said so yet."""
    state: str
    """How it stands and since when, in words."""
    goes: str
    """What goes at once when it is withdrawn."""


@dataclass(frozen=True, slots=True)
class Privacy:
    """One golfer's privacy."""

    at: str
    """Address of this page, where its forms go."""
    golfer_at: str
    name: str
    junior: bool
    speaks: str
    """Whose word counts: the golfer's or the guardian's name; empty where no guardian is known."""
    purposes: tuple[PurposeLine, ...]
    links: int
    """Open links of theirs."""
    holds: str
    """What there is of them, in words."""
    said: str
    wrong: str
