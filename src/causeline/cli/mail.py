"""`causeline mail …`: who may be written to, and the letters that are due."""

from __future__ import annotations

import sys

import click

from causeline.cli.library import find_golfer
from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import OutputError, SettingError
from causeline.model.library import Coach
from causeline.model.reminders import Letter, agreed_alone
from causeline.sources.mail import Sender, decode_server, encode_mail
from causeline.store.library import Library
from causeline.store.library_people import load_coaches
from causeline.store.library_reminders import (
    load_mailing,
    save_mailing,
    save_mailing_stopped,
)
from causeline.wiring_mail import due_letters, post_letters


@click.group()
def mail() -> None:
    """Remind golfers who agreed to it, by your own mail server."""


@mail.command()
@click.argument("golfer")
@click.argument("address")
@click.option("--by", required=True, help="Who agreed: the golfer, or a junior's guardian.")
@at_library
@ends_well
def allow(golfer: str, address: str, by: str, place: str, files: str | None) -> None:
    """Note that GOLFER (name or id) may be written to at ADDRESS, because somebody agreed."""
    with opened(place, files) as held:
        who = find_golfer(held, golfer, make=False)
        if agreed_alone(who.golfer, by):
            raise SettingError(
                f"{who.golfer.name} is a junior and agreed alone",
                "the guardian's word was expected",
                "give the guardian's name with --by, and the guardian's address",
            )
        try:
            save_mailing(held, who.id, address.strip(), by.strip())
        except ValueError as error:
            raise SettingError(str(error), "", "give one address") from error
    click.echo(f"{who.golfer.name} may be written to at {address.strip()}.")


@mail.command()
@click.argument("golfer")
@at_library
@ends_well
def stop(golfer: str, place: str, files: str | None) -> None:
    """Write to GOLFER no more."""
    with opened(place, files) as held:
        who = find_golfer(held, golfer, make=False)
        mailing = load_mailing(held, who.id)
        if mailing is not None:
            save_mailing_stopped(held, mailing.token)
    click.echo(f"{who.golfer.name} is not written to any more.")


@mail.command()
@click.option("--send", is_flag=True, help="Send them. Without this they are only shown.")
@click.option("--server", envvar="CAUSELINE_SMTP", default="",
              help="smtps://user@host or smtp://user@host:587; the password stands in "
              "CAUSELINE_SMTP_PASSWORD.")  # fmt: skip
@click.option("--from", "sender", envvar="CAUSELINE_MAIL_FROM", default="",
              help="Your own address.")  # fmt: skip
@click.option("--address", "base", envvar="CAUSELINE_ADDRESS", default="",
              help="Where golfers reach your workbench, as https://…: for the link that "
              "stops the mail.")  # fmt: skip
@at_library
@ends_well
def due(send: bool, server: str, sender: str, base: str, place: str, files: str | None) -> None:
    """Show the letters that are due today; send them where asked, each once.

    Exit codes: 0 shown or sent; 2 an option is wrong; 5 the server did not take them all.
    """
    with opened(place, files) as held:
        for coach in load_coaches(held):
            letters = due_letters(held, coach, base)
            writer = Sender(sender or coach.mail or "coach@localhost", coach.name)
            if not send:
                _show(held, letters, writer)
            elif letters:
                _send(held, letters, server, _own(sender, coach))


def _show(held: Library, letters: tuple[Letter, ...], writer: Sender) -> None:
    for letter in letters:
        mail = encode_mail(letter, writer, held.now())
        click.echo("\n".join(f"{name}: {value}" for name, value in mail.items()))
        click.echo(f"\n{mail.get_content().strip()}\n{'-' * 72}")
    count = len(letters)
    click.echo(f"{count} letter{'' if count == 1 else 's'} due; nothing was sent.")


def _send(held: Library, letters: tuple[Letter, ...], server: str, writer: Sender) -> None:
    lost = 0
    for letter, why in post_letters(held, letters, decode_server(server), writer):
        lost += bool(why)
        click.echo(f"{letter.to}: {letter.subject}" + (f" NOT SENT: {why}" if why else ""))
    if lost:
        sys.exit(OutputError.exit_code)


def _own(sender: str, coach: Coach) -> Sender:
    if not (sender or coach.mail):
        raise SettingError(
            "no address of yours is known", "one was expected with --from", "give your own address"
        )
    return Sender(sender or coach.mail, coach.name)
