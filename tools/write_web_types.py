"""Write the JSON contracts of the web app for the front end: frontend/openapi.json.

`npm run types` in frontend/ then makes src/contract.ts of it. A test fails where either is stale.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, cast

from fastapi import FastAPI

from causeline.web.app import serve_app
from causeline.web.desk import Desk

TARGET = Path(__file__).parents[1] / "frontend" / "openapi.json"


def contract() -> str:
    """The contract as the file has it."""
    app: FastAPI = serve_app(cast(Desk, None))
    told: dict[str, Any] = app.openapi()
    told["info"]["version"] = "1"
    return json.dumps(told, indent=1, sort_keys=True) + "\n"


def main() -> int:
    """Write it; 0."""
    TARGET.write_text(contract(), encoding="utf-8")
    print(TARGET)
    return 0


if __name__ == "__main__":
    sys.exit(main())
