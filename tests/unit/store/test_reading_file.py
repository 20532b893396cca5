"""The reading file against its published schema, on a drawn reading and on generated ones."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from causeline.errors import ReadingFileError
from causeline.model.clip import Hand
from causeline.model.measures import Measure
from causeline.model.moments import MomentName
from causeline.model.reading import Reading
from causeline.model.tracks import BODY_LANDMARKS
from causeline.store.reading_file import (
    SCHEMA_FILE,
    load_reading_dict,
    save_as_dict,
    save_reading,
)
from tests.drawn import drawn_reading
from tests.unit.store.readings import readings

ROOT = Path(__file__).parents[3]


@cache
def _schema() -> Draft202012Validator:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@cache
def _drawn(hand: Hand = Hand.RIGHT) -> Reading:
    return drawn_reading(hand=hand).reading


def _problems(content: Any) -> list[str]:
    return [f"{error.json_path}: {error.message[:120]}" for error in _schema().iter_errors(content)]


def test_the_drawn_reading_is_valid() -> None:
    assert _problems(save_as_dict(_drawn())) == []


@given(readings())
@settings(max_examples=60, deadline=None)
def test_any_reading_is_valid_and_survives_the_file(reading: Reading) -> None:
    content = save_as_dict(reading)
    assert _problems(content) == []
    text = json.dumps(content, allow_nan=False)
    assert json.loads(text) == content


@given(readings())
@settings(max_examples=40, deadline=None)
def test_the_lists_of_a_track_run_in_step(reading: Reading) -> None:
    for swing in save_as_dict(reading)["swings"]:
        tracks = swing["tracks"]
        n = len(tracks["frame"])
        lists = [tracks["time_s"], *tracks["body"].values(), *tracks["body_sd_px"].values()]
        assert {len(each) for each in [*lists, *tracks["club"].values()]} == {n}


def test_a_file_comes_back_as_it_was_written(tmp_path: Path) -> None:
    save_reading(_drawn(), tmp_path / "swing.json")
    assert load_reading_dict(tmp_path / "swing.json") == save_as_dict(_drawn())


def test_missing_is_null_and_never_nan(tmp_path: Path) -> None:
    swing = _drawn().swings[0]
    xy = swing.body.xy.copy()
    xy[3, BODY_LANDMARKS.index("nose"), 1] = np.nan
    measures = (Measure("head_rise", MomentName.TOP, float("nan"), 1.0, "cm", ""),)
    body = replace(swing.body, xy=xy)
    reading = replace(_drawn(), swings=(replace(swing, body=body, club=None, measures=measures),))
    save_reading(reading, tmp_path / "swing.json")
    assert "NaN" not in (tmp_path / "swing.json").read_text(encoding="utf-8")
    content = load_reading_dict(tmp_path / "swing.json")["swings"][0]
    assert content["tracks"]["body"]["nose"][3] is None
    assert content["tracks"]["body"]["nose"][4] is not None
    assert set(content["tracks"]["club"]["head"]) == {None}
    assert "refused" in content["measures"][0]


def test_a_left_hander_s_track_is_as_the_clip_shows_it() -> None:
    reading = _drawn(Hand.LEFT)
    swing = reading.swings[0]
    assert swing.club is not None
    tracks = save_as_dict(reading)["swings"][0]["tracks"]
    x, _, _ = tracks["body"]["lead_wrist"][0]
    assert x == reading.clip.width - 1 - swing.body.point("lead_wrist")[0, 0]
    assert tracks["club"]["head"][0][0] == reading.clip.width - 1 - swing.club.head[0, 0]


def test_times_and_rates_are_real() -> None:
    clip = save_as_dict(_drawn())["clip"]
    assert clip["time_scale"] == 8.0
    assert clip["frame_rate_hz"] == pytest.approx(30.0)
    assert clip["capture_rate_hz"] == pytest.approx(240.0)
    assert clip["duration_s"] == pytest.approx(3.2)


def test_a_name_of_raw_bytes_is_written_as_an_escape(tmp_path: Path) -> None:
    clip = replace(_drawn().clip, name="swing\udcff.mov")
    save_reading(replace(_drawn(), clip=clip), tmp_path / "swing.json")
    assert load_reading_dict(tmp_path / "swing.json")["clip"]["name"] == "swing\udcff.mov"


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '{"schema": "causeline.reading/2"}'])
def test_a_broken_or_foreign_file_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "swing.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ReadingFileError) as caught:
        load_reading_dict(path)
    assert isinstance(caught.value, ValueError)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadingFileError, match="could not be read as JSON"):
        load_reading_dict(tmp_path / "swing.json")


@pytest.mark.parametrize("wrong", ["nan", "sd", "moment", "both"])
def test_the_schema_tells_a_wrong_file(wrong: str) -> None:
    content = json.loads(json.dumps(save_as_dict(_drawn())))
    swing = content["swings"][0]
    if wrong == "nan":
        swing["tracks"]["body"]["nose"][0] = [1.0, None, 0.5]
    if wrong == "sd":
        swing["moments"][0]["sd_s"] = -0.1
    if wrong == "moment":
        swing["moments"][0]["name"] = "takeaway"
    if wrong == "both":
        swing["measures"][0]["refused"] = "and yet"
    assert _problems(content) != []


def test_every_key_of_the_schema_is_in_its_guide() -> None:
    guide = (ROOT / "docs" / "reading-file.md").read_text(encoding="utf-8")
    schema = SCHEMA_FILE.read_text(encoding="utf-8")
    keys = set(re.findall(r'"(\w+)": \{', schema)) - {"properties"}
    keys -= set(json.loads(schema)["$defs"]) - {"clip", "moment", "tracks"}
    landmarks = {name for name in keys if name in BODY_LANDMARKS}
    words = {"additionalProperties", "not", "items", "called", "prefixItems"}
    assert sorted(key for key in keys - landmarks - words if f'"{key}"' not in guide) == []


def test_the_guide_s_example_is_a_reading_file() -> None:
    guide = (ROOT / "docs" / "reading-file.md").read_text(encoding="utf-8")
    example = json.loads(guide.split("```json\n")[1].split("```")[0])
    body = example["swings"][0]["tracks"]["body"]
    body.update(dict.fromkeys(BODY_LANDMARKS, body["lead_wrist"]))  # the guide shows one
    assert _problems(example) == []
