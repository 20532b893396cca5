"""Files that are there whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
from pathlib import Path

from causeline.errors import OutputError


def save_whole(path: Path, content: bytes) -> None:
    """Write under another name in the same folder, flush to the disk, then rename over `path`.

    Raises OutputError, leaving what was at `path` as it was, when any step fails.
    """
    partial = path.with_name(f".{path.name[:40]}.{secrets.token_hex(8)}.part")
    try:
        with partial.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            partial.unlink()
        raise _refusal(path, error) from error


def _refusal(path: Path, error: OSError) -> OutputError:
    remedies = {
        errno.ENOSPC: "Make room on the disk, or write elsewhere.",
        errno.EDQUOT: "Make room in your quota, or write elsewhere.",
        errno.ENOENT: "Make the folder first, or write elsewhere.",
        errno.EACCES: "Ask for the right to write there, or write elsewhere.",
        errno.EROFS: "The disk may only be read; write elsewhere.",
        errno.EISDIR: "That is a folder; give the name of a file.",
    }
    remedy = remedies.get(error.errno or 0, "Write elsewhere.")
    reason = (error.strerror or str(error)).lower()
    return OutputError(f"{path} could not be written: {reason}", "", remedy)
