"""Films a performance: a clip as a phone would store it, and its truth beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from studio.performance import Floats
from studio.recording import Recording, write_clip
from studio.stage import Stage
from studio.truth import Filmed, mirrored, point_names, save_truth, truth_of


@dataclass(frozen=True, slots=True)
class Timing:
    """When frames are taken."""

    rate_hz: float = 60.0
    begin_s: float = -0.5
    """In the performance's seconds."""
    end_s: float = 2.2
    wander_s: float = 0.0
    """Standard deviation of a stamp about the even beat: variable frame rate."""
    dropped: float = 0.0
    """Share of frames that the phone fails to store."""


def frame_times(timing: Timing, rng: np.random.Generator) -> Floats:
    """(n,) instants of the stored frames, in the performance's seconds."""
    count = int((timing.end_s - timing.begin_s) * timing.rate_hz) + 1
    times = timing.begin_s + np.arange(count) / timing.rate_hz
    times = times + np.clip(rng.normal(0, 1, count), -2, 2) * timing.wander_s
    kept = rng.random(count) >= timing.dropped
    kept[0] = True
    return times[kept]


@dataclass(frozen=True, slots=True, eq=False)
class Take:
    """What is filmed, and how."""

    name: str
    stage: Stage
    times_s: Floats
    recording: Recording
    left_handed: bool = False
    facts: dict[str, Any] = field(default_factory=dict)
    sound: tuple[NDArray[np.float32], int] | None = None


def film(take: Take, folder: Path) -> tuple[Path, Path]:
    """Write NAME.mp4 and NAME.truth.json (or .json.gz); gives both paths."""
    folder.mkdir(parents=True, exist_ok=True)
    clip = folder / f"{take.name}.mp4"
    filmed = Filmed(
        take.stage.acting,
        take.stage.scenery.camera,
        take.stage.scenery.shutter,
        take.times_s,
        take.left_handed,
    )
    visible: dict[str, list[int]] = {name: [] for name in point_names(filmed.acting)}
    frames = _frames(take, filmed, visible)
    write_clip(clip, frames, take.times_s, take.recording, take.sound)
    truth = truth_of(filmed, visible, {**take.facts, "file": _file_facts(take, clip.name)})
    return clip, save_truth(folder / f"{take.name}.truth.json", truth)


def _frames(
    take: Take, filmed: Filmed, visible: dict[str, list[int]]
) -> Iterator[NDArray[np.uint8]]:
    for time_s in take.times_s:
        picture = take.stage.frame(float(time_s))
        for name, seen in take.stage.visible(tuple(visible), float(time_s)).items():
            visible[name].append(int(seen))
        yield mirrored(picture, filmed.left_handed)


def _file_facts(take: Take, name: str) -> dict[str, Any]:
    camera = take.stage.scenery.camera
    return {
        "name": name,
        "width": camera.width,
        "height": camera.height,
        "rate_hz": round(1.0 / float(np.median(np.diff(take.times_s))), 4),
        "codec": take.recording.codec,
        "rotation_deg": take.recording.rotation_deg,
        "slow_factor": take.recording.slow_factor,
        "says_capture_rate": take.recording.says_capture_rate,
        "view": camera.view,
    }
