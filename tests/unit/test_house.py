"""The house rules that a machine can check: verbs, budgets, no work at import."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "causeline"
MODULES = sorted(SOURCE.rglob("*.py"))

VERBS = {
    "body": ("refine_", "recover_"),
    "club": ("track_",),
    "moments": ("find_",),
    "measures": ("measure_",),
    "findings": ("explain_",),
    "lesson": ("compose_",),
    "progress": ("compare_",),
    "reading": ("run_",),
    "render": ("render_",),
    "store": ("save_", "load_"),
    "web": ("serve_",),
}
LONGEST_FUNCTION = 60
MOST_ARGUMENTS = 6
LONGEST_FILE = 600


def _functions(path: Path) -> Iterator[ast.FunctionDef]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef):
            yield node


def _module_name(path: Path) -> str:
    parts = path.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def _taken_from_rooms(path: Path) -> Iterator[tuple[str, str]]:
    """Room and lower-case name of everything a module imports from a room that is not its own."""
    own = path.relative_to(SOURCE).parts[0]
    for node in ast.walk(ast.parse(path.read_text())):
        if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("causeline."):
            continue
        room = (node.module or "").split(".")[1]
        if room in VERBS and room != own:
            yield from ((room, alias.name) for alias in node.names if alias.name.islower())


@pytest.mark.parametrize("path", MODULES, ids=_module_name)
def test_what_a_room_hands_out_starts_with_its_verb(path: Path) -> None:
    strangers = [
        f"{room}: {name}"
        for room, name in _taken_from_rooms(path)
        if not name.startswith(VERBS[room])
    ]
    assert strangers == []


@pytest.mark.parametrize("path", MODULES, ids=_module_name)
def test_functions_and_files_keep_to_the_budgets(path: Path) -> None:
    over = [
        node.name
        for node in _functions(path)
        if (node.end_lineno or 0) - node.lineno + 1 > LONGEST_FUNCTION
        or len(node.args.args) + len(node.args.kwonlyargs)
        > MOST_ARGUMENTS + ("self" in _names(node))
    ]
    assert over == []
    assert len(path.read_text().splitlines()) <= LONGEST_FILE


def test_no_module_prints_or_warns_when_imported() -> None:
    names = [_module_name(path) for path in MODULES]
    script = (
        "import sys, warnings, os\n"
        "before, filters = dict(os.environ), list(warnings.filters)\n"
        f"for name in {names!r}: __import__(name)\n"
        "assert 'openvino' not in sys.modules, 'the engine is loaded at import'\n"
        "assert dict(os.environ) == before, 'the environment changed'\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def _names(node: ast.FunctionDef) -> list[str]:
    return [argument.arg for argument in node.args.args]
