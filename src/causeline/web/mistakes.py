"""What went wrong, told: what came, what was expected, what to do; as a page or as JSON."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from causeline.errors import (
    CauselineError,
    ClipTooLarge,
    NotAgreed,
    Outdated,
    OutputError,
    StoreError,
)

_log = logging.getLogger(__name__)
_WORDS = {
    404: ("there is nothing at this address", "see the golfers' list for what there is"),
    405: ("this address does not do that", "go back and use the page's own buttons"),
}


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake for the one who asked."""

    status: int
    came: str
    expected: str = ""
    remedy: str = ""


class Refusal(HTTPException):
    """Said by what stands before the routes; FastAPI lets this kind through a body's parsing."""

    def __init__(self, mistake: Mistake) -> None:
        super().__init__(mistake.status, mistake.came)
        self.mistake = mistake


def mistake_answer(request: Request, mistake: Mistake) -> Response:
    """As a page where the browser goes to it, else as JSON."""
    if "text/html" not in request.headers.get("accept", ""):
        told = {"came": mistake.came, "expected": mistake.expected, "remedy": mistake.remedy}
        return JSONResponse(told, mistake.status)
    from causeline.web.show import show

    return show(request, "mistake.html.j2", mistake, status=mistake.status)


def from_error(error: Exception) -> Mistake:
    """What an exception is, told."""
    if isinstance(error, CauselineError):
        return Mistake(_status(error), error.came, error.expected, error.remedy)
    if isinstance(error, Refusal):
        return error.mistake
    if isinstance(error, HTTPException):
        came, remedy = _WORDS.get(error.status_code, (str(error.detail), "go back"))
        return Mistake(error.status_code, came, "", remedy)
    if isinstance(error, RequestValidationError):
        first = error.errors()[0]
        where = " ".join(str(part) for part in first.get("loc", ())[1:]) or "the request"
        return Mistake(422, f"{where}: {first.get('msg', '')}", "", "correct it and send it again")
    _log.error("a page failed", exc_info=error)
    came = f"Causeline itself failed at this page ({type(error).__name__})"
    return Mistake(500, came, "", "nothing was lost; go back and try again")


def _status(error: CauselineError) -> int:
    if isinstance(error, NotAgreed):
        return 403
    if isinstance(error, Outdated):
        return 409
    if isinstance(error, StoreError):
        return 404
    if isinstance(error, OutputError):
        return 507
    return 413 if isinstance(error, ClipTooLarge) else 422
