"""Letters handed to a real SMTP server on this machine (aiosmtpd), with and without TLS."""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from causeline.errors import OutputError, SettingError
from causeline.model.reminders import Letter
from causeline.sources.mail import (
    MailServer,
    Sender,
    decode_server,
    encode_mail,
    send_mail,
)

AT = datetime(2026, 4, 9, 7, tzinfo=UTC)
COACH = Sender("maren@example.org", "Maren Oakes")
LETTER = Letter(
    key="practice:1", golfer="g", to="ivo@example.org", subject="Übung 2: Das ruhige Knie",
    lines=("Hallo Ivo,", "Heute ist eine kurze Übung dran."), language="de",
    stop_at="https://golf.example/g/stop/abc",
)  # fmt: skip


class Inbox:
    """Keeps what is delivered; refuses one address."""

    def __init__(self) -> None:
        self.mails: list[EmailMessage] = []
        self.secure: list[bool] = []

    async def handle_RCPT(  # the library's own spelling
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        if address.startswith("nobody@"):
            return "550 no such user"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        mail = message_from_bytes(envelope.content, policy=policy.default)
        assert isinstance(mail, EmailMessage)
        self.mails.append(mail)
        self.secure.append(session.ssl is not None)
        return "250 OK"


def _let_in(server: Any, session: Any, envelope: Any, mechanism: str, data: Any) -> AuthResult:
    known = (data.login, data.password) == (b"maren", b"right word")
    return AuthResult(success=known, handled=False)


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A certificate for this machine, signed by itself, with its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(datetime.now(UTC) - timedelta(days=1))
        .not_valid_after(datetime.now(UTC) + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .sign(key, hashes.SHA256())
    )
    path = tmp_path_factory.mktemp("tls") / "here.pem"
    private = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    path.write_bytes(private + made.public_bytes(serialization.Encoding.PEM))
    return path


@pytest.fixture
def inbox() -> Inbox:
    return Inbox()


@pytest.fixture
def plain(inbox: Inbox) -> Iterator[MailServer]:
    controller = Controller(inbox, hostname="localhost", port=_free())
    controller.start()
    yield MailServer("localhost", controller.port, wrapped=False)
    controller.stop()


@pytest.fixture
def locked(inbox: Inbox, certificate: Path) -> Iterator[MailServer]:
    """A server that asks for STARTTLS and a password."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(certificate)
    controller = Controller(
        inbox, hostname="localhost", port=_free(), tls_context=context, require_starttls=True,
        authenticator=_let_in, auth_required=True,
    )  # fmt: skip
    controller.start()
    yield MailServer("localhost", controller.port, "maren", "right word", wrapped=False)
    controller.stop()


def _free() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _send(server: MailServer, *letters: Letter, tls: ssl.SSLContext | None = None) -> list[Any]:
    mails = [(letter.key, encode_mail(letter, COACH, AT)) for letter in letters]
    return list(send_mail(server, mails, tls))


def test_a_letter_arrives_as_it_was_written(plain: MailServer, inbox: Inbox) -> None:
    assert _send(plain, LETTER) == [("practice:1", "")]
    (mail,) = inbox.mails
    assert mail["subject"] == "Übung 2: Das ruhige Knie"
    assert mail["from"] == "Maren Oakes <maren@example.org>"
    assert mail.get_content().splitlines() == [
        "Hallo Ivo,", "", "Heute ist eine kurze Übung dran.",
    ]  # fmt: skip


def test_it_says_how_it_ends_and_that_a_program_sent_it(plain: MailServer, inbox: Inbox) -> None:
    """RFC 8058, 3.1: both headers, an https address; RFC 2369, 3.2: mailto beside it; RFC 3834."""
    _send(plain, LETTER)
    (mail,) = inbox.mails
    assert mail["list-unsubscribe-post"] == "List-Unsubscribe=One-Click"
    assert mail["list-unsubscribe"].strip() == (
        "<https://golf.example/g/stop/abc>, <mailto:maren@example.org?subject=stop>"
    )
    assert mail["auto-submitted"] == "auto-generated"


def test_one_server_that_fails_one_address_takes_the_others(
    plain: MailServer, inbox: Inbox
) -> None:
    nobody = replace(LETTER, key="2", to="nobody@example.org")
    third = replace(LETTER, key="3")
    told = _send(plain, LETTER, nobody, third)
    assert told == [("practice:1", ""), ("2", "the address was refused"), ("3", "")]
    assert len(inbox.mails) == 2


def test_password_and_letter_go_through_tls(
    locked: MailServer, inbox: Inbox, certificate: Path
) -> None:
    tls = ssl.create_default_context(cafile=str(certificate))
    assert _send(locked, LETTER, tls=tls) == [("practice:1", "")]
    assert inbox.secure == [True]


def test_a_server_that_nobody_vouches_for_gets_nothing(locked: MailServer, inbox: Inbox) -> None:
    with pytest.raises(OutputError, match="did not take the mail"):
        _send(locked, LETTER)
    assert inbox.mails == []


def test_a_wrong_password_is_told_and_not_shown(
    locked: MailServer, inbox: Inbox, certificate: Path
) -> None:
    tls = ssl.create_default_context(cafile=str(certificate))
    wrong = replace(locked, password="wrong word")
    with pytest.raises(OutputError, match="user or password were refused") as caught:
        _send(wrong, LETTER, tls=tls)
    assert "wrong word" not in f"{caught.value} {wrong!r}"


def test_nothing_goes_in_clear_to_another_machine(
    plain: MailServer, inbox: Inbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server is this one, by a name that is not known to be here."""
    monkeypatch.setattr("causeline.sources.mail.HERE", ())
    with pytest.raises(OutputError, match="STARTTLS"):
        _send(plain, LETTER)
    assert inbox.mails == []


def test_a_server_that_does_not_answer_is_told() -> None:
    with pytest.raises(OutputError, match="did not take the mail"):
        _send(MailServer("localhost", _free(), wrapped=False), LETTER)


def test_no_header_can_be_written_into_a_subject() -> None:
    evil = replace(LETTER, subject="Hello\r\nBcc: all@example.org")
    mail = encode_mail(evil, COACH, AT)
    assert mail["bcc"] is None
    assert mail["subject"] == "Hello Bcc: all@example.org"


def test_the_same_letter_has_the_same_message_id() -> None:
    """So that a server that takes it twice may tell (RFC 5322, 3.6.4: unique for each message)."""
    one, two = (encode_mail(LETTER, COACH, AT + timedelta(hours=h)) for h in (0, 1))
    assert one["message-id"] == two["message-id"]


@pytest.mark.parametrize(
    ("address", "server"),
    [
        ("smtps://mail.example.org", MailServer("mail.example.org", 465)),
        ("smtp://m%40x.org@mail.org", MailServer("mail.org", 587, "m@x.org", "", wrapped=False)),
        ("smtp://u:p@localhost:2525", MailServer("localhost", 2525, "u", "p", wrapped=False)),
    ],
)  # fmt: skip
def test_a_server_is_named_by_its_address(address: str, server: MailServer) -> None:
    assert decode_server(address) == server


@pytest.mark.parametrize("address", ["", "mail.example.org", "http://x", "smtps://", "smtp://h:p"])
def test_what_names_no_server_is_refused(address: str) -> None:
    with pytest.raises(SettingError, match="smtps://user@host"):
        decode_server(address)
