"""The cells of a sheet: the golfer at a moment, the measures that matter there, what differs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from causeline.errors import SettingError
from causeline.model.comparison import Difference
from causeline.model.findings import Findings
from causeline.model.measures import Measure, Refusal
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import Swing
from causeline.reading.pairing import run_pairing
from causeline.render.numbers import render_number, render_uncertain
from causeline.render.stills import render_lines, render_rows
from causeline.render.telling import (
    FOREMOST,
    Texts,
    render_sentence,
    render_title,
)
from causeline.render.words import MOMENT_PLACES
from causeline.web.contract.sheet import Cell, CellMeasure, SheetRow, WholeMeasure
from causeline.web.shelf import ShelfSwing
from causeline.web.stills import crop_of, still_address

SHOWN = 3
"""Measures under a picture; the others are one step away."""
CLEAR, MAYBE = 2.0, 1.0
"""A difference of so many of its own ± is clear (95 % of chance lies below), or may be one."""
SHARE = "% of stature"

Key = tuple[str, MomentName | None]


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One swing of the sheet, with what differs from the first."""

    swing: ShelfSwing
    title: str
    note: str
    differences: Mapping[Key, Difference]
    """Empty for the first row, and where the two cannot be paired."""


def row_of(swing: ShelfSwing, title: str, note: str, first: ShelfSwing | None) -> Row:
    """A row; `first` is the swing of the first one, None for that itself."""
    if first is None:
        return Row(swing, title, note, {})
    try:
        paired = run_pairing(first.shown, swing.shown)
    except SettingError as error:
        return Row(swing, title, f"{note}; not compared: {error.came}", {})
    found = {(one.name, one.moment): one for one in paired.comparison.differences}
    return Row(swing, title, note, found)


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Which measures stand in which column, the foremost first, alike in every row."""

    names: Mapping[MomentName | None, tuple[str, ...]]
    texts: Texts

    @classmethod
    def of(cls, rows: Sequence[Row], found: Findings, texts: Texts) -> Plan:
        """First what speaks for a finding, then what differs clearly, then what coaches ask."""
        one_golfer = len({row.swing.golfer.id for row in rows}) == 1
        spoken = {
            (each.measure, each.moment)
            for finding in found.findings
            for each in finding.evidence
            if each.speaks_for
        }
        clear = {key for row in rows for key, one in row.differences.items() if one.ratio >= CLEAR}
        places: dict[MomentName | None, dict[str, int]] = {}
        for row in rows:
            for one in row.swing.shown.swing.measures:
                places.setdefault(one.moment, {}).setdefault(one.name, len(places))
        names = {
            moment: tuple(
                sorted(
                    _one_unit(known, one_golfer),
                    key=lambda name: _rank(name, moment, spoken, clear),
                )
            )
            for moment, known in places.items()
        }
        return cls(names, texts)


def _rank(
    name: str, moment: MomentName | None, spoken: set[Key], clear: set[Key]
) -> tuple[bool, bool, int]:
    base = name.removesuffix("_percent")
    place = FOREMOST.index(base) if base in FOREMOST else len(FOREMOST)
    keys = {(base, moment), (f"{base}_percent", moment)}
    return (not keys & spoken, not keys & clear, place)


def _one_unit(names: Iterable[str], one_golfer: bool) -> list[str]:
    """Of a length in centimetres and in parts of stature one: the latter between two golfers."""
    known = dict.fromkeys(names)
    if one_golfer:
        return [name for name in known if name.removesuffix("_percent") not in known or
                not name.endswith("_percent")]  # fmt: skip
    return [name for name in known if f"{name}_percent" not in known]


def sheet_row(row: Row, plan: Plan, beside: Sequence[ShelfSwing], at: str) -> SheetRow:
    """The row with a cell for each moment."""
    crop = crop_of(row.swing)
    return SheetRow(
        title=row.title,
        note=row.note,
        at=at,
        wide=crop.width,
        high=crop.height,
        cells=tuple(_cell(row, moment, plan, beside) for moment in MomentName),
    )


def wholes_of(rows: Sequence[Row], plan: Plan) -> tuple[WholeMeasure, ...]:
    """The measures of the whole swing, a line each."""
    return tuple(
        WholeMeasure(title=cells[0].title, cells=tuple(cells))
        for name in plan.names.get(None, ())
        if (cells := [_measure(row, name, None, plan.texts) for row in rows])
        and any(cell.shown for cell in cells)
    )


def _cell(row: Row, name: MomentName, plan: Plan, beside: Sequence[ShelfSwing]) -> Cell:
    swing = row.swing.shown.swing
    moment = swing.moments.get(name)
    told = [_measure(row, each, name, plan.texts) for each in plan.names.get(name, ())]
    if moment is None:
        why = render_sentence(swing.moments.why_missing(name))
        return Cell(f"{row.swing.name}-{name}", "", "", "", None, "", why, (), ())
    given = [one for one in told if one.shown] + [one for one in told if not one.shown]
    spoken = [one for one in told if one.shown or one.refused]
    foremost = (
        tuple(spoken[:SHOWN]) if any(one.shown for one in spoken[:SHOWN]) else tuple(given[:SHOWN])
    )
    others = "".join(f"&beside={one.name}" for one in beside if one.name != row.swing.name)
    return Cell(
        id=f"{row.swing.name}-{name}",
        at=f"/bench/{row.swing.name}?moment={name.value}{others}",
        picture=still_address(row.swing, name),
        alt=f"{row.title} {MOMENT_PLACES[name]}",
        drawing=render_lines(
            swing.body,
            render_rows(swing)[swing.moments.found.index(moment)],
            crop_of(row.swing),
            swing.club,
        ),
        when=_when(swing, moment),
        missing="",
        foremost=foremost,
        rest=tuple(one for one in given if one not in foremost),
    )


def _when(swing: Swing, moment: Moment) -> str:
    """Seconds from impact, or from the first moment where impact was not found."""
    zero = swing.moments.get(MomentName.IMPACT)
    if zero is None or zero is moment:
        return "" if zero is None else "0 s"
    return render_uncertain(moment.time_s - zero.time_s, moment.sd_s, "s")


def _measure(row: Row, name: str, moment: MomentName | None, texts: Texts) -> CellMeasure:
    title = _title(name, texts)
    one = _found(row.swing.shown.swing, name, moment)
    if isinstance(one, Measure) and math.isfinite(one.value) and math.isfinite(one.sd):
        shown = render_number(one.value, one.sd, "%" if one.unit == SHARE else one.unit)
        told = CellMeasure(title, shown, "", "", "")
        difference = row.differences.get((name, moment))
        return told if difference is None else _apart(told, difference)
    why = one.refused if isinstance(one, Refusal) else ""
    return CellMeasure(title, None, render_sentence(why) if why else "", "", "")


def _apart(told: CellMeasure, one: Difference) -> CellMeasure:
    if one.ratio < MAYBE:
        return told
    which = "more" if one.difference.value > 0 else "less"
    unit = "%" if one.unit == SHARE else one.unit
    words = render_uncertain(abs(one.difference.value), one.difference.sd, unit)
    mark = which if one.ratio >= CLEAR else f"maybe {which}"
    return replace(told, mark=mark, apart=f"{words} {which}")


def _found(swing: Swing, name: str, moment: MomentName | None) -> Measure | Refusal | None:
    return next((one for one in swing.measures if one.name == name and one.moment == moment), None)


def _title(name: str, texts: Texts) -> str:
    base = name.removesuffix("_percent")
    title = render_title(base, texts)
    return f"{title}, of stature" if base != name else title
