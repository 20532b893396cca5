"""Files in a bucket, against a real S3 server (moto's), and a library whose files are there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import boto3
import pytest
import s3fs
from bench.puppet_reader import read_all, the_golfer
from moto.server import ThreadedMotoServer

from causeline.errors import OutputError, StoreError
from causeline.store.backup import load_backup, save_backup
from causeline.store.database import Database
from causeline.store.library import load_library
from causeline.store.library_clips import load_clips
from causeline.store.library_readings import load_reading_content, load_reading_of
from causeline.store.library_removal import save_golfer_removed
from causeline.store.vault import Vault
from causeline.store.verify import Trouble, load_findings, save_mended

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")


@pytest.fixture
def bucket(monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """The URL of an empty bucket."""
    server = ThreadedMotoServer("127.0.0.1", 0)
    server.start()
    host, port = server.get_host_and_port()
    monkeypatch.setenv("AWS_ENDPOINT_URL", f"http://{host}:{port}")
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", "tester")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", "tester")
    monkeypatch.setenv("AWS_DEFAULT_REGION", "us-east-1")
    s3fs.S3FileSystem.clear_instance_cache()
    boto3.client("s3").create_bucket(Bucket="swings")
    yield "s3://swings/library"
    s3fs.S3FileSystem.clear_instance_cache()
    server.stop()


def test_files_in_a_bucket(bucket: str, tmp_path: Path) -> None:
    vault, source = Vault(bucket), tmp_path / "swing.mov"
    source.write_bytes(b"a swing" * 1000)
    key = vault.keep(source)
    assert vault.keep(b"a swing" * 1000) == key
    assert vault.keep(b"another") in set(Vault(bucket).keys())
    assert (vault.size(key), vault.is_sound(key)) == (7000, True)
    with vault.on_disk(key) as path:
        assert path.read_bytes() == b"a swing" * 1000
    assert not path.exists()
    Vault(bucket).remove(key)
    assert not vault.has(key)
    with pytest.raises(StoreError, match="is not there"):
        vault.read(key)


def test_a_bucket_that_is_not_there_is_told(bucket: str) -> None:
    with pytest.raises(OutputError, match="could not be kept"):
        Vault(bucket.replace("swings", "nowhere")).keep(b"a swing")


def test_a_library_with_its_files_in_a_bucket(bucket: str, tmp_path: Path) -> None:
    library = load_library(f"sqlite:///{tmp_path}/library.sqlite", bucket)
    golfer = the_golfer(library)
    read_all(library, golfer, [b"a swing"])
    entry = load_reading_of(library, load_clips(library, golfer.id)[0].sha256)
    assert entry is not None
    assert load_reading_content(library, entry)["clip"]["sha256"]
    library.vault.keep(b"nobody's")
    library.vault.fs.pipe_file(library.vault.path(entry.sha256), b"spoilt!")
    found = load_findings(library)
    assert {each.trouble for each in found.problems} == {Trouble.ORPHAN, Trouble.DAMAGED}
    save_mended(library, found)
    read_all(library, golfer, [b"a swing"])
    assert load_findings(library).problems == ()
    save_backup(library, tmp_path / "backup.tar")
    with contextlib.closing(Database(f"sqlite:///{tmp_path}/again.sqlite")) as database:
        load_backup(tmp_path / "backup.tar", database, Vault(tmp_path / "again"))
    save_golfer_removed(library, golfer.id, "coach")
    assert list(library.vault.keys()) == []
    library.close()
