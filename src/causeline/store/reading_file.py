"""The reading file: one clip's reading as JSON, schema `causeline.reading/1`.

`schemas/reading-1.schema.json` is its definition and docs/reading-file.md its guide. Times are real
seconds from the clip's first frame; pixels are of the clip's own size as it is shown, so that a
left-handed golfer's mirrored track is mirrored back. Missing is null. Numbers are written in full.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from causeline.errors import ReadingFileError
from causeline.model.clip import Called, Clip
from causeline.model.findings import Evidence, Finding, Findings
from causeline.model.measures import Measure, Refusal
from causeline.model.reading import SCHEMA, Reading, Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.store.motion_part import save_motion_as_dict
from causeline.store.whole_file import save_whole

Json = dict[str, Any]

SCHEMA_FILE = Path(__file__).parent / "schemas" / "reading-1.schema.json"


def save_reading(reading: Reading, path: Path | str) -> None:
    """Write the reading file, whole or not at all.

    Raises OutputError when it cannot be written: no such folder, no permission, no room.
    """
    save_whole(Path(path), save_as_bytes(reading))


def save_as_bytes(reading: Reading) -> bytes:
    """The content of the reading file."""
    text = json.dumps(save_as_dict(reading), allow_nan=False, ensure_ascii=False, indent=1)
    return (text + "\n").encode("utf-8", "backslashreplace")


def load_reading_dict(path: Path | str) -> Json:
    """The content of a reading file.

    Raises ReadingFileError for a file that is not there, is no JSON, or has another schema.
    """
    try:
        content = Path(path).read_bytes()
    except OSError as error:
        raise _no_reading(path, error) from error
    return load_reading_bytes(content, path)


def load_reading_bytes(content: bytes, path: Path | str) -> Json:
    """As `load_reading_dict`, for a file that was read; `path` is what an error calls it."""
    try:
        found = json.loads(content.decode("utf-8"))
    except ValueError as error:
        raise _no_reading(path, error) from error
    schema = found.get("schema") if isinstance(found, dict) else None
    if schema != SCHEMA or not isinstance(found, dict):
        raise ReadingFileError(
            f"{path} has schema {schema!r}",
            f"this version reads {SCHEMA!r}",
            "Read the clip again, or use the version of Causeline that wrote the file.",
        )
    return found


def _no_reading(path: Path | str, error: Exception) -> ReadingFileError:
    return ReadingFileError(
        f"{path} could not be read as JSON ({error})",
        "a reading file was expected",
        "Write it again with `causeline read CLIP --json FILE`.",
    )


def save_as_dict(reading: Reading) -> Json:
    """The reading as plain data, ready for JSON: the file's whole content."""
    return {
        "schema": SCHEMA,
        "engine": dict(reading.engine),
        "clip": _clip(reading),
        "filming": [
            {"name": advice.name, "severity": advice.severity.value, "advice": advice.advice}
            for advice in reading.filming
        ],
        "swings": [_swing(swing) for swing in reading.swings],
    }


def _clip(reading: Reading) -> Json:
    clip = reading.clip
    return {
        "name": clip.name,
        "sha256": clip.sha256,
        "codec": clip.codec,
        "width": clip.width,
        "height": clip.height,
        "frames": len(clip.clock),
        "damaged": clip.damaged,
        "mended": clip.mended,
        "has_audio": clip.has_audio,
        **_clock(clip),
        "rotation_deg": clip.rotation_deg,
        "view": _called(reading.view),
        "hand": _called(reading.hand),
    }


def _clock(clip: Clip) -> Json:
    clock = clip.clock
    return {
        "duration_s": _number(clock.duration_s),
        "frame_rate_hz": _number(clock.file_rate_hz),
        "variable": clock.variable,
        "capture_rate_hz": _number(clip.capture_rate_hz),
        "time_scale": float(clock.time_scale),
        "time_scale_from": clip.time_scale_from.value,
    }


def _called(called: Called) -> Json:
    return {"name": called.name, "confidence": _number(called.confidence)}


def _swing(swing: Swing) -> Json:
    return {
        "first_frame": int(swing.first_frame),
        "last_frame": int(swing.last_frame),
        "rehearsal": bool(swing.rehearsal),
        "moments": [
            {
                "name": moment.name.value,
                "time_s": _number(moment.time_s),
                "sd_s": _number(moment.sd_s),
                "frame": int(moment.frame),
                "rule": moment.rule,
            }
            for moment in swing.moments.found
        ],
        "moments_missing": [
            {"name": name.value, "refused": why} for name, why in swing.moments.missing
        ],
        "measures": [_measure(one) for one in swing.measures],
        "tracks": _tracks(swing.body, swing.club),
        **save_motion_as_dict(swing.motion),
        **_findings(swing.findings),
    }


def _findings(found: Findings | None) -> Json:
    if found is None:
        return {"findings": [], "findings_unseen": []}
    return {
        "findings": [_finding(one) for one in found.findings],
        "findings_unseen": [{"name": one.name, "reason": one.reason} for one in found.unseen],
        "findings_struck": [
            {"name": one.fault, "reason": one.reason, "by": one.by} for one in found.struck
        ],
        "findings_club": found.club.value if found.club else None,
    }


def _finding(one: Finding) -> Json:
    return {
        "name": one.name,
        "role": one.role.value,
        "probability": _number(one.probability),
        "severity": _number(one.severity),
        "evidence": [_evidence(each) for each in one.evidence],
        "explains": list(one.explains),
        "because": one.because,
        "explained_share": _number(one.explained_share),
        "sentence": one.sentence,
        "rulings": [
            {"say": ruling.say.value, "reason": ruling.reason, "by": ruling.by}
            for ruling in one.rulings
        ],
    }


def _evidence(one: Evidence) -> Json:
    return {
        "measure": one.measure,
        "moment": one.moment.value if one.moment else None,
        "view": one.view.value,
        "frame": one.frame,
        "value": _number(one.value),
        "sd": _number(one.sd),
        "unit": one.unit,
        "low": one.low,
        "high": one.high,
        "outside_sd": _number(one.outside),
        "speaks_for": one.speaks_for,
    }


def _measure(one: Measure | Refusal) -> Json:
    named = {"name": one.name, "moment": one.moment.value if one.moment else None}
    if isinstance(one, Refusal):
        return {**named, "refused": one.refused}
    value, sd = _number(one.value), _number(one.sd)
    if value is None or sd is None:
        return {**named, "refused": "The number came out without a size or without a ±."}
    return {**named, "value": value, "sd": sd, "unit": one.unit, "method": one.method}


def _tracks(body: BodyTrack, club: ClubTrack | None) -> Json:
    shown = body.shown_xy()
    return {
        "frame": [int(frame) for frame in body.frames],
        "time_s": _numbers(body.time_s),
        "body": {
            name: _points(np.column_stack([shown[:, i], body.confidence[:, i]]))
            for i, name in enumerate(BODY_LANDMARKS)
        },
        "body_sd_px": {name: _numbers(body.sd_px[:, i]) for i, name in enumerate(BODY_LANDMARKS)},
        "club": _club(body, club),
    }


def _club(body: BodyTrack, club: ClubTrack | None) -> Json:
    """The club's lists, as long as the body's: nulls throughout when it was not tracked."""
    nothing = [None] * len(body)
    if club is None:
        return {"grip": nothing, "head": nothing, "confidence": nothing}
    return {
        "grip": _points(_shown(club.grip, body)),
        **({} if club.hosel is None else {"hosel": _points(_shown(club.hosel, body))}),
        "head": _points(_shown(club.head, body)),
        "confidence": _numbers(club.confidence),
    }


def _shown(xy: Floats, body: BodyTrack) -> Floats:
    """Club points as the clip shows them: mirrored back with the body."""
    if not body.mirrored:
        return xy
    return np.column_stack([body.width - 1 - xy[:, 0], xy[:, 1]])


def _points(rows: Floats) -> list[list[float] | None]:
    """One list for each row; None where any of it is missing."""
    return [row if all(map(math.isfinite, row)) else None for row in rows.tolist()]


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [_number(value) for value in values]


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
