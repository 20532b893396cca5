"""Write docs/drills.md and its pictures from the drills' own files.

python tools/write_drills_doc.py          writes
python tools/write_drills_doc.py --check  says whether they are up to date
"""

from __future__ import annotations

import sys
from pathlib import Path

from causeline.findings.catalogue import FAULTS
from causeline.measures.club_catalogue import FULL_CATALOGUE
from causeline.model.drill import Aim, Drill
from causeline.render.diagram import PAPER, render_diagram
from causeline.store.drill_files import load_drills

ROOT = Path(__file__).parents[1]
DOC = ROOT / "docs" / "drills.md"
PICTURES = ROOT / "docs" / "pictures" / "drills"
TITLES = {fault.name: fault.title for fault in FAULTS}
MEASURES = {spec.name: spec.title for spec in FULL_CATALOGUE}
SIDES = {"{lead}": "lead", "{trail}": "trail"}

HEAD = """# Drills

<!-- Written by tools/write_drills_doc.py from src/causeline/lesson/drills. Do not edit. -->

A lesson gives two drills at most and names one for later. Each treats causes from the
[catalogue of faults](faults.md), says how it should feel and how it goes wrong, directs attention
to one thing outside the body, and ends with a checkpoint: a [measure](measures.md) at a moment of
the swing with a band. All of them are common practice among coaches, in our own words; no study
compared them. Attention to something outside the body is the usual advice; pooled and corrected for
publication bias its advantage is small to none (McKay et al. 2024, Psychol Bull 150:1347-1362), so
the cue is there because it is easy to follow, not because it is proved.

Pictures are drawn for a right-handed golfer, the target to the right (from above and face-on) or
the ball to the right (from behind the hands), and are mirrored for a left-handed one. Whole lines
go back, dashed ones come down.

## Care

Warm up first, moving. Stop when something hurts; a question of health goes to a clinician. Drills
marked "turns the back" are given only after the golfer was asked about their back, and left out
where it is troubled. Juniors practise twice a week, 12 minutes at most. Sticks stand clear of the
club's way, below the hip or above the head, and balls that are not hit lie where nobody steps on
them. The rules of the range come first, and a teaching professional decides. Nothing here predicts
or prevents an injury, and more turn, or more separation, is not better in itself.

## Drills of your own

Put TOML files like those in `src/causeline/lesson/drills` in a folder of yours and load them with
`load_drills(folder)`: a file of the same name stands in for the one that came. The format is
`src/causeline/store/schemas/drill-1.schema.json`; a mistake is told with the entry where it stands.
Texts may hold `{lead}` and `{trail}`, the golfer's own sides. A picture is a list of marks in
centimetres, zero between the feet: `golfer`, `feet`, `shoulders`, `ball`, `club`, `stick` (lying),
`pole` (standing), `towel`, `cushion`, `wall`, `chair`, `line`, `target`, `arrow`, `label`.
"""


def pages() -> dict[Path, str]:
    """Every file with its content."""
    drills = load_drills()
    parts = [HEAD, "## All of them\n", _table(drills), *(_drill(drill) for drill in drills)]
    pictures = {PICTURES / f"{drill.name}.svg": _picture(drill) for drill in drills}
    return {DOC: "\n".join(parts), **pictures}


def main(arguments: list[str]) -> int:
    """0 where everything is up to date, or was written."""
    wanted = pages()
    if "--check" in arguments:
        stale = [path for path, text in wanted.items() if not _holds(path, text)]
        extra = set(PICTURES.glob("*.svg")) - set(wanted)
        for path in [*stale, *extra]:
            print(f"{path.relative_to(ROOT)} is not up to date")
        return 1 if stale or extra else 0
    PICTURES.mkdir(parents=True, exist_ok=True)
    for path, text in wanted.items():
        path.write_text(text, encoding="utf-8")
    return 0


def _holds(path: Path, text: str) -> bool:
    return path.exists() and path.read_text(encoding="utf-8") == text


def _picture(drill: Drill) -> str:
    """The drawing on its own paper, so that it shows on a dark page too."""
    drawn = render_diagram(drill.diagram)
    paper = f'</title><rect width="100%" height="100%" fill="{PAPER}"/>'
    return _sided(drawn.replace("</title>", paper, 1)) + "\n"


def _table(drills: tuple[Drill, ...]) -> str:
    rows = [
        f"| [{drill.title}](#{drill.name}) | {_faults(drill)} | {drill.place.value} | "
        f"{_equipment(drill)} |"
        for drill in drills
    ]
    return "\n".join(["| drill | treats | where | needs |", "|---|---|---|---|", *rows, ""])


def _drill(drill: Drill) -> str:
    lines = [
        f"## {drill.title}\n",
        f'<a id="{drill.name}"></a>\n',
        f"![{drill.diagram.caption}](pictures/drills/{drill.name}.svg)\n",
        f"{drill.purpose}\n",
        f"`{drill.name}` treats {_faults(drill)}. {_where(drill)} {drill.source[0].upper()}"
        f"{drill.source[1:]}.\n",
        "**Set it up.** " + " ".join(drill.setup) + "\n",
        *(f"{place}. {step}" for place, step in enumerate(drill.steps, start=1)),
        "",
        f"- How many: {drill.dose.sets} × {drill.dose.repeats}, about {drill.dose.minutes} minutes",
        f"- How it should feel: {drill.feel}",
        f"- Think only of this: {drill.cue}",
        f"- Checkpoint: {_aim(drill.aim)}",
        *(f"- When it goes wrong: {slip.what} {slip.instead}" for slip in drill.slips),
        *(f"- Mind: {caution}" for caution in drill.cautions),
        "",
        "| stage | how | go on when |",
        "|---|---|---|",
        *(f"| {stage.name} | {stage.how} | {stage.move_on} |" for stage in drill.stages),
        "",
    ]
    return _sided("\n".join(lines))


def _aim(aim: Aim | None) -> str:
    if aim is None:
        return "video does not show it: count, as the stages say"
    when = f" at {aim.moment.value.replace('_', ' ')}" if aim.moment else ""
    sides = [f"{aim.low:g} or more" if aim.low is not None else "",
             f"{aim.high:g} or less" if aim.high is not None else ""]  # fmt: skip
    band = ", ".join(side for side in sides if side)
    title = MEASURES[aim.measure]
    return f"{title} (`{aim.measure}`){when}, {aim.view.value}: {band} ({aim.unit})"


def _faults(drill: Drill) -> str:
    return ", ".join(f"[{TITLES[name]}](faults.md#{name})" for name in drill.treats)


def _equipment(drill: Drill) -> str:
    return ", ".join(drill.equipment) or "a club"


def _where(drill: Drill) -> str:
    where = {"either": "Indoors or outdoors", "indoors": "Indoors", "outdoors": "Outdoors"}
    turns = ", turns the back" if drill.rotation else ""
    return f"{where[drill.place.value]}{turns}. Needs {_equipment(drill)}."


def _sided(text: str) -> str:
    for place, side in SIDES.items():
        text = text.replace(place, side)
    return text


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
