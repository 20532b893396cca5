"""The door to a mail server: letters are set by the standard library and handed over by SMTP.

Every mail says how it ends: a List-Unsubscribe header with an address that is asked by POST alone
(RFC 8058), or by answering. It is marked as sent by a program (RFC 3834), so that machines do not
answer it. Without TLS only a server on this very machine is spoken to.
"""

from __future__ import annotations

import hashlib
import os
import smtplib
import ssl
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime
from urllib.parse import unquote, urlsplit

from causeline.errors import OutputError, SettingError
from causeline.model.reminders import Letter

PASSWORD = "CAUSELINE_SMTP_PASSWORD"  # noqa: S105 - the name of a variable, no password
PORTS = {"smtps": 465, "smtp": 587}
HERE = ("localhost", "127.0.0.1", "::1")
TIMEOUT_S = 20.0


@dataclass(frozen=True, slots=True)
class MailServer:
    """The coach's own server. Holds a password: it is never shown."""

    host: str
    port: int
    user: str = ""
    password: str = field(default="", repr=False)
    wrapped: bool = True
    """TLS from the first byte; else it is asked for (STARTTLS), save on this machine."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who writes."""

    address: str
    name: str = ""


def decode_server(address: str) -> MailServer:
    """A server from `smtps://user@host` or `smtp://user@host:587`.

    The password may stand in the variable CAUSELINE_SMTP_PASSWORD instead.

    Raises SettingError for anything else.
    """
    parts = urlsplit(address)
    try:
        port = parts.port or PORTS.get(parts.scheme, 0)
    except ValueError:
        port = 0
    if parts.scheme not in PORTS or not parts.hostname or not port:
        raise SettingError(
            f"a mail server at {parts.scheme or address[:40]!r} was named",
            "an address such as smtps://user@host or smtp://user@host:587 was expected",
            "ask your mail provider for the address of its SMTP server",
        )
    return MailServer(
        host=parts.hostname,
        port=port,
        user=unquote(parts.username or ""),
        password=unquote(parts.password or "") or os.environ.get(PASSWORD, ""),
        wrapped=parts.scheme == "smtps",
    )


def encode_mail(letter: Letter, sender: Sender, at: datetime) -> EmailMessage:
    """The letter as a message (RFC 5322), its headers on one line each."""
    mail = EmailMessage()
    name, _, host = sender.address.rpartition("@")
    mail["From"] = Address(_line(sender.name), name, host)
    to_name, _, to_host = letter.to.rpartition("@")
    mail["To"] = Address("", to_name, to_host)
    mail["Subject"] = _line(letter.subject)
    mail["Date"] = format_datetime(at)
    mail["Message-ID"] = f"<{hashlib.sha256(letter.key.encode()).hexdigest()[:32]}@{host}>"
    mail["Auto-Submitted"] = "auto-generated"
    mail["Content-Language"] = letter.language
    if letter.stop_at:
        mail["List-Unsubscribe"] = f"<{letter.stop_at}>, <mailto:{sender.address}?subject=stop>"
        mail["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    else:
        mail["List-Unsubscribe"] = f"<mailto:{sender.address}?subject=stop>"
    mail.set_content("\n\n".join(letter.lines) + "\n")
    if letter.calendar:
        mail.add_attachment(
            letter.calendar, maintype="text", subtype="calendar", filename="practice.ics"
        )
    return mail


def send_mail(
    server: MailServer, mails: Iterable[tuple[str, EmailMessage]], tls: ssl.SSLContext | None = None
) -> Iterator[tuple[str, str]]:
    """Hand mails over in one conversation; gives each key, and why it was not taken.

    The reason is empty where it was. `tls` is what a server's certificate is checked with; the
    machine's own authorities where it is left out.

    Raises OutputError where the server cannot be reached, or does not let this user in.
    """
    with _conversation(server, tls or ssl.create_default_context()) as smtp:
        for key, mail in mails:
            try:
                smtp.send_message(mail)
            except smtplib.SMTPServerDisconnected:
                raise
            except smtplib.SMTPException as error:
                yield key, _told(error)
            else:
                yield key, ""


@contextmanager
def _conversation(server: MailServer, tls: ssl.SSLContext) -> Iterator[smtplib.SMTP]:
    try:
        with _opened(server, tls) as smtp:
            if server.user:
                smtp.login(server.user, server.password)
            yield smtp
    except (smtplib.SMTPException, OSError) as error:
        raise OutputError(
            f"the mail server {server.host}:{server.port} did not take the mail ({_told(error)})",
            "a server that answers, with this user and password, was expected",
            f"check its address, the user, and the variable {PASSWORD}",
        ) from error


def _opened(server: MailServer, tls: ssl.SSLContext) -> smtplib.SMTP:
    if server.wrapped:
        return smtplib.SMTP_SSL(server.host, server.port, timeout=TIMEOUT_S, context=tls)
    smtp = smtplib.SMTP(server.host, server.port, timeout=TIMEOUT_S)
    try:
        smtp.ehlo()
        if smtp.has_extn("starttls") or server.host not in HERE:
            smtp.starttls(context=tls)  # raises where the server has none: nothing goes in clear
            smtp.ehlo()
    except BaseException:
        smtp.close()
        raise
    return smtp


def _told(error: Exception) -> str:
    """A reason on one line, without what a server may quote of a password."""
    if isinstance(error, smtplib.SMTPAuthenticationError):
        return "user or password were refused"
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return "the address was refused"
    return _line(str(error))[:200] or type(error).__name__


def _line(text: str) -> str:
    """One line, whatever came."""
    return " ".join(text.split())
