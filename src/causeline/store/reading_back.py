"""A reading file turned back into records, beside the clip that it was read from.

The file keeps no stamps, so the clip itself is opened again for its clock; the time scale is the
file's, which may have been given by hand. Findings are left out: they follow from the measures, and
from a second view where there is one, so that whoever needs them explains the measures anew. Which
heads of the club were worked out is not kept either, nor of the body in three dimensions more than
its curves.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from causeline.errors import NotThatClip, ReadingFileError
from causeline.model.clip import Called, Clip, Hand, ScaleFrom
from causeline.model.filming import Advice, Severity
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName, Moments
from causeline.model.reading import Reading, Swing
from causeline.model.tracks import BODY_LANDMARKS, BodyTrack, ClubTrack
from causeline.quantities.angle import Floats
from causeline.store.motion_part import load_motion
from causeline.store.reading_file import load_reading_dict

Json = dict[str, Any]


def load_reading(path: Path | str, clip: Clip) -> Reading:
    """The reading of that clip.

    Raises ReadingFileError for a file that cannot be read, and NotThatClip where the clip's content
    is not what was read.
    """
    found = load_reading_dict(path)
    try:
        known = found["clip"]
        if known["sha256"] != clip.sha256:
            raise NotThatClip(
                f"{clip.name} is not the clip that {path} was read from: its content is another",
                f"{known['name']}, with checksum {known['sha256'][:12]}…, was expected",
                "name the clip itself, or read this one with `causeline read CLIP --json FILE`",
            )
        return load_read(found, _as_read(known, clip))
    except (KeyError, TypeError, ValueError, IndexError, ZeroDivisionError) as error:
        if isinstance(error, NotThatClip):
            raise
        raise ReadingFileError(
            f"{path} is a reading file with something amiss ({type(error).__name__}: {error})",
            "a file as `causeline read CLIP --json FILE` writes it was expected",
            "write it again",
        ) from error


def _as_read(known: Json, clip: Clip) -> Clip:
    """The clip on the time scale that it was read with."""
    scale = Fraction(known["time_scale"]).limit_denominator(10_000)
    return replace(
        clip,
        clock=clip.clock.scaled(scale),
        time_scale_from=ScaleFrom(known["time_scale_from"]),
        name=known["name"],
    )


def load_read(found: Json, clip: Clip) -> Reading:
    """The records of a reading file's content; `clip` is on the time scale that it was read with.

    Raises KeyError, TypeError, ValueError or IndexError where something is amiss.
    """
    known = found["clip"]
    hand = Called(known["hand"]["name"], _float(known["hand"]["confidence"]))
    view = Called(known["view"]["name"], _float(known["view"]["confidence"]))
    mirrored = Hand(hand.name) is Hand.LEFT
    return Reading(
        clip=clip,
        view=view,
        hand=hand,
        swings=tuple(_swing(each, clip.width, mirrored) for each in found["swings"]),
        filming=tuple(
            Advice(one["name"], Severity(one["severity"]), one["advice"])
            for one in found["filming"]
        ),
        engine=dict(found["engine"]),
    )


def _swing(one: Json, width: int, mirrored: bool) -> Swing:
    tracks = one["tracks"]
    body = _body(tracks, width, mirrored)
    return Swing(
        first_frame=int(one["first_frame"]),
        last_frame=int(one["last_frame"]),
        rehearsal=bool(one["rehearsal"]),
        moments=_moments(one),
        measures=tuple(_measure(each) for each in one["measures"]),
        body=body,
        club=_club(tracks["club"], width, mirrored),
        motion=load_motion(one.get("motion"), body.frames, body.time_s),
    )


def _moments(one: Json) -> Moments:
    return Moments(
        found=tuple(
            Moment(
                MomentName(each["name"]),
                _float(each["time_s"]),
                _float(each["sd_s"]),
                int(each["frame"]),
                each["rule"],
            )
            for each in one["moments"]
        ),
        missing=tuple(
            (MomentName(each["name"]), each["refused"]) for each in one["moments_missing"]
        ),
    )


def _measure(one: Json) -> Measure | Refusal:
    moment = MomentName(one["moment"]) if one["moment"] else None
    if "refused" in one:
        return Refusal(one["name"], moment, one["refused"])
    value, sd = float(one["value"]), float(one["sd"])
    return Measure(one["name"], moment, value, sd, one["unit"], one["method"])


def _body(tracks: Json, width: int, mirrored: bool) -> BodyTrack:
    points = [_points(tracks["body"][name], 3) for name in BODY_LANDMARKS]
    body = np.stack(points, axis=1)
    sd = np.stack([_numbers(tracks["body_sd_px"][name]) for name in BODY_LANDMARKS], axis=1)
    xy = _turned(body[..., :2], width, mirrored)
    return BodyTrack(
        frames=np.array(tracks["frame"], dtype=np.int64),
        time_s=_numbers(tracks["time_s"]),
        xy=xy,
        confidence=np.nan_to_num(body[..., 2]),
        sd_px=sd,
        width=width,
        mirrored=mirrored,
    )


def _club(club: Json, width: int, mirrored: bool) -> ClubTrack | None:
    """None where the file's lists hold nothing at all."""
    confidence = _numbers(club["confidence"])
    if np.isnan(confidence).all() and not any(any(club[name]) for name in ("grip", "head")):
        return None
    ends = {
        name: _turned(_points(club[name], 2), width, mirrored)
        for name in ("grip", "head", "hosel")
        if name in club
    }
    return ClubTrack(ends["grip"], ends["head"], confidence, ends.get("hosel"))


def _turned(xy: Floats, width: int, mirrored: bool) -> Floats:
    """Back into the track's own coordinates: the file shows the clip as it is seen."""
    turned = xy.copy()
    if mirrored:
        turned[..., 0] = width - 1 - turned[..., 0]
    return turned


def _points(rows: list[list[float] | None], wide: int) -> Floats:
    """(n, wide); NaN where the file has null."""
    points = np.full((len(rows), wide), np.nan)
    for place, row in enumerate(rows):
        if row is not None:
            points[place] = row
    return points


def _numbers(values: list[float | None]) -> Floats:
    return np.array([_float(value) for value in values], dtype=float)


def _float(value: float | None) -> float:
    return float("nan") if value is None else float(value)
