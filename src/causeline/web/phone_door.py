"""The door that listens beyond this machine for a phone, as the desk has it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from fastapi import FastAPI

from causeline.model.library import GolferEntry

Build = Callable[[str, str], FastAPI]
"""The app for a secret, on a host."""


@dataclass(frozen=True, slots=True)
class Opened:
    """What a phone can open now."""

    address: str
    golfer: GolferEntry


class PhoneDoor(Protocol):
    """Listens beyond this machine, only while it is open."""

    def open(self, golfer: GolferEntry, build: Build) -> Opened:
        """Open it for a golfer's clips, with a new secret; one that was open is closed.

        Raises SettingError where this machine is on no network.
        """

    def close(self) -> None:
        """Listen no longer."""

    def opened(self) -> Opened | None:
        """What is open now; it closes by itself after a while."""
