"""Signing in: what is kept gives nothing away, and what is over does not open any more."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from causeline.cli.doctor import _library, _room
from causeline.errors import SettingError, StoreError
from causeline.model.access import Passkey, Role
from causeline.model.library import Coach, new_id
from causeline.store.library import Library, load_library
from causeline.store.library_access import (
    GRACE,
    IDLE,
    INVITED,
    LASTS,
    TURNS,
    load_accounts,
    load_invite,
    load_locked,
    load_passkey,
    load_passkeys,
    load_role,
    load_sessions,
    load_signed_in,
    load_with_password,
    save_account,
    save_invite,
    save_invited,
    save_passkey,
    save_passkey_removed,
    save_passkey_used,
    save_password,
    save_session,
    save_session_ended,
    save_sessions_ended,
)
from causeline.store.library_people import save_coach
from causeline.store.tables import METADATA
from tests.databases import fresh_database

pytestmark = pytest.mark.usefixtures("quick_passwords")
WORDS = "slow water over old stones"
THEN = datetime(2026, 4, 6, 9, 30, tzinfo=UTC)


class Clock:
    """The time of day, moved by hand."""

    def __init__(self) -> None:
        self.now = THEN

    def __call__(self) -> datetime:
        """What it shows."""
        return self.now


@pytest.fixture
def clock() -> Clock:
    """At half past nine."""
    return Clock()


@pytest.fixture
def held(database_url: str, tmp_path: Path, clock: Clock) -> Iterator[Library]:
    """A library whose time stands still."""
    library = load_library(database_url, tmp_path / "files", now=clock)
    yield library
    library.close()


def a_coach(library: Library, name: str = "Maren Oakes", password: str = WORDS) -> Coach:
    """A coach who can sign in."""
    coach = save_coach(
        library, Coach(new_id(), name, f"{name.split()[0].lower()}@fernhill.example")
    )
    if password:
        save_password(library, coach.id, password)
    return coach


def everything(library: Library) -> str:
    """Every row, as text."""
    with library.database.reading() as connection:
        return "".join(
            str(row) for t in METADATA.sorted_tables for row in connection.execute(select(t))
        )


def test_a_password_opens_by_name_or_mail_and_no_other_does(held: Library) -> None:
    coach = a_coach(held)
    for name in ("Maren Oakes", " maren OAKES ", "maren@fernhill.example"):
        assert load_with_password(held, name, WORDS) == coach
    for name, word in (("Maren Oakes", WORDS + "!"), ("Runa Veld", WORDS), ("", WORDS), ("x", "")):
        assert load_with_password(held, name, word) is None


def test_a_name_that_two_bear_opens_nothing(held: Library) -> None:
    a_coach(held)
    a_coach(held)
    assert load_with_password(held, "Maren Oakes", WORDS) is None


def test_what_is_kept_gives_nothing_away(held: Library, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()  # the real hash, which takes its time
    coach = a_coach(held)
    _, session = save_session(held, coach.id)
    _, invite = save_invite(held, coach.id)
    kept = everything(held)
    assert "$argon2id$v=19$m=65536,t=3,p=4$" in kept  # RFC 9106, section 4, second choice
    for secret in (WORDS, session, invite):
        assert secret not in kept
        assert len(secret) >= 15


def test_the_doctor_names_the_database_without_its_password(
    postgres: str, postgres_with_schema: str, tmp_path: Path
) -> None:
    """Its words are what one sends to somebody who helps."""
    url = fresh_database(postgres, postgres_with_schema).replace("tester@", "tester:s3cret-words@")
    files = str(tmp_path / "files")
    said = _library(url, files)
    assert said.startswith("postgresql+psycopg://tester:***@")
    assert "s3cret" not in said
    assert _room(url, files).endswith(f"free at {files}")


def test_the_same_letters_typed_another_way_open_too(held: Library) -> None:
    """Composed and decomposed letters are the same password (NIST SP 800-63B, Unicode)."""
    coach = a_coach(held, password="gr\u00fcne Wiesen am Hang")
    assert load_with_password(held, coach.name, "gru\u0308ne Wiesen am Hang") == coach


@pytest.mark.parametrize("word", ["short", "a" * 40, "x" * 1001, ""])
def test_a_password_that_is_too_plain_is_refused(held: Library, word: str) -> None:
    coach = a_coach(held, password="")
    with pytest.raises(SettingError, match="Take four or five words"):
        save_password(held, coach.id, word)
    assert not load_locked(held)


def test_the_first_account_looks_after_the_others(held: Library) -> None:
    first, second = a_coach(held), a_coach(held, "Runa Veld")
    assert (load_role(held, first.id), load_role(held, second.id)) == (
        Role.ADMINISTRATION,
        Role.OWN,
    )
    third = save_coach(held, Coach(new_id(), "Tam Birk"))
    save_account(held, third.id, Role.ALL)
    save_password(held, third.id, WORDS)
    assert load_role(held, third.id) is Role.ALL
    save_account(held, second.id, Role.ALL)
    assert [account and account.role for _, account in load_accounts(held)] == [
        Role.ADMINISTRATION,
        Role.ALL,
        Role.ALL,
    ]
    assert load_with_password(held, "Runa Veld", WORDS) == second


def test_a_session_holds_and_its_secret_turns(held: Library, clock: Clock) -> None:
    coach = a_coach(held)
    session, secret = save_session(held, coach.id)
    signed = load_signed_in(held, secret)
    assert signed is not None
    assert (signed.coach, signed.role, signed.secret) == (coach, Role.ADMINISTRATION, "")
    clock.now += TURNS + timedelta(seconds=1)
    turned = load_signed_in(held, secret)
    assert turned is not None
    assert len(turned.secret) == 43
    assert load_signed_in(held, turned.secret) is not None
    clock.now += GRACE / 2
    assert load_signed_in(held, secret) is not None, "a page that asked at the same time"
    clock.now += GRACE
    assert load_signed_in(held, secret) is None
    assert load_signed_in(held, turned.secret) is not None
    assert [each.id for each in load_sessions(held, coach.id)] == [session.id]


def test_pages_that_ask_at_once_turn_a_session_once(held: Library, clock: Clock) -> None:
    _, secret = save_session(held, a_coach(held).id)
    clock.now += 2 * TURNS
    start, found = threading.Barrier(6), []

    def ask() -> None:
        start.wait()
        found.append(load_signed_in(held, secret))

    threads = [threading.Thread(target=ask) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert all(found)
    assert len([one for one in found if one is not None and one.secret]) == 1


@pytest.mark.parametrize("after", [IDLE, LASTS])
def test_a_session_ends_by_itself(held: Library, clock: Clock, after: timedelta) -> None:
    _, secret = save_session(held, a_coach(held).id)
    if after is LASTS:
        while clock.now < THEN + LASTS:
            clock.now += IDLE / 2
            signed = load_signed_in(held, secret)
            secret = signed.secret or secret if signed else secret
    clock.now += IDLE + timedelta(seconds=1)
    assert load_signed_in(held, secret) is None


def test_a_clock_that_is_set_back_signs_nobody_out(held: Library, clock: Clock) -> None:
    _, secret = save_session(held, a_coach(held).id)
    clock.now -= timedelta(days=400)
    assert load_signed_in(held, secret) is not None


def test_what_ends_sessions(held: Library) -> None:
    coach = a_coach(held)
    session, secret = save_session(held, coach.id)
    save_session_ended(held, session.id)
    assert load_signed_in(held, secret) is None
    _, secret = save_session(held, coach.id)
    save_password(held, coach.id, WORDS + " again")
    assert load_signed_in(held, secret) is None
    _, secret = save_session(held, coach.id)
    assert save_sessions_ended(held, coach.id) == 1
    assert load_signed_in(held, secret) is None
    _, secret = save_session(held, coach.id)
    save_coach(held, replace(coach, active=False))
    assert load_signed_in(held, secret) is None
    assert load_with_password(held, coach.name, WORDS + " again") is None
    assert not load_locked(held)


def test_an_invitation_is_good_once_and_for_three_days(held: Library, clock: Clock) -> None:
    coach = a_coach(held, password="")
    _, secret = save_invite(held, coach.id)
    with pytest.raises(SettingError):
        save_invited(held, secret, "short")
    assert load_invite(held, secret)[1] == coach
    assert save_invited(held, secret, WORDS) == coach
    assert load_with_password(held, coach.name, WORDS) == coach
    _, late = save_invite(held, coach.id)
    clock.now += INVITED
    for old in (secret, late, "x" * 43, ""):
        with pytest.raises(StoreError, match="not good any more"):
            save_invited(held, old, WORDS)


def test_passkeys_open_for_their_coach(held: Library) -> None:
    coach, other = a_coach(held, password=""), a_coach(held, "Runa Veld", "")
    one = Passkey(new_id(), coach.id, "Y3JlZA", "a2V5", 0, "phone", THEN)
    save_passkey(held, one)
    assert load_locked(held)
    assert load_role(held, coach.id) is Role.ADMINISTRATION
    save_passkey_used(held, one.id, 7)
    found = load_passkey(held, "Y3JlZA")
    assert found is not None
    assert (found[0].sign_count, found[0].used_at, found[1]) == (7, THEN, coach)
    with pytest.raises(StoreError):
        save_passkey(held, replace(one, id=new_id(), coach=other.id))
    save_passkey_removed(held, one.id, other.id)
    assert len(load_passkeys(held, coach.id)) == 1
    save_passkey_removed(held, one.id, coach.id)
    assert load_passkey(held, "Y3JlZA") is None


def test_who_was_added_with_a_role_and_signs_in_first_looks_after_the_others(
    held: Library,
) -> None:
    """As `causeline coach add` and then `coach password` do."""
    coach = save_coach(held, Coach(new_id(), "Maren Oakes"))
    save_account(held, coach.id, Role.OWN)
    assert save_password(held, coach.id, WORDS).role is Role.ADMINISTRATION
