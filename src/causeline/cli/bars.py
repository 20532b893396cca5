"""Progress on the terminal: one bar for each stage that reports."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import (
    BarColumn,
    Progress,
    TaskID,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from causeline.reading.follow import Report


@contextmanager
def bars(console: Console) -> Iterator[Report]:
    """Give it to what works for a while; the bars go when it is done."""
    columns = (
        TextColumn("{task.description:<28}"),
        BarColumn(),
        TaskProgressColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console, transient=True) as progress:
        tasks: dict[str, TaskID] = {}

        def report(stage: str, done: int, total: int) -> None:
            if stage not in tasks:
                tasks[stage] = progress.add_task(stage, total=total)
            progress.update(tasks[stage], completed=done, total=total)

        yield report
