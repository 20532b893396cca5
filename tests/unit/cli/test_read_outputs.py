"""What becomes of a reading when one of its files cannot be written."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from causeline.errors import OutputError

command = import_module("causeline.cli.read")
"""The module; the package gives the command of that name."""
RESULT: Any = SimpleNamespace(reading="the reading")


def test_a_full_disk_for_one_file_loses_no_other(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def full(*_: object) -> None:
        raise OutputError("the disk is full")

    written: list[Path] = []
    monkeypatch.setattr(command, "save_reading", full)
    monkeypatch.setattr(command, "write_page", lambda _, path: written.append(path))
    (failure,) = command._failures(RESULT, tmp_path / "swing.json", tmp_path / "swing.html")
    assert "the disk is full" in str(failure)
    assert written == [tmp_path / "swing.html"]


def test_nothing_is_written_that_was_not_asked_for() -> None:
    assert list(command._failures(RESULT, None, None)) == []


def test_a_device_is_not_replaced_by_a_file() -> None:
    with pytest.raises(OutputError, match="no ordinary file"):
        command._check_folder(Path("/dev/null"))
