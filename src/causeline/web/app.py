"""The app: routes of every group behind one guard."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import asynccontextmanager
from importlib.metadata import version
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, FastAPI, Form, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import RedirectResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from causeline.errors import CauselineError
from causeline.render.page import ASSETS as FONTS
from causeline.web import (
    access,
    bench,
    check_ins,
    days,
    golfers,
    health,
    intake,
    lessons,
    morning,
    passkeys,
    practice,
    practice_sent,
    privacy,
    progress,
    references,
    reminders,
    sheet,
    talk,
    work,
)
from causeline.web.desk import Desk
from causeline.web.gate import Gate, Policy
from causeline.web.guard import LOOPBACK, Guard
from causeline.web.mistakes import from_error, mistake_answer
from causeline.web.show import ASSETS, BUILT, THEME_COOKIE, THEMES

ROUTERS: tuple[APIRouter, ...] = (
    morning.router,
    golfers.router,
    progress.router,
    reminders.router,
    days.router,
    intake.router,
    sheet.router,
    lessons.router,
    references.router,
    work.router,
    talk.router,
    bench.router,
    practice.router,
    practice_sent.router,
    check_ins.router,
    access.router,
    passkeys.router,
    health.router,
    privacy.router,
)
"""A group of pages or of JSON routes adds its router here."""
YEAR_S = 365 * 24 * 3600
FONT_FILES = ("source-serif-4.woff2", "source-serif-4-italic.woff2", "encode-sans.woff2")


def serve_app(
    desk: Desk,
    hosts: Iterable[str] = LOOPBACK,
    stop: Callable[[], None] | None = None,
    policy: Policy | None = None,
) -> FastAPI:
    """The workbench on a desk; `stop` is called when the server ends.

    `hosts` are the names that a browser may have asked for, `policy` says how it is reached.
    """
    policy = policy or Policy()

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        if stop is not None:
            stop()

    app = FastAPI(
        title="Causeline",
        version=version("causeline"),
        lifespan=life,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
    )
    app.state.desk = desk
    app.state.policy = policy
    app.add_middleware(Gate, library=desk.library, policy=policy)
    app.state.health = health.Health(desk.library)
    app.add_middleware(Guard, hosts=tuple(hosts))
    app.add_middleware(health.Watched, health=app.state.health)
    for kind in (CauselineError, HTTPException, RequestValidationError):
        app.add_exception_handler(kind, _told)
    for router in ROUTERS:
        app.include_router(router)
    app.include_router(_around)
    app.mount("/assets", GZipMiddleware(Kept(directory=ASSETS, check_dir=False)))
    app.mount("/built", GZipMiddleware(Kept(directory=BUILT, check_dir=False)))
    app.mount("/fonts", Kept(directory=FONTS, only=FONT_FILES))
    return app


async def _told(request: Request, error: Exception) -> Response:
    return mistake_answer(request, from_error(error))


class Kept(StaticFiles):
    """Files that a browser may keep, since their address changes with their content."""

    def __init__(
        self, *, directory: Path, check_dir: bool = True, only: tuple[str, ...] = ()
    ) -> None:
        super().__init__(directory=directory, check_dir=check_dir)
        self._only = only

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, or 404."""
        if self._only and path not in self._only:
            raise HTTPException(404)
        answer = await super().get_response(path, scope)
        answer.headers["cache-control"] = f"public, max-age={YEAR_S}, immutable"
        return answer


_around = APIRouter(include_in_schema=False)


@_around.get("/")
def home() -> Response:
    """The first page."""
    return RedirectResponse("/morning", 303)


@_around.post("/theme")
def theme(
    request: Request, theme: Annotated[str, Form()], back: Annotated[str, Form()]
) -> Response:
    """Dark, light, or as the machine has it."""
    here = back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/"
    answer = RedirectResponse(here, 303)
    if theme in THEMES:
        secure = request.url.scheme == "https"
        answer.set_cookie(
            THEME_COOKIE, theme, max_age=YEAR_S, httponly=True, samesite="strict", secure=secure
        )
    return answer
