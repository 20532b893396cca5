"""Faults told on the command line, and the chain in lines of text."""

from __future__ import annotations

import re

import click
import pytest

from causeline.cli.findings import NOTHING, lines_of, rulings_of
from causeline.findings import explain_findings
from causeline.model.findings import Ruling, Say
from tests.unit.findings.swings import SCENARIO, seen


def test_rulings_say_what_why_and_by_whom() -> None:
    told = rulings_of(("slice = every drive, he says",), ("over_turn=she is that supple",))
    assert told == (
        Ruling("slice", Say.PRESENT, "every drive, he says", "golfer"),
        Ruling("over_turn", Say.ABSENT, "she is that supple", "coach"),
    )


@pytest.mark.parametrize("text", ["tea=why not", "slice", "slice=", "=because"])
def test_another_form_is_refused_with_the_faults(text: str) -> None:
    with pytest.raises(click.BadParameter, match=r"FAULT=REASON.*over_turn"):
        rulings_of((text,), ())


def test_the_chain_is_one_line_each_with_effects_set_in() -> None:
    lines = list(lines_of(explain_findings(seen(SCENARIO))))
    assert re.fullmatch(r"Over-turn \(the cause, \d\d in 100\)", lines[0])
    assert all(line.startswith("  ") for line in lines[1:])


def test_a_sound_swing_says_so_and_one_not_judged_says_nothing() -> None:
    assert list(lines_of(explain_findings(seen()))) == [NOTHING]
    assert list(lines_of(None)) == []


def test_what_was_struck_is_told_with_its_reason() -> None:
    struck = rulings_of((), ("over_turn=she is that supple",))
    lines = list(lines_of(explain_findings(seen(SCENARIO), rulings=struck)))
    assert lines[-1] == "Struck by the coach: over turn (she is that supple)"
