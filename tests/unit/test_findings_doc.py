"""docs/faults.md is what the tables say, word for word."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

from causeline.findings.catalogue import FAULTS
from causeline.findings.graph import ARROWS

ROOT = Path(__file__).parents[2]


def _tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "write_findings_doc", ROOT / "tools" / "write_findings_doc.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_committed_page_is_the_generated_one() -> None:
    assert _tool().main(["--check"]) == 0, "run tools/write_findings_doc.py"


def test_every_fault_and_every_arrow_is_on_the_page() -> None:
    page = (ROOT / "docs" / "faults.md").read_text(encoding="utf-8")
    for fault in FAULTS:
        assert f'<a id="{fault.name}"></a>' in page
        assert fault.looks in page
    for arrow in ARROWS:
        assert arrow.why in page
