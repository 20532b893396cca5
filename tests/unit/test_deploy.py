"""What is shipped to run the workbench for others says what the program understands, and holds."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml

from causeline.cli.coach import coach
from causeline.cli.serve import serve

DEPLOY = Path(__file__).parents[2] / "deploy"
KNOWN = {name for option in serve.params for name in option.opts}


def _compose() -> dict[str, Any]:
    told: dict[str, Any] = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
    return told


def _commands() -> dict[str, list[str]]:
    """Every `serve` that is shipped, as words."""
    unit = (DEPLOY / "causeline.service").read_text()
    docker = (DEPLOY / "Dockerfile").read_text()
    nginx = (DEPLOY / "nginx.conf").read_text()
    return {
        "unit": shlex.split(re.search(r"^ExecStart=(.*)$", unit, re.M)[1])[1:],  # type: ignore[index]
        "docker": json.loads(re.findall(r"^CMD (\[.*\])$", docker, re.M)[-1]),
        "compose": [str(word) for word in _compose()["services"]["workbench"]["command"]],
        "nginx": shlex.split(re.search(r"#\s+causeline (serve .*)$", nginx, re.M)[1]),  # type: ignore[index]
    }


@pytest.mark.parametrize("name", ["unit", "docker", "compose", "nginx"])
def test_the_program_understands_every_option(name: str) -> None:
    words = _commands()[name]
    assert words[0] == "serve"
    assert {word for word in words if word.startswith("--")} <= KNOWN


def test_only_the_proxy_is_reached_and_it_alone_is_trusted() -> None:
    services = _compose()["services"]
    assert [name for name, each in services.items() if "ports" in each] == ["proxy"]
    proxy = services["proxy"]["networks"]["front"]["ipv4_address"]
    command = services["workbench"]["command"]
    assert command[command.index("--behind") + 1] == proxy
    assert _compose()["networks"]["inside"]["internal"] is True
    assert services["workbench"]["cap_drop"] == ["ALL"]
    assert services["workbench"]["read_only"] is True
    assert all("no-new-privileges:true" in each["security_opt"] for each in services.values())


def test_no_password_is_shipped() -> None:
    for path in DEPLOY.iterdir():
        for line in path.read_text().splitlines():
            if "PASSWORD" in line and not line.startswith("#"):
                assert "${POSTGRES_PASSWORD" in line


def test_commands_in_comments_are_commands() -> None:
    said = re.findall(r"causeline coach (\w+)|workbench coach (\w+)", _all())
    assert {one or other for one, other in said} <= set(coach.commands)


def _all() -> str:
    return "\n".join(path.read_text() for path in DEPLOY.iterdir())


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is missing")
def test_systemd_finds_the_unit_sound_and_shut() -> None:
    """`systemd-analyze security`: 0 is shut, 10 is open; below 3 it calls a unit OK."""
    unit = str(DEPLOY / "causeline.service")
    done = subprocess.run(
        ["systemd-analyze", "security", "--offline=true", "--threshold=30", unit],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-300:]
