"""Write the findings' fitted tables: what is expected of a value, and what reading adds.

PYTHONPATH=.:src .venv-studio/bin/python -m training.findings.write --posed PACK
... --sides FILE    what `training.findings.judge` read of the fitting set's tapes
"""

from __future__ import annotations

import argparse
import pickle
from collections.abc import Iterable, Mapping
from pathlib import Path

from training.findings.errors import FACTORS as SHARED
from training.findings.errors import Erred, fit_errors
from training.findings.expected import FACTORS, Learned, fit_expected, posed_truths

from causeline.model.clip import View

ROOM = Path(__file__).parents[2] / "src" / "causeline" / "findings"
WIDTH = 100

EXPECTED_HEAD = '''"""What a swing shows without a fault, what faults add, how values vary together.

Written by `training.findings.write` from {count} posed swings of training seeds; do not edit.
Key: that of the band. Mean, what another club adds, what each fault adds at severity 1; then the
common factors ({factors}) and the part that is the value's own. Of faults that the studio does not
play,
what a fault adds comes from its band. Units are the measure's.
"""

from __future__ import annotations

from causeline.findings.spec import Expected
from causeline.model.findings import ClubSort

DRIVER, WEDGE = ClubSort.DRIVER, ClubSort.WEDGE

# fmt: off
EXPECTED: dict[str, Expected] = {{
'''
ERRORS_HEAD = '''"""How far off what is read is, in its own ±: by itself, and with its view.

Written by `training.findings.write` from {count} views of filmed swings of training seeds; do not
edit. Key: view, and key of the band. What it reads too high, how much it varies by itself (1: as
its ± says), and {shared} factors that the measures of a view have in common.
"""

from __future__ import annotations

from causeline.findings.spec import Error
from causeline.model.clip import View

F, D = View.FACE_ON, View.DOWN_THE_LINE
HONEST = Error(0.0, 1.0, ())
"""Of a measure that was not among them."""
SHARED = {shared}

# fmt: off
ERRORS: dict[tuple[View, str], Error] = {{
'''
TAIL = "}\n# fmt: on\n"


def main() -> int:
    """Fit, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--posed", type=Path)
    parser.add_argument("--sides", type=Path)
    given = parser.parse_args()
    if given.posed:
        truths = posed_truths(given.posed)
        head = EXPECTED_HEAD.format(count=len(truths), factors=FACTORS)
        lines = (_expected(key, one) for key, one in fit_expected(truths).items())
        _write(ROOM / "expected.py", head, lines)
    if given.sides:
        judged = pickle.loads(given.sides.read_bytes()).values()  # noqa: S301, our own file
        sides = [side for found in judged if not isinstance(found, str) for side in found]
        head = ERRORS_HEAD.format(count=len(sides), shared=SHARED)
        lines = (_error(*key, one) for key, one in fit_errors(sides).items())
        _write(ROOM / "errors.py", head, lines)
    return 0


def _write(path: Path, head: str, lines: Iterable[str]) -> None:
    path.write_text(head + "".join(f"{line}\n" for line in lines) + TAIL, encoding="utf-8")
    print(f"wrote {path}")


def _expected(key: str, one: Learned) -> str:
    clubs = _dict({club.name: shift for club, shift in one.by_club.items()}, "")
    moved = _dict(one.moved, '"')
    spread = ", ".join(_short(load) for load in one.spread)
    told = f"{_short(one.mean)}, {clubs}, {moved}, ({spread}), {_short(one.alone)}),"
    return "\n".join(_wrapped(f'    "{key}": Expected(', told))


def _error(view: View, key: str, one: Erred) -> str:
    shared = ", ".join(f"{load:.2f}" for load in one.shared)
    letter = "F" if view is View.FACE_ON else "D"
    told = f"{one.off:.2f}, {one.alone:.2f}, ({shared})),"
    return "\n".join(_wrapped(f'    ({letter}, "{key}"): Error(', told))


def _wrapped(head: str, told: str) -> list[str]:
    """Lines of at most `WIDTH` characters, broken at spaces."""
    lines = [head]
    for word in told.split(" "):
        space = "" if lines[-1].endswith("(") and len(lines) == 1 else " "
        if len(lines[-1]) + len(space) + len(word) > WIDTH:
            lines.append("       ")
            space = " "
        lines[-1] += space + word
    return lines


def _dict(values: Mapping[str, float], quote: str) -> str:
    inside = ", ".join(f"{quote}{name}{quote}: {_short(one)}" for name, one in values.items())
    return f"{{{inside}}}"


def _short(value: float) -> str:
    """Three digits that count."""
    return f"{float(f'{value:.3g}'):g}"


if __name__ == "__main__":
    raise SystemExit(main())
