"""What the page's templates may use: one record for each section, each field with its help.

A test renders a page and compares the fields that the templates touched with those written here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from causeline.render.numbers import Shown
from causeline.render.plot import Tick
from causeline.render.stills import Drawing


@dataclass(frozen=True, slots=True)
class Fact:
    """One line of the heading: what is known of the clip, and how surely."""

    name: Annotated[str, "What the fact is about, a word or two."]
    value: Annotated[str, "The fact."]
    note: Annotated[
        str, "How sure it is, or where it comes from; empty when there is nothing to say."
    ]


@dataclass(frozen=True, slots=True)
class Heading:
    """The head of the page."""

    title: Annotated[str, "The clip's name without its suffix."]
    facts: Annotated[tuple[Fact, ...], "Date, view, hand, time, as far as known."]
    example: Annotated[Shown, "A number that explains ±."]
    example_low: Annotated[str, "One ± below the example."]
    example_high: Annotated[str, "One ± above the example."]


@dataclass(frozen=True, slots=True)
class IndexLine:
    """One swing in the index of a clip with several."""

    anchor: Annotated[str, "The swing section's id."]
    title: Annotated[str, "`Swing 2`, or `Rehearsal 1`."]
    note: Annotated[str, "Where in the clip it lies."]


@dataclass(frozen=True, slots=True)
class Figure:
    """One golfer of the strip, drawn in lines."""

    number: Annotated[int, "The moment's number in this swing, counted from 1."]
    name: Annotated[str, "The moment in the trade's words."]
    anchor: Annotated[str, "Id of the plate that tells more."]
    drawing: Annotated[Drawing, "Lines, joints and head."]
    leader: Annotated[str, "SVG path from the figure down to its instant on the time rule."]
    at: Annotated[float, "The instant on the time rule, in per cent."]
    half: Annotated[float, "The ± of the instant, in per cent of the time rule."]


@dataclass(frozen=True, slots=True)
class Phase:
    """One stretch of the swing on the ribbon under the time rule."""

    kind: Annotated[str, "`back`, `down` or `through`: sets how the bar is drawn."]
    title: Annotated[str, "In the trade's words."]
    between: Annotated[str, "From which moment to which."]
    start: Annotated[float, "Where it begins on the time rule, in per cent."]
    width: Annotated[float, "How long it is, in per cent of the time rule."]
    length: Annotated[Shown | None, "How long it lasts, with its ±; None where that was refused."]


@dataclass(frozen=True, slots=True)
class Strip:
    """Figures over the time rule, with the ribbon of phases."""

    figures: Annotated[tuple[Figure, ...], "The moments that were found, in order."]
    box: Annotated[str, "SVG viewBox that the figures share: the bodies, tight; arms may overlap."]
    ticks: Annotated[tuple[Tick, ...], "Marks of the time rule, seconds."]
    phases: Annotated[tuple[Phase, ...], "Backswing, downswing, follow-through, as far as known."]
    tempo: Annotated[Shown | None, "Backswing ÷ downswing, where measured."]
    zero: Annotated[str, "In words: the instant from which times count."]
    alt: Annotated[str, "The whole figure in one sentence, for those who do not see it."]


@dataclass(frozen=True, slots=True)
class PlateMeasure:
    """One measure under its moment's picture."""

    title: Annotated[str, "The measure's title."]
    shown: Annotated[Shown, "Value and ±."]


@dataclass(frozen=True, slots=True)
class Picture:
    """One still, ready for an img element."""

    src: Annotated[str, "The JPEG as a data URI."]
    alt: Annotated[str, "What it shows, in words."]
    width: Annotated[int, "Pixels."]
    height: Annotated[int, "Pixels."]


@dataclass(frozen=True, slots=True)
class Plate:
    """One moment: the still, its lines, when it is, and what was measured there."""

    number: Annotated[int, "As in the strip."]
    anchor: Annotated[str, "Id of this plate."]
    name: Annotated[str, "The moment in the trade's words."]
    time: Annotated[Shown, "Seconds from the strip's zero; the ± is that of the instant itself."]
    frame: Annotated[int, "The clip's frame nearest to it, counted from 0."]
    rule: Annotated[str, "What was looked for."]
    picture: Annotated[Picture | None, "The still, or none when the frame was not at hand."]
    drawing: Annotated[Drawing, "The body's lines over the still."]
    measures: Annotated[tuple[PlateMeasure, ...], "What was measured at this moment."]


@dataclass(frozen=True, slots=True)
class MeasureValue:
    """One value of a measure."""

    number: Annotated[int, "The moment's number in the strip; 0 for the whole swing."]
    moment: Annotated[str, "The moment in a word or two; empty for the whole swing."]
    shown: Annotated[Shown, "Value and ±."]


@dataclass(frozen=True, slots=True)
class MeasureBlock:
    """One measure with its values at the moments."""

    title: Annotated[str, "The measure's title."]
    explains: Annotated[str, "One line: what it is, where zero lies, which way is positive."]
    values: Annotated[tuple[MeasureValue, ...], "At least one."]


@dataclass(frozen=True, slots=True)
class Refused:
    """Something that could not be told, and why."""

    what: Annotated[str, "Measures and moments that share the reason."]
    why: Annotated[str, "The reason, in words for the golfer."]


@dataclass(frozen=True, slots=True)
class PlotLine:
    """One line of a plot."""

    name: Annotated[str, "What moves."]
    path: Annotated[str, "SVG path of the value."]
    band: Annotated[str, "SVG path of value ± one sd."]
    kind: Annotated[str, "`whole` or `broken`: tells the lines of one plot apart."]
    reach: Annotated[tuple[Shown, ...], "Lowest and highest value."]


@dataclass(frozen=True, slots=True)
class PlotMark:
    """One moment on a plot's time axis."""

    number: Annotated[int, "As in the strip."]
    at: Annotated[float, "Per cent of the time axis."]
    room: Annotated[str, "`always`, `wide` or `never`: where its number fits beside the others."]


@dataclass(frozen=True, slots=True)
class Plot:
    """One curve over time."""

    title: Annotated[str, "What is plotted."]
    unit: Annotated[str, "In words, as it stands after `in`."]
    explains: Annotated[str, "What zero is and which way is up."]
    lines: Annotated[tuple[PlotLine, ...], "One or two."]
    ticks: Annotated[tuple[Tick, ...], "Marks of the value axis."]
    marks: Annotated[tuple[PlotMark, ...], "The moments."]
    alt: Annotated[str, "The plot in one sentence."]


@dataclass(frozen=True, slots=True)
class ClubWay:
    """The way of clubhead or hands, up or down."""

    what: Annotated[str, "`head` or `hands`."]
    way: Annotated[str, "`back` or `down`: with `what` it tells how the line is drawn."]
    name: Annotated[str, "In words, for the legend."]
    path: Annotated[str, "SVG path where it was seen."]
    guessed: Annotated[str, "SVG path where it was worked out; empty when it was seen throughout."]


@dataclass(frozen=True, slots=True)
class ClubShaft:
    """The shaft at one moment."""

    number: Annotated[int, "The moment's number in the strip."]
    name: Annotated[str, "The moment in the trade's words."]
    path: Annotated[str, "SVG path from grip end to the end of the shaft."]
    x: Annotated[float, "Where its number stands."]
    y: Annotated[float, "Where its number stands."]
    sure: Annotated[bool, "Whether the shaft is well seen there."]


@dataclass(frozen=True, slots=True)
class ClubPath:
    """The club's way over one still."""

    wide: Annotated[float, "Width of the drawing space, which is 1000 high."]
    picture: Annotated[Picture | None, "The still beneath, or none when no frame was at hand."]
    ways: Annotated[tuple[ClubWay, ...], "The last lies uppermost, and stands first in the legend."]
    shafts: Annotated[tuple[ClubShaft, ...], "The shaft at the moments up to impact."]
    plane: Annotated[str, "SVG path of the shaft's line at address, run on; empty if unseen."]
    guessed: Annotated[bool, "Whether any part was worked out."]
    alt: Annotated[str, "The picture in words."]


@dataclass(frozen=True, slots=True)
class Proof:
    """One measure that speaks for a finding, beside its band."""

    title: Annotated[str, "The measure's title."]
    when: Annotated[str, "The moment, as it stands inside a sentence, and the frame; may be empty."]
    shown: Annotated[Shown, "Value and ±."]
    band: Annotated[str, "The band in words."]
    beyond: Annotated[str, "How far outside, in words: so many times the ±."]
    scale: Annotated[BandScale, "Value and band as a drawing."]


@dataclass(frozen=True, slots=True)
class BandScale:
    """A value beside its band on a line 320 units long."""

    band: Annotated[str, "SVG path of the stretch inside the band."]
    ends: Annotated[str, "SVG path of the band's ends."]
    twice: Annotated[str, "SVG path of two ± about the value."]
    once: Annotated[str, "SVG path of one ± about the value."]
    at: Annotated[str, "SVG path of the value."]


@dataclass(frozen=True, slots=True)
class ChainLink:
    """One finding: a row of the chain, and its proofs below."""

    number: Annotated[int, "Its place in the chain, from 1."]
    anchor: Annotated[str, "Id of its proofs."]
    name: Annotated[str, "The fault, in the trade's words."]
    role: Annotated[str, "`cause`, `effect` or `alone`: sets how its knot is drawn."]
    place: Annotated[str, "Where it stands: the cause, what it follows from, by itself."]
    when: Annotated[str, "When in the swing it is first there."]
    odds: Annotated[str, "How sure it is, in words and out of a hundred; or that it was told."]
    sentence: Annotated[str, "What was seen, and what follows from it."]
    ruling: Annotated[str, "Who pinned it and why; empty when nobody did."]
    proofs: Annotated[tuple[Proof, ...], "The measures that speak for it."]
    inside: Annotated[str, "The measures that would speak for it and do not; may be empty."]
    drawing: Annotated[Drawing | None, "The golfer where the foremost proof is; None if unknown."]
    figure: Annotated[str, "The drawing's moment in a word or two; empty without one."]
    plate: Annotated[str, "Id of that moment's plate; empty without a drawing."]


@dataclass(frozen=True, slots=True)
class ChainKnot:
    """A finding's mark in the gutter beside the rows."""

    role: Annotated[str, "As its link's."]
    path: Annotated[str, "SVG path."]


@dataclass(frozen=True, slots=True)
class Chain:
    """What was found, from cause to effect."""

    lead: Annotated[str, "The whole in a sentence or two."]
    links: Annotated[tuple[ChainLink, ...], "The cause, its effects in order, then the rest."]
    gutter: Annotated[str, "SVG viewBox of the gutter: hundredths of a rem."]
    knots: Annotated[tuple[ChainKnot, ...], "One for each link."]
    arcs: Annotated[tuple[str, ...], "SVG paths from cause to effect."]
    heads: Annotated[tuple[str, ...], "SVG paths of their arrowheads."]
    struck: Annotated[tuple[str, ...], "What somebody ruled out, and why."]
    unknown: Annotated[tuple[Refused, ...], "Faults of which nothing is known, by reason."]


@dataclass(frozen=True, slots=True)
class SwingSection:
    """One swing of the clip."""

    anchor: Annotated[str, "Id of the section."]
    title: Annotated[str, "`The swing`, or its number when the clip holds several."]
    rehearsal: Annotated[bool, "Whether no ball was struck."]
    strip: Annotated[Strip | None, "None when no moment was found."]
    chain: Annotated[Chain | None, "Faults from cause to effect; None where nobody looked."]
    plates: Annotated[tuple[Plate, ...], "One for each moment found."]
    club: Annotated[ClubPath | None, "The club's way; None where it is not known."]
    wholes: Annotated[tuple[MeasureBlock, ...], "Measures of the whole swing."]
    measures: Annotated[tuple[MeasureBlock, ...], "Measures at moments, with all their values."]
    refused: Annotated[tuple[Refused, ...], "Moments and measures that could not be told."]
    plots: Annotated[tuple[Plot, ...], "Curves over time."]


@dataclass(frozen=True, slots=True)
class AdviceLine:
    """One thing to do better when filming."""

    severity: Annotated[str, "What the fault did to this reading, in words."]
    advice: Annotated[str, "What to do."]


@dataclass(frozen=True, slots=True)
class Colophon:
    """What made the page."""

    lines: Annotated[tuple[Fact, ...], "Clip, checksum, schema, engines."]


@dataclass(frozen=True, slots=True)
class Page:
    """The whole page."""

    heading: Annotated[Heading, "Clip and how it was filmed."]
    index: Annotated[tuple[IndexLine, ...], "Empty for a single swing."]
    swings: Annotated[tuple[SwingSection, ...], "One section each."]
    advice: Annotated[tuple[AdviceLine, ...], "Worst first."]
    colophon: Annotated[Colophon, "What made the page."]
