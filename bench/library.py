"""Page queries of a library with the rows of 100,000 clips, in SQLite and PostgreSQL.

python -m bench.library                     both; PostgreSQL is started for the purpose
python -m bench.library --clips 20000 --only sqlite
"""

from __future__ import annotations

import argparse
import hashlib
import random
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import Connection, Table, text
from tests.databases import cluster, fresh_database

from causeline.model.clip import Hand, View
from causeline.model.lesson import Back, Units
from causeline.model.library import State, new_id
from causeline.store.library import Library, load_library
from causeline.store.library_clips import load_clip_cards, load_clips
from causeline.store.library_lessons import load_lessons
from causeline.store.library_people import load_coaches, load_golfer_cards, load_golfers
from causeline.store.library_practice import load_check_ins, load_ticks, load_unanswered
from causeline.store.library_readings import ReadingBook
from causeline.store.tables import (
    CHECK_INS,
    CLIPS,
    COACHES,
    GOLFERS,
    LESSON_VERSIONS,
    LESSONS,
    READINGS,
    STAGES,
    SWINGS,
    TICKS,
)

CLIPS_OF_A_GOLFER, COACHES_IN_ALL = 25, 20
CALLS = 200
START = datetime(2021, 1, 1, tzinfo=UTC)
Rows = dict[Table, list[dict[str, Any]]]


def fill(library: Library, clips: int) -> int:
    """Rows of an academy that has been at work for five years; gives how many rows."""
    rng, count = random.Random(1), 0  # noqa: S311
    coaches = [new_id() for _ in range(COACHES_IN_ALL)]
    rows: Rows = {COACHES: [_coach(name) for name in coaches]}
    for number in range(clips // CLIPS_OF_A_GOLFER):
        for table, more in _golfer(rng, coaches[number % COACHES_IN_ALL], number).items():
            rows.setdefault(table, []).extend(more)
        if number % 100 == 99:
            count += _write(library, rows)
    count += _write(library, rows)
    with library.database.writing() as connection:
        connection.execute(text("ANALYZE"))
    return count


def _write(library: Library, rows: Rows) -> int:
    count = sum(map(len, rows.values()))
    with library.database.writing() as connection:
        for table, made in rows.items():
            _insert(connection, table, made)
    rows.clear()
    return count


def _insert(connection: Connection, table: Table, made: list[dict[str, Any]]) -> None:
    if made:
        connection.execute(table.insert(), made)


def _coach(name: str) -> dict[str, Any]:
    return {"id": name, "name": f"Coach {name[:6]}", "mail": "", "active": True, "version": 1}


def _golfer(rng: random.Random, coach: str, number: int) -> Rows:
    golfer = new_id()
    who: dict[str, Any] = {
        "id": golfer, "coach": coach, "name": f"Golfer {number:05d}", "hand": Hand.RIGHT,
        "units": Units.METRIC, "language": "en", "time_zone": "UTC", "stature_cm": 178.0,
        "junior": False, "back": Back.NOT_ASKED, "guardian": "", "guardian_mail": "", "note": "",
        "archived": rng.random() < 0.1, "since": START.date(), "version": 1,
    }  # fmt: skip
    rows: Rows = {GOLFERS: [who], CLIPS: [], READINGS: [], STAGES: [], SWINGS: []}
    for _ in range(CLIPS_OF_A_GOLFER):
        _add_clip(rows, golfer, START + timedelta(minutes=rng.randrange(5 * 365 * 24 * 60)))
    _add_lessons(rows, golfer, coach, rng)
    return rows


def _add_clip(rows: Rows, golfer: str, at: datetime) -> None:
    clip, reading = new_id(), new_id()
    sha256, seen, read, key = (hashlib.sha256(f"{clip}{n}".encode()).hexdigest() for n in range(4))
    rows[CLIPS].append({
        "id": clip, "golfer": golfer, "sha256": sha256, "name": "IMG_4711.MOV", "size": 20_000_000,
        "added_at": at, "view": View.FACE_ON, "club": None, "capture_hz": None,
        "filmed_on": at.date(), "said": "I hit it thin, and I do not know why", "version": 1,
    })  # fmt: skip
    rows[READINGS].append({
        "id": reading, "key": key, "sha256": sha256, "settings": {"view": None, "hand": None},
        "engine": {"causeline": "0.1.0", "landmarks": "heavy"}, "state": State.READY,
        "asked_at": at, "done_at": at, "seen_key": seen, "reading_key": read, "error": "",
        "stage": "", "done": 0, "total": 0, "tries": 1, "claim": "", "beat": 10,
    })  # fmt: skip
    rows[STAGES].append({"key": key, "sha256": sha256, "file_key": seen})
    rows[SWINGS].append({
        "reading": reading, "number": 1, "first_frame": 10, "last_frame": 900, "rehearsal": False,
        "view": View.FACE_ON, "hand": Hand.RIGHT, "cause": "over_turn",
    })  # fmt: skip


def _add_lessons(rows: Rows, golfer: str, coach: str, rng: random.Random) -> None:
    sentence = "Turn the hips and let the arms follow. " * 3
    content = {"lines": [{"id": str(n), "text": sentence} for n in range(30)]}
    for table in (LESSONS, LESSON_VERSIONS, TICKS, CHECK_INS):
        rows[table] = []
    for _ in range(4):
        lesson, at = new_id(), START + timedelta(days=rng.randrange(5 * 365))
        kept = {"title": "Turn", "content": content}
        rows[LESSONS].append({
            "id": lesson, "golfer": golfer, "coach": coach, **kept, "made_at": at,
            "changed_at": at, "sent_at": at, "version": 1,
        })  # fmt: skip
        rows[LESSON_VERSIONS].append(
            {"lesson": lesson, "version": 1, **kept, "by": "coach", "saved_at": at}
        )
        rows[TICKS] += [{
            "id": new_id(), "golfer": golfer, "lesson": lesson, "session": str(n), "drill": "",
            "ticked_at": at + timedelta(days=n), "note": "",
        } for n in range(8)]  # fmt: skip
        answered = None if rng.random() < 0.05 else at + timedelta(days=9)
        rows[CHECK_INS].append({
            "id": new_id(), "golfer": golfer, "sent_at": at + timedelta(days=8), "lesson": lesson,
            "clip": None, "felt": "easier", "answer": "", "answered_at": answered, "version": 1,
        })  # fmt: skip


def pages(library: Library) -> dict[str, Callable[[], object]]:
    """What a page of the workbench asks for, each of a golfer or coach chosen anew."""
    rng = random.Random(2)  # noqa: S311
    coaches, golfers = load_coaches(library), load_golfers(library)
    cards = {coach.id: load_golfer_cards(library, coach.id, limit=200) for coach in coaches}

    def golfer() -> str:
        return rng.choice(golfers).id

    def timeline() -> None:
        one = golfer()
        load_clip_cards(library, one)
        load_lessons(library, one)
        load_check_ins(library, one)
        load_ticks(library, one)

    def later_page() -> None:
        coach = rng.choice(coaches).id
        load_golfer_cards(library, coach, after=rng.choice(cards[coach]).entry)

    return {
        "golfers, first page": lambda: load_golfer_cards(library, rng.choice(coaches).id),
        "golfers, a later page": later_page,
        "golfers by part of a name": lambda: load_golfer_cards(
            library, rng.choice(coaches).id, named=f"{rng.randrange(1000):03d}"
        ),
        "a golfer's clips": lambda: load_clips(library, golfer()),
        "a golfer's whole timeline (25 clips)": timeline,
        "check-ins that wait": lambda: load_unanswered(library, rng.choice(coaches).id),
        "what waits to be read": lambda: ReadingBook(library).waiting(10),
        "readings by state": lambda: ReadingBook(library).counts(),
    }


def measure(library: Library) -> Iterator[tuple[str, float, float]]:
    """Each page's name, and its median and 95th percentile in milliseconds."""
    for name, ask in pages(library).items():
        took = []
        for _ in range(CALLS):
            start = time.perf_counter()
            ask()
            took.append(1000 * (time.perf_counter() - start))
        yield name, float(np.median(took)), float(np.percentile(took, 95))


@contextmanager
def _url(kind: str, folder: Path) -> Iterator[str]:
    if kind == "sqlite":
        yield f"sqlite:///{folder}/library.sqlite"
        return
    with cluster() as pattern:
        yield fresh_database(pattern)


def main() -> None:
    """Print a table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--clips", type=int, default=100_000)
    words.add_argument("--only", choices=["sqlite", "postgresql"])
    told = words.parse_args()
    for kind in [told.only] if told.only else ["sqlite", "postgresql"]:
        with tempfile.TemporaryDirectory() as name, _url(kind, Path(name)) as url:
            library = load_library(url, Path(name) / "files")
            start = time.monotonic()
            rows = fill(library, told.clips)
            print(f"\n{kind}: {rows} rows in {time.monotonic() - start:.0f} s\n", flush=True)
            print("| page | median, ms | 95th percentile, ms |\n|---|---|---|", flush=True)
            for page, median, slow in measure(library):
                print(f"| {page} | {median:.1f} | {slow:.1f} |", flush=True)
            library.close()


if __name__ == "__main__":
    main()
