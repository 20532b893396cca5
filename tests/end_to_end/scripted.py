"""A clip whose every landmark is known: the puppet behind the shipped fakes of both doors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from causeline.model.clip import View
from causeline.quantities.angle import Floats
from causeline.quantities.clock import Clock
from causeline.reading.run import Doors, Result, Settings, run_reading
from causeline.sources.fake_clips import FakeClips
from causeline.sources.fake_engine import FakeEngine, numbered_picture
from causeline.sources.repeats import RepeatWatch
from causeline.sources.timescale import with_capture_rate
from tests.motions.puppet import Camera, Puppet

PATH = Path("puppet.mp4")
WIDTH, HEIGHT, FOCAL_PX = 360, 640, 750.0


@dataclass
class Heard:
    """What a reading reported while it went on."""

    reports: list[tuple[str, int, int]]

    def __call__(self, stage: str, done: int, total: int) -> None:
        self.reports.append((stage, done, total))


def small(view: View = View.FACE_ON) -> Camera:
    """A camera whose pictures cost little to pass around."""
    return Camera(view=view, width=WIDTH, height=HEIGHT, focal_px=FOCAL_PX)


def doors(people: Sequence[Sequence[Floats | None]], rate_hz: float) -> Doors:
    """Doors onto a clip of those people: one entry a frame, (33, 2) pixels each."""
    clock = Clock(np.arange(len(people), dtype=np.int64), Fraction(1, round(rate_hz)))
    pictures = [numbered_picture(number, WIDTH, HEIGHT) for number in range(len(people))]
    engine = FakeEngine(people, WIDTH)
    return Doors(
        source=FakeClips(pictures, clock),
        scout=engine,
        engine=engine,
        club=None,
        watch_repeats=RepeatWatch,
        recapture=with_capture_rate,
        versions={"landmarks": "fake"},
    )


def doors_on(puppet: Puppet, file_rate_hz: float | None = None) -> Doors:
    """Doors onto one puppet; `file_rate_hz` is the rate of playing, else the puppet's own."""
    people = [[xy] for xy in puppet.landmarks().xy]
    return doors(people, file_rate_hz or puppet.rate_hz)


def read(puppet: Puppet, settings: Settings | None = None, heard: Heard | None = None) -> Result:
    """The reading of one puppet."""
    return run_reading(PATH, doors_on(puppet), settings or Settings(), heard or Heard([]))
