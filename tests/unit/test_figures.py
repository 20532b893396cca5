"""The pages that state figures name the tests and commands behind them: these are there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("page", ["operations", "security", "bad-clips"])
def test_every_test_and_command_named_beside_a_figure_is_there(page: str) -> None:
    told = (ROOT / "docs" / f"{page}.md").read_text()
    tests = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", told)
    assert len(tests) > 10
    for path, name in tests:
        assert re.search(rf"^ *def {name}\(", (ROOT / path).read_text(), re.MULTILINE), name
    for module in re.findall(r"python -m bench\.(\w+)", told):
        assert (ROOT / "bench" / f"{module}.py").exists(), module
    for name in re.findall(r"`(CAUSELINE_\w+)=\d+ pytest", told):
        path = re.search(rf"{name}=\d+ pytest (tests/[\w/]+\.py)", told)
        assert path is not None
        assert name in (ROOT / path[1]).read_text()
