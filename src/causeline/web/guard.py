"""What stands before every route: who may ask, how large, and what a browser may do with it.

One place for all of it. A request passes in this order: name of the host, size of the body, origin
and token (only where it changes something), the route; the answer then gets its headers.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request, cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from causeline.web.mistakes import Mistake, Refusal, from_error, mistake_answer

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
SAFE = ("GET", "HEAD", "OPTIONS")
COOKIE = "causeline-token"
HEADER = "x-causeline-token"
FIELD = "token"
"""Name of the hidden field: the first one of a form (macro `form_token`)."""
PEEK = 64 * 1024
"""How far into a form's body its token is looked for."""
MEGA = 2**20
LIMIT = 2 * MEGA
LIMITS: tuple[tuple[str, int], ...] = (
    ("/in/", 8192 * MEGA),
    ("/talk/", 512 * MEGA),
    ("/g/", 2048 * MEGA),
)
"""Most bytes of a body by the path's beginning; elsewhere it is LIMIT."""
TOKEN_FREE = ("/g/",)
"""Where the path itself holds a secret: the origin is checked, a token is not asked for."""
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self' blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "worker-src 'self' blob:",
        "manifest-src 'self'",
        "frame-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    # Nothing to other sites; with `no-referrer` a form of our own would name no origin either.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=(self)",
    "cache-control": "no-store",
}
"""A route that sets one of them keeps its own."""


class Guard:
    """An ASGI layer around the whole app."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = LOOPBACK) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or say why not."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return  # no websockets here
        headers = Headers(scope=scope)
        token, new = _token(headers)
        scope.setdefault("state", {})[FIELD] = token
        finish = _Finish(send, scope, token if new else None)
        try:
            self._host(headers)
            take = _Body(receive, _limit(scope["path"]), headers)
            if scope["method"] not in SAFE:
                _origin(headers, scope)
                if not scope["path"].startswith(TOKEN_FREE):
                    await _has_token(headers, take, token, new)
            await self.app(scope, take, finish)
        except Exception as error:
            if finish.started:
                raise
            answer = mistake_answer(Request(scope), from_error(error))
            await answer(scope, receive, finish)

    def _host(self, headers: Headers) -> None:
        given = headers.get("host", "").lower()
        name = given if given.endswith("]") else given.rsplit(":", 1)[0]
        if name not in self.hosts:
            raise Refusal(
                Mistake(
                    421,
                    f"a request for {given[:80] or 'no host'} came here",
                    f"one for {', '.join(sorted(self.hosts))} was expected",
                    "open the address that Causeline printed when it was started",
                )
            )


def _token(headers: Headers) -> tuple[str, bool]:
    """The browser's token, and whether it is a new one."""
    known = cookie_parser(headers.get("cookie", "")).get(COOKIE, "")
    sound = len(known) == 43 and known.replace("-", "a").replace("_", "a").isalnum()
    return (known, False) if sound else (secrets.token_urlsafe(32), True)


def _limit(path: str) -> int:
    return next((most for start, most in LIMITS if path.startswith(start)), LIMIT)


def _origin(headers: Headers, scope: Scope) -> None:
    """A browser says from which site a page asks; another site's page is refused."""
    origin, site = headers.get("origin"), headers.get("sec-fetch-site")
    own = origin is None or (
        origin != "null" and urlsplit(origin).netloc.lower() == headers.get("host", "").lower()
    )
    if not own or site not in (None, "same-origin", "none"):
        raise Refusal(
            Mistake(
                403,
                "another site's page tried to change something here",
                f"a request from a page of this app was expected, for {scope['path'][:80]}",
                "open the page here, and do it there",
            )
        )


async def _has_token(headers: Headers, body: _Body, token: str, new: bool) -> None:
    given = headers.get(HEADER, "")
    known = hmac.compare_digest(given.encode(), token.encode())
    if not new and (known or await body.holds(token)):
        return
    raise Refusal(
        Mistake(
            403,
            "a change came without this browser's token",
            "the token that each page holds was expected",
            "open the page again and repeat it; if that does not help, allow cookies for this app",
        )
    )


class _Body:
    """The body as it comes: no longer than allowed, and with its beginning looked at once."""

    def __init__(self, receive: Receive, most: int, headers: Headers) -> None:
        self._receive, self._most = receive, most
        self._kind = headers.get("content-type", "").split(";")[0].strip().lower()
        self._seen: list[Message] = []
        self._count = 0
        told = headers.get("content-length", "0")
        self._fits(int(told) if told.isdigit() else 0)

    async def __call__(self) -> Message:
        return self._seen.pop(0) if self._seen else await self._next()

    async def holds(self, token: str) -> bool:
        """Whether a form's first field is the token."""
        head, more = b"", True
        while more and len(head) < PEEK:
            message = await self._next()
            self._seen.append(message)
            head += message.get("body", b"")
            more = message.get("more_body", False)
            if _names(head, self._kind, token):
                return True
        return False

    async def _next(self) -> Message:
        message = await self._receive()
        self._count += len(message.get("body", b""))
        self._fits(self._count)
        return message

    def _fits(self, count: int) -> None:
        if count > self._most:
            raise Refusal(
                Mistake(
                    413,
                    f"more than {self._most // MEGA} megabytes came",
                    f"at most {self._most // MEGA} megabytes were expected here",
                    "send less at once",
                )
            )


def _names(head: bytes, kind: str, token: str) -> bool:
    given = token.encode()
    if kind == "application/x-www-form-urlencoded":
        return head == b"token=" + given or head.startswith(b"token=" + given + b"&")
    if kind == "multipart/form-data":
        return b'name="token"\r\n\r\n' + given + b"\r\n" in head
    return False


class _Finish:
    """Sends the answer with the headers that every answer has."""

    def __init__(self, send: Send, scope: Scope, new: str | None) -> None:
        self._send, self._scope, self._new = send, scope, new
        self.started = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            if self._new is not None:
                secure = "; Secure" if self._scope["scheme"] == "https" else ""
                cookie = f"{COOKIE}={self._new}; Path=/; HttpOnly; SameSite=Strict{secure}"
                headers.append("set-cookie", cookie)
        await self._send(message)
