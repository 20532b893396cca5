"""How large a clip may be before it is refused."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.errors import SettingError


@dataclass(frozen=True, slots=True)
class Limits:
    """The largest clip that is opened. Raise a limit by making another record."""

    pixels: int = 16_000_000
    """Of one frame: 5.3K (5312 × 2988) passes, 8K (7680 × 4320) does not."""
    seconds: float = 1200.0
    """Of playing the file: 20 minutes, which is 2.5 minutes of a 240 Hz capture played at 30."""
    bytes: int = 4 * 1024**3

    def __post_init__(self) -> None:
        for name in ("pixels", "seconds", "bytes"):
            if not getattr(self, name) > 0:
                raise SettingError(
                    f"the limit on {name} came as {getattr(self, name)}",
                    "a limit is above 0",
                    "leave it out to have the usual one",
                )
