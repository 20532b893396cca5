"""The command line: one file for each command."""

from __future__ import annotations

import click

from causeline.cli.backup import backup, restore
from causeline.cli.batch import batch
from causeline.cli.coach import coach
from causeline.cli.compare import compare
from causeline.cli.doctor import doctor
from causeline.cli.keeping import export, tidy
from causeline.cli.lesson import lesson
from causeline.cli.library import library
from causeline.cli.mail import mail
from causeline.cli.progress import progress
from causeline.cli.read import read
from causeline.cli.serve import serve
from causeline.cli.verify import verify


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="causeline")
def main() -> None:
    """Read a golfer's swing from a phone clip."""


for command in (
    read, lesson, compare, progress, mail, library, batch, coach, verify, backup, restore, export,
    tidy, doctor, serve,
):  # fmt: skip
    main.add_command(command)
