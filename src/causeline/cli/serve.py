"""`causeline serve`: the coach's workbench, in the browser of this machine."""

from __future__ import annotations

import logging
import threading
import webbrowser
from contextlib import suppress
from typing import Any

import click
import uvicorn
from rich.console import Console
from uvicorn.config import LOGGING_CONFIG

from causeline.cli.listening import Listening, listens
from causeline.cli.place import at_library, ends_well, opened
from causeline.web.health import serve_log
from causeline.wiring_web import open_workbench

PORT = 8017


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True,
              help="0 takes a free one.")  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option("--workers", type=click.IntRange(0, 256), default=0, help="Clips read at once.")
@click.option("--log", metavar="FILE", help="A line of JSON for each request; - for the screen.")
@listens
@at_library
@ends_well
def serve(
    no_browser: bool, workers: int, log: str | None, place: str, files: str | None, **reached: Any
) -> None:
    """Open the workbench: golfers, clips, the sheet, lessons. It listens to this machine alone.

    With --host and --name it is reached from elsewhere, once a coach has a password.
    Readings that an earlier run left unfinished are taken up. End it with Ctrl-C.
    """
    ways = Listening(**reached)
    with opened(place, files) as held:
        ways.check(held)
        listening = ways.open()
        address = ways.address(listening)
        if log:
            serve_log(log)
        app = open_workbench(held, workers, ways.hosts, ways.policy)
        config = uvicorn.Config(
            app,
            log_level=None if log else logging.WARNING,
            log_config=None if log else LOGGING_CONFIG,
            access_log=False,
            timeout_graceful_shutdown=2,
            **ways.uvicorn,
        )
        Console().print(f"Causeline is at {address} (Ctrl-C ends it)", highlight=False)
        if not no_browser:
            threading.Timer(0.5, webbrowser.open, [address]).start()
        with suppress(KeyboardInterrupt):  # uvicorn passes it on after its own clean end
            uvicorn.Server(config).run(sockets=[listening])
    Console().print("Causeline has ended.", highlight=False)
