"""Causeline reads a golfer's swing from a phone clip: moments, measures with their ±, and a page.

The public door: `read_clip` turns a video file into a `Result`; `save_reading` and `render_page`
write it out.
"""

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
