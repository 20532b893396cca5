"""Work on rows that other processes can be told to do by name."""

from __future__ import annotations

import os
import signal

from bench.puppet_reader import read_puppet

from causeline.model.library import State
from causeline.store.library import Address, load_at
from causeline.store.library_readings import ReadingBook, load_reading_entry


def killed_once(address: Address, name: str) -> State | None:
    """The first process that works on a row is killed; the second one reads it."""
    library = load_at(address)
    if load_reading_entry(library, name).tries == 0:
        ReadingBook(library).claim(name)
        os.kill(os.getpid(), signal.SIGKILL)
    library.close()
    return read_puppet(address, name)


def killed_always(address: Address, name: str) -> State | None:
    """Every process that works on a row is killed."""
    ReadingBook(load_at(address)).claim(name)
    os.kill(os.getpid(), signal.SIGKILL)
    return None
