"""The build step of hatchling that brings the landmark engine's weights into the package."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class WeightsHook(BuildHookInterface[Any]):
    """Fetches the weights before a wheel is made, editable or not; an sdist holds none."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        """Run `tools/fetch_weights.py`; its error ends the build."""
        if self.target_name != "wheel":
            return
        sys.path.insert(0, str(Path(self.root) / "tools"))
        try:
            from fetch_weights import fetch  # type: ignore[import-not-found]
        finally:
            sys.path.pop(0)
        fetch(Path(self.root) / "src" / "causeline" / "sources" / "weights")
