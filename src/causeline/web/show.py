"""Shows a page: one template, one record, and what every page has around it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.requests import Request
from starlette.responses import HTMLResponse

from causeline.errors import OutputError
from causeline.web.contract.shell import PLACES, Shell
from causeline.web.gate import STRANGER

HERE = Path(__file__).parent
PAGES = HERE / "pages"
ASSETS = HERE / "assets"
BUILT = ASSETS / "built"
THEMES = ("auto", "light", "dark")
THEME_COOKIE = "causeline-theme"


def show(request: Request, template: str, page: Any, status: int = 200) -> HTMLResponse:
    """The page: `page` is the template's only record, beside `shell`, `asset` and `script`."""
    text = _environment().get_template(template).render(page=page, shell=_shell(request))
    return HTMLResponse(text, status)


def filled(template: str, page: Any) -> str:
    """A page that stands alone, with nothing of the workbench around it."""
    return _environment().get_template(template).render(page=page)


def _shell(request: Request) -> Shell:
    theme = request.cookies.get(THEME_COOKIE, "auto")
    here = request.url.path
    at = next((place.at for place in PLACES if here.startswith(place.at)), "")
    coach = getattr(request.state, "coach", "")
    return Shell(
        token=request.state.token,
        theme=theme if theme in THEMES else "auto",
        here=at,
        path=here,
        coach=coach,
        places=() if getattr(request.state, STRANGER, False) else PLACES,
    )


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(PAGES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals.update(asset=asset, script=script)
    environment.filters["capitalize_first"] = _capital
    return environment


def asset(name: str) -> str:
    """Address of a file in `assets`, with a mark of its content: it may be kept for ever."""
    return f"/assets/{name}?v={_mark(name, (ASSETS / name).stat().st_mtime_ns)}"


@cache
def _mark(name: str, _: int) -> str:
    return hashlib.sha256((ASSETS / name).read_bytes()).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class _Entry:
    file: str
    css: tuple[str, ...]


def script(entry: str) -> Markup:
    """The tags that bring in `frontend/src/entries/{entry}.ts`, as it was built."""
    built = _built(entry)
    styles = [f'<link rel="stylesheet" href="/built/{escape(css)}">' for css in built.css]
    tags = [*styles, f'<script type="module" src="/built/{escape(built.file)}"></script>']
    return Markup("\n".join(tags))  # noqa: S704 - file names of our own build, escaped


def built_file(entry: str) -> str:
    """Where in `built` the script of that entry is."""
    return _built(entry).file


def _built(entry: str) -> _Entry:
    manifest = BUILT / "manifest.json"
    if not manifest.is_file():
        raise OutputError(
            "the front end is not built",
            "src/causeline/web/assets/built/manifest.json was expected",
            "run `make frontend`",
        )
    return _entries(manifest.stat().st_mtime_ns)[entry]


@cache
def _entries(_: int) -> dict[str, _Entry]:
    told = json.loads((BUILT / "manifest.json").read_text(encoding="utf-8"))
    return {
        Path(source).stem: _Entry(one["file"], tuple(one.get("css", ())))
        for source, one in told.items()
        if one.get("isEntry")
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
