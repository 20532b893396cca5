"""Reads every demo clip, writes its page and reading file, then the first golfer's lesson."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from rich.progress import track

from causeline import Settings, compose_lesson, read_clip, save_reading, write_lesson, write_page
from causeline.model.clip import Hand
from causeline.model.lesson import Golfer, Units
from causeline.model.seen import Seen
from causeline.quantities.uncertain import Uncertain
from causeline.reading.teaching import Order, run_choice
from causeline.store.library import load_library
from causeline.store.library_people import load_golfers
from causeline.web.asking import clip_settings
from causeline.wiring import Filmed, compare_swings, write_comparison
from causeline.wiring_work import ask_reading, judge_seen
from tools.demo_library import fill_library, keep_references

HERE = Path(__file__).parent
SCENARIO = HERE.parent / "demo"
BEHIND = "down-the-line"
STATURE_SD_M = 0.01
FIRST_AT = time(18, 0)

Entry = dict[str, Any]


def main() -> int:
    """Read the scenario's clips into the folder given by --out; 0 when everything is written."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("out/demo"))
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    scenario = json.loads((SCENARIO / "scenario.json").read_text())
    seen: dict[str, Seen] = {}
    filmed = {
        entry["file"]: _read(scenario, entry, out, seen)
        for entry in track(scenario["clips"], description="Reading the demo clips")
    }
    _write_lesson(scenario, filmed, out / "lesson")
    later = _write_comparison(scenario, filmed, out / "april_and_may")
    _write_index(scenario | {"later": later}, out)
    library = _fill(seen, out / "library")
    print(f"\nThe demo's pages: {(out / 'index.html').resolve()}")
    print(f"The first golfer's lesson: {(out / 'lesson' / 'lesson.html').resolve()}")
    print("The coach's workbench with all of it, in the browser:\n")
    print(f"    {Path(sys.executable).parent / 'causeline'} serve --library {library}\n")
    return 0


def _read(scenario: Entry, entry: Entry, out: Path, seen: dict[str, Seen]) -> Filmed:
    """Read one clip; the first together with the same swing from the other place.

    What was seen of it is kept in `seen` by the file's name.
    """
    other = _same_swing(scenario, entry) if entry is scenario["clips"][0] else None
    golfer = _golfer(scenario, entry)
    stature = Uncertain(golfer["stature_cm"] / 100, STATURE_SD_M) if golfer else None
    path = SCENARIO / entry["file"]
    beside = SCENARIO / other["file"] if other else None
    result = read_clip(path, Settings(stature_m=stature), beside=beside)
    seen[path.name] = result.seen
    save_reading(result.reading, out / f"{path.stem}.json")
    write_page(result, out / f"{path.stem}.html")
    entry["page"] = f"{path.stem}.html"
    return Filmed(run_choice(result.reading), path)


def _fill(seen: dict[str, Seen], folder: Path) -> Path:
    """The scenario in a library, judged from what was seen just now; gives the folder."""
    library = load_library(folder)
    clips = fill_library(library, views=False)
    golfers = {one.id: one.golfer for one in load_golfers(library)}
    for clip in track(clips, description="Filling the library"):
        settings = clip_settings(golfers[clip.golfer], clip)
        judge_seen(library, ask_reading(library, clip.sha256, settings), seen[clip.name])
    keep_references(library)
    library.close()
    return folder.resolve()


def _same_swing(scenario: Entry, entry: Entry) -> Entry | None:
    """The clip of the same swing from the other place."""
    same = (
        each
        for each in scenario["clips"]
        if (each["golfer"], each["date"]) == (entry["golfer"], entry["date"])
    )
    return next((each for each in same if each["view"] != entry["view"]), None)


def _golfer(scenario: Entry, entry: Entry) -> Entry | None:
    return next((one for one in scenario["golfers"] if one["name"] == entry["golfer"]), None)


def _write_lesson(scenario: Entry, filmed: dict[str, Filmed], folder: Path) -> None:
    """For the scenario's first swing, in every view of it, beside the sound swing."""
    folder.mkdir(exist_ok=True)
    first = scenario["clips"][0]
    entries = [first, _same_swing(scenario, first)]
    swings = [filmed[entry["file"]] for entry in entries if entry]
    references = [filmed[each["file"]] for each in scenario["clips"] if each["golfer"] is None]
    known = _golfer(scenario, first) or {}
    zone = scenario.get("time_zone", "UTC")
    golfer = Golfer(
        name=known["name"].split()[0],
        hand=Hand(known["hand"]),
        units=Units(scenario.get("units", "metric")),
        time_zone=zone,
        said=known["working_on"],
        stature_cm=known["stature_cm"],
    )
    made = date.fromisoformat(first["date"])
    starts = datetime.combine(made + timedelta(days=1), FIRST_AT, ZoneInfo(zone))
    order = Order(golfer, made, starts, coach=scenario["coach"])
    lesson = compose_lesson(swings, order, references)
    steps = track(range(100), description="Drawing the lesson")
    drawn = iter(steps)
    write_lesson(lesson, swings, folder, references, report=_tell(drawn))
    for _ in drawn:
        pass


def _tell(drawn: Any) -> Any:
    """Steps a bar of a hundred as the film grows."""
    told = 0

    def report(_: str, done: int, total: int) -> None:
        nonlocal told
        while told < 100 * done // total:
            next(drawn, None)
            told += 1

    return report


def _write_comparison(scenario: Entry, filmed: dict[str, Filmed], folder: Path) -> bool:
    """The first golfer's first swing from behind beside the later one, where there are two."""
    name = scenario["clips"][0]["golfer"]
    both = [
        each for each in scenario["clips"] if each["golfer"] == name and each["view"] == BEHIND
    ][:2]
    if len(both) < 2:
        return False
    folder.mkdir(exist_ok=True)
    names = tuple(f"{date.fromisoformat(each['date']):%B}" for each in both)
    swings = [filmed[each["file"]] for each in both]
    write_comparison(compare_swings(swings[0], swings[1], (names[0], names[1])), folder)
    return True


def _write_index(scenario: dict[str, Any], out: Path) -> None:
    pages = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined)
    text = pages.get_template("demo_index.html.j2").render(scenario=scenario)
    (out / "index.html").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
