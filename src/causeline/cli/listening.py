"""Where the workbench listens, and that nobody comes in who should not."""

from __future__ import annotations

import os
import socket
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import click

from causeline.errors import SettingError
from causeline.store.library import Library
from causeline.store.library_access import load_locked
from causeline.store.library_people import load_coaches
from causeline.web.gate import Policy
from causeline.web.guard import LOOPBACK

HOME = "127.0.0.1"
METRICS_KEY = "CAUSELINE_METRICS_KEY"


@dataclass(frozen=True, slots=True)
class Listening:
    """How the workbench is reached."""

    host: str
    port: int
    names: tuple[str, ...]
    """Names that browsers ask for, besides those of this machine."""
    behind: tuple[str, ...]
    """Addresses of proxies whose word on who asks is trusted."""
    certificate: Path | None
    key: Path | None
    without_tls: bool

    @property
    def beyond(self) -> bool:
        """Whether anybody but this machine's own people can reach it."""
        return not _is_loopback(self.host) or bool(self.behind) or bool(self.names)

    @property
    def hosts(self) -> tuple[str, ...]:
        """Every name that is answered."""
        here = (self.host,) if self.host not in ("0.0.0.0", "::") else ()  # noqa: S104 - compared
        return (*LOOPBACK, *here, *self.names)

    @property
    def policy(self) -> Policy:
        """What the web room needs to know of it."""
        secure = bool(self.certificate or self.behind) and not self.without_tls
        return Policy(self.beyond, secure, os.environ.get(METRICS_KEY, ""))

    @property
    def uvicorn(self) -> dict[str, Any]:
        """The server's own settings."""
        tls = (
            {"ssl_certfile": self.certificate, "ssl_keyfile": self.key} if self.certificate else {}
        )
        return {
            "proxy_headers": bool(self.behind),
            "forwarded_allow_ips": list(self.behind),
            "server_header": False,
            **tls,
        }

    def address(self, listening: socket.socket) -> str:
        """What to open in a browser."""
        scheme = "https" if self.certificate else "http"
        host = self.host if _is_loopback(self.host) or not self.names else self.names[0]
        return f"{scheme}://{host}:{listening.getsockname()[1]}/"

    def check(self, library: Library) -> None:
        """Raise SettingError where strangers could come in, or passwords be read on the way."""
        if self.beyond and not load_locked(library):
            raise SettingError(
                f"the workbench was to be reached from elsewhere ({self._told()}), and nobody "
                "has a password yet",
                "a coach with a password was expected: whoever found the address would be in",
                "set one first: causeline coach password NAME",
            )
        teach = [each for each in load_coaches(library) if each.active]
        if len(teach) > 1 and not load_locked(library):
            raise SettingError(
                "several coaches teach here, and nobody has a password yet",
                "a password for each was expected, to tell them apart",
                "set one first: causeline coach password NAME",
            )
        if self.beyond and not (self.certificate or self.behind or self.without_tls):
            raise SettingError(
                f"the workbench was to be reached from elsewhere ({self._told()}) without TLS",
                "a certificate, or a proxy that has one, was expected: passwords and clips could "
                "be read on the way",
                "give --certificate and --key, or --behind with the proxy's address; in a network "
                "of your own that you trust, --without-tls",
            )

    def open(self) -> socket.socket:
        """The socket. Raises SettingError where it cannot be had."""
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        listening = socket.socket(family)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((self.host, self.port))
        except OSError as error:
            listening.close()
            raise SettingError(
                f"{self.host} port {self.port} cannot be had ({error.strerror or error})",
                "an address of this machine and a free port were expected",
                "end the Causeline that runs already, or give another with --port",
            ) from error
        return listening

    def _told(self) -> str:
        return ", ".join((self.host, *self.names)) + (" behind a proxy" if self.behind else "")


def listens(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say where it listens."""
    path = click.Path(path_type=Path, dir_okay=False, exists=True)
    for option in (
        click.option("--host", default=HOME, show_default=True,
                     help="Address to listen at; beyond this machine it needs a password."),
        click.option("--name", "names", multiple=True,
                     help="Name in the browser's address, such as swing.example.org; repeat."),
        click.option("--behind", multiple=True,
                     help="Address of a proxy that is trusted to say who asks; repeat."),
        click.option("--certificate", type=path, help="TLS certificate, PEM."),
        click.option("--key", type=path, help="Its key, PEM."),
        click.option("--without-tls", is_flag=True, help="In a network that you trust alone."),
    ):  # fmt: skip
        command = option(command)
    return command


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
