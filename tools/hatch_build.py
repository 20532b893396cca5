"""The build step of hatchling: brings weights, and what runs in the browser, into the package."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class WeightsHook(BuildHookInterface[Any]):
    """Fetches the weights before a wheel is made, editable or not; an sdist holds none."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Run `tools/fetch_weights.py`, and build the front end; an error ends the build."""
        if self.target_name != "wheel":
            return
        sys.path.insert(0, str(Path(self.root) / "tools"))
        try:
            from fetch_weights import fetch  # type: ignore[import-not-found]
        finally:
            sys.path.pop(0)
        fetch(Path(self.root) / "src" / "causeline" / "sources" / "weights")
        if version != "editable":  # there `make` builds it, where it is not built yet
            _build_front(Path(self.root))


def _build_front(root: Path) -> None:
    """Build frontend/ into the web room's assets, with the packages of its lock file."""
    npm = shutil.which("npm")
    if npm is None:
        raise RuntimeError(
            "the front end could not be built: npm was not found. Install Node 20 or newer with "
            "npm, and build the wheel again."
        )
    for step in (["ci", "--silent", "--no-audit", "--no-fund"], ["run", "--silent", "build"]):
        subprocess.run([npm, *step], cwd=root / "frontend", check=True)
