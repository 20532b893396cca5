"""`causeline doctor`: what is wrong here, and what mends it."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import click
import numpy as np
from rich.console import Console

from causeline.cli.place import at_library, opened
from causeline.errors import CauselineError, StoreError
from causeline.model.access import Role
from causeline.model.clip import Frame
from causeline.model.library import Purpose, State
from causeline.model.tracks import Region
from causeline.sources.fence_check import PHONES, decode_fence_holds, decode_missing_codecs
from causeline.store.library_access import load_accounts, load_locked, load_passkeys
from causeline.store.library_clips import load_clips
from causeline.store.library_consent import load_allowed
from causeline.store.library_people import load_golfers
from causeline.store.library_readings import ReadingBook
from causeline.store.library_retention import load_due, load_retention
from causeline.web.health import serve_missing
from causeline.web.show import PAGES
from causeline.wiring import open_doors

NEEDED = (
    "av", "numpy", "openvino", "scipy", "sqlalchemy", "alembic", "fsspec", "fastapi", "uvicorn",
    "argon2-cffi", "webauthn",
)  # fmt: skip
CHIEF = Role.ADMINISTRATION
LITTLE_ROOM = 5 * 1024**3
"""Bytes on the library's disk below which a warning is due: some hundred clips."""
MANY_HALF = 100
Check = Callable[[], str]


@click.command()
@at_library
def doctor(place: str, files: str | None) -> None:
    """Check this machine and the library, and say what to do where something is wrong.

    Exit codes: 0 all is well; 8 something is wrong.
    """
    console, wrong = Console(), 0
    for name, check in _checks(place, files):
        try:
            console.print(f"  well   {name}: {check()}", highlight=False, markup=False)
        except CauselineError as error:
            wrong += 1
            console.print(f"  WRONG  {name}: {error}", style="bold", highlight=False, markup=False)
    sys.exit(StoreError.exit_code if wrong else 0)


def _checks(place: str, files: str | None) -> Iterator[tuple[str, Check]]:
    yield "libraries", _libraries
    yield "video", _video
    yield "networks", _networks
    yield "library", lambda: _library(place, files)
    yield "room", lambda: _room(place, files)
    yield "workbench", _workbench
    yield "signing in", lambda: _signing_in(place, files)
    yield "consent", lambda: _consent(place, files)
    yield "retention", lambda: _retention(place, files)


def _libraries() -> str:
    missing = [name for name in NEEDED if not _installed(name)]
    if missing:
        raise StoreError(
            f"{', '.join(missing)} is not installed",
            "",
            "install Causeline again: pip install --force-reinstall causeline",
        )
    python = ".".join(map(str, sys.version_info[:3]))
    return f"Causeline {version('causeline')}, Python {python}"


def _installed(name: str) -> bool:
    try:
        return bool(version(name))
    except PackageNotFoundError:
        return False


def _video() -> str:
    missing = decode_missing_codecs()
    if missing:
        raise StoreError(
            f"clips in {', '.join(missing)} cannot be decoded here",
            f"{', '.join(PHONES)} were expected",
            "install the video library again: pip install --force-reinstall av",
        )
    network = "without" if decode_fence_holds() else "with (this system lets nobody give it up)"
    return f"{', '.join(PHONES)}; decoded in a process of its own, {network} network"


def _networks() -> str:
    """Each network once, on an empty picture; a broken or missing one raises EngineError."""
    doors, picture = open_doors(), np.zeros((256, 256, 3), dtype=np.uint8)
    doors.scout.find_people(picture)
    whole = Region(128.0, 128.0, 256.0)
    for engine in (doors.scout, doors.engine):
        next(iter(engine.find_landmarks([(picture, whole)])))
    if doors.club is not None:
        next(iter(doors.club.find_club([Frame(0, picture)], [whole])))
    return f"{doors.versions['landmarks']}, {doors.versions['club']}"


def _library(place: str, files: str | None) -> str:
    with opened(place, files) as held:
        golfers, counts = len(load_golfers(held)), ReadingBook(held).counts()
        half = len(list(held.vault.leftovers()))
        named = str(held.database) if "://" in place else place  # a URL without its password
    if half > MANY_HALF:
        raise StoreError(
            f"{half} half-written files lie in the library",
            "few were expected",
            "run `causeline verify --mend`",
        )
    states = ", ".join(f"{counts[state]} {state}" for state in State if counts[state])
    return f"{named}: {golfers} golfers; readings: {states or 'none'}"


def _room(place: str, files: str | None) -> str:
    """Where the files go; with a bucket, where this program keeps what is on its way."""
    local = [Path(each) for each in (files, place) if each and "://" not in each]
    folder = next(iter(local), Path.home())
    there = next(path for path in (folder, *folder.absolute().parents) if path.exists())
    free = shutil.disk_usage(there).free
    if free < LITTLE_ROOM:
        raise StoreError(
            f"{free / 1e9:.1f} GB are free at {there}",
            f"at least {LITTLE_ROOM / 1e9:.0f} GB were expected",
            "make room, or move the library to a larger disk",
        )
    return f"{free / 1e9:.0f} GB free at {there}"


def _workbench() -> str:
    """The front end is built, and every page's template is there."""
    missing = serve_missing()
    if missing:
        raise StoreError(
            f"the workbench's front end lacks {', '.join(missing)}",
            "a built front end was expected",
            "in a checkout, run `make frontend`; else install Causeline again",
        )
    pages = len(list(PAGES.glob("*.html.j2")))
    return f"{pages} pages, front end built; `causeline serve` opens it"


def _signing_in(place: str, files: str | None) -> str:
    with opened(place, files) as held:
        accounts = [(coach, account) for coach, account in load_accounts(held) if coach.active]
        locked = load_locked(held)
        without = [
            coach.name
            for coach, account in accounts
            if not (account and account.secret) and not load_passkeys(held, coach.id)
        ]
    if len(accounts) > 1 and without:
        raise StoreError(
            f"{len(without)} of {len(accounts)} coaches cannot sign in ({', '.join(without[:3])})",
            "a password or a passkey for each was expected",
            "`causeline coach invite NAME`, or `causeline coach close NAME`",
        )
    if not locked:
        return "nobody is asked; it listens to this machine alone"
    chiefs = [coach for coach, account in accounts if account and account.role is CHIEF]
    if not chiefs:
        raise StoreError(
            "nobody here has the role of administration",
            "one coach with it was expected",
            "`causeline coach role NAME administration`",
        )
    return f"{len(accounts)} coaches, {len(chiefs)} of them look after the others"


def _consent(place: str, files: str | None) -> str:
    """Juniors whose guardian is not known, or did not agree to analysis, though they have clips."""
    lacking = 0
    with opened(place, files) as held:
        juniors = [each for each in load_golfers(held) if each.golfer.junior]
        for each in juniors:
            agreed = Purpose.ANALYSIS in load_allowed(held, each.id)
            lacking += bool(load_clips(held, each.id, limit=1)) and not agreed
    if lacking:
        raise StoreError(
            f"{lacking} of {len(juniors)} juniors have clips here, and no guardian's consent",
            "the guardian's word, noted with the golfer, was expected",
            "ask them and note it, or delete the clips",
        )
    return f"{len(juniors)} juniors, each with a guardian's word" if juniors else "no juniors"


def _retention(place: str, files: str | None) -> str:
    with opened(place, files) as held:
        rules, due = load_retention(held), load_due(held)
    if due:
        raise StoreError(
            f"{sum(each.count for each in due)} things are kept longer than the rules say",
            "a library that is tidied now and then was expected",
            "`causeline tidy` tells what they are, `causeline tidy --yes` lets go of them",
        )
    told = ", ".join(f"{rule.kind} {rule.days} days" for rule in rules)
    return told or "no rules: everything stays until it is deleted"
