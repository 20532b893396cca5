"""docs/drills.md and its pictures are what the drills' files say."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

from causeline.store.drill_files import load_drills

ROOT = Path(__file__).parents[2]


def _tool() -> ModuleType:
    path = ROOT / "tools" / "write_drills_doc.py"
    spec = importlib.util.spec_from_file_location("write_drills_doc", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_is_up_to_date() -> None:
    assert _tool().main(["--check"]) == 0, "run tools/write_drills_doc.py"


def test_every_drill_has_its_entry_and_picture() -> None:
    text = (ROOT / "docs" / "drills.md").read_text()
    for drill in load_drills():
        assert f'<a id="{drill.name}"></a>' in text
        assert f"pictures/drills/{drill.name}.svg" in text
        assert (ROOT / "docs" / "pictures" / "drills" / f"{drill.name}.svg").exists()
    assert "{lead}" not in text.split("## All of them")[1]
