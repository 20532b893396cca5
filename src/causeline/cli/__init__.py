"""The command line: one file for each command."""

from __future__ import annotations

import click

from causeline.cli.lesson import lesson
from causeline.cli.read import read


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="causeline")
def main() -> None:
    """Read a golfer's swing from a phone clip."""


for command in (read, lesson):
    main.add_command(command)
