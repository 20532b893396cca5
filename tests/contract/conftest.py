"""A library in either database, and the PostgreSQL that tests share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from causeline.store.library import Library, load_library
from tests.databases import cluster, fresh_database


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The URL of a running PostgreSQL, with a place for the database's name."""
    with cluster() as pattern:
        yield pattern


@pytest.fixture(scope="session")
def postgres_with_schema(postgres: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database with the library's schema, to copy."""
    url = fresh_database(postgres)
    load_library(url, tmp_path_factory.mktemp("files")).close()
    return url.split("/")[3].split("?")[0]


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a database of either kind, with nothing in it."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'library.sqlite'}"
    like = request.getfixturevalue("postgres_with_schema")
    return fresh_database(request.getfixturevalue("postgres"), like)


@pytest.fixture
def library(database_url: str, tmp_path: Path) -> Iterator[Library]:
    """An empty library in either database."""
    opened = load_library(database_url, tmp_path / "files")
    yield opened
    opened.close()
