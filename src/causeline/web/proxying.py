"""The frames of a swing, made ready in the background when somebody wants to look at them."""

from __future__ import annotations

from dataclasses import dataclass

from causeline.model.access import Made
from causeline.model.library import ReadingEntry
from causeline.model.proxy import Proxy
from causeline.reading.proxies import Wanted, run_proxy
from causeline.store.library_made import load_made
from causeline.store.library_proxies import LibraryProxies
from causeline.store.library_readings import load_swings
from causeline.web.desk import Desk
from causeline.web.jobs import Job, Report
from causeline.web.shelf import ShelfSwing


@dataclass(frozen=True, slots=True)
class ProxyState:
    """A proxy with its film's key, or the work that makes it."""

    proxy: Proxy | None
    film_key: str | None
    job: Job | None


def wanted_of(one: ShelfSwing) -> Wanted:
    """Which frames of which clip a swing is."""
    swing = one.shown.swing
    return Wanted(one.clip.sha256, int(swing.first_frame), int(swing.last_frame))


def find_proxy(desk: Desk, one: ShelfSwing) -> Made | None:
    """The film that was made, with its table; None where it was not."""
    return load_made(desk.library, wanted_of(one).key)


def proxy_told(desk: Desk, one: ShelfSwing) -> ProxyState:
    """The proxy; where it is not there its making is begun, or goes on."""
    wanted = wanted_of(one)
    proxy = LibraryProxies(desk.library).proxy(wanted.key)
    made = find_proxy(desk, one)
    if proxy is not None and made is not None:
        return ProxyState(proxy, made.file_key, None)
    return ProxyState(None, None, make_ready(desk, one))


def make_ready(desk: Desk, one: ShelfSwing) -> Job | None:
    """Begin to make a swing's frames ready; None where they are.

    A sheet that opens may call this, so that the bench need not wait.
    """
    return _begun(desk, wanted_of(one))


def serve_proxies(desk: Desk, entry: ReadingEntry) -> None:
    """Begin to make the frames of a reading's swings ready, rehearsals left out."""
    for swing in load_swings(desk.library, entry.id):
        if not swing.rehearsal:
            _begun(desk, Wanted(entry.sha256, swing.first_frame, swing.last_frame))


def _begun(desk: Desk, wanted: Wanted) -> Job | None:
    shelf = LibraryProxies(desk.library)
    if shelf.proxy(wanted.key) is not None:
        return None

    def work(report: Report) -> None:
        run_proxy(shelf, desk.proxies, wanted, report)

    return desk.jobs.start("the frames of a swing", work, key=wanted.key)
