"""Bring the message catalogues of every language up to the code, the drills and the arrows.

    python tools/update_messages.py

Sentences stand in `msg("…")` in `src/causeline/lesson`; two of them in `voice.count` are one
message with a plural. Drills' texts and the reasons of the arrows are messages too. New ones are
added without a translation, which a test then asks for; ones that are gone are dropped.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from causeline.findings.graph import ARROWS
from causeline.model.drill import Drill
from causeline.store.drill_files import load_drills
from causeline.store.languages import FOLDER

ROOT = Path(__file__).parents[1]
LESSON = ROOT / "src" / "causeline" / "lesson"
LINE = 100


@dataclass(frozen=True)
class Found:
    """A sentence, its plural if it counts, and where it stands."""

    one: str
    many: str
    where: str


def templates() -> dict[str, Catalog]:
    """File name → what it has to translate."""
    return {
        "lesson.po": _catalog(_in_code()),
        "drills.po": _catalog(_in_drills()),
        "arrows.po": _catalog(Found(arrow.why, "", "arrows") for arrow in ARROWS),
    }


def updated(language: str) -> dict[Path, bytes]:
    """The catalogue files of a language as they should be."""
    files: dict[Path, bytes] = {}
    for name, template in templates().items():
        path = FOLDER / language / name
        catalog = Catalog(locale=language)
        if path.exists():
            with path.open("rb") as file:
                catalog = read_po(file, locale=language)
        catalog.update(template, no_fuzzy_matching=True)
        out = BytesIO()
        write_po(out, catalog, width=LINE, ignore_obsolete=True, include_lineno=False)
        files[path] = _headed(out.getvalue(), language)
    return files


def main() -> None:
    """Write every language's files and say what is missing."""
    for folder in sorted(path for path in FOLDER.iterdir() if path.is_dir()):
        for path, content in updated(folder.name).items():
            path.write_bytes(content)
            with path.open("rb") as file:
                catalog = read_po(file, locale=folder.name)
            missing = [message.id for message in catalog if message.id and not message.string]
            print(f"{path.relative_to(ROOT)}: {len(catalog)} messages, {len(missing)} missing")


def _catalog(found: Iterator[Found]) -> Catalog:
    catalog = Catalog()
    for one in found:
        key = (one.one, one.many) if one.many else one.one
        catalog.add(key, locations=[(one.where, 1)])
    return catalog


def _in_code() -> Iterator[Found]:
    for path in sorted(LESSON.glob("*.py")):
        yield from _in_tree(ast.parse(path.read_text()), path.name)


def _in_tree(tree: ast.AST, where: str) -> Iterator[Found]:
    counted: set[int] = set()
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        if isinstance(node.func, ast.Attribute) and node.func.attr in {"count"}:
            texts = [_said(argument) for argument in node.args[:2]]
            if len(texts) == 2 and texts[0] and texts[1]:
                counted |= {id(argument) for argument in node.args[:2]}
                yield Found(texts[0], texts[1], where)
        elif id(node) not in counted and (text := _said(node)):
            yield Found(text, "", where)


def _said(node: ast.AST) -> str:
    """The sentence of `msg("…")`, empty for any other node."""
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
        return ""
    if node.func.id != "msg" or len(node.args) != 1:
        return ""
    value = node.args[0]
    return value.value if isinstance(value, ast.Constant) and isinstance(value.value, str) else ""


def _in_drills() -> Iterator[Found]:
    for drill in load_drills():
        yield from (Found(text, "", drill.name) for text in _texts(drill))


def _texts(drill: Drill) -> Iterator[str]:
    yield from (drill.title, drill.purpose, drill.feel, drill.cue, drill.diagram.caption)
    for texts in (drill.equipment, drill.setup, drill.steps, drill.cautions):
        yield from texts
    for slip in drill.slips:
        yield from (slip.what, slip.instead)
    for stage in drill.stages:
        yield from (stage.name, stage.how, stage.move_on)
    yield from (mark.label for mark in drill.diagram.marks if mark.label)


def _headed(content: bytes, language: str) -> bytes:
    """The file without the header lines that change with every run."""
    head, _, body = content.decode().partition("\n\n")
    kept = [line for line in head.splitlines() if not _passing(line)]
    title = f"# Causeline, {language}. Updated by tools/update_messages.py."
    return ("\n".join([title, *kept]) + "\n\n" + body).encode()


def _passing(line: str) -> bool:
    names = ("POT-Creation-Date", "PO-Revision-Date", "Last-Translator", "Language-Team",
             "Generated-By", "Report-Msgid-Bugs-To", "Project-Id-Version")  # fmt: skip
    return any(f'"{name}' in line for name in names) or line.startswith("#")


if __name__ == "__main__":
    main()
