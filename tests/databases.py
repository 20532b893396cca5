"""Databases for tests: SQLite in a folder, and a PostgreSQL of our own that nothing else uses."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import psycopg
import pytest
from psycopg.sql import SQL, Identifier

PLACES = ("/usr/lib/postgresql", "/usr/local/bin", "/usr/bin")
MISSING = "PostgreSQL is missing: as root, run tools/install_system.sh postgresql"


@cache
def postgres_bin() -> Path | None:
    """The folder of PostgreSQL's programs, the newest version first."""
    versions = sorted(Path(PLACES[0]).glob("*/bin"), key=lambda path: int(path.parent.name))
    found = [path for path in versions[::-1] if (path / "initdb").exists()]
    on_path = shutil.which("initdb")
    return found[0] if found else Path(on_path).parent if on_path else None


@contextmanager
def cluster() -> Iterator[str]:
    """A PostgreSQL of its own, reached by a socket in its folder alone; gives its URL up to `/`."""
    programs = postgres_bin()
    if programs is None:
        pytest.skip(MISSING)
    user = _unprivileged()
    with tempfile.TemporaryDirectory(prefix="pg-", dir="/tmp") as folder:
        if user is not None:
            shutil.chown(folder, user)
        data = f"{folder}/data"
        start = [
            "-D",
            data,
            "-w",
            "-l",
            f"{folder}/log",
            "-o",
            f"-k {folder} -c listen_addresses=''",
        ]
        # The folder is thrown away, so that nothing need reach the disk.
        quick = " -c fsync=off -c full_page_writes=off"
        _run(
            user,
            folder,
            [
                str(programs / "initdb"),
                "-D",
                data,
                "-A",
                "trust",
                "-U",
                "tester",
                "--no-sync",
                "-E",
                "UTF8",
            ],
        )
        _run(user, folder, [str(programs / "pg_ctl"), "start", *start[:-1], start[-1] + quick])
        try:
            yield f"postgresql://tester@/{{}}?host={folder}"
        finally:
            _run(user, folder, [str(programs / "pg_ctl"), "stop", "-D", data, "-m", "immediate"])


def fresh_database(pattern: str, like: str = "template0") -> str:
    """The URL of a new database of that cluster, empty or like another one."""
    name = f"library_{uuid.uuid4().hex}"
    sql = SQL("CREATE DATABASE {} TEMPLATE {}").format(Identifier(name), Identifier(like))
    with psycopg.connect(pattern.format("postgres"), autocommit=True) as connection:
        connection.execute(sql)
    return pattern.format(name)


def _unprivileged() -> str | None:
    """Who runs the server: PostgreSQL refuses to run as root."""
    if os.getuid() != 0:
        return None
    known = {entry.pw_name for entry in pwd.getpwall()}
    return next(name for name in ("postgres", "nobody") if name in known)


def _run(user: str | None, folder: str, command: list[str]) -> None:
    done = subprocess.run(
        command, cwd=folder, user=user, env={"PATH": os.environ["PATH"], "LC_ALL": "C"},
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed: {done.stderr[-500:]}")
