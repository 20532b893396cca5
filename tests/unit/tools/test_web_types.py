"""The front end knows the JSON contracts as they are."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from tools.write_web_types import TARGET, contract

FRONT = TARGET.parent


def test_the_contract_file_is_what_the_app_answers_with() -> None:
    assert TARGET.read_text() == contract(), "run `make docs`"


@pytest.mark.skipif(not (FRONT / "node_modules").is_dir(), reason="the front end is not installed")
def test_the_types_are_what_the_contract_says(tmp_path: Path) -> None:
    fresh = tmp_path / "contract.ts"
    npx = shutil.which("npx") or "npx"
    command = [
        npx,
        "openapi-typescript",
        "openapi.json",
        "-o",
        str(fresh),
        "--root-types",
        "--immutable",
    ]
    subprocess.run(command, cwd=FRONT, check=True, capture_output=True)
    assert fresh.read_text() == (FRONT / "src" / "contract.ts").read_text(), "run `make docs`"
