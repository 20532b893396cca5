"""`causeline coach …`: who teaches here, what each may see, and how they sign in."""

from __future__ import annotations

import sys
from dataclasses import replace

import click
from rich.console import Console
from rich.table import Table

from causeline.cli.place import at_library, ends_well, opened
from causeline.errors import SettingError
from causeline.model.access import Role
from causeline.model.library import Coach, new_id
from causeline.store.library import Library
from causeline.store.library_access import (
    SHORTEST,
    load_accounts,
    load_passkeys,
    save_account,
    save_invite,
    save_password,
    save_sessions_ended,
)
from causeline.store.library_people import load_coaches, save_audit, save_coach

BY = "command line"
_ROLE = click.Choice([role.value for role in Role])


@click.group()
def coach() -> None:
    """Look after coaches: who may sign in, and to what."""


@coach.command(name="list")
@at_library
@ends_well
def show(place: str, files: str | None) -> None:
    """List the coaches."""
    table = Table(box=None, pad_edge=False)
    for title in ("coach", "mail", "sees", "signs in with"):
        table.add_column(title)
    with opened(place, files) as held:
        for each, account in load_accounts(held):
            ways = ["a password"] if account and account.secret else []
            ways += ["a passkey"] * bool(load_passkeys(held, each.id))
            way = " and ".join(ways) or "nothing yet" if each.active else "no longer let in"
            table.add_row(each.name, each.mail, account.role.value if account else "", way)
    Console().print(table)


@coach.command()
@click.argument("name")
@click.option("--mail", default="")
@click.option(
    "--role", type=_ROLE, default=Role.OWN.value, show_default=True, help="What they see."
)
@at_library
@ends_well
def add(name: str, mail: str, role: str, place: str, files: str | None) -> None:
    """Add a coach called NAME; set a password or make an invitation afterwards."""
    with opened(place, files) as held:
        if any(each.name.casefold() == name.strip().casefold() for each in load_coaches(held)):
            raise SettingError(
                f"a coach is called {name!r} already", "a new name was expected", "add a surname"
            )
        made = save_coach(held, Coach(new_id(), name.strip(), mail.strip()))
        save_account(held, made.id, Role(role))
        save_audit(held, BY, "coach added", made.id)
    click.echo(f"{made.name} is added; they see {role}.")


@coach.command()
@click.argument("name")
@click.option("--stdin", is_flag=True, help="Read it from the standard input, for scripts.")
@at_library
@ends_well
def password(name: str, stdin: bool, place: str, files: str | None) -> None:
    """Set the password of NAME; every browser of theirs is signed out.

    The first coach who gets one looks after the others.
    """
    with opened(place, files) as held:
        who = found(held, name)
        told = f"Password for {who.name} ({SHORTEST} characters at least)"
        secret = (
            sys.stdin.readline().rstrip("\n")
            if stdin
            else click.prompt(told, hide_input=True, confirmation_prompt=True)
        )
        account = save_password(held, who.id, secret)
        save_audit(held, BY, "password set", who.id)
    click.echo(f"{who.name} signs in with it; they see {account.role.value}.")


@coach.command()
@click.argument("name")
@click.argument("role", type=_ROLE)
@at_library
@ends_well
def role(name: str, role: str, place: str, files: str | None) -> None:
    """Change what NAME sees."""
    with opened(place, files) as held:
        who = found(held, name)
        save_account(held, who.id, Role(role))
        save_audit(held, BY, f"role: {role}", who.id)
    click.echo(f"{who.name} sees {role}.")


@coach.command()
@click.argument("name")
@at_library
@ends_well
def invite(name: str, place: str, files: str | None) -> None:
    """Print the end of an address by which NAME sets a password: once, within three days."""
    with opened(place, files) as held:
        who = found(held, name)
        _, secret = save_invite(held, who.id)
        save_audit(held, BY, "invited", who.id)
    click.echo(f"/welcome/{secret}")


@coach.command()
@click.argument("name")
@click.option("--again", is_flag=True, help="Let them in again.")
@at_library
@ends_well
def close(name: str, again: bool, place: str, files: str | None) -> None:
    """Let NAME in no longer; their golfers stay. Every browser of theirs is signed out."""
    with opened(place, files) as held:
        who = found(held, name)
        save_coach(held, replace(who, active=again))
        save_sessions_ended(held, who.id)
        save_audit(held, BY, "let in again" if again else "no longer let in", who.id)
    click.echo(f"{who.name} is {'let in again' if again else 'no longer let in'}.")


def found(held: Library, name: str) -> Coach:
    """The coach of that name or id. Raises SettingError where there is none, or several."""
    those = [
        each for each in load_coaches(held) if name.casefold() in (each.id, each.name.casefold())
    ]
    if len(those) != 1:
        known = ", ".join(each.name for each in load_coaches(held)) or "nobody yet"
        raise SettingError(
            f"{len(those) or 'no'} coaches are called {name!r}",
            f"one was expected; here teach: {known}",
            "see `causeline coach list`",
        )
    return those[0]
