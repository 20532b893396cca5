"""The file of what was seen of a clip: one compressed .npz, schema `causeline.seen/1`.

`header` is JSON (as bytes): the clip, the calls, the windows, what was heard. The arrays beside it
hold what there is much of; those of swing 0 begin with `0_`. Coordinates are 32-bit floats in steps
of 1/64 pixel, probabilities 16-bit floats. Times of frames are not kept: the clock gives them.
"""

from __future__ import annotations

import io
import json
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from causeline.errors import StoreError
from causeline.model.clip import Called, Clip, ScaleFrom
from causeline.model.club import ClubGuesses
from causeline.model.filming import PictureFacts
from causeline.model.moments import SwingWindow
from causeline.model.seen import SEEN_SCHEMA, Seen, SeenClub, SeenSwing, kept_px
from causeline.model.tracks import LandmarkTrack
from causeline.quantities.clock import Clock
from causeline.quantities.uncertain import Uncertain
from causeline.store.whole_file import save_whole

Json = dict[str, Any]
Arrays = dict[str, NDArray[Any]]
_BROKEN = (
    OSError, EOFError, zipfile.BadZipFile, zlib.error, struct.error, SyntaxError, MemoryError,
    ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RuntimeError,
)  # fmt: skip
"""What a damaged file can make the libraries raise."""
_DAY_ZERO = (1980, 1, 1, 0, 0, 0)


def save_seen(path: Path | str, seen: Seen) -> None:
    """Write what was seen, whole or not at all.

    Raises OutputError when it cannot be written: no such folder, no permission, no room.
    """
    save_whole(Path(path), save_seen_as_bytes(seen))


def save_seen_as_bytes(seen: Seen) -> bytes:
    """The content of that file; the same record always gives the same bytes."""
    arrays: Arrays = {
        "stamps": seen.clip.clock.stamps,
        "repeated": np.packbits(seen.clip.repeated),
        **_track("golfer", seen.golfer),
    }
    for number, swing in enumerate(seen.swings):
        arrays |= _track(f"{number}_landmarks", swing.landmarks)
        if swing.club is not None:
            arrays |= _guesses(f"{number}_club", swing.club)
    header = json.dumps(_header(seen)).encode()
    arrays["header"] = np.frombuffer(header, dtype=np.uint8)
    return _packed(arrays)


def load_seen(path: Path | str) -> Seen:
    """What was seen of a clip, as it was saved.

    Raises StoreError for a file that is not there, is broken, or has another schema.
    """
    try:
        content = io.BytesIO(Path(path).read_bytes())
        with np.load(content, allow_pickle=False) as file:
            arrays = {name: file[name] for name in file.files}
        header: Json = json.loads(arrays["header"].tobytes())
        schema = header["schema"]
        if schema == SEEN_SCHEMA:
            return _seen(header, arrays)
    except _BROKEN as error:
        raise StoreError(
            f"{path} could not be read as what was seen of a clip ({error})",
            f"a file of schema {SEEN_SCHEMA!r} was expected",
            "read the clip again",
        ) from error
    raise StoreError(
        f"{path} has schema {schema!r}",
        f"this version reads {SEEN_SCHEMA!r}",
        "read the clip again, or use the version of Causeline that wrote the file",
    )


def _packed(arrays: Mapping[str, NDArray[Any]]) -> bytes:
    """An .npz without the time of day, so that equal records are equal files."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for name, array in arrays.items():
            content = io.BytesIO()
            np.save(content, array, allow_pickle=False)
            entry = zipfile.ZipInfo(f"{name}.npy", _DAY_ZERO)
            archive.writestr(entry, content.getvalue(), zipfile.ZIP_DEFLATED)
    return whole.getvalue()


def _header(seen: Seen) -> Json:
    return {
        "schema": SEEN_SCHEMA,
        "clip": _clip(seen.clip),
        "view": asdict(seen.view),
        "hand": asdict(seen.hand),
        "engine": dict(seen.engine),
        "capture_hz": seen.capture_hz,
        "swings": [_swing(swing) for swing in seen.swings],
    }


def _clip(clip: Clip) -> Json:
    plain = ("name", "sha256", "width", "height", "rotation_deg", "codec")
    counts = ("damaged", "mended", "has_audio")
    return {
        **{name: getattr(clip, name) for name in plain + counts},
        "time_scale_from": clip.time_scale_from.value,
        "time_base": str(clip.clock.time_base),
        "time_scale": str(clip.clock.time_scale),
    }


def _swing(swing: SeenSwing) -> Json:
    club, strike = swing.club, swing.strike
    return {
        "window": asdict(swing.window),
        "club": None if club is None else {"mirrored": club.mirrored, "width": club.width},
        "listened": swing.listened,
        "strike": None if strike is None else asdict(strike),
        "light": [asdict(facts) for facts in swing.light],
    }


def _track(name: str, track: LandmarkTrack) -> Arrays:
    return {
        f"{name}_frames": track.frames,
        f"{name}_xy": kept_px(track.xy).astype(np.float32),
        f"{name}_confidence": track.confidence.astype(np.float16),
    }


def _guesses(name: str, club: SeenClub) -> Arrays:
    """All guesses of the swing in one list, and how many belong to each frame."""
    points = [np.stack([one.butt, one.hosel, one.head], axis=1) for one in club.guesses]
    scores = [one.score for one in club.guesses]
    seen = [one.tip_seen for one in club.guesses]
    return {
        f"{name}_counts": np.array([len(one) for one in club.guesses], dtype=np.uint8),
        f"{name}_xy": kept_px(np.concatenate([np.zeros((0, 3, 2)), *points])).astype(np.float32),
        f"{name}_score": np.concatenate([np.zeros(0), *scores]).astype(np.float16),
        f"{name}_tip_seen": np.concatenate([np.zeros(0, dtype=np.bool_), *seen]),
    }


def _seen(header: Json, arrays: Arrays) -> Seen:
    clip = _clip_of(header["clip"], arrays)
    return Seen(
        clip=clip,
        golfer=_track_of("golfer", clip, arrays),
        view=Called(**header["view"]),
        hand=Called(**header["hand"]),
        swings=tuple(
            _swing_of(number, swing, clip, arrays) for number, swing in enumerate(header["swings"])
        ),
        engine=dict(header["engine"]),
        capture_hz=header["capture_hz"],
    )


def _clip_of(told: Json, arrays: Arrays) -> Clip:
    base, scale = Fraction(told.pop("time_base")), Fraction(told.pop("time_scale"))
    clock = Clock(arrays["stamps"], base, scale)
    repeated = np.unpackbits(arrays["repeated"], count=len(clock)).astype(np.bool_)
    known_from = ScaleFrom(told.pop("time_scale_from"))
    return Clip(**told, clock=clock, time_scale_from=known_from, repeated=repeated)


def _track_of(name: str, clip: Clip, arrays: Arrays) -> LandmarkTrack:
    frames = arrays[f"{name}_frames"]
    return LandmarkTrack(
        frames=frames,
        time_s=clip.clock.seconds[frames],
        xy=arrays[f"{name}_xy"].astype(np.float64),
        confidence=arrays[f"{name}_confidence"].astype(np.float64),
    )


def _swing_of(number: int, told: Json, clip: Clip, arrays: Arrays) -> SeenSwing:
    club, strike = told["club"], told["strike"]
    return SeenSwing(
        window=SwingWindow(**told["window"]),
        landmarks=_track_of(f"{number}_landmarks", clip, arrays),
        club=club and SeenClub(_guesses_of(f"{number}_club", arrays), **club),
        listened=told["listened"],
        strike=strike and Uncertain(**strike),
        light=tuple(PictureFacts(**facts) for facts in told["light"]),
    )


def _guesses_of(name: str, arrays: Arrays) -> tuple[ClubGuesses, ...]:
    parts = np.cumsum(arrays[f"{name}_counts"].astype(np.int64))[:-1]
    xy, score = (
        np.split(arrays[f"{name}_{part}"].astype(np.float64), parts) for part in ("xy", "score")
    )
    seen = np.split(arrays[f"{name}_tip_seen"], parts)
    return tuple(
        ClubGuesses(points[:, 0], points[:, 1], points[:, 2], sure, tips)
        for points, sure, tips in zip(xy, score, seen, strict=True)
    )
