"""Proxies in the library: films that were made of clips, with the tables of their frames."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from causeline.model.access import Made, Make
from causeline.model.proxy import Proxy
from causeline.store.library import Library
from causeline.store.library_made import load_made, save_made


class LibraryProxies:
    """The shelf of proxies that the hallway works from."""

    def __init__(self, library: Library) -> None:
        self._library = library

    @contextmanager
    def clip(self, sha256: str) -> Iterator[Path]:
        """The clip as a file. Raises StoreError where it is not there."""
        with self._library.vault.on_disk(sha256) as path:
            yield path

    def proxy(self, key: str) -> Proxy | None:
        """The proxy of that recipe; None where it was not made, or its file is gone."""
        made = load_made(self._library, key)
        if made is None:
            return None
        with suppress(KeyError, TypeError, ValueError):  # of another version: it is made anew
            return Proxy.of(made.content)
        return None

    def film_key(self, key: str) -> str | None:
        """Of the film's file in the vault."""
        made = load_made(self._library, key)
        return None if made is None else made.file_key

    def keep_proxy(self, key: str, proxy: Proxy, film: Path) -> None:
        """Keep a proxy with its film. Raises OutputError where there is no room."""
        now = self._library.now()
        made = Made(key, Make.PROXY, proxy.plain(), "", now, sha256=proxy.sha256)
        save_made(self._library, made, film)
