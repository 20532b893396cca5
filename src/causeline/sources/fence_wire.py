"""What goes through the pipe between a process and the fenced one that decodes for it.

A message is a line of JSON and the bytes of its arrays. Nothing that comes out of the fence is
trusted: it is no pickle, and each array has the size that its shape says.
"""

from __future__ import annotations

import json
import os
import select
from datetime import datetime
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from causeline.model.clip import Clip, ScaleFrom
from causeline.quantities.clock import Clock

Head = dict[str, Any]
_LENGTHS = 16
"""Bytes in front of a message: length of the JSON, length of the rest; 8 each."""
MOST_JSON = 1 << 24
MOST_BYTES = 1 << 31


class WireError(Exception):
    """The other end is gone, is silent, or speaks nonsense."""


def send(pipe: int, head: Head, *arrays: NDArray[Any]) -> None:
    """Write one message; waits for the other end to read."""
    head = {**head, "arrays": [[array.dtype.str, list(array.shape)] for array in arrays]}
    text = json.dumps(head).encode()
    body = [np.ascontiguousarray(array).reshape(-1).view(np.uint8).data for array in arrays]
    size = sum(len(part) for part in body)
    lengths = len(text).to_bytes(8, "big") + size.to_bytes(8, "big")
    for part in (memoryview(lengths + text), *body):
        _write(pipe, part)


def receive(pipe: int, patience_s: float | None) -> tuple[Head, list[NDArray[Any]]]:
    """Read one message. Raises WireError where none comes in time, or what comes is none."""
    lengths = bytes(_read(pipe, _LENGTHS, patience_s))
    text_size, size = int.from_bytes(lengths[:8], "big"), int.from_bytes(lengths[8:], "big")
    if text_size > MOST_JSON or size > MOST_BYTES:
        raise WireError(f"a message of {text_size} and {size} bytes")
    try:
        head = json.loads(bytes(_read(pipe, text_size, patience_s)))
        arrays = _arrays(_read(pipe, size, patience_s), head.pop("arrays"))
    except (ValueError, TypeError, LookupError, AttributeError) as error:
        raise WireError(f"no message ({error})") from error
    return head, arrays


def clip_to_wire(clip: Clip) -> tuple[Head, list[NDArray[Any]]]:
    """A clip as plain data, and its stamps and marks of repeats."""
    plain = {name: getattr(clip, name) for name in _PLAIN}
    plain["time_scale_from"] = clip.time_scale_from.value
    plain["time_base"] = str(clip.clock.time_base)
    plain["time_scale"] = str(clip.clock.time_scale)
    plain["recorded_at"] = clip.recorded_at.isoformat() if clip.recorded_at else None
    return plain, [clip.clock.stamps, clip.repeated]


def clip_from_wire(plain: Head, arrays: list[NDArray[Any]]) -> Clip:
    """The clip again. Raises WireError for what is none."""
    try:
        stamps, repeated = arrays
        clock = Clock(
            stamps.astype(np.int64), Fraction(plain["time_base"]), Fraction(plain["time_scale"])
        )
        known = {name: kind(plain[name]) for name, kind in _PLAIN.items()}
        scale_from = ScaleFrom(plain["time_scale_from"])
        recorded = plain["recorded_at"]
        return Clip(
            **known,
            clock=clock,
            time_scale_from=scale_from,
            repeated=repeated.astype(np.bool_),
            recorded_at=datetime.fromisoformat(recorded) if recorded is not None else None,
        )
    except (ValueError, TypeError, LookupError, ArithmeticError) as error:
        raise WireError(f"no clip ({error})") from error


_PLAIN: dict[str, Any] = {
    "name": str,
    "sha256": str,
    "width": int,
    "height": int,
    "rotation_deg": int,
    "codec": str,
    "damaged": int,
    "mended": int,
    "has_audio": bool,
}


def _write(pipe: int, part: memoryview) -> None:
    while part:
        part = part[os.write(pipe, part) :]


def _read(pipe: int, size: int, patience_s: float | None) -> NDArray[np.uint8]:
    """That many bytes; `patience_s` is for each piece, so that slow is not silent."""
    whole = np.empty(size, dtype=np.uint8)
    rest = whole.data
    while rest:
        if patience_s is not None and not select.select([pipe], [], [], patience_s)[0]:
            raise WireError("silence")
        count = os.readv(pipe, [rest])
        if count == 0:
            raise WireError("the end")
        rest = rest[count:]
    return whole


def _arrays(body: NDArray[np.uint8], told: list[Any]) -> list[NDArray[Any]]:
    arrays, at = [], 0
    for kind, shape in told:
        dtype = np.dtype(_KINDS[kind])
        size = dtype.itemsize * int(np.prod([int(side) for side in shape], dtype=np.int64))
        if size < 0 or at + size > len(body):
            raise ValueError("an array longer than its message")
        arrays.append(body[at : at + size].view(dtype).reshape(shape))
        at += size
    return arrays


_KINDS = {np.dtype(kind).str: kind for kind in (np.uint8, np.bool_, np.int64, np.float32)}
