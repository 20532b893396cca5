"""`causeline serve`: the coach's workbench, in the browser of this machine."""

from __future__ import annotations

import logging
import socket
import threading
import webbrowser
from contextlib import suppress

import click
import uvicorn
from rich.console import Console

from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import SettingError
from causeline.wiring_web import open_workbench

HOST = "127.0.0.1"
PORT = 8017


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True,
              help="0 takes a free one.")  # fmt: skip
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option("--workers", type=click.IntRange(0, 256), default=0, help="Clips read at once.")
@at_library
@ends_well
def serve(port: int, no_browser: bool, workers: int, place: str, files: str | None) -> None:
    """Open the workbench: golfers, clips, the sheet, lessons. It listens to this machine alone.

    Readings that an earlier run left unfinished are taken up. End it with Ctrl-C.
    """
    listening = _socket(port)
    address = f"http://{HOST}:{listening.getsockname()[1]}/"
    with opened(place, files) as held:
        app = open_workbench(held, workers)
        config = uvicorn.Config(
            app, log_level=logging.WARNING, access_log=False, timeout_graceful_shutdown=2
        )
        Console().print(f"Causeline is at {address} (Ctrl-C ends it)", highlight=False)
        if not no_browser:
            threading.Timer(0.5, webbrowser.open, [address]).start()
        with suppress(KeyboardInterrupt):  # uvicorn passes it on after its own clean end
            uvicorn.Server(config).run(sockets=[listening])
    Console().print("Causeline has ended.", highlight=False)


def _socket(port: int) -> socket.socket:
    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as error:
        raise SettingError(
            f"port {port} is taken ({error.strerror})",
            "a free port was expected",
            "end the Causeline that runs already, or give another with --port",
        ) from error
    return listening
