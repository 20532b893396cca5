"""The truth of a clip: what was filmed, in metres, pixels and seconds, as JSON beside it."""

from __future__ import annotations

import gzip
import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studio.acting import Acting
from studio.camera import Camera
from studio.draw.exposure import Shutter
from studio.performance import Floats

SCHEMA = "causeline.truth/1"
CLUB_POINTS = ("butt", "hands", "hosel", "head", "ball")
LARGE_BYTES = 600_000
"""Truth files above this size are compressed."""
NOTE = (
    "Right-handed frame of reference in metres: x toward the ball, y toward the target, z up. "
    "For a left-handed golfer points_m and camera are those of the right-handed original, and "
    "points_px those of the mirrored picture (x becomes width - 1 - x). time_s is real "
    "seconds from the first frame, at the middle of the middle row's exposure. A point is "
    "seen when its own row is exposed, time_s + readout_s * (y - (height - 1) / 2) / height, "
    "by the camera as it stands at time_s. Pixels: x right, y down, (0, 0) the middle of the "
    "first. visible: 1 seen, 0 behind something or outside the picture."
)


@dataclass(frozen=True, slots=True, eq=False)
class Filmed:
    """One clip, as far as truth needs it."""

    acting: Acting
    camera: Camera
    shutter: Shutter
    times_s: Floats
    """(n,) of the frames, in the performance's own seconds."""
    left_handed: bool


def point_names(acting: Acting) -> tuple[str, ...]:
    """Joints, then what belongs to club and ball."""
    return (*acting.performance.joints, *CLUB_POINTS)


def seen_at(filmed: Filmed, name: str, times_s: Floats) -> tuple[Floats, Floats]:
    """Pixels (n, 2) of a point in the frames of some instants when its row was exposed; depths."""
    camera, height = filmed.camera, filmed.camera.height
    if name == "ball" and filmed.acting.performance.rehearsal:
        return np.full((len(times_s), 2), np.nan), np.full(len(times_s), np.nan)
    when = times_s
    for _ in range(4):
        pixels, depth = camera.project_each(filmed.acting.path(name, when), times_s)
        rows = np.clip(pixels[:, 1], 0, height - 1)
        opened = filmed.shutter.row_time(times_s, rows, height)
        when = np.where(np.isfinite(rows), opened, when)
    if filmed.left_handed:
        pixels[:, 0] = camera.width - 1 - pixels[:, 0]
    return pixels, depth


def truth_of(
    filmed: Filmed, visible: dict[str, list[int]], facts: dict[str, Any]
) -> dict[str, Any]:
    """All that is known of a clip, ready for JSON. `facts` is put in as it stands."""
    performance = filmed.acting.performance
    times, start = filmed.times_s, float(filmed.times_s[0])
    names = point_names(filmed.acting)
    return {
        "schema": SCHEMA,
        "note": NOTE,
        **facts,
        "hand": "left" if filmed.left_handed else "right",
        "camera": _camera(filmed.camera, start),
        "shutter": asdict(filmed.shutter),
        "frames": {"count": len(times), "time_s": _rounded(times - start, 6)},
        "points_m": {name: _rounded(filmed.acting.path(name, times), 4) for name in names},
        "points_px": {name: _rounded(seen_at(filmed, name, times)[0], 2) for name in names},
        "visible": visible,
        "turns_deg": {
            name: _rounded(np.interp(times, performance.time_s, values), 2)
            for name, values in performance.turns.items()
        },
        "measures": {
            name: _rounded(np.interp(times, performance.time_s, values), 2)
            for name, values in performance.measures.items()
        },
        "rehearsal": performance.rehearsal,
        "rehearsals": [_moments(swing, times) for swing in performance.rehearsals],
        "moments": _moments(performance.moments, times),
        "faults": list(performance.faults),
        "body": {"stature_m": performance.body.stature_m, "phenotype": performance.body.phenotype},
        "club": performance.club,
        "seed": performance.seed,
    }


def save_truth(path: Path, truth: dict[str, Any]) -> Path:
    """Write it, compressed when large; gives the path that was written."""
    text = json.dumps(truth, default=_plain, allow_nan=False, separators=(",", ":"))
    if len(text) <= LARGE_BYTES:
        path.write_text(text)
        return path
    packed = path.with_name(path.name + ".gz")
    packed.write_bytes(gzip.compress(text.encode(), mtime=0))
    return packed


def load_truth(path: Path) -> dict[str, Any]:
    """Read a truth file, compressed or not."""
    data = path.read_bytes()
    loaded: dict[str, Any] = json.loads(gzip.decompress(data) if path.suffix == ".gz" else data)
    return loaded


def _moments(moments: dict[str, float], times: Floats) -> dict[str, Any]:
    """Real seconds from the first frame, and the nearest frame; of those within the clip."""
    within = {name: time for name, time in moments.items() if times[0] <= time <= times[-1]}
    return {
        name: {
            "time_s": round(time - float(times[0]), 6),
            "frame": int(np.argmin(np.abs(times - time))),
        }
        for name, time in within.items()
    }


def _camera(camera: Camera, start: float) -> dict[str, Any]:
    """On the clock of the truth file, like all else in it."""
    known = asdict(camera)
    known["shake_from_s"] = camera.shake_from_s - start
    known["focal_px"] = camera.focal_px
    return known


def _rounded(values: Any, digits: int) -> Any:
    array = np.round(np.asarray(values, float), digits)
    kept = array.astype(object)
    kept[~np.isfinite(array)] = None
    return kept.tolist()


def _plain(value: object) -> Any:
    if isinstance(value, np.ndarray):
        return _rounded(value, 6)
    if isinstance(value, np.generic):
        return value.item()
    raise TypeError(f"cannot write {type(value).__name__} to a truth file")


def mirrored(picture: NDArray[np.uint8], left_handed: bool) -> NDArray[np.uint8]:
    """The picture of a left-hander: the right-handed original seen in a mirror."""
    return np.ascontiguousarray(picture[:, ::-1]) if left_handed else picture
