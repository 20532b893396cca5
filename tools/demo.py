"""Reads every demo clip and writes a page, a reading file and an index of them."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from rich.progress import track

from causeline import Settings, read_clip, save_reading, write_page

HERE = Path(__file__).parent
SCENARIO = HERE.parent / "demo"


def main() -> int:
    """Read the scenario's clips into the folder given by --out; 0 when every page is written."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("out/demo"))
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    scenario = json.loads((SCENARIO / "scenario.json").read_text())
    for entry in track(scenario["clips"], description="Reading the demo clips"):
        result = read_clip(SCENARIO / entry["file"], Settings())
        stem = Path(entry["file"]).stem
        save_reading(result.reading, out / f"{stem}.json")
        write_page(result, out / f"{stem}.html")
        entry["page"] = f"{stem}.html"
    _write_index(scenario, out)
    print(f"\nThe demo's pages: {(out / 'index.html').resolve()}")
    return 0


def _write_index(scenario: dict[str, Any], out: Path) -> None:
    pages = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined)
    text = pages.get_template("demo_index.html.j2").render(scenario=scenario)
    (out / "index.html").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
