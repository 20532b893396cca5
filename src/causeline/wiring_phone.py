"""Listens on the local network for a phone, for as long as the coach says and no longer."""

from __future__ import annotations

import logging
import secrets
import socket
import threading
import time
from contextlib import suppress

import uvicorn

from causeline.errors import SettingError
from causeline.model.library import GolferEntry
from causeline.web.phone_door import Build, Opened

OPEN_S = 20 * 60.0
"""It closes by itself after so long."""
STARTS_S = 10.0
SECRET_BYTES = 16
"""128 random bits, small enough for a code that any phone reads at once."""
ELSEWHERE = ("10.255.255.255", 1)
"""No packet goes there: asking for the way tells which address this machine has on its network."""


class NetworkPhone:
    """One server in a thread of its own, at most."""

    def __init__(self, open_s: float = OPEN_S) -> None:
        self._open_s = open_s
        self._lock = threading.Lock()
        self._server: uvicorn.Server | None = None
        self._opened: Opened | None = None
        self._timer: threading.Timer | None = None

    def open(self, golfer: GolferEntry, build: Build) -> Opened:
        """Open it for a golfer's clips; one that was open is closed."""
        self.close()
        host, secret = own_host(), secrets.token_urlsafe(SECRET_BYTES)
        listening = socket.create_server((host, 0))
        config = uvicorn.Config(
            build(secret, host),
            log_level=logging.WARNING,
            access_log=False,
            timeout_graceful_shutdown=1,
        )
        server = uvicorn.Server(config)
        threading.Thread(target=server.run, args=([listening],), name="phone", daemon=True).start()
        ends = time.monotonic() + STARTS_S
        while not server.started and time.monotonic() < ends:
            time.sleep(0.01)
        address = f"http://{host}:{listening.getsockname()[1]}/in/{secret}"
        timer = threading.Timer(self._open_s, self.close)
        timer.daemon = True
        timer.start()
        with self._lock:
            self._server, self._timer = server, timer
            self._opened = Opened(address, golfer)
            return self._opened

    def close(self) -> None:
        """Listen no longer; a clip that is on its way has a second to arrive."""
        with self._lock:
            server, timer = self._server, self._timer
            self._server = self._timer = self._opened = None
        if timer is not None:
            timer.cancel()
        if server is not None:
            server.should_exit = True

    def opened(self) -> Opened | None:
        """What is open now."""
        with self._lock:
            return self._opened


def own_host() -> str:
    """The address of this machine on its network. Raises SettingError where it is on none."""
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect(ELSEWHERE)
        host = str(asking.getsockname()[0])
        if not host.startswith("127.") and host != "0.0.0.0":  # noqa: S104 - compared, not bound
            return host
    raise SettingError(
        "this machine is on no network that a phone could be on",
        "a wireless or a wired network was expected",
        "join one, or send the clips by cable",
    )
