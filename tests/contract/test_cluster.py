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
from typing import Any

import pytest
from bench.puppet_reader import ask, read_puppet, the_golfer
from distributed import Client

from causeline import wiring_work
from causeline.errors import SettingError
from causeline.model.library import ReadingEntry, State
from causeline.reading.work import run_waiting
from causeline.store.library import Library, load_library
from causeline.store.library_clips import ClipNotes, save_clip
from causeline.store.library_readings import ReadingBook
from causeline.store.verify import load_findings
from causeline.wiring_work import cluster_crew, read_row_there, read_waiting
from tests.databases import fresh_database

ROOT = Path(__file__).parents[2]
PATIENCE_S = 120.0


@pytest.fixture
def scheduler(tmp_path: Path) -> Iterator[tuple[str, list[int]]]:
    """The address of a running cluster, and the processes of it and its two workers."""
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
            until = time.monotonic() + PATIENCE_S
            while number == 0 and not told.exists():
                assert time.monotonic() < until
                time.sleep(0.05)
        address = json.loads(told.read_text())["address"]
        client: Any = Client(  # type: ignore[no-untyped-call]
            address, timeout=PATIENCE_S, set_as_default=False
        )
        with client:
            client.wait_for_workers(2, timeout=PATIENCE_S)
        yield address, started


def test_a_cluster_loses_a_worker_and_no_reading(
    scheduler: tuple[str, list[int]],
    postgres: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    address, (itself, *workers) = scheduler
    library = load_library(fresh_database(postgres), tmp_path / "files")
    entries = [_asked(library, n) for n in range(6)]
    killed = threading.Event()

    def watch(counts: Mapping[State, int], working: tuple[ReadingEntry, ...]) -> None:
        busy = {int(entry.claim.split("|")[2]) for entry in working}
        if counts[State.READY] and workers[0] in busy and not killed.is_set():
            os.kill(workers[0], signal.SIGKILL)
            killed.set()

    book = ReadingBook(library)
    with cluster_crew(address, partial(read_puppet, library.address)) as crew:
        assert crew.hands == 2  # one core for each of its two workers
        run_waiting(book, crew, watch)
        # What `causeline batch --cluster` sends there; nobody has asked for this row.
        there = crew.start().submit(read_row_there, library.address, "nobody")
        assert there.result(timeout=PATIENCE_S) is None
        assert killed.is_set()
        assert {book.get(entry.id).state for entry in entries} == {State.READY}

        monkeypatch.setattr(wiring_work, "NOBODY_S", 2.0)
        os.kill(workers[1], signal.SIGKILL)
        late = _asked(library, 6)
        with pytest.raises(SettingError, match="has no worker"):
            run_waiting(book, crew)
        with pytest.raises(SettingError, match="has no worker"):
            read_waiting(library, cluster=address)
        os.kill(itself, signal.SIGKILL)
        with pytest.raises(SettingError, match="is gone"):
            run_waiting(book, crew)
    assert book.get(late.id).state is State.WAITING
    assert load_findings(library).problems == ()
    library.close()


def _asked(library: Library, number: int) -> ReadingEntry:
    """The reading of one more clip is asked for."""
    notes = ClipNotes("swing.mov")
    clip = save_clip(library, the_golfer(library).id, f"swing {number}".encode(), notes)
    return ask(library, clip.sha256)


def test_a_cluster_that_does_not_answer_is_told(tmp_path: Path) -> None:
    library = load_library(tmp_path / "place")
    with pytest.raises(SettingError, match="no cluster answered at"):
        read_waiting(library, 1, cluster="tcp://127.0.0.1:9")
    library.close()
