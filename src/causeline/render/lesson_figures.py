"""The pictures of a lesson: frames of the swing with what was measured drawn on them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from causeline.lesson.compose import compose_stature
from causeline.model.clip import View
from causeline.model.lesson import Lesson, Still, Units
from causeline.model.measures import Measure
from causeline.model.moments import Moment
from causeline.model.reading import Swing
from causeline.render.film_panel import render_panel, render_panels
from causeline.render.film_parts import Cast, Partner, Reader
from causeline.render.film_plan import Rest
from causeline.render.stills import Crop, render_jpeg

CM_PER_INCH = 2.54
KMH_PER_MS, MPH_PER_MS = 3.6, 3600 / 1609.344
ALONE = (Crop(0, 0, 820, 900),)
PAIRED = (Crop(0, 0, 520, 900), Crop(528, 0, 520, 900))
"""Room of one picture, and of two beside each other, pixels: a phone packs two or three in one."""
FIGURE_BYTES = 130_000
OF_CLUB = ("shaft", "wrist", "head_outside", "head_off", "head_loop", "hands_loop", "ball_position")
"""Beginnings of the names of measures that need the club in the picture."""
GROUND = 255


@dataclass(frozen=True, slots=True)
class Scene:
    """One view of the swing, and the swing beside it where there is one."""

    cast: Cast
    partner: Partner | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One picture, ready to be shown."""

    jpeg: bytes
    width: int
    height: int
    caption: str
    """The moment, the view, and what the numbers are of."""


Scenes = Mapping[View, Scene]


def render_reader(lesson: Lesson, scenes: Scenes) -> Reader:
    """Factor and sign of a measure's unit, as the golfer of the lesson thinks of it.

    Parts of stature become lengths as they do in the lesson's sentences: by the height that was
    given, else by that which the reading counted with.
    """
    metric = lesson.golfer.units is Units.METRIC
    length, sign = (1.0, "cm") if metric else (1 / CM_PER_INCH, "in")
    measures = {view: scene.cast.swing.measures for view, scene in scenes.items()}
    stature_cm = lesson.golfer.stature_cm or compose_stature(measures)
    readers = {
        "cm": (length, sign),
        "m/s": (KMH_PER_MS, "km/h") if metric else (MPH_PER_MS, "mph"),
        "% of stature": (length * stature_cm / 100, sign) if stature_cm else (1.0, "%"),
    }
    return lambda unit: readers.get(unit, (1.0, unit))


def render_taken(swing: Swing, still: Still) -> tuple[Measure, ...]:
    """The measures to draw; in centimetres where the reading has them so."""
    found = {
        one.name: one
        for one in swing.measures
        if isinstance(one, Measure) and one.moment == still.moment
    }
    names = [found.get(name.removesuffix("_percent"), found.get(name)) for name in still.measures]
    return tuple(one for one in names if one is not None)


def render_figures(lesson: Lesson, scenes: Scenes) -> dict[str, Figure]:
    """By the id of the line that a picture goes with; each picture once in its part."""
    figures: dict[str, Figure] = {}
    had: set[tuple[object, ...]] = set()
    for line in lesson.lines:
        for still in line.stills[:1]:
            key = (line.part, still.moment, still.view)
            scene = scenes.get(still.view)
            moment = scene.cast.swing.moments.get(still.moment) if scene else None
            if scene is None or moment is None or key in had:
                continue
            had.add(key)
            rest = Rest(moment, line.text, render_taken(scene.cast.swing, still))
            figures[line.id] = render_figure(
                scene, rest, render_reader(lesson, scenes), _caption(lesson)
            )
    return figures


def render_figure(
    scene: Scene, rest: Rest, reader: Reader, caption: Callable[[Scene, Moment], str]
) -> Figure:
    """The golfer at one moment, the partner at the same one, with lines and numbers."""
    names = [measure.name for measure in rest.measures]
    wide = any(name.startswith(OF_CLUB) for name in names)
    room = PAIRED if scene.partner else ALONE
    panels = render_panels(scene.cast, scene.partner, room, reader, wide)
    right = max(panel.at[0] + panel.size[0] for panel in panels)
    left = min(panel.at[0] for panel in panels)
    page = np.full((room[0].height, right, 3), GROUND, dtype=np.uint8)
    for place, panel in enumerate(panels):
        number = rest.moment.frame if place == 0 else _theirs(scene, rest.moment)
        frame = next(iter(panel.stream([number])))
        render_panel(page, panel, frame, number, rest if place == 0 else None)
    shown = page[:, left:]
    jpeg = render_jpeg(shown, FIGURE_BYTES)
    return Figure(jpeg, shown.shape[1], shown.shape[0], caption(scene, rest.moment))


def _theirs(scene: Scene, moment: Moment) -> int:
    """The partner's frame of the same moment, or at the same place of the swing."""
    assert scene.partner is not None  # noqa: S101
    other = scene.partner.cast.swing
    same = other.moments.get(moment.name)
    if same is not None:
        return same.frame
    time_s = scene.partner.to_other(moment.time_s)
    return int(other.body.frames[int(np.argmin(np.abs(other.body.time_s - time_s)))])


def _caption(lesson: Lesson) -> Callable[[Scene, Moment], str]:
    def told(scene: Scene, moment: Moment) -> str:
        view = next(
            (ref.view for ref in lesson.swings if ref.sha256 == scene.cast.clip.sha256), None
        )
        parts = [lesson.label(f"moment.{moment.name.value}")]
        parts += [lesson.label(f"view.{view.value}")] if view else []
        if scene.partner:
            parts.append(f"{lesson.label('swing.yours')} | {lesson.label('swing.reference')}")
        return " · ".join(parts)

    return told
