"""A phone on the same network sends clips: one page behind one secret, open while the coach says.

It is an app of its own on a port of its own, with nothing on it but that page: whoever has the
secret can add clips for that one golfer, and see nothing of the library.
"""

from __future__ import annotations

import hmac
import shutil

from fastapi import APIRouter, FastAPI, Request, Response, UploadFile
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, HTMLResponse

from causeline.errors import CauselineError
from causeline.model.library import GolferEntry
from causeline.store.library_clips import ClipNotes
from causeline.web.arrivals import room_for_file, take_in
from causeline.web.contract.intake import Arrived, Lost, PhonePage
from causeline.web.desk import Desk
from causeline.web.guard import Guard
from causeline.web.mistakes import Mistake, Refusal, from_error
from causeline.web.show import ASSETS, filled


def serve_phone_app(desk: Desk, golfer: GolferEntry, secret: str, host: str) -> FastAPI:
    """The app with that one page, for requests to `host`."""
    router = APIRouter(prefix="/in/{given}")

    def checked(given: str) -> None:
        if not hmac.compare_digest(given.encode(), secret.encode()):
            raise Refusal(Mistake(404, "this address leads nowhere", "", "scan the code again"))

    @router.get("")
    def page(request: Request, given: str) -> Response:
        checked(given)
        return _page(request, secret, golfer)

    @router.get("/style.css")
    def style(given: str) -> Response:
        checked(given)
        return FileResponse(ASSETS / "phone.css")

    @router.post("")
    def take(request: Request, given: str, files: list[UploadFile]) -> Response:
        checked(given)
        lost, came = _taken(desk, golfer, files)
        return _page(request, secret, golfer, lost, came)

    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    app.include_router(router)
    app.add_middleware(Guard, hosts=(host,))
    for kind in (CauselineError, HTTPException, RequestValidationError):
        app.add_exception_handler(kind, _told)
    return app


async def _told(_: Request, error: Exception) -> Response:
    mistake = from_error(error)
    return Response(f"{mistake.came}. {mistake.remedy}.", mistake.status, media_type="text/plain")


def _taken(
    desk: Desk, golfer: GolferEntry, files: list[UploadFile]
) -> tuple[tuple[Lost, ...], tuple[Arrived, ...]]:
    lost, came = [], []
    for each in files:
        name = each.filename or "a file without a name"
        try:
            with room_for_file() as (file, path):
                shutil.copyfileobj(each.file, file)
                file.flush()
                taken = take_in(desk, golfer, path, ClipNotes(name))
        except CauselineError as error:
            lost.append(Lost(name, str(error)))
        else:
            came.append(Arrived(name, "was here before" if taken.same else "has arrived"))
    return tuple(lost), tuple(came)


def _page(
    request: Request,
    secret: str,
    golfer: GolferEntry,
    lost: tuple[Lost, ...] = (),
    came: tuple[Arrived, ...] = (),
) -> Response:
    record = PhonePage(
        to=f"/in/{secret}",
        style=f"/in/{secret}/style.css",
        token=request.state.token,
        golfer=golfer.golfer.name.split()[0] if golfer.golfer.name else "",
        lost=lost,
        arrived=came,
    )
    return HTMLResponse(filled("phone.html.j2", record))
