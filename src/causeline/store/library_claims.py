"""Who works on a reading: a name from which another process can tell whether that one still lives.

A name holds host and process namespace, boot, process number and its start, and a token. Where any
of it cannot be told, the process counts as living, and its silence has to tell instead.
"""

from __future__ import annotations

import os
import platform
import secrets
from pathlib import Path

_PROC = Path("/proc")
_UNKNOWN = "?"


def new_claim() -> str:
    """A name for this process and one piece of work."""
    pid = os.getpid()
    return "|".join([_host(), _boot(), str(pid), _start(pid), secrets.token_hex(8)])


def is_dead(claim: str) -> bool:
    """Whether the process of that name is surely gone."""
    parts = claim.split("|")
    if len(parts) != 5 or _UNKNOWN in parts or _boot() == _UNKNOWN or parts[0] != _host():
        return False
    _, boot, pid, start, _ = parts
    return boot != _boot() or _start(int(pid)) != start


def _host() -> str:
    try:
        space = (_PROC / "self" / "ns" / "pid").readlink().name
    except OSError:
        return _UNKNOWN
    return f"{platform.node()}/{space}".replace("|", "/")


def _boot() -> str:
    try:
        return (_PROC / "sys/kernel/random/boot_id").read_text().strip()
    except OSError:
        return _UNKNOWN


def _start(pid: int) -> str:
    """When the process began, in ticks since boot; a word for one that is no more."""
    try:
        stat = (_PROC / str(pid) / "stat").read_text()
    except OSError:
        return "gone"
    state, *rest = stat.rsplit(")", 1)[1].split()
    return "gone" if state in "ZX" else rest[18]
