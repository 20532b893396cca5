"""`causeline mail`: nothing goes out unasked, nothing twice, and nothing after a stop."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from click.testing import CliRunner, Result

from causeline.cli import main
from causeline.cli import place as cli_place
from causeline.model.library import Coach, new_id
from causeline.store.lesson_file import load_lesson_dict
from causeline.store.library import load_library
from causeline.store.library_people import save_coach, save_golfer
from tests.kept_course import a_golfer_named, a_sent_lesson


class Inbox:
    """Keeps to whom mail came."""

    def __init__(self) -> None:
        self.came: list[str] = []

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        self.came += envelope.rcpt_tos
        return "250 OK"


@pytest.fixture
def inbox() -> Iterator[tuple[Inbox, str]]:
    box = Inbox()
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    controller = Controller(box, hostname="127.0.0.1", port=port)
    controller.start()
    yield box, f"smtp://127.0.0.1:{port}"
    controller.stop()


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library with one golfer, whose second practice is today."""
    folder = tmp_path / "library"
    library = load_library(folder)
    coach = save_coach(library, Coach(new_id(), "Maren Oakes", "maren@example.org"))
    lesson = a_sent_lesson(library, a_golfer_named(library, coach.id, "Ivo"))
    now = load_lesson_dict(lesson.content).sessions[1].starts - timedelta(hours=8)
    library.close()
    monkeypatch.setattr(
        cli_place, "load_library", lambda at, files: load_library(at, files, now=lambda: now)
    )
    return folder


def _run(folder: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["mail", *words, "--library", str(folder)])


def test_nobody_is_written_to_unasked(place: Path) -> None:
    assert "0 letters due" in _run(place, "due").output


def test_without_send_a_letter_is_only_shown(place: Path, inbox: tuple[Inbox, str]) -> None:
    _run(place, "allow", "Ivo", "ivo@example.org", "--by", "Ivo")
    shown = _run(place, "due", "--server", inbox[1], "--address", "https://golf.example")
    assert shown.exit_code == 0
    assert "List-Unsubscribe-Post: List-Unsubscribe=One-Click" in shown.output
    assert "https://golf.example/g/stop/" in shown.output
    assert "1 letter due; nothing was sent." in shown.output
    assert inbox[0].came == []


def test_sent_once_and_not_again(place: Path, inbox: tuple[Inbox, str]) -> None:
    _run(place, "allow", "Ivo", "ivo@example.org", "--by", "Ivo")
    for _ in range(2):
        assert _run(place, "due", "--send", "--server", inbox[1]).exit_code == 0
    assert inbox[0].came == ["ivo@example.org"]


def test_a_stop_holds_at_once(place: Path, inbox: tuple[Inbox, str]) -> None:
    _run(place, "allow", "Ivo", "ivo@example.org", "--by", "Ivo")
    assert "not written to any more" in _run(place, "stop", "Ivo").output
    _run(place, "due", "--send", "--server", inbox[1])
    assert inbox[0].came == []


def test_a_server_that_does_not_answer_leaves_the_letter_due(place: Path) -> None:
    _run(place, "allow", "Ivo", "ivo@example.org", "--by", "Ivo")
    lost = _run(place, "due", "--send", "--server", "smtp://127.0.0.1:9")
    assert lost.exit_code == 5
    assert "1 letter due" in _run(place, "due").output


@pytest.mark.parametrize("address", ["ivo", "a@b.org\nBcc: c@d.org"])
def test_what_is_no_address_is_refused(place: Path, address: str) -> None:
    refused = _run(place, "allow", "Ivo", address, "--by", "Ivo")
    assert refused.exit_code == 2
    assert "0 letters due" in _run(place, "due").output


def test_a_junior_does_not_agree_alone(tmp_path: Path) -> None:
    library = load_library(tmp_path)
    coach = save_coach(library, Coach(new_id(), "Maren Oakes"))
    junior = a_golfer_named(library, coach.id, "Lia")
    save_golfer(library, replace(junior, golfer=replace(junior.golfer, junior=True)))
    library.close()
    assert _run(tmp_path, "allow", "Lia", "lia@example.org", "--by", "Lia").exit_code == 2
    assert _run(tmp_path, "allow", "Lia", "mum@example.org", "--by", "Her mother").exit_code == 0
