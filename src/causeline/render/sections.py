"""A reading told in the page's sections: every number rounded, every name in the trade's words."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import PurePath

from causeline.model.measures import Measure
from causeline.model.moments import Moment, MomentName
from causeline.model.reading import SCHEMA, Reading, Swing
from causeline.render.chain import render_chain
from causeline.render.club_path import render_club_path
from causeline.render.contract import (
    AdviceLine,
    Colophon,
    Fact,
    Heading,
    IndexLine,
    Page,
    Picture,
    Plate,
    SwingSection,
)
from causeline.render.curves import Curve, render_curves
from causeline.render.numbers import MINUS, Shown, render_number
from causeline.render.plots import render_plot
from causeline.render.stills import Crop, Still, render_crop, render_lines, render_rows
from causeline.render.strip import render_strip, render_zero
from causeline.render.telling import (
    MeasureText,
    Texts,
    render_measures,
    render_plate_measures,
    render_refused,
    render_sentence,
)
from causeline.render.words import (
    MOMENT_PLACES,
    MOMENT_TITLES,
    SEVERITY_WORDS,
    render_clock,
    render_confidence,
    render_view,
)

_EXAMPLES = (("shoulder_turn", MomentName.TOP), ("trunk_forward_bend", MomentName.ADDRESS))
"""Measures by which ± may be explained."""


def render_sections(
    reading: Reading,
    stills: Sequence[Mapping[MomentName, Still]],
    texts: Sequence[MeasureText],
    filmed_on: date | None,
    curves: Sequence[Sequence[Curve]] | None,
    club_stills: Sequence[Still | None] = (),
) -> Page:
    """The whole page, told."""
    by_name = {text.name: text for text in texts}
    sections = tuple(
        _swing(
            reading,
            place,
            stills[place] if place < len(stills) else {},
            by_name,
            (
                render_curves(swing) if curves is None else curves[place],
                club_stills[place] if place < len(club_stills) else None,
            ),
        )
        for place, swing in enumerate(reading.swings)
    )
    return Page(
        heading=_heading(reading, filmed_on),
        index=_index(reading, sections),
        swings=sections,
        advice=_advice(reading),
        colophon=_colophon(reading),
    )


def _heading(reading: Reading, filmed_on: date | None) -> Heading:
    facts = [
        Fact("Filmed", filmed_on.strftime("%-d %B %Y"), "") if filmed_on else None,
        Fact("Seen", render_view(reading.view), render_confidence(reading.view)),
        Fact("Plays", f"{reading.hand.name}-handed", render_confidence(reading.hand)),
        Fact("Time", render_clock(reading.clip), ""),
    ]
    name = _printable(reading.clip.name)
    example = render_number(*_example(reading), "°")
    return Heading(
        title=PurePath(name).stem or name,
        facts=tuple(fact for fact in facts if fact is not None),
        example=example,
        example_low=_away(example, -1),
        example_high=_away(example, 1),
    )


def _example(reading: Reading) -> tuple[float, float]:
    """The number that explains ±, degrees: one that the golfer meets again below, if there is."""
    for swing in reading.swings:
        for each in swing.measures:
            if isinstance(each, Measure) and (each.name, each.moment) in _EXAMPLES and each.sd > 0:
                return each.value, each.sd
    return 87.0, 4.0


def _away(shown: Shown, way: int) -> str:
    """One ± away from a number, as both are printed."""
    value, spread = (float(text.replace(MINUS, "-")) for text in (shown.value, shown.spread))
    ends = render_number(value + way * spread, spread, "°")
    return f"{ends.value}{ends.unit}"


def _printable(name: str) -> str:
    """A file's name with what is no text in it replaced: names on disk may hold any bytes."""
    return name.encode("utf-8", "replace").decode("utf-8")


def _index(reading: Reading, sections: tuple[SwingSection, ...]) -> tuple[IndexLine, ...]:
    if len(sections) < 2:
        return ()
    return tuple(
        IndexLine(section.anchor, section.title, _whereabouts(reading, swing))
        for section, swing in zip(sections, reading.swings, strict=True)
    )


def _whereabouts(reading: Reading, swing: Swing) -> str:
    seconds = reading.clip.clock.seconds
    last = len(seconds) - 1
    first, end = (float(seconds[min(f, last)]) for f in (swing.first_frame, swing.last_frame))
    return f"{first:.1f} to {end:.1f} s of the clip"


def _swing(
    reading: Reading,
    place: int,
    stills: Mapping[MomentName, Still],
    texts: Texts,
    given: tuple[Sequence[Curve], Still | None],
) -> SwingSection:
    curves, club_still = given
    swing = reading.swings[place]
    anchor = f"swing-{place + 1}"
    crop = render_crop(swing.body, render_rows(swing), (reading.clip.width, reading.clip.height))
    found = swing.moments.found
    plots = (render_plot(curve, found) for curve in curves if found)
    return SwingSection(
        anchor=anchor,
        title=_title(reading, place),
        rehearsal=swing.rehearsal,
        strip=render_strip(swing, crop, anchor),
        chain=render_chain(swing, crop, anchor, texts),
        plates=tuple(_plates(reading, swing, crop, (anchor, stills, texts))),
        club=render_club_path(swing, reading.clip, club_still),
        wholes=render_measures(swing, texts, whole=True),
        measures=render_measures(swing, texts, whole=False),
        refused=render_refused(swing, texts),
        plots=tuple(plot for plot in plots if plot is not None),
    )


def _title(reading: Reading, place: int) -> str:
    swings = reading.swings
    kind = "Rehearsal" if swings[place].rehearsal else "Swing"
    if len(swings) == 1:
        return f"The {kind.lower()}"
    number = sum(s.rehearsal == swings[place].rehearsal for s in swings[: place + 1])
    return f"{kind} {number}"


def _plates(
    reading: Reading,
    swing: Swing,
    crop: Crop,
    given: tuple[str, Mapping[MomentName, Still], Texts],
) -> Iterator[Plate]:
    anchor, stills, texts = given
    rows = render_rows(swing)
    for place, moment in enumerate(swing.moments.found):
        name = MOMENT_TITLES[moment.name]
        since = moment.time_s - render_zero(swing).time_s
        yield Plate(
            number=place + 1,
            anchor=f"{anchor}-{moment.name}",
            name=name,
            time=render_number(since, moment.sd_s, "s"),
            frame=moment.frame,
            rule=render_sentence(moment.rule),
            picture=_picture(reading, moment, stills.get(moment.name)),
            drawing=render_lines(swing.body, rows[place], crop, swing.club),
            measures=render_plate_measures(swing, moment.name, texts),
        )


def _picture(reading: Reading, moment: Moment, still: Still | None) -> Picture | None:
    if still is None:
        return None
    data = base64.b64encode(still.jpeg).decode()
    seen = render_view(reading.view)
    alt = f"The golfer {MOMENT_PLACES[moment.name]}, seen {seen}, with the body’s lines drawn over."
    return Picture(f"data:image/jpeg;base64,{data}", alt, still.width, still.height)


def _advice(reading: Reading) -> tuple[AdviceLine, ...]:
    return tuple(
        AdviceLine(word, render_sentence(advice.advice))
        for severity, word in SEVERITY_WORDS.items()
        for advice in reading.filming
        if advice.severity == severity
    )


def _colophon(reading: Reading) -> Colophon:
    clip = reading.clip
    damaged = f"{clip.damaged} damaged frames left out" if clip.damaged else ""
    size = f"{clip.width} × {clip.height}"
    lines = [
        Fact("Clip", f"{_printable(clip.name)}, {size}, {clip.codec}", damaged),
        Fact("Frames", f"{len(clip.clock)} in {clip.clock.duration_s:.2f} real seconds", ""),
        Fact("Checksum", clip.sha256[:16], "SHA-256, its first 16 figures"),
        Fact("Reading", SCHEMA, ""),
    ]
    lines += [Fact(name, version, "") for name, version in reading.engine.items()]
    return Colophon(tuple(lines))
