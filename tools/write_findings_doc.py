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
arrow's strength): a noisy-or. A story is a set of faults with, for each, what it came of; along it
an effect has about three quarters of its cause's severity. Without a fault a swing's values lie
about the usual ones, together: a golfer who turns less lifts the arms less, too. Every fault moves
them by its severity. What reading adds is known for each measure and view: how far off it is in
its own ±, and with which others it errs. So every story is weighed by how likely it makes what was
measured, all of it at once, measures without a band among them. Half of the logarithm is taken,
for what errs together in other ways. The stories of all sets that matter are summed; with all sets
the odds are those of `pgmpy`.

A fault is a finding when its probability is above 0.5 and a measure that tells it lies outside its
band, or when somebody pinned it. Inside all bands nothing is a finding. A fault without a measure
is unknown, not absent. Where two views give the same measure, the one with the smaller ± counts.

The finding to which most faults of the swing go back comes first, then what follows from it in the
order of the swing.

Priors and strengths are judged, coarse on purpose, and no measurement. What a fault adds to a
value and how values vary was fitted on posed golfers whose faults are known
(`causeline.findings.expected`), what reading adds on filmed ones (`causeline.findings.errors`),
both by `training.findings`, of seeds that no bench uses: it is the studio's golf, not the world's.
Ends of bands are common practice, set beside the same golfers; the severity of a finding and the
evidence are told by them.
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
