"""What the measures of a swing support: faults, each with its evidence, its cause and its odds.

A probability is of the fault being in this swing, given everything that was measured or told.
`outside` counts in the value's own standard deviations.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from causeline.model.clip import View
from causeline.model.moments import MomentName


class ClubSort(StrEnum):
    """Clubs that are swung alike."""

    DRIVER = "driver"
    WOOD = "wood"
    IRON = "iron"
    WEDGE = "wedge"


class Role(StrEnum):
    """Where a finding stands in the chain."""

    CAUSE = "cause"
    """Others follow from it, and it follows from nothing that was found."""
    EFFECT = "effect"
    ALONE = "alone"
    """Nothing that was found leads to it, and it leads to nothing that was found."""


class Say(StrEnum):
    """What somebody who knows says of a fault."""

    PRESENT = "present"
    ABSENT = "absent"


@dataclass(frozen=True, slots=True)
class Ruling:
    """A coach or a golfer pins a fault down, or strikes it; the reason is kept."""

    fault: str
    say: Say
    reason: str
    by: str = "coach"

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise ValueError(
                f"got a ruling on {self.fault!r} without a reason; expected one: "
                "say why, so that it can be read later"
            )


@dataclass(frozen=True, slots=True)
class Evidence:
    """One measure that speaks for or against a fault."""

    measure: str
    moment: MomentName | None
    view: View
    frame: int | None
    """Of the view's own clip; None where the moment was not handed in."""
    value: float
    sd: float
    unit: str
    low: float | None
    """Ends of the band in which it would be unremarkable, None where it has no such end."""
    high: float | None
    outside: float
    """How far outside the band on this fault's side, in standard deviations of the value; negative
    inside."""
    speaks_for: bool
    """Whether it raises the fault's probability."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault that is more likely there than not."""

    name: str
    title: str
    role: Role
    probability: float
    severity: float
    """0 at the band's end to 1, as bad as a coach sees in a year (a judgement of ours); of a fault
    that only follows from what was told, 0."""
    evidence: tuple[Evidence, ...]
    explains: tuple[str, ...]
    """Names of the findings that would go with it, in order of the swing."""
    because: str | None
    """The finding that it follows from most, None for a cause and for one that stands alone."""
    explained_share: float
    """Of everything that was found: the share that would go if this one went, 0 to 1."""
    sentence: str
    """In plain English: what was seen, and what follows from it."""
    rulings: tuple[Ruling, ...] = ()


@dataclass(frozen=True, slots=True)
class Unseen:
    """A fault of which nothing is known either way."""

    name: str
    title: str
    reason: str
    probability: float
    """What the rest of the swing makes of it."""


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything that is said of one swing, from one view or two."""

    findings: tuple[Finding, ...]
    """The cause that explains most first, its effects in order of the swing, then the rest."""
    unseen: tuple[Unseen, ...]
    odds: tuple[tuple[str, float], ...]
    """Every fault of the catalogue with its probability, in the catalogue's order."""
    struck: tuple[Ruling, ...] = ()
    """Rulings by which a fault was left out."""
    club: ClubSort | None = None
    """Whose bands were used; None for those of most clubs."""

    @property
    def cause(self) -> Finding | None:
        """The one thing to look at first; None where nothing was found."""
        return self.findings[0] if self.findings else None

    def get(self, name: str) -> Finding | None:
        """The finding of that name, or None."""
        return next((one for one in self.findings if one.name == name), None)

    def probability(self, name: str) -> float:
        """Of a fault of the catalogue. Raises KeyError for another name."""
        return dict(self.odds)[name]
