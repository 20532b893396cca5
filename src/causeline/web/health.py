"""Is it well: for who watches over the server, and without a word about anybody in the library.

`/healthz` says whether it can serve, `/metrics` counts in the OpenMetrics form, and each request
may leave one line of JSON in a log. None of them holds a name, an address with an id in it, a
secret, or what was sent.
"""

from __future__ import annotations

import hmac
import json
import logging
import re
import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from traceback import extract_tb
from typing import Any

from fastapi import APIRouter, Request, Response
from prometheus_client import CollectorRegistry, Counter, Histogram, Info
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest
from prometheus_client.registry import Collector
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from causeline.errors import CauselineError
from causeline.model.access import Role
from causeline.store.library import Library
from causeline.store.library_readings import ReadingBook
from causeline.web.access import OfPolicy, role_of
from causeline.web.desk import OfDesk
from causeline.web.gate import SIGNED, STRANGER
from causeline.web.mistakes import Mistake, Refusal
from causeline.web.show import PAGES, script

router = APIRouter(include_in_schema=False)
BUCKETS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 60.0)
NOWHERE, FILES = "nowhere", ("/assets", "/built", "/fonts")
_log = logging.getLogger("causeline.requests")


class Health:
    """What one app counts."""

    def __init__(self, library: Library) -> None:
        self.registry = CollectorRegistry()
        self.requests = Counter(
            "causeline_requests", "Requests answered.", ("method", "route", "status"),
            registry=self.registry,
        )  # fmt: skip
        self.seconds = Histogram(
            "causeline_request_seconds", "Seconds until a request was answered.", ("route",),
            buckets=BUCKETS, registry=self.registry,
        )  # fmt: skip
        Info("causeline", "What runs here.", registry=self.registry).info(
            {"version": version("causeline")}
        )
        self.registry.register(_OfLibrary(library))


class _OfLibrary(Collector):
    """What is asked of the library each time that somebody collects."""

    def __init__(self, library: Library) -> None:
        self._library = library

    def collect(self) -> Iterator[GaugeMetricFamily]:
        readings = GaugeMetricFamily("causeline_readings", "Readings.", labels=("state",))
        for state, count in ReadingBook(self._library).counts().items():
            readings.add_metric((state.value,), count)
        yield readings
        free = _free(self._library)
        if free is not None:
            yield GaugeMetricFamily("causeline_free_bytes", "Room for files.", value=free)

    def describe(self) -> Iterator[GaugeMetricFamily]:
        """Nothing is asked of the library before somebody collects."""
        yield GaugeMetricFamily("causeline_readings", "Readings.", labels=("state",))


class Watched:
    """An ASGI layer around everything: counts each request, and logs it."""

    def __init__(self, app: ASGIApp, health: Health) -> None:
        self.app, self.health = app, health

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass it on, and note how it ended."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.perf_counter(), 500

        async def sent(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, sent)
        finally:
            self._note(scope, status, time.perf_counter() - began)

    def _note(self, scope: Scope, status: int, seconds: float) -> None:
        route, method = _route(scope), _method(scope["method"])
        self.health.requests.labels(method, route, str(status)).inc()
        self.health.seconds.labels(route).observe(seconds)
        told = {
            "route": route,
            "method": method,
            "status": status,
            "ms": round(1000 * seconds, 1),
            "signed_in": scope.get("state", {}).get(SIGNED) is not None,
        }
        _log.info("request", extra={"told": told})


class Lines(logging.Formatter):
    """One line of JSON for each record: what is logged is said, what it is said of is not.

    Values that would be put into a message are left out, and so is what an exception says: they
    may hold a name. Where in the code it happened is told.
    """

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "event": str(record.msg) if isinstance(record.msg, str) else type(record.msg).__name__,
            **getattr(record, "told", {}),
        }
        if record.exc_info and record.exc_info[1] is not None:
            line["error"] = type(record.exc_info[1]).__name__
            line["where"] = [
                f"{Path(frame.filename).name}:{frame.lineno}"
                for frame in extract_tb(record.exc_info[2])[-6:]
            ]
        return json.dumps(line)


@router.get("/healthz")
def healthz(desk: OfDesk) -> Response:
    """200 where database and files answer, else 503 with which of them does not."""
    ill = [name for name, works in _works(desk.library).items() if not works]
    told = {"state": "ill" if ill else "well", "wrong": ill}
    return JSONResponse(told, 503 if ill else 200)


@router.get("/metrics")
def metrics(request: Request, policy: OfPolicy) -> Response:
    """Counts in the OpenMetrics form, for a collector with the key, or for administration."""
    given = request.headers.get("authorization", "").removeprefix("Bearer ")
    keyed = policy.metrics_key and hmac.compare_digest(given.encode(), policy.metrics_key.encode())
    stranger = getattr(request.state, STRANGER, False)
    if not keyed and (stranger or role_of(request) is not Role.ADMINISTRATION):
        raise Refusal(
            Mistake(
                401,
                "metrics were asked for without their key",
                "the key in CAUSELINE_METRICS_KEY was expected, as a bearer token",
                "set one, or sign in with the role of administration",
            )
        )
    health: Health = request.app.state.health
    told: bytes = generate_latest(health.registry)  # type: ignore[no-untyped-call]
    return Response(told, media_type=CONTENT_TYPE_LATEST)


def serve_missing() -> list[str]:
    """Entries of the front end that pages name and that were not built."""
    named = {
        found
        for page in PAGES.glob("*.html.j2")
        for found in re.findall(r"script\('([\w-]+)'\)", page.read_text(encoding="utf-8"))
    }
    return sorted(name for name in named if not _is_built(name))


def _is_built(name: str) -> bool:
    try:
        return bool(script(name))
    except (CauselineError, KeyError):
        return False


def _works(library: Library) -> dict[str, bool]:
    try:
        ReadingBook(library).waiting(1)
        database = True
    except CauselineError:
        database = False
    try:
        files = bool(library.vault.fs.exists(library.vault.root))
    except Exception:  # noqa: BLE001 - each object store's library has errors of its own
        files = False
    return {"database": database, "files": files}


def _free(library: Library) -> int | None:
    """Bytes free where files are kept; None for a bucket."""
    root = Path(library.vault.root)
    return shutil.disk_usage(root).free if root.is_dir() else None


def _route(scope: Scope) -> str:
    """The route's pattern, never the address: that may hold an id or a secret."""
    route = scope.get("route")
    pattern = getattr(route, "path", None)
    if isinstance(pattern, str) and pattern:
        return pattern
    return next((each for each in FILES if scope["path"].startswith(f"{each}/")), NOWHERE)


def _method(name: str) -> str:
    known = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
    return name if name in known else "other"


def serve_log(to: str) -> None:
    """Log lines of JSON to a file, or to the standard error for `-`."""
    handler = logging.StreamHandler() if to == "-" else logging.FileHandler(to, encoding="utf-8")
    handler.setFormatter(Lines())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.INFO)
    for name in ("uvicorn", "uvicorn.error", "uvicorn.access"):
        logger = logging.getLogger(name)
        logger.handlers[:] = []
        logger.propagate = True
