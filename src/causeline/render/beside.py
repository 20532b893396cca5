"""Two swings side by side and laid over each other, moment for moment, and what differs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from causeline.model.clip import Frame, Picture
from causeline.model.comparison import Comparison, Difference, Lacking, Pair, Shares
from causeline.model.moments import MomentName
from causeline.render.film_panel import (
    MARKED,
    Panel,
    render_body_inks,
    render_panel,
    render_panels,
    render_seen,
)
from causeline.render.film_parts import Act, Card, Cast, Film, Partner
from causeline.render.film_plan import Rest
from causeline.render.ink import Ink, render_ink
from causeline.render.lettering import STRONG, Style, render_text
from causeline.render.numbers import Shown, render_number, render_uncertain
from causeline.render.stills import Crop, render_jpeg, render_lines
from causeline.render.telling import Texts
from causeline.render.words import MOMENT_SHORT, MOMENT_TITLES

ROOM = (Crop(0, 0, 520, 880), Crop(528, 0, 520, 880))
OVER = (Crop(0, 0, 520, 880),)
PLATE_BYTES = 120_000
ON_SHEET = (MomentName.ADDRESS, MomentName.TOP, MomentName.ARM_LEVEL_DOWN, MomentName.IMPACT)
"""What the one picture shows: more would be too small on a phone."""
CLEAR = 2.0
"""Differences of at least this many of their own ± are told first (95 % of chance lies below)."""
PAUSES = (MomentName.TOP, MomentName.IMPACT)
SHARE = "% of stature"
INK, PAPER = (13, 35, 53), (247, 249, 249)
_NAME = Style(STRONG, 30, INK)

SHARED_WORDS = {
    Shares.NOTHING: (
        "Two clips: nothing of their errors is shared, so that the squares of both ± add up, those "
        "of where the camera stood and of each golfer's size among them."
    ),
    Shares.ONE_SETUP: (
        "One clip: camera, golfer and clothes are the same for both swings. Half of each squared ± "
        "is taken to come from them (a judgement) and drops out of a difference; the rest adds up."
    ),
}


@dataclass(frozen=True, slots=True)
class Plate:
    """Both swings at one moment."""

    name: MomentName
    title: str
    apart: str
    """How far into its own swing each is, in seconds from the first common moment."""
    beside: bytes
    over: bytes
    size: tuple[int, int]
    over_size: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Row:
    """One measure of both swings."""

    title: str
    at: str
    a: Shown
    b: Shown
    difference: Shown
    times: str
    """The difference in its own ±."""


@dataclass(frozen=True, slots=True)
class BesideSheet:
    """What the page of a comparison shows."""

    name_a: str
    name_b: str
    view: str
    plates: tuple[Plate, ...]
    clear: tuple[Row, ...]
    rest: tuple[Row, ...]
    lacking: tuple[str, ...]
    shared: str


def render_beside(
    cast: Cast, partner: Partner, comparison: Comparison, texts: Texts, view: str
) -> BesideSheet:
    """Everything of a comparison: a plate for each common moment, the differences by their size."""
    rows = _scaled(comparison.differences)
    told = sorted(rows, key=lambda one: -one.ratio)
    return BesideSheet(
        name_a=cast.name,
        name_b=partner.cast.name,
        view=view,
        plates=_plates(cast, partner, comparison.pairs),
        clear=tuple(_row(one, texts) for one in told if one.ratio >= CLEAR),
        rest=tuple(_row(one, texts) for one in told if one.ratio < CLEAR),
        lacking=_lacking(comparison.lacking, comparison.differences, texts),
        shared=SHARED_WORDS[comparison.shares],
    )


def render_beside_sheet(cast: Cast, partner: Partner) -> bytes:
    """The one picture a coach would show: swing A above, swing B below, at four moments, a JPEG."""
    found = [name for name in ON_SHEET if cast.swing.moments.get(name)]
    panels = render_panels(cast, partner, ROOM, _plain)
    wide, tall = panels[0].size
    gap, head = 8, 46
    page = np.empty((2 * (tall + head) + gap, len(found) * (wide + gap) - gap, 3), np.uint8)
    page[...] = PAPER
    for line, panel in enumerate(panels):
        top = line * (tall + head + gap) + head
        frames = [_frame_at(cast, partner, name, line) for name in found]
        pictures = dict(zip(frames, _pictures(panel, frames), strict=True))
        for place, (name, number) in enumerate(zip(found, frames, strict=True)):
            moved = replace(panel, at=(place * (wide + gap), top))
            render_panel(page, moved, pictures[number], number, None)
            words = f"{panel.cast.name} · " if place == 0 else ""
            at = (moved.at[0] + 4, top - head + 6)
            render_text(page, words + MOMENT_SHORT[name], at, _NAME)
    return render_jpeg(page, 900_000)


def render_beside_film(cast: Cast, partner: Partner, sheet: BesideSheet) -> Film:
    """Both swings slowed and locked by their moments."""
    rests = [cast.swing.moments.get(name) for name in PAUSES]
    acts = (Act(sheet.view, cast, tuple(Rest(one, "") for one in rests if one), partner),)
    first = [f"{row.title}, {row.at}: {_told(row.difference)}" for row in sheet.clear[:3]]
    names = f"{sheet.name_a} and {sheet.name_b}"
    end = Card("What differs most", f"{sheet.name_b} − {sheet.name_a}", tuple(first))
    if not first:
        end = Card("What differs most", "Nothing that measuring can tell apart.")
    title = Card("Two swings", names, (sheet.view,))
    return Film(title, acts, end, lambda name: MOMENT_TITLES[name], _plain)


def _plates(cast: Cast, partner: Partner, pairs: Sequence[Pair]) -> tuple[Plate, ...]:
    panels = render_panels(cast, partner, ROOM, _plain)
    numbers = [[_frame_at(cast, partner, pair.name, line) for pair in pairs] for line in (0, 1)]
    pictures = [list(_pictures(panel, each)) for panel, each in zip(panels, numbers, strict=True)]
    plates = []
    for place, pair in enumerate(pairs):
        frames = (pictures[0][place], pictures[1][place])
        pairing = (numbers[0][place], numbers[1][place])
        beside, over = _beside(panels, frames, pairing), _over(panels, frames, pairing)
        plates.append(
            Plate(
                name=pair.name,
                title=MOMENT_TITLES[pair.name],
                apart=_apart(pairs[0], pair),
                beside=render_jpeg(beside, PLATE_BYTES),
                over=render_jpeg(over, PLATE_BYTES),
                size=(beside.shape[1], beside.shape[0]),
                over_size=(over.shape[1], over.shape[0]),
            )
        )
    return tuple(plates)


def _beside(
    panels: Sequence[Panel], frames: tuple[Frame, Frame], numbers: tuple[int, int]
) -> Picture:
    left = min(panel.at[0] for panel in panels)
    right = max(panel.at[0] + panel.size[0] for panel in panels)
    page = np.full((panels[0].size[1], right, 3), 255, dtype=np.uint8)
    for panel, frame, number in zip(panels, frames, numbers, strict=True):
        render_panel(page, panel, frame, number, None)
    return page[:, left:]


def _over(
    panels: Sequence[Panel], frames: tuple[Frame, Frame], numbers: tuple[int, int]
) -> Picture:
    """Both pictures half and half; A's lines whole, B's broken."""
    one, two = (replace(panel, at=(0, 0)) for panel in panels)
    mixed = (render_seen(one, frames[0]).astype(np.uint16) + render_seen(two, frames[1])) // 2
    page = mixed.astype(np.uint8)
    swing = one.cast.swing
    row = int(np.argmin(np.abs(swing.body.frames - numbers[0])))
    render_ink(page, render_body_inks(one, render_lines(swing.body, row, one.window, swing.club)))
    swing = two.cast.swing
    row = int(np.argmin(np.abs(swing.body.frames - numbers[1])))
    drawing = render_lines(swing.body, row, two.window, swing.club)
    casings = [ink for ink in render_body_inks(two, drawing) if ink.opacity < 1.0]
    broken = [Ink(ink.points, 4.0, MARKED, 1.0, (12.0, 9.0)) for ink in casings]
    dark = [Ink(ink.points, 8.0, (6, 18, 28), 0.62, (12.0, 9.0)) for ink in casings]
    render_ink(page, (*dark, *broken))
    return page


def _pictures(panel: Panel, frames: Sequence[int]) -> Iterable[Frame]:
    return panel.stream(frames)


def _frame_at(cast: Cast, partner: Partner, name: MomentName, line: int) -> int:
    """The frame of a moment in swing A or B; where B lacks it, the same place of its swing."""
    moment = cast.swing.moments.get(name)
    assert moment is not None  # noqa: S101
    if line == 0:
        return moment.frame
    other = partner.cast.swing
    same = other.moments.get(name)
    if same is not None:
        return same.frame
    time_s = partner.to_other(moment.time_s)
    return int(other.body.frames[int(np.argmin(np.abs(other.body.time_s - time_s)))])


def _apart(first: Pair, pair: Pair) -> str:
    a, b = pair.a_s - first.a_s, pair.b_s - first.b_s
    return f"{a:.2f} s and {b:.2f} s after {MOMENT_SHORT[first.name].lower()}"


def _scaled(differences: Sequence[Difference]) -> list[Difference]:
    """Of a length in centimetres and in parts of stature the latter: golfers differ in height."""
    names = {one.name for one in differences}
    return [one for one in differences if f"{one.name}_percent" not in names]


def _row(one: Difference, texts: Texts) -> Row:
    title, unit = _title(one.name, texts), one.unit
    if unit == SHARE:
        title, unit = f"{title}, in % of stature", "%"
    return Row(
        title=title,
        at=MOMENT_TITLES[one.moment].lower() if one.moment else "the whole swing",
        a=render_number(one.a.value, one.a.sd, unit),
        b=render_number(one.b.value, one.b.sd, unit),
        difference=render_number(one.difference.value, one.difference.sd, unit),
        times=render_uncertain(round(one.ratio, 1), 0.0),
    )


def _title(name: str, texts: Texts) -> str:
    text = texts.get(name) or texts.get(name.removesuffix("_percent"))
    return text.title if text else name.replace("_", " ")


def _lacking(
    lacking: Sequence[Lacking], differences: Sequence[Difference], texts: Texts
) -> tuple[str, ...]:
    """Titles of what could not be compared anywhere, each once."""
    had = {one.name.removesuffix("_percent") for one in differences}
    names = {one.name.removesuffix("_percent"): None for one in lacking}
    return tuple(_title(name, texts) for name in names if name not in had)


def _told(shown: Shown) -> str:
    return f"{shown.value}{shown.unit} ± {shown.spread}"


def _plain(unit: str) -> tuple[float, str]:
    return 1.0, unit
