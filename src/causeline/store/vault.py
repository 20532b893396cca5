"""Files by their content: each is kept once, under its SHA-256, in a folder or in a bucket."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import fsspec
from fsspec.implementations.local import LocalFileSystem

from causeline.errors import OutputError, StoreError

CHUNK = 1 << 20


class Vault:
    """A place for files, by any URL that fsspec opens; a plain path is a folder.

    A file is there whole or not at all: it is written under another name, flushed to the disk, then
    renamed. (An object store does the same by itself.)
    """

    def __init__(self, url: str | Path) -> None:
        self.url = str(url)
        self.fs, self.root = fsspec.core.url_to_fs(self.url, use_listings_cache=False)
        self._local = isinstance(self.fs, LocalFileSystem)
        if self._local:
            _made(Path(self.root))

    def keep(self, content: bytes | Path) -> str:
        """Store a file, once; gives its key. A damaged copy is replaced.

        Raises OutputError when it cannot be written: nothing is then left behind.
        """
        key, size = _digest(content)
        if self._size(key) != size or not self.is_sound(key):
            try:
                self._put(key, content)
            except OSError as error:
                raise _no_room(self.root, error.strerror or str(error)) from error
            except Exception as error:
                if self._local:
                    raise
                # Each object store's library has errors of its own.
                raise _no_room(self.root, str(error)) from error
        return key

    @staticmethod
    def key_of(content: bytes | Path) -> str:
        """The key that a file has, or would have."""
        return _digest(content)[0]

    def open(self, key: str) -> BinaryIO:
        """The file, for reading. Raises StoreError where it is not there."""
        try:
            opened: BinaryIO = self.fs.open(self.path(key), "rb")
        except FileNotFoundError as error:
            raise _missing(key) from error
        return opened

    def read(self, key: str) -> bytes:
        """The whole file. Raises StoreError where it is not there, or is not what it was."""
        with self.open(key) as file:
            content = file.read()
        if hashlib.sha256(content).hexdigest() != key:
            raise StoreError(
                f"the kept file {key[:12]}… is not what was stored",
                "its content must match its checksum",
                "Keep the same file again, or bring it back from a copy.",
            )
        return content

    @contextlib.contextmanager
    def on_disk(self, key: str) -> Iterator[Path]:
        """The file as a path, for libraries that take no less; a copy where the vault is remote."""
        if self._local:
            path = Path(self.path(key))
            if not path.is_file():
                raise _missing(key)
            yield path
            return
        with tempfile.TemporaryDirectory(prefix="causeline-") as folder:
            copy = Path(folder) / key
            with self.open(key) as source, copy.open("wb") as target:
                shutil.copyfileobj(source, target, CHUNK)
            yield copy

    def has(self, key: str) -> bool:
        """Whether the file is there, whole as far as its name tells."""
        return bool(self.fs.isfile(self.path(key)))

    def size(self, key: str) -> int:
        """Bytes of the file. Raises StoreError where it is not there."""
        size = self._size(key)
        if size is None:
            raise _missing(key)
        return size

    def remove(self, key: str) -> None:
        """Delete the file; nothing happens where it is not there."""
        with contextlib.suppress(FileNotFoundError):
            self.fs.rm_file(self.path(key))

    def keys(self) -> Iterator[str]:
        """All files that are kept, in no order."""
        for path in self.fs.find(self.root):
            name = str(path).rsplit("/", 1)[-1]
            if _is_key(name):
                yield name

    def leftovers(self) -> Iterator[str]:
        """Paths of half-written files, from a process that was killed while it wrote."""
        yield from (str(path) for path in self.fs.find(self.root) if str(path).endswith(".part"))

    def sweep(self) -> int:
        """Delete half-written files; gives how many. Nobody may be writing."""
        found = list(self.leftovers())
        for path in found:
            self.fs.rm_file(path)
        return len(found)

    def is_sound(self, key: str) -> bool:
        """Whether the file's content still matches its key. Reads all of it."""
        digest = hashlib.sha256()
        with self.open(key) as file:
            while chunk := file.read(CHUNK):
                digest.update(chunk)
        return digest.hexdigest() == key

    def path(self, key: str) -> str:
        """Where a file is kept. Raises ValueError for what is no key: names never become paths."""
        if not _is_key(key):
            raise ValueError(f"got {key!r}; expected 64 hexadecimal digits")
        return f"{self.root}/{key[:2]}/{key[2:4]}/{key}"

    def _size(self, key: str) -> int | None:
        try:
            return int(self.fs.size(self.path(key)))
        except FileNotFoundError:
            return None

    def _put(self, key: str, content: bytes | Path) -> None:
        if not self._local:
            # Whole in one go: a file opened there for writing would be kept half where this fails.
            if isinstance(content, bytes):
                self.fs.pipe_file(self.path(key), content)
            else:
                self.fs.put_file(str(content), self.path(key))
            return
        final = Path(self.path(key))
        final.parent.mkdir(parents=True, exist_ok=True)
        partial = final.with_name(f".{key}.{secrets.token_hex(8)}.part")
        try:
            with _source(content) as source, partial.open("xb") as target:
                shutil.copyfileobj(source, target, CHUNK)
                target.flush()
                os.fsync(target.fileno())
            partial.replace(final)
            _flush_folder(final.parent)
        except BaseException:
            with contextlib.suppress(OSError):
                partial.unlink()
            raise


def _digest(content: bytes | Path) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with _source(content) as source:
        while chunk := source.read(CHUNK):
            digest.update(chunk)
            size += len(chunk)
    return digest.hexdigest(), size


@contextlib.contextmanager
def _source(content: bytes | Path) -> Iterator[BinaryIO]:
    if isinstance(content, bytes):
        yield io.BytesIO(content)
        return
    with content.open("rb") as file:
        yield file


def _flush_folder(folder: Path) -> None:
    """So that a rename outlives a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _made(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _no_room(str(folder), error.strerror or str(error)) from error


def _is_key(name: str) -> bool:
    return len(name) == 64 and all(letter in "0123456789abcdef" for letter in name)


def _missing(key: str) -> StoreError:
    return StoreError(
        f"the kept file {key[:12]}… is not there",
        "a file was expected under that checksum",
        "Keep the same file again, or bring it back from a copy.",
    )


def _no_room(place: str, reason: str) -> OutputError:
    return OutputError(
        f"a file could not be kept in {place}: {reason.lower()}",
        "nothing of it was kept",
        "Make room, or keep files elsewhere, then send it again.",
    )
