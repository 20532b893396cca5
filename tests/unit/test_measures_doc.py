"""docs/measures.md is what the catalogue says, word for word."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

from causeline.measures.catalogue import CATALOGUE

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "measures.md").read_text(encoding="utf-8")


def _tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "write_measures_doc", ROOT / "tools" / "write_measures_doc.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_committed_page_is_the_generated_one() -> None:
    assert _tool().render_page() == PAGE, "run tools/write_measures_doc.py"


def test_every_measure_is_on_the_page() -> None:
    for spec in CATALOGUE:
        assert f"`{spec.name}`" in PAGE
        assert spec.zero in PAGE
        assert spec.degenerate in PAGE


def test_checking_writes_nothing() -> None:
    assert _tool().main(["--check"]) == 0
