"""How long a sheet takes until it can be worked with, in headless Chromium.

    python -m bench.sheet_opening

A server is started anew for each opening, on a copy of the scenario's library, so that nothing is
in memory: the reading, its findings and the page are worked out while the coach waits. A second
opening follows on the same server. `interactive` is the instant at which the arrow keys move in the
sheet, `pictures` that at which every picture in the first row is there. The first opening of all
also draws the stills, which is otherwise done as soon as a clip is read.
"""

from __future__ import annotations

import re
import shutil
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser
from tests.browser.browser import chromium
from tests.workbench import scenario_library

from causeline.store.library import load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_people import load_golfers

ROUNDS = 5
WANTED_S = 1.5
CLIP = "ivo_2026-05-04_down_the_line"
READY = "document.querySelector('a.cell[tabindex=\"0\"]') !== null"
SHOWN = (
    "[...document.querySelectorAll('#sheet tbody tr:first-child img')]"
    ".every(image => image.complete && image.naturalWidth > 0)"
)


def main() -> int:
    with TemporaryDirectory() as folder:
        library = scenario_library(Path(folder) / "library")
        clip = _clip(library)
        found: dict[str, list[tuple[float, float]]] = {"first": [], "cold": [], "warm": []}
        with chromium() as browser:
            for number in range(ROUNDS + 1):
                with _server(library) as root:
                    address = f"{root}/sheet/{clip}.1"
                    found["cold" if number else "first"].append(_open(browser, address))
                    found["warm"].append(_open(browser, address))
        shutil.rmtree(library)
    print("| opening | interactive, median (worst) | pictures, median (worst) |\n|---|---|---|")
    for name, times in found.items():
        cells = " | ".join(
            f"{statistics.median(each):.2f} s ({max(each):.2f})"
            for each in zip(*times, strict=True)
        )
        print(f"| {name} | {cells} |")
    worst = statistics.median(each[0] for each in found["cold"])
    print(f"wanted: {WANTED_S} s; reached: {'yes' if worst <= WANTED_S else 'no'}")
    return 0


def _clip(library: Path) -> str:
    held = load_library(library)
    clips = [clip for golfer in load_golfers(held) for clip in load_clips(held, golfer.id)]
    held.close()
    return next(clip.id for clip in clips if clip.name.startswith(CLIP))


@contextmanager
def _server(library: Path) -> Iterator[str]:
    command = [Path(sys.executable).parent / "causeline", "serve", "--library", library]
    started = subprocess.Popen(
        [*command, "--port", "0", "--no-browser"], stdout=subprocess.PIPE, text=True
    )
    line = started.stdout.readline() if started.stdout else ""
    found = re.search(r"http://[\d.:]+", line)
    if found is None:
        raise RuntimeError(f"the server said {line!r}; an address was expected")
    time.sleep(2.0)
    try:
        yield found[0]
    finally:
        started.terminate()
        started.wait()


def _open(browser: Browser, address: str) -> tuple[float, float]:
    page = browser.new_context(viewport={"width": 1440, "height": 900}, bypass_csp=True).new_page()
    begun = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_function(READY)
    interactive = time.perf_counter() - begun
    page.wait_for_function(SHOWN, timeout=60_000)
    pictures = time.perf_counter() - begun
    page.context.close()
    return interactive, pictures


if __name__ == "__main__":
    sys.exit(main())
