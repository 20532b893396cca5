"""Write the definition of the talk file: src/causeline/store/schemas/talk-1.schema.json.

It follows from the records that read it. A test fails where it is stale.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from causeline.model.talk import SCHEMA
from causeline.store.talk_file import talk_schema

TARGET = Path(__file__).parents[1] / "src/causeline/store/schemas/talk-1.schema.json"
HEAD = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "$id": "talk-1.schema.json",
    "title": "A talk-through",
    "description": f"One talk-through, schema {SCHEMA}. The guide is docs/talk-file.md.",
}


def definition() -> str:
    """The definition as the file has it."""
    return json.dumps({**talk_schema(), **HEAD}, indent=1, ensure_ascii=False) + "\n"


def main() -> int:
    """Write it; 0."""
    TARGET.write_text(definition(), encoding="utf-8")
    print(TARGET)
    return 0


if __name__ == "__main__":
    sys.exit(main())
