"""A Dask cluster of several processes reads a library; one of them is killed in mid-run."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from functools import partial
from pathlib import Path

import pytest
from bench.puppet_reader import ask, read_puppet, the_golfer

from causeline.errors import SettingError
from causeline.model.library import ReadingEntry, State
from causeline.reading.work import Crew, run_waiting
from causeline.store.library import load_library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_readings import ReadingBook
from causeline.store.verify import load_findings
from causeline.wiring_work import cluster_crew, read_row_there, read_waiting
from tests.databases import fresh_database

ROOT = Path(__file__).parents[2]


@pytest.fixture
def scheduler(tmp_path: Path) -> Iterator[tuple[str, list[int]]]:
    """The address of a running cluster, and the processes of its two workers."""
    told = tmp_path / "scheduler.json"
    programs = [
        ["scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard"],
        *(2 * [["worker", "--nthreads", "1", "--no-nanny", "--no-dashboard"]]),
    ]
    with ExitStack() as stack:
        started = []
        for number, words in enumerate(programs):
            command = [sys.executable, "-m", "distributed.cli.dask_" + words[0]]
            command += [*words[1:], "--scheduler-file", str(told)]
            process = stack.enter_context(
                subprocess.Popen(
                    command, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
                    stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                )
            )  # fmt: skip
            stack.callback(process.kill)
            started.append(process.pid)
            while number == 0 and not told.exists():
                time.sleep(0.05)
        yield json.loads(told.read_text())["address"], started[1:]


def test_a_cluster_loses_a_worker_and_no_reading(
    scheduler: tuple[str, list[int]], postgres: str, tmp_path: Path
) -> None:
    address, workers = scheduler
    library = load_library(fresh_database(postgres), tmp_path / "files")
    golfer = the_golfer(library)
    entries = [
        ask(library, save_clip(library, golfer.id, f"swing {n}".encode(), ClipNotes("s")).sha256)
        for n in range(6)
    ]
    killed = threading.Event()

    def watch(counts: Mapping[State, int], working: tuple[ReadingEntry, ...]) -> None:
        busy = {int(entry.claim.split("|")[2]) for entry in working}
        if counts[State.READY] and workers[0] in busy and not killed.is_set():
            os.kill(workers[0], signal.SIGKILL)
            killed.set()

    with cluster_crew(address) as (start, room):
        assert room == 2  # one core for each of its two workers
        crew = Crew(room, start, partial(read_puppet, library.address))
        run_waiting(ReadingBook(library), crew, watch)
        # What `causeline batch --cluster` sends there; nobody has asked for this row.
        assert start().submit(read_row_there, library.address, "nobody").result() is None
    assert killed.is_set()
    book = ReadingBook(library)
    assert {book.get(entry.id).state for entry in entries} == {State.READY}
    assert load_findings(library).problems == ()
    library.close()


def test_a_cluster_that_does_not_answer_is_told(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    with pytest.raises(SettingError, match="no cluster answered at"):
        read_waiting(library, 1, cluster="tcp://127.0.0.1:9")
    library.close()
