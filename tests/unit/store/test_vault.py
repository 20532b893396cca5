"""Files by their content: once, whole, and never by a name from outside."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from causeline.errors import OutputError, StoreError
from causeline.store.vault import Vault

SWING = b"a swing" * 1000


def test_what_is_kept_comes_back_under_its_checksum(tmp_path: Path) -> None:
    vault = Vault(tmp_path / "kept")
    key = vault.keep(SWING)
    assert key == hashlib.sha256(SWING).hexdigest()
    assert (vault.read(key), vault.size(key), vault.has(key)) == (SWING, len(SWING), True)
    assert list(vault.keys()) == [key]


def test_the_same_file_is_kept_once(tmp_path: Path) -> None:
    vault = Vault(tmp_path)
    source = tmp_path / "clip.mp4"
    source.write_bytes(SWING)
    assert vault.keep(source) == vault.keep(SWING)
    assert len(list(vault.keys())) == 1


def test_a_damaged_file_is_told_and_mended_by_keeping_it_again(tmp_path: Path) -> None:
    vault = Vault(tmp_path)
    key = vault.keep(SWING)
    Path(vault.path(key)).write_bytes(b"cut")
    assert not vault.is_sound(key)
    with pytest.raises(StoreError, match="is not what was stored"):
        vault.read(key)
    vault.keep(SWING)
    assert vault.is_sound(key)


def test_half_written_files_are_found_and_swept(tmp_path: Path) -> None:
    vault = Vault(tmp_path)
    key = vault.keep(SWING)
    Path(vault.path(key)).with_name(f".{key}.0.part").write_bytes(b"half")
    assert (len(list(vault.leftovers())), vault.sweep(), list(vault.leftovers())) == (1, 1, [])
    assert list(vault.keys()) == [key]


def test_a_file_that_is_gone_is_told(tmp_path: Path) -> None:
    vault = Vault(tmp_path)
    key = vault.keep(SWING)
    vault.remove(key)
    vault.remove(key)
    with pytest.raises(StoreError, match="is not there"):
        vault.open(key)
    with pytest.raises(StoreError, match="is not there"), vault.on_disk(key):
        pass


@pytest.mark.parametrize("key", ["../../etc/passwd", "", "A" * 64, "0" * 63])
def test_names_never_become_paths(tmp_path: Path, key: str) -> None:
    with pytest.raises(ValueError, match="64 hexadecimal digits"):
        Vault(tmp_path).path(key)


def test_a_vault_in_memory_works_the_same() -> None:
    vault = Vault("memory://kept")
    key = vault.keep(SWING)
    with vault.on_disk(key) as path:
        assert path.read_bytes() == SWING


def test_a_place_that_cannot_be_a_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="could not be kept"):
        Vault(tmp_path / "file" / "kept")
