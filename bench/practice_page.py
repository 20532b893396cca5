"""How soon a throttled phone shows the golfer's page, and how much it has to fetch.

    python -m bench.practice_page

The network is slowed to 1.6 Mbit/s down, 0.75 up and 150 ms there and back, the processor four
times: the figures of Chromium's own profile for a mid-range phone on slow 4G. First visit, nothing
kept; the median of several.
"""

from __future__ import annotations

import os
import shutil
import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, Response, sync_playwright
from tests.browser.browser import ARGUMENTS, CHROMIUM
from tests.practising import a_link
from tests.workbench import scenario_library, serving

from causeline.store.library import load_library
from causeline.wiring_web import open_desk

VISITS = 7
NETWORK = {
    "offline": False,
    "latency": 150,
    "downloadThroughput": 1_600_000 / 8,
    "uploadThroughput": 750_000 / 8,
}
SLOWER = 4
PAINTS = """() => ({
  first: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN,
  html: performance.getEntriesByType('navigation')[0].responseEnd,
})"""


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "library"
        scenario_library(place)
        library = load_library(place)
        desk = open_desk(library)
        root, *_ = a_link(desk)
        with serving(desk) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
            _draw(browser, address + root)
            visits = [_visit(browser, address + root) for _ in range(VISITS)]
            sizes = _sizes(browser, address + root)
            browser.close()
        desk.jobs.stop()
        library.close()
        shutil.rmtree(place, ignore_errors=True)
    first = [one["first"] for one in visits]
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    print(f"first paint: median {statistics.median(first):.0f} ms of {sorted(map(round, first))}")
    print(f"page fetched: median {statistics.median([one['html'] for one in visits]):.0f} ms")
    light = sum(size for kind, size in sizes.items() if kind != "media")
    print(f"without media: {light / 1000:.0f} kB ({_told(sizes)})")


def _draw(browser: Browser, address: str) -> None:
    """The pictures are drawn on the first look."""
    page = browser.new_page()
    page.goto(address)
    page.wait_for_selector(".frame img", timeout=120_000)
    page.close()


def _visit(browser: Browser, address: str) -> dict[str, float]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, is_mobile=True, device_scale_factor=3
    )
    page = context.new_page()
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.emulateNetworkConditions", NETWORK)
    wire.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address, wait_until="load")
    time.sleep(0.5)
    told: dict[str, float] = page.evaluate(PAINTS)
    context.close()
    return told


def _sizes(browser: Browser, address: str) -> dict[str, int]:
    """Bytes by kind, as they are before any compression."""
    sizes: dict[str, int] = {}
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()

    def note(response: Response) -> None:
        kind = _kind(response.url)
        sizes[kind] = sizes.get(kind, 0) + len(response.body())

    page.on("response", note)
    page.goto(address)
    page.wait_for_load_state("networkidle")
    context.close()
    return sizes


def _kind(url: str) -> str:
    if "/picture/" in url or "/talk/" in url:
        return "media"
    for ending, kind in ((".woff2", "fonts"), (".css", "style"), (".js", "script")):
        if ending in url:
            return kind
    return "page" if url.endswith("/") else "rest"


def _told(sizes: dict[str, int]) -> str:
    return ", ".join(f"{kind} {size / 1000:.0f}" for kind, size in sorted(sizes.items()))


if __name__ == "__main__":
    main()
