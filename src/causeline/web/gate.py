"""Who comes in, and to what: signing in, and that nobody asks for what is another coach's.

An ASGI layer inside the guard. A library on this machine alone with one coach has no lock; it gets
one with the first password or passkey, at once. Each id in an address, a query or a body is asked
for its owner here, once for all routes, so that no route can forget to.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from http.cookies import SimpleCookie
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from causeline.errors import StoreError
from causeline.model.access import Role
from causeline.model.library import Coach
from causeline.store.library import Library
from causeline.store.library_access import SignedIn, load_locked, load_signed_in
from causeline.store.library_owners import load_is_strangers
from causeline.store.library_people import load_coach
from causeline.web.mistakes import Mistake, Refusal, from_error, mistake_answer
from causeline.web.rates import Rate

SESSION = "causeline-session"
STANDS_FOR = "causeline-for"
"""For which coach somebody with the role for it is at work."""
SIGNED, STRANGER = "signed", "stranger"
"""Names of what the gate leaves in a request's state."""
OPEN = (
    "/assets/", "/built/", "/fonts/", "/theme", "/sign-in", "/welcome/", "/g/", "/healthz",
    "/metrics",
)  # fmt: skip
"""Addresses that need no signing in: each has its own secret, or shows nothing of anybody."""
NEVER_LOOKED_AT = ("/assets/", "/built/", "/fonts/", "/healthz")
LIMITED_THERE = ("/g/",)
"""Golfers' links are counted by link: many phones may share one address."""
STRANGERS_PER_MINUTE = 240
YEAR_S = 365 * 24 * 3600
LOOKED_AT = 64 * 1024
"""How far into a body with files ids are looked for; other bodies are looked at whole."""
_ID = re.compile(rb"(?<![0-9a-f])(?:[0-9a-f]{32}|[0-9a-f]{64})(?![0-9a-f])")
_WHOLE = ("application/json", "application/x-www-form-urlencoded", "text/plain")


@dataclass(frozen=True, slots=True)
class Policy:
    """How the workbench is reached."""

    always: bool = False
    """It listens beyond this machine: nobody comes in without signing in."""
    secure: bool = False
    """Browsers reach it by https."""
    metrics_key: str = ""
    """What a collector of metrics shows; empty lets only administration read them."""

    def cookie(self, name: str) -> str:
        """The cookie's name; by https, one that no other site of the domain can set."""
        return f"__Host-{name}" if self.secure else name


class Gate:
    """An ASGI layer around the routes."""

    def __init__(self, app: ASGIApp, library: Library, policy: Policy) -> None:
        self.app, self.library, self.policy = app, library, policy
        self._locked = policy.always
        self._strangers = Rate(STRANGERS_PER_MINUTE, 60.0)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, send the browser to sign in, or say that there is nothing."""
        if scope["type"] != "http" or scope["path"].startswith(NEVER_LOOKED_AT):
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        signed = await run_in_threadpool(self._signed, request)
        finish = self._turning(send, signed)
        scope.setdefault("state", {})[SIGNED] = signed
        locked = signed is None and await run_in_threadpool(self._is_locked)
        scope["state"][STRANGER] = locked
        try:
            if locked and not scope["path"].startswith(LIMITED_THERE):
                self._strangers.take(_client(scope))
                if not scope["path"].startswith(OPEN):
                    await _to_sign_in(request)(scope, receive, finish)
                    return
            take = receive
            if signed is not None and signed.role is Role.OWN:
                take = await self._own(scope, receive, signed.coach.id)
        except (StoreError, Refusal) as error:
            await mistake_answer(request, from_error(error))(scope, receive, finish)
            return
        await self.app(scope, take, finish)

    def _is_locked(self) -> bool:
        """Once it is locked, it stays so until the program ends."""
        self._locked = self._locked or load_locked(self.library)
        return self._locked

    def _signed(self, request: Request) -> SignedIn | None:
        secret = request.cookies.get(self.policy.cookie(SESSION), "")
        signed = load_signed_in(self.library, secret) if secret else None
        other = request.cookies.get(STANDS_FOR, "")
        if signed is None or signed.role is Role.OWN or other in ("", signed.coach.id):
            return signed
        return _standing(self.library, signed, other)

    async def _own(self, scope: Scope, receive: Receive, coach: str) -> Receive:
        """Raise StoreError where the request names what is another coach's."""
        kind = Headers(scope=scope).get("content-type", "").split(";")[0].strip().lower()
        body = _Looked(receive, None if kind in _WHOLE else LOOKED_AT)
        named = scope["path"].encode() + b" " + scope.get("query_string", b"")
        if scope["method"] not in ("GET", "HEAD", "OPTIONS"):
            named += b" " + await body.look()
        ids = {each.decode() for each in _ID.findall(named.lower())}
        if await run_in_threadpool(load_is_strangers, self.library, coach, ids):
            raise StoreError(
                "there is nothing at this address for you",
                "something of your own golfers was expected",
                "ask whoever looks after the coaches here, if you should see it",
            )
        return body

    def _turning(self, send: Send, signed: SignedIn | None) -> Send:
        """Hand the browser its session's new secret, where it turned; by https, keep it there."""
        told = session_cookie(self.policy, signed.secret) if signed and signed.secret else ""

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if self.policy.secure:
                    headers["strict-transport-security"] = f"max-age={YEAR_S}"
                if told and not any(SESSION in each for each in headers.getlist("set-cookie")):
                    headers.append("set-cookie", told)
            await send(message)

        return sent


class _Looked:
    """A body whose beginning was looked at, and that still comes whole to the route."""

    def __init__(self, receive: Receive, most: int | None) -> None:
        self._receive, self._most = receive, most
        self._seen: list[Message] = []

    async def __call__(self) -> Message:
        return self._seen.pop(0) if self._seen else await self._receive()

    async def look(self) -> bytes:
        """The body, as far as it is looked at."""
        head, more = b"", True
        while more and (self._most is None or len(head) < self._most):
            message = await self._receive()
            self._seen.append(message)
            head += message.get("body", b"")
            more = message.get("more_body", False) and message["type"] == "http.request"
        return head


def session_cookie(policy: Policy, secret: str) -> str:
    """The header's value that hands a browser its session; an empty secret takes it back."""
    cookie: SimpleCookie = SimpleCookie()
    name = policy.cookie(SESSION)
    cookie[name] = secret
    cookie[name]["path"] = "/"
    cookie[name]["httponly"] = True
    cookie[name]["samesite"] = "Lax"
    cookie[name]["secure"] = policy.secure
    if not secret:
        cookie[name]["max-age"] = 0
    return cookie[name].OutputString()


def _standing(library: Library, signed: SignedIn, other: str) -> SignedIn:
    """At work for another coach: what is that one's is shown, and both names stand by it."""
    try:
        coach = load_coach(library, other)
    except StoreError:
        return signed
    both = f"{signed.coach.name} for {coach.name}"
    return replace(signed, coach=Coach(coach.id, both, coach.mail, coach.active, coach.version))


def _to_sign_in(request: Request) -> Response:
    wants_page = "text/html" in request.headers.get("accept", "")
    if request.method == "GET" and wants_page:
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/sign-in?to={quote(here, safe='')}", 303)
    told = Mistake(401, "nobody is signed in", "a coach was expected", "sign in, then do it again")
    return mistake_answer(request, told)


def _client(scope: Scope) -> str:
    client = scope.get("client")
    return str(client[0]) if client else "?"
