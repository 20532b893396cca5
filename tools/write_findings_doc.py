"""Writes docs/faults.md from the catalogue, the bands and the graph of causes and effects.

.venv/bin/python tools/write_findings_doc.py            write the page
.venv/bin/python tools/write_findings_doc.py --check    end with 1 where the page is out of date
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from causeline.findings.bands import BANDS
from causeline.findings.catalogue import FAULTS, MEASURED, TOLD
from causeline.findings.graph import ARROWS
from causeline.findings.spec import Band, Fault, Sign
from causeline.findings.weigh import TELLING
from causeline.model.findings import ClubSort

PAGE = Path(__file__).parents[1] / "docs" / "faults.md"

INTRODUCTION = """# Faults, causes and effects

<!-- Written by tools/write_findings_doc.py from src/causeline/findings. Do not edit. -->

A fault is a name that coaches have for something they see. Here each is defined by
[measures](measures.md) at moments of the swing: a value outside a band, on one side. The bands are
wide on purpose: a review of 92 studies found no agreed methods and contradictory results (Bourgain
et al. 2022, Sports 10:91), so there is no one ideal and a swing is not corrected for being
different. No fault here is a prediction of injury.

The arrows say which fault can lead to which. They are common practice: coaches draw them, no study
measured how strong they are. A cause is never later in the swing than its effect, and nothing leads
to itself.

## How the odds are made

A fault is there of itself (its prior), or because a cause that is there brought it about (the
arrow's strength): a noisy-or. A value's side of a band is a noisy-or of the faults that show there.
What a value says of its side is how likely it is where a fault shows, against where none does.
Without a fault, values lie normally about the usual one, with two standard deviations of good
golfers to each end; where a fault shows, they are moved by anything from the slightest to severity
1. The value's own ± widens both, so that an unsure value says little. Because values that a fault
moves together are not independent, 0.7 of the logarithm of these odds is taken. The odds of the
whole graph are exact, and are checked against `pgmpy`.

A fault is a finding when its probability is above 0.5 and a measure that tells it lies outside
its band, or when somebody pinned it. Inside all bands nothing is a finding. A fault without a
measure is unknown, not absent. Where two views give the same measure, the one with the smaller ±
counts.

What was found, the severe counting more, is handed up from each effect to the causes that answer
for it, by their odds and the strengths of their arrows; what no cause answers for stays where it
is. The finding with which most begins comes first, then what follows from it in the order of the
swing.

Priors, strengths and severities are judged, coarse on purpose, and no measurement. Where a band is
common practice, its usual value and its ends were set beside studio golfers of two skills whose
faults are known, and so was how often a fault shows in a measure; the swings of the bench were
never used for that.
"""


def render_page() -> str:
    """The whole page."""
    return "\n".join(line for part in _parts() for line in (part.rstrip("\n"), "")).rstrip() + "\n"


def _parts() -> Iterator[str]:
    yield INTRODUCTION
    yield "## The faults\n\n" + "\n".join(_index())
    for fault in MEASURED:
        yield _measured(fault)
    yield "## What video does not show\n\nA coach or the golfer tells; until then it is unknown."
    for fault in TOLD:
        yield _told(fault)
    yield "## The arrows\n\n" + "\n".join(_arrows())


def _index() -> Iterator[str]:
    yield "| fault | is first there | view |"
    yield "|---|---|---|"
    for fault in FAULTS:
        views = _views(fault) or f"{fault.told_by} tells"
        yield f"| [{fault.title}](#{fault.name}) | {_words(fault.first)} | {views} |"


def _measured(fault: Fault) -> str:
    rows = [
        "| measure | moment | counts when | severity 1 at | shows | view | source |",
        "|---|---|---|---|---|---|---|",
        *(_sign(sign) for sign in fault.signs),
    ]
    return "\n".join([*_head(fault), "", *rows, "", *_around(fault)])


def _told(fault: Fault) -> str:
    lines = [*_head(fault), "", f"Told by {fault.told_by}.", "", *_around(fault)]
    return "\n".join(lines)


def _head(fault: Fault) -> list[str]:
    return [
        f"## {fault.title}",
        "",
        f'<a id="{fault.name}"></a>',
        "",
        f"`{fault.name}`: {fault.looks}. What it costs: {fault.costs}. Prior "
        f"{fault.prior:g}; {fault.source}.",
    ]


def _around(fault: Fault) -> list[str]:
    into = [f"{_title(a.cause)} ({a.why})" for a in ARROWS if a.effect == fault.name]
    out = [f"{_title(a.effect)} ({a.why})" for a in ARROWS if a.cause == fault.name]
    return [
        f"- Comes from: {'; '.join(into) or 'nothing in this graph'}.",
        f"- Leads to: {'; '.join(out) or 'nothing in this graph'}.",
    ]


def _sign(sign: Sign) -> str:
    band = BANDS[sign.band]
    views = " or ".join(view.value for view in band.views)
    full = band.full if sign.side == "high" else -band.full
    return (
        f"| `{band.measure}` | {_words(band.moment) if band.moment else 'the whole swing'} "
        f"| {_when(band, sign.side)} | {full:+g} from there | {sign.shows:g} | {views} "
        f"| {band.source} |"
    )


def _when(band: Band, side: str) -> str:
    word = "below" if side == "low" else "above"
    told = f"{word} {_end(band, None, side)} (usual {band.usual:g})"
    clubs = [
        f"{club.value} {_end(band, club, side)}"
        for club in band.by_club
        if _end(band, club, side) != _end(band, None, side)
    ]
    told += f"; {', '.join(clubs)}" if clubs else ""
    if band.beside is not None:
        beside = band.beside
        told += (
            f"; {beside.per:g} lower for each 1 that `{beside.measure}` is below {beside.usual:g}"
        )
    return told


def _end(band: Band, club: ClubSort | None, side: str) -> str:
    low, high = band.ends(club)
    end = low if side == "low" else high
    return "no end" if end is None else f"{end:g}"


def _arrows() -> Iterator[str]:
    yield "| cause | effect | strength | why | source |"
    yield "|---|---|---|---|---|"
    for arrow in ARROWS:
        yield (
            f"| {_title(arrow.cause)} | {_title(arrow.effect)} | {arrow.strength:g} "
            f"| {arrow.why} | {arrow.source} |"
        )


def _title(name: str) -> str:
    return next(fault.title for fault in FAULTS if fault.name == name)


def _views(fault: Fault) -> str:
    telling = [sign for sign in fault.signs if sign.shows >= TELLING]
    views = {view.value for sign in telling for view in BANDS[sign.band].views}
    return ", ".join(sorted(views))


def _words(name: str) -> str:
    return name.replace("_", " ")


def main(arguments: list[str] | None = None) -> int:
    """Write the page, or check it."""
    page = render_page()
    if "--check" in (sys.argv[1:] if arguments is None else arguments):
        return int(not PAGE.exists() or PAGE.read_text(encoding="utf-8") != page)
    PAGE.write_text(page, encoding="utf-8")
    print(f"wrote {PAGE}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
