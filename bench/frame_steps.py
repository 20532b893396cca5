"""How long a frame step takes on the bench, how smoothly it scrubs, and whether memory stays flat.

In Chromium without a graphics card (everything is painted by the processor), on a film of a swing
made larger and with noise in it, so that it is as hard to decode as a phone's.

    python -m bench.frame_steps --library PLACE --swing CLIP.NUMBER [--high 1920] [--seconds 60]

`PLACE` is a library in which that swing is read; it is copied, and the copy thrown away.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Page
from tests.browser.browser import ARGUMENTS, CHROMIUM
from tests.workbench import serving

from causeline.model.clip import Picture
from causeline.model.library import Coach
from causeline.model.proxy import Proxy
from causeline.sources.decode import PyavClips
from causeline.sources.encode_proxy import PLACES_HZ, encode_proxy
from causeline.store.library import load_library
from causeline.store.library_people import load_coaches
from causeline.store.library_proxies import LibraryProxies
from causeline.web.desk import Desk
from causeline.web.proxying import wanted_of
from causeline.web.shelf import swing_seen
from causeline.wiring_web import open_desk

FRAMES = 100
SCRIPT = Path(__file__).with_suffix(".js")


def main() -> int:
    """Measure, and print one line of JSON; 0."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--library", type=Path, required=True)
    parser.add_argument("--swing", required=True)
    parser.add_argument("--high", type=int, default=1920, help="pixels of the longer side")
    parser.add_argument("--seconds", type=float, default=60.0)
    told = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        place = Path(folder) / "library"
        shutil.copytree(told.library, place)
        library = load_library(place)
        desk = open_desk(library)
        coach = load_coaches(library)[0]
        film = made_large(desk, coach, told.swing, Path(folder), told.high)
        with serving(desk) as address:
            found = measured(f"{address}/bench/{told.swing}", told.seconds)
    print(json.dumps({"film": film, "load": os.getloadavg()[0], **found}, indent=1))
    return 0


def made_large(desk: Desk, coach: Coach, swing: str, folder: Path, high: int) -> dict[str, Any]:
    """A film of the swing's frames at that size in place of its own proxy; what it weighs."""
    one = swing_seen(desk, coach, swing)
    wanted = wanted_of(one)
    source = PyavClips()
    known = one.shown.reading.clip
    size = (round(known.width * high / max(known.width, known.height) / 2) * 2, high)
    noise = np.random.default_rng(1).normal(0, 4, (size[1], size[0], 1))

    def pictures() -> Iterator[Picture]:
        with desk.library.vault.on_disk(one.clip.sha256) as path:
            clip = source.probe(path)
            window = range(wanted.first_frame, wanted.first_frame + FRAMES)
            for k, frame in enumerate(source.frames(path, clip, window)):
                large = np.asarray(Image.fromarray(frame.picture).resize(size))
                yield (large + np.roll(noise, 37 * k, axis=0)).clip(0, 255).astype(np.uint8)

    path = folder / "film.mp4"
    begun = time.process_time()
    count, width, height = encode_proxy(pictures(), path)
    took = time.process_time() - begun
    numbers = tuple(range(wanted.first_frame, wanted.first_frame + count))
    stamps = tuple(range(count))
    proxy = Proxy(
        wanted.sha256, wanted.first_frame, wanted.last_frame, width, height, PLACES_HZ,
        numbers, stamps, Fraction(1, 60),
    )  # fmt: skip
    LibraryProxies(desk.library).keep_proxy(wanted.key, proxy, path)
    return {
        "size": f"{width} × {height}",
        "frames": count,
        "kB_a_frame": round(path.stat().st_size / count / 1000),
        "made_cpu_ms_a_frame": round(1e3 * took / count),
    }


def measured(address: str, seconds: float) -> dict[str, Any]:
    """Steps on, back and at random; scrubbing; memory before and after."""
    from playwright.sync_api import sync_playwright

    flags = [*ARGUMENTS, "--js-flags=--expose-gc", "--enable-precise-memory-info"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.add_init_script(path=SCRIPT)
        page.goto(address)
        page.wait_for_selector("#bench[data-ready]", timeout=120_000)
        page.wait_for_timeout(3000)
        found: dict[str, Any] = {}
        for way in ("on", "back", "random"):
            found[way] = spread(
                page.evaluate("(asked) => frameSteps.steps(asked)", {"count": 200, "way": way})
            )
        scrubbed = page.evaluate("(seconds) => frameSteps.scrub(seconds)", 6.0)
        turns = np.array(scrubbed["turns"])
        found["scrub"] = {
            "turns_a_second": round(len(turns) / scrubbed["seconds"], 1),
            "frames_a_second": round(scrubbed["distinct"] / scrubbed["seconds"], 1),
            "turn_ms": spread(scrubbed["turns"]),
        }
        found["memory"] = list(over_time(page, seconds))
        browser.close()
    return found


def over_time(page: Page, seconds: float) -> Iterator[dict[str, Any]]:
    """Heap and open frames, a few times over thousands of steps."""
    ends = time.monotonic() + seconds
    steps = 0
    yield {"steps": steps, **page.evaluate("() => frameSteps.held()")}
    while time.monotonic() < ends:
        steps += len(
            page.evaluate("(asked) => frameSteps.steps(asked)", {"count": 300, "way": "random"})
        )
        yield {"steps": steps, **page.evaluate("() => frameSteps.held()")}


def spread(times: list[float]) -> dict[str, float]:
    """Middle, 95th percentile and most of a list of milliseconds."""
    cuts = np.percentile(times, [50, 95, 100])
    return {
        name: round(float(cut), 1) for name, cut in zip(("p50", "p95", "most"), cuts, strict=True)
    }


if __name__ == "__main__":
    raise SystemExit(main())
