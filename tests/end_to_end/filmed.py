"""A small clip that is written as a phone would, and a drawn reading that belongs to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from causeline.model.clip import Picture, View
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from causeline.model.reading import Reading
from causeline.sources.encode import encode_film
from tests.drawn import drawn_reading

ARM = "lead_arm_angle"
TURNS = ("shoulder_turn", "pelvis_turn")
KNEE = "lead_knee_toward_target"


def a_clip(path: Path, count: int) -> None:
    """A small clip whose brightness tells the number of its frame, written as a phone would."""

    def pictures() -> Iterator[Picture]:
        for place in range(count):
            picture = np.full((320, 180, 3), 40, np.uint8)
            picture[:160] = 60 + 7 * place % 150
            yield picture

    path.write_bytes(encode_film(pictures(), count, 60))


def a_reading(sha256: str) -> Reading:
    """The drawn swing, four times faster, a quarter as large, turned far, its knee running in."""
    drawn = drawn_reading(View.FACE_ON).reading
    swing = drawn.swings[0]
    body, club = swing.body, swing.club
    assert club is not None
    rows = slice(0, 192 * 4, 4)
    small = replace(
        body,
        frames=np.arange(192),
        time_s=body.time_s[rows],
        xy=body.xy[rows] / 4,
        confidence=body.confidence[rows],
        sd_px=body.sd_px[rows],
        width=180,
    )
    moments = replace(
        swing.moments,
        found=tuple(replace(one, frame=min(one.frame // 4, 191)) for one in swing.moments.found),
    )
    far = [(one, MomentName.TOP) for one in (ARM, *TURNS)]
    rest = [one for one in swing.measures if (one.name, one.moment) not in far]
    turned = [
        Measure(ARM, MomentName.TOP, 168.0, 4.1, "°", "drawn"),
        Measure(TURNS[0], MomentName.TOP, 122.0, 5.0, "°", "drawn"),
        Measure(TURNS[1], MomentName.TOP, 66.0, 4.0, "°", "drawn"),
        Measure(KNEE, MomentName.TOP, -18.0, 2.0, "cm", "drawn"),
        Measure(f"{KNEE}_percent", MomentName.TOP, -10.0, 1.1, "% of stature", "drawn"),
    ]
    short = replace(
        club, grip=club.grip[rows] / 4, head=club.head[rows] / 4, confidence=club.confidence[rows]
    )
    made = replace(
        swing,
        last_frame=191,
        moments=moments,
        measures=(*rest, *turned),
        body=small,
        club=short,
    )
    clip = replace(drawn.clip, name="ivo.mp4", sha256=sha256, width=180, height=320)
    return replace(drawn, clip=clip, swings=(made,))
