"""The folder of published figures names its sources and agrees with itself."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).parents[2] / "authorities"
FILES = sorted(FOLDER.glob("*.json"))


def _read(name: str) -> Any:
    return json.loads((FOLDER / name).read_text())


def _sources(node: Any) -> list[str]:
    if isinstance(node, list):
        return [source for each in node for source in _sources(each)]
    if not isinstance(node, dict):
        return []
    below = [source for key, each in node.items() if key != "source" for source in _sources(each)]
    return below + ([node["source"]] if "source" in node else [])


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.stem))
def test_every_file_says_what_it_is_and_where_it_is_from(path: Path) -> None:
    figures = json.loads(path.read_text())
    assert figures["about"].endswith(".")
    assert _sources(figures)
    assert f"`{path.name}`" in (FOLDER / "README.md").read_text()


@pytest.mark.parametrize("sex", ["men", "women"])
def test_segment_masses_make_a_whole_body(sex: str) -> None:
    segments = _read("de_leva.json")["segments"].values()
    whole = sum(segment["count"] * segment[sex]["mass"] for segment in segments)
    assert whole == pytest.approx(1.0, abs=0.001)


@pytest.mark.parametrize("sex", ["men", "women"])
def test_ratios_to_stature_are_near_the_ratio_of_the_means(sex: str) -> None:
    dimensions = _read("ansur2.json")["dimensions"]
    stature = dimensions["stature"][sex]["mean_mm"]
    for name, figures in dimensions.items():
        # A mean is printed to 1 mm and a ratio to 0.001.
        assert figures[sex]["ratio"] == pytest.approx(
            figures[sex]["mean_mm"] / stature, abs=0.0011
        ), name


@pytest.mark.parametrize("row", _read("turn_projection.json")["rows"])
def test_a_line_turned_about_a_leaning_axis(row: list[float]) -> None:
    lean, turn = (math.radians(angle) for angle in row[:2])
    azimuth = math.degrees(math.atan2(math.cos(lean) * math.sin(turn), math.cos(turn)))
    tilt = math.degrees(math.asin(math.sin(lean) * math.sin(turn)))
    # Printed to 0.1°.
    assert (azimuth, tilt) == pytest.approx(row[2:], abs=0.051)


def test_a_line_in_a_plane_seen_off_square() -> None:
    yaw = _read("camera.json")["yaw"]
    for off, reads, shrinks in yaw["rows"]:
        line, turn = math.radians(yaw["line_deg"]), math.radians(off)
        assert math.degrees(math.atan(math.tan(line) / math.cos(turn))) == pytest.approx(
            reads, abs=0.051
        )
        assert 100 * (1 - math.cos(turn)) == pytest.approx(shrinks, abs=0.051)


def test_club_lengths_are_whole_inches() -> None:
    equipment = _read("equipment.json")
    for name, inches in (("least", 18), ("most", 48), ("competition_option", 46)):
        assert equipment[f"club_length_{name}_mm"]["value"] == pytest.approx(25.4 * inches)
