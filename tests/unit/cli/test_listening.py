"""Who could come in is asked for a password, and passwords are not read on the way."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from causeline.cli import main
from causeline.cli.listening import Listening
from causeline.errors import SettingError
from causeline.store.library import Library, load_library
from causeline.store.library_access import load_with_password, save_password
from causeline.store.library_people import load_audit, load_coaches
from tests.shelf import a_coach

WORDS = "slow water over old stones"
PEM = Path("certificate.pem")


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """An empty one, in a folder."""
    opened = load_library(tmp_path / "place")
    yield opened
    opened.close()


def ways(**changed: Any) -> Listening:
    """As `causeline serve` with these options."""
    plain: dict[str, Any] = {
        "host": "127.0.0.1", "port": 0, "names": (), "behind": (), "certificate": None,
        "key": None, "without_tls": False,
    }  # fmt: skip
    return Listening(**{**plain, **changed})


BEYOND = (
    {"host": "0.0.0.0"},
    {"host": "192.0.2.7"},
    {"host": "::"},
    {"behind": ("127.0.0.1",)},
    {"names": ("swing.example.org",)},
)


@pytest.mark.parametrize("changed", BEYOND)
def test_beyond_this_machine_it_does_not_listen_without_a_password(
    library: Library, changed: dict[str, Any]
) -> None:
    a_coach(library)
    with pytest.raises(SettingError, match="causeline coach password NAME"):
        ways(**changed, without_tls=True).check(library)


@pytest.mark.parametrize("changed", BEYOND)
def test_beyond_this_machine_it_needs_tls_a_proxy_or_a_word(
    library: Library, changed: dict[str, Any]
) -> None:
    save_password(library, a_coach(library).id, WORDS)
    if "behind" not in changed:
        with pytest.raises(SettingError, match="without TLS"):
            ways(**changed).check(library)
    for enough in ({"without_tls": True}, {"certificate": PEM}, {"behind": ("192.0.2.1",)}):
        listening = ways(**{**changed, **enough})
        listening.check(library)
        assert listening.policy.always
        assert listening.policy.secure is not listening.without_tls


def test_on_this_machine_alone_one_coach_needs_nothing(library: Library) -> None:
    for host in ("127.0.0.1", "::1", "localhost", "127.3.2.1"):
        ways(host=host).check(library)
        assert not ways(host=host).policy.always
    a_coach(library)
    a_coach(library, "Tam Birk")
    with pytest.raises(SettingError, match="several coaches teach here"):
        ways().check(library)
    save_password(library, load_coaches(library)[0].id, WORDS)
    ways().check(library)


def test_only_a_proxy_that_is_named_is_believed() -> None:
    assert not ways().uvicorn["proxy_headers"]
    behind = ways(behind=("192.0.2.1",)).uvicorn
    assert (behind["proxy_headers"], behind["forwarded_allow_ips"]) == (True, ["192.0.2.1"])


def test_a_port_that_is_taken_is_told() -> None:
    taken = socket.create_server(("127.0.0.1", 0))
    with taken, pytest.raises(SettingError, match="cannot be had"):
        ways(port=taken.getsockname()[1]).open()


def test_coaches_from_the_command_line(tmp_path: Path) -> None:
    at = ["--library", str(tmp_path / "place")]
    run = CliRunner().invoke
    assert run(main, ["coach", "add", "Maren Oakes", *at]).exit_code == 0
    assert run(main, ["coach", "add", "maren oakes", *at]).exit_code == 2
    told = run(main, ["coach", "password", "Maren Oakes", *at], input=f"{WORDS}\n{WORDS}\n")
    assert told.exit_code == 0
    assert WORDS not in told.output
    assert run(main, ["coach", "password", "Maren Oakes", "--stdin", *at], "short\n").exit_code == 2
    assert run(main, ["coach", "add", "Tam Birk", "--role", "all golfers", *at]).exit_code == 0
    assert run(main, ["coach", "role", "Tam Birk", "own golfers", *at]).exit_code == 0
    assert run(main, ["coach", "invite", "Tam Birk", *at]).output.startswith("/welcome/")
    assert run(main, ["coach", "close", "Tam Birk", *at]).exit_code == 0
    missing = run(main, ["coach", "close", "Nobody", *at])
    assert missing.exit_code == 2
    assert "here teach: Maren Oakes, Tam Birk" in " ".join(missing.output.split())
    listed = run(main, ["coach", "list", *at]).output
    assert "no longer let in" in listed
    library = load_library(tmp_path / "place")
    assert load_with_password(library, "Maren Oakes", WORDS) is not None
    assert {line.who for line in load_audit(library)} == {"command line"}
    library.close()


def test_serve_says_what_is_missing_before_it_listens(tmp_path: Path) -> None:
    told = CliRunner().invoke(
        main, ["serve", "--host", "0.0.0.0", "--library", str(tmp_path / "place")]
    )
    assert told.exit_code == 2
    assert "nobody has a password yet" in " ".join(told.output.split())
