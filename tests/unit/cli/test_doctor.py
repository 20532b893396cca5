"""The doctor says what is wrong around the workbench, and what mends it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from causeline.cli.doctor import _consent, _retention, _signing_in, _workbench
from causeline.errors import StoreError
from causeline.model.access import Kept, Role
from causeline.model.library import Purpose
from causeline.store.library import Library, load_library
from causeline.store.library_access import save_account, save_password
from causeline.store.library_consent import save_consent
from causeline.store.library_people import save_golfer
from causeline.store.library_retention import save_let_go, save_retention
from tests.shelf import a_clip, a_coach, a_golfer

WORDS = "slow water over old stones"


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """An empty one, in a folder."""
    opened = load_library(tmp_path / "place")
    yield opened
    opened.close()


def place(library: Library) -> str:
    """Where it is."""
    return str(Path(library.vault.root).parent)


def test_who_cannot_sign_in_is_told(library: Library) -> None:
    chief = a_coach(library, "Maren Oakes")
    assert "nobody is asked" in _signing_in(place(library), None)
    save_password(library, chief.id, WORDS)
    other = a_coach(library, "Tam Birk")
    with pytest.raises(StoreError, match="1 of 2 coaches cannot sign in"):
        _signing_in(place(library), None)
    save_password(library, other.id, WORDS)
    assert "2 coaches, 1 of them" in _signing_in(place(library), None)
    save_account(library, chief.id, Role.ALL)
    with pytest.raises(StoreError, match="nobody here has the role"):
        _signing_in(place(library), None)


def test_a_junior_without_a_guardian_s_word_is_told(library: Library) -> None:
    golfer = a_golfer(library)
    a_clip(library, golfer)
    assert _consent(place(library), None) == "no juniors"
    junior = replace(golfer.golfer, junior=True)
    golfer = save_golfer(library, replace(golfer, golfer=junior, guardian="Asa Brandt"))
    with pytest.raises(StoreError, match="1 of 1 juniors have clips here"):
        _consent(place(library), None)
    save_consent(library, golfer.id, Purpose.ANALYSIS, "Asa Brandt")
    assert "each with a guardian's word" in _consent(place(library), None)


def test_what_is_kept_too_long_is_told(library: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    later = library.now() + timedelta(days=40)
    a_clip(library, a_golfer(library))
    assert "no rules" in _retention(place(library), None)
    save_retention(library, Kept.CLIP, 30, "coach")
    assert "clips 30 days" in _retention(place(library), None)
    monkeypatch.setattr("causeline.store.library._utc_now", lambda: later)
    with pytest.raises(StoreError, match="1 things are kept longer"):
        _retention(place(library), None)
    library.now = lambda: later
    save_let_go(library, "coach")
    assert "clips 30 days" in _retention(place(library), None)


def test_the_front_end_is_asked_for(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert "front end built" in _workbench()
    monkeypatch.setattr("causeline.web.show.BUILT", tmp_path)
    with pytest.raises(StoreError, match="front end lacks"):
        _workbench()
