"""Settings of all tests."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from hypothesis import settings

from causeline.store import library_access
from tests.workbench import empty_desk, empty_web, scenario_desk, scenario_template, web, workbench

__all__ = [
    "empty_desk",
    "empty_web",
    "quick_passwords",
    "scenario_desk",
    "scenario_template",
    "scratch",
    "web",
    "workbench",
]

# A busy machine is no failure: examples have no deadline, and the same run gives the same answer.
settings.register_profile("causeline", deadline=None, derandomize=True)
settings.load_profile("causeline")


@pytest.fixture
def scratch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for passing files of this test alone: in the machine's, other tests come and go."""
    folder = tmp_path / "scratch"
    folder.mkdir()
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


@pytest.fixture
def quick_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords that take no time to check: the real way takes 64 MiB and a tenth of a second."""
    quick = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    monkeypatch.setattr(library_access, "_hasher", lambda: quick)
