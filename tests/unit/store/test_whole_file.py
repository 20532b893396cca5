from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import NoReturn

import pytest

from causeline.errors import OutputError
from causeline.store.whole_file import save_whole


def _fail(code: int) -> NoReturn:
    raise OSError(code, os.strerror(code))


def test_a_file_is_written_and_written_over(tmp_path: Path) -> None:
    target = tmp_path / "reading.json"
    save_whole(target, b"first")
    save_whole(target, b"second")
    assert target.read_bytes() == b"second"
    assert list(tmp_path.iterdir()) == [target]


def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "reading.json"
    target.write_bytes(b"before")
    monkeypatch.setattr(os, "fsync", lambda _: _fail(errno.ENOSPC))
    with pytest.raises(OutputError, match="no space left on device") as caught:
        save_whole(target, b"after")
    assert isinstance(caught.value, OSError)
    assert caught.value.exit_code == 5
    assert "Make room on the disk" in str(caught.value)
    assert list(tmp_path.iterdir()) == [target]
    assert target.read_bytes() == b"before"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_disk_that_is_really_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "with_name", lambda *_: Path("/dev/full"))
    monkeypatch.setattr(Path, "unlink", lambda *_: None)
    with pytest.raises(OutputError):
        save_whole(tmp_path / "reading.json", b"x" * 100_000)


def test_a_folder_that_is_not_there_is_named_with_the_remedy(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="Make the folder first"):
        save_whole(tmp_path / "nowhere" / "reading.json", b"x")


def test_a_folder_in_the_file_s_place_is_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "reading.json").mkdir()
    with pytest.raises(OutputError, match="give the name of a file"):
        save_whole(tmp_path / "reading.json", b"x")
    assert [path.name for path in tmp_path.iterdir()] == ["reading.json"]
