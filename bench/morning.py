"""How long a coach's morning takes: golfers with a lesson and four read clips each.

    python -m bench.morning READING.json [--golfers 40]

READING is a file that `causeline read CLIP --json` wrote, face-on; each clip gets it with its
numbers moved by chance. Prints processor seconds of the first look (nothing kept yet), of the first
one after a start (small files kept), and of the next.
"""

from __future__ import annotations

import argparse
import json
import random
import time
from copy import deepcopy
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.kept_course import MADE, a_golfer_named, a_sent_lesson

from causeline import wiring_progress
from causeline.model.clip import View
from causeline.model.library import Coach, ReadingEntry, State, new_id
from causeline.reading.course import run_morning
from causeline.store.library import Library, load_library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_people import save_coach
from causeline.store.rows import values_of
from causeline.store.tables import READINGS

DAYS = (0, 15, 22, 24)
NOW = datetime(2026, 5, 4, 9, tzinfo=UTC)


def fill(library: Library, reading: dict[str, Any], golfers: int) -> str:
    """A coach with so many golfers; gives the coach's id."""
    coach = save_coach(library, Coach(new_id(), "Maren Oakes"))
    chance = random.Random(4)  # noqa: S311 - numbers to look at, no secret
    for place in range(golfers):
        golfer = a_golfer_named(library, coach.id, f"Golfer {place}")
        a_sent_lesson(library, golfer)
        for day in DAYS:
            notes = ClipNotes(f"{day}.mov", View.FACE_ON, filmed_on=MADE + timedelta(days=day))
            clip = save_clip(library, golfer.id, f"{place} {day}".encode(), notes)
            _keep(library, clip.sha256, _moved(reading, clip.sha256, chance))
    return coach.id


def look(library: Library, coach: str) -> float:
    """Processor seconds of one morning."""
    began = time.process_time()
    run_morning(wiring_progress.morning_of(library, coach))
    return time.process_time() - began


def _moved(reading: dict[str, Any], sha256: str, chance: random.Random) -> dict[str, Any]:
    moved = deepcopy(reading)
    moved["clip"]["sha256"] = sha256
    for one in moved["swings"][0]["measures"]:
        if "value" in one:
            one["value"] += chance.gauss(0, one["sd"] / 2)
    return moved


def _keep(library: Library, sha256: str, reading: dict[str, Any]) -> None:
    with library.keeping(json.dumps(reading).encode()) as (connection, key):
        row = ReadingEntry(
            new_id(), new_id() * 2, sha256, {}, {}, State.READY, NOW, NOW, reading_key=key
        )
        connection.execute(READINGS.insert().values(values_of(row)))


def main() -> None:
    """Print three figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("reading", type=Path)
    parser.add_argument("--golfers", type=int, default=40)
    given = parser.parse_args()
    reading = json.loads(given.reading.read_text(encoding="utf-8"))
    with TemporaryDirectory() as folder:
        library = load_library(folder, now=lambda: NOW)
        coach = fill(library, reading, given.golfers)
        print(f"first look {look(library, coach):.1f} s")
        wiring_progress._measured.cache_clear()
        wiring_progress._lesson.cache_clear()
        print(f"after a start {look(library, coach):.1f} s")
        print(f"then {look(library, coach):.1f} s of processor time")
        library.close()


if __name__ == "__main__":
    main()
