"""Writes docs/measures.md from the catalogue, so that the page cannot drift from the code.

.venv/bin/python tools/write_measures_doc.py            write the page
.venv/bin/python tools/write_measures_doc.py --check    end with 1 where the page is out of date
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.measures.context import ROLL_SD_DEG, YAW_SD_DEG
from causeline.measures.spec import MeasureSpec
from causeline.measures.spread import LASTING_SHARE
from causeline.model.moments import MomentName

UNIT_SHOWN = {
    "°": "°",
    "s": " s",
    "cm": " cm",
    "% of stature": " % of stature",
    "ratio": "",
    "m/s": " m/s",
    "°/s": "°/s",
}
PAGE = Path(__file__).parents[1] / "docs" / "measures.md"

INTRODUCTION = """# Measures

<!-- Written by tools/write_measures_doc.py from src/causeline/measures. Do not edit. -->

Every measure is a defined quantity at a moment of the swing, with a ± of one standard deviation,
or a refusal with its reason. The reading says, in `method`, how much each source of error adds to
the ±. [Conventions](conventions.md) tells how image, time, body and angles are counted.

A refusal is an answer. A measure is refused when the view cannot show it, when its moment was not
found, when a landmark is hidden, when a limb points at the camera, and when its ± is wider than
the widest one named here, because a number that unsure would mislead.

Lengths come in centimetres and in per cent of stature. Centimetres carry the error of the
golfer's height (1.75 ± 0.10 m where none is given); per cent of stature does not.

A view marked "in space" does not show the measure in the picture. It is taken from a body in three
dimensions: one motion of learned ways to swing, fitted to every frame of the clip. What its ± holds
is that fit's own account of itself, widened until it held on rendered golfers of known motion
([how good the numbers are](accuracy.md)).
"""

NOT_MEASURED = """## Not measured, and why

**A pause at the top.** Where a motion turns round its speed passes through zero, so that every
swing stands still for an instant. How long it "pauses" depends on the speed that is called still,
and there is no agreed one.

**The order in which pelvis, trunk and arms are fastest.** It depends on which component of the
turning is taken (Marsan et al. 2019, Acta Bioeng Biomech 21(2)), and the peaks are about 12 ms
apart, less than a frame at 60 frames a second.
"""


def render_page(catalogue: tuple[MeasureSpec, ...] = FULL_CATALOGUE) -> str:
    """The whole page."""
    sections = map(_section, _merged(catalogue))
    parts = [INTRODUCTION, _overview(catalogue), _spread(), *sections, NOT_MEASURED]
    return "\n".join(part.rstrip() + "\n" for part in parts)


def _merged(catalogue: tuple[MeasureSpec, ...]) -> Iterator[tuple[MeasureSpec, ...]]:
    """A length and its share of stature are one section."""
    by_name = {spec.name: spec for spec in catalogue}
    for spec in catalogue:
        if spec.name.endswith("_percent"):
            continue
        percent = by_name.get(f"{spec.name}_percent")
        yield (spec, percent) if percent else (spec,)


def _overview(catalogue: tuple[MeasureSpec, ...]) -> str:
    rows = [
        f"| [`{spec.name}`](#{spec.name}) | {spec.title} | {', '.join(one.unit for one in pair)} "
        f"| {_views(spec)} |"
        for pair in _merged(catalogue)
        for spec in pair[:1]
    ]
    return "\n".join(["| measure | is | unit | view |", "|---|---|---|---|", *rows])


def _spread() -> str:
    places = ", ".join(f"{part} {100 * share:.1f}" for part, share in LASTING_SHARE.items())
    rows = {
        "jitter": "what the body track's own ± in that frame holds beyond the next line",
        "landmark places": "how far along each axis the engine's point lies from the joint, in per "
        f"cent of stature and at most: {places}. Between address and a later moment it cancels, "
        "but for a share that turns with the body and changes with the posture",
        "distance": "a joint nearer or farther than the golfer's middle is mis-scaled by depth ÷ "
        "camera distance; the distance comes from the golfer's size under a phone's usual lens",
        "yaw": f"the camera not square to the view, ±{YAW_SD_DEG:g}°, so that depth shows as width",
        "roll": f"the camera not level, ±{ROLL_SD_DEG:g}°: one for one in every lean",
        "moment": "how fast the measure changes × the ± of the moment",
        "scale": "stature in pixels from ankle, knee, hip and shoulder at address: 3 % down the "
        "line, 4 % face-on, where the bend comes toward the camera; for cm also stature in metres",
        "out of plane": "joint angles only: a limb out of the picture by 20°, or by what its "
        "length tells",
    }
    told = [f"| {name} | {text} |" for name, text in rows.items()]
    heading = "## What the ± holds\n"
    return "\n".join([heading, "| part | is |", "|---|---|", *told])


def _section(pair: tuple[MeasureSpec, ...]) -> str:
    spec = pair[0]
    names = " and ".join(f"`{one.name}` ({one.unit})" for one in pair)
    widest = ", ".join(f"±{one.widest:.3g}{UNIT_SHOWN[one.unit]}" for one in pair)
    rows = {
        "Name": names,
        "Computed": _sentence(spec.how),
        "View": _views(spec),
        "Moments": _moments(spec.moments),
        "Landmarks": ", ".join(name.replace("_", " ") for name in spec.landmarks) or "none",
        "Zero": spec.zero,
        "Positive": spec.positive,
        "Range": spec.range,
        "No value": spec.degenerate,
        "± holds": _holds(pair),
        "Widest ±": widest,
        "Source": spec.source,
    }
    table = [f"| {name} | {text} |" for name, text in rows.items()]
    heading = f'## {spec.title}\n\n<a id="{spec.name}"></a>\n'
    return "\n".join([heading, "| | |", "|---|---|", *table])


def _holds(pair: tuple[MeasureSpec, ...]) -> str:
    if len(pair) == 1:
        return pair[0].holds
    length, percent = pair
    return f"{percent.holds}; in {length.unit} also {length.holds.removeprefix(percent.holds)[2:]}"


def _views(spec: MeasureSpec) -> str:
    space = f"in space: {' or '.join(spec.space_views)}" if spec.space_views else ""
    return "; ".join(filter(None, (" or ".join(spec.views), space))) or "none yet"


def _moments(moments: tuple[MomentName, ...]) -> str:
    return ", ".join(name.replace("_", " ") for name in moments) or "the whole swing"


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]


def main(arguments: list[str]) -> int:
    """Write the page, or only compare it."""
    page = render_page()
    if "--check" in arguments:
        return int(not PAGE.exists() or PAGE.read_text(encoding="utf-8") != page)
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page, encoding="utf-8")
    print(f"wrote {PAGE}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
