"""Write the JSON contracts of the web app for the front end: frontend/openapi.json.

`npm run types` in frontend/ then makes src/contract.ts of it. A test fails where either is stale.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from causeline.store.library import load_library
from causeline.web.app import serve_app
from causeline.wiring_web import open_desk

TARGET = Path(__file__).parents[1] / "frontend" / "openapi.json"


def contract() -> str:
    """The contract as the file has it."""
    with TemporaryDirectory(prefix="causeline-") as folder:
        library = load_library(folder)
        told: dict[str, Any] = serve_app(open_desk(library)).openapi()
        library.close()
    told["info"]["version"] = "1"
    return json.dumps(told, indent=1, sort_keys=True) + "\n"


def main() -> int:
    """Write it; 0."""
    TARGET.write_text(contract(), encoding="utf-8")
    print(TARGET)
    return 0


if __name__ == "__main__":
    sys.exit(main())
