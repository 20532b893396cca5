"""What is made of what the library holds: made once, kept beside it, gone with it."""

from __future__ import annotations

import hashlib
import json
import threading
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from causeline.model.access import Made, Make
from causeline.model.library import Content
from causeline.store.library import Library
from causeline.store.library_made import load_made, save_made


@dataclass(frozen=True, slots=True)
class Recipe:
    """How something is made, and of whom and what: the same recipe is made once."""

    kind: Make
    parts: Any
    """Everything that decides what comes out, as JSON holds it; a version of the code among it."""
    sha256: str | None = None
    """Of the clip that it shows."""
    golfer: str | None = None
    lesson: str | None = None
    shared: bool = False
    """It leaves the coach's desk."""
    face: bool = True
    """It may show a face."""

    @property
    def key(self) -> str:
        """Its name: 64 hexadecimal digits."""
        told = json.dumps([self.kind, self.parts], sort_keys=True, default=str)
        return hashlib.sha256(told.encode()).hexdigest()


class Workshop:
    """Makes things once, also where two ask at the same time."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._locks: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)

    def find(self, recipe: Recipe) -> Made | None:
        """What was made by that recipe; None where it was not yet."""
        return load_made(self._library, recipe.key)

    def get(self, recipe: Recipe, make: Callable[[], tuple[bytes | Path, Content]]) -> Made:
        """What is made by that recipe: found, or made now.

        `make` gives the file, and whatever belongs to it as plain data. Raises what it raises, and
        OutputError where there is no room.
        """
        with self._locks[recipe.key]:
            found = self.find(recipe)
            if found is not None:
                return found
            file, content = make()
            made = Made(
                key=recipe.key,
                kind=recipe.kind,
                content=content,
                file_key="",
                made_at=self._library.now(),
                sha256=recipe.sha256,
                golfer=recipe.golfer,
                lesson=recipe.lesson,
                shared=recipe.shared,
                face=recipe.face,
            )
            return save_made(self._library, made, file)
