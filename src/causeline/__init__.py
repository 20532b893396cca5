"""Causeline reads a golfer's swing from a phone clip: moments, measures with their ±, and a page.

The public door: `read_clip` turns a video file into a `Result`; `save_reading` and `render_page`
write it out. What is behind it is loaded when it is asked for.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from causeline.errors import CauselineError
    from causeline.model.reading import Reading
    from causeline.reading.run import Result, Settings
    from causeline.render.page import render_page
    from causeline.store.reading_file import save_reading
    from causeline.wiring import compose_lesson, read_clip, write_lesson, write_page

__version__ = "0.1.0"

__all__ = [
    "CauselineError",
    "Reading",
    "Result",
    "Settings",
    "compose_lesson",
    "read_clip",
    "render_page",
    "save_reading",
    "write_lesson",
    "write_page",
]

_HOMES = {
    "CauselineError": "errors",
    "Reading": "model.reading",
    "Result": "reading.run",
    "Settings": "reading.run",
    "compose_lesson": "wiring",
    "read_clip": "wiring",
    "render_page": "render.page",
    "save_reading": "store.reading_file",
    "write_lesson": "wiring",
    "write_page": "wiring",
}


def __getattr__(name: str) -> Any:
    """Load what is asked for, so that who needs one room does not wait for all of them."""
    if name not in _HOMES:
        raise AttributeError(f"module 'causeline' has no attribute {name!r}")
    return getattr(import_module(f"causeline.{_HOMES[name]}"), name)
