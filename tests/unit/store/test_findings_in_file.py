"""Findings in the reading file: as the schema says, and whole."""

from __future__ import annotations

import json

import jsonschema

from causeline.findings import explain_findings
from causeline.model.findings import Ruling, Say
from causeline.store.reading_file import SCHEMA_FILE, _finding
from tests.unit.findings.swings import SCENARIO, seen


def test_every_finding_of_the_worked_case_is_valid() -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    part = {"$ref": "#/$defs/finding", "$defs": schema["$defs"]}
    check = jsonschema.Draft202012Validator(part)
    pinned = Ruling("over_turn", Say.PRESENT, "plain to see")
    found = explain_findings(seen(SCENARIO), rulings=[pinned])
    assert found.findings
    for one in found.findings:
        told = _finding(one)
        check.validate(told)
        assert told["evidence"]
    first = _finding(found.findings[0])
    assert (first["name"], first["role"]) == ("over_turn", "cause")
    assert first["rulings"] == [{"say": "present", "reason": "plain to see", "by": "coach"}]
