"""The measures of a reading file, without its tracks: what is asked when swings are compared."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

from causeline.errors import ReadingFileError
from causeline.model.clip import Hand, View
from causeline.model.findings import ClubSort
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import MomentName
from causeline.model.progress import Placed, Swung

Json = dict[str, Any]


def save_measured_dict(found: Json) -> Json:
    """As much of a reading file's content as `load_swung` asks for: a small part of it.

    Raises KeyError, TypeError, ValueError or IndexError where something is amiss in it.
    """
    clip = {key: found["clip"][key] for key in _CLIP}
    return {
        "schema": found["schema"],
        "clip": clip,
        "swings": [_slim(one) for one in found["swings"]],
    }


_CLIP = ("name", "sha256", "width", "height", "view", "hand")
_PARTS = tuple(f"{side}_{part}" for side in ("lead", "trail") for part in ("ankle", "ear"))


def _slim(swing: Json) -> Json:
    """A swing without its tracks, save four landmarks at address."""
    at = [one for one in swing["moments"] if one["name"] == "address"]
    tracks = swing["tracks"]
    rows = [tracks["frame"].index(one["frame"]) for one in at if one["frame"] in tracks["frame"]]
    return {
        "rehearsal": swing["rehearsal"],
        "moments": [{"name": one["name"], "frame": one["frame"]} for one in at],
        "measures": swing["measures"],
        "tracks": {
            "frame": [tracks["frame"][row] for row in rows],
            "body": {name: [tracks["body"][name][row] for row in rows] for name in _PARTS},
        },
    }


def load_swung(
    found: Json, day: date, club: ClubSort | None = None, practised: bool = False
) -> tuple[Swung, ...]:
    """Every swing of a reading file's content. Raises ReadingFileError where something is amiss."""
    try:
        return tuple(
            _swung(found, number, day, club, practised)
            for number in range(1, len(found["swings"]) + 1)
        )
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise ReadingFileError(
            f"a reading has something amiss ({type(error).__name__}: {error})",
            "what `causeline read CLIP --json FILE` writes was expected",
            "read the clip again",
        ) from error


def _swung(found: Json, number: int, day: date, club: ClubSort | None, practised: bool) -> Swung:
    clip, swing = found["clip"], found["swings"][number - 1]
    return Swung(
        day=day,
        clip=clip["sha256"],
        name=clip["name"],
        number=number,
        view=View(clip["view"]["name"]),
        hand=Hand(clip["hand"]["name"]),
        measures=tuple(_measure(each) for each in swing["measures"]),
        club=club,
        placed=_placed(swing, clip["width"], clip["height"]),
        practised=practised,
        struck=not swing["rehearsal"],
    )


def _measure(one: Json) -> Measure | Refusal:
    moment = MomentName(one["moment"]) if one["moment"] else None
    if "refused" in one:
        return Refusal(one["name"], moment, one["refused"])
    value, sd = float(one["value"]), float(one["sd"])
    return Measure(one["name"], moment, value, sd, one["unit"], one["method"])


def _placed(swing: Json, width: int, height: int) -> Placed | None:
    """From ankles and ears at address; None where one of them was not followed."""
    at = next((one["frame"] for one in swing["moments"] if one["name"] == "address"), None)
    tracks = swing["tracks"]
    if at is None or at not in tracks["frame"]:
        return None
    row = tracks["frame"].index(at)
    feet, head = (_middle(tracks["body"], part, row) for part in ("ankle", "ear"))
    if feet is None or head is None:
        return None
    x, y = feet
    return Placed((x - width / 2) / height, y / height, math.dist(feet, head) / height)


def _middle(body: Json, part: str, row: int) -> tuple[float, float] | None:
    lead, trail = body[f"lead_{part}"][row], body[f"trail_{part}"][row]
    if not lead or not trail or None in (*lead[:2], *trail[:2]):
        return None
    return (lead[0] + trail[0]) / 2, (lead[1] + trail[1]) / 2
