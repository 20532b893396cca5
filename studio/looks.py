"""How a golfer and the things about him look: chosen by chance, the same for the same seed."""

from __future__ import annotations

from dataclasses import dataclass, field

from studio.draw.club import ClubLook


@dataclass(frozen=True, slots=True)
class Look:
    """Skin, hair, clothes, club."""

    club: ClubLook = field(default_factory=ClubLook)
