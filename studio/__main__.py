"""`python -m studio COMMAND`: each command is a module with a `main`."""

from __future__ import annotations

import sys
from importlib import import_module

COMMANDS = {
    "demo": "studio.demo",
    "accuracy-set": "studio.accuracy_set",
    "check": "studio.check",
    "sheet": "studio.sheet",
    "film": "studio.film_command",
    "realism": "studio.realism",
}


def main() -> int:
    """Run the command that is named first."""
    name = sys.argv[1] if len(sys.argv) > 1 else ""
    if name not in COMMANDS:
        print(f"{name!r} is no command of the studio; there are {', '.join(COMMANDS)}")
        return 2
    return int(import_module(COMMANDS[name]).main(sys.argv[2:]))


if __name__ == "__main__":
    sys.exit(main())
