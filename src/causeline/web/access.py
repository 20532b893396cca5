"""Signing in and out, one's own account, the coaches, and what was done."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from ipaddress import ip_address
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from starlette.responses import RedirectResponse

from causeline.errors import SettingError, StoreError
from causeline.model.access import Account, Passkey, Role, Session
from causeline.model.library import Coach, new_id
from causeline.store.library import Library
from causeline.store.library_access import (
    SHORTEST,
    SignedIn,
    load_accounts,
    load_invite,
    load_locked,
    load_passkeys,
    load_role,
    load_sessions,
    load_with_password,
    save_account,
    save_invite,
    save_invited,
    save_passkey_removed,
    save_password,
    save_session,
    save_session_ended,
    save_sessions_ended,
)
from causeline.store.library_people import (
    load_audit,
    load_coach,
    load_coaches,
    load_golfers,
    save_audit,
    save_coach,
)
from causeline.web.contract.access import (
    Choice,
    Coaches,
    CoachLine,
    Done,
    DoneLine,
    KeyLine,
    Me,
    SessionLine,
    SignIn,
    Welcome,
)
from causeline.web.desk import Desk, OfDesk, Who
from causeline.web.gate import SIGNED, STANDS_FOR, Policy, session_cookie
from causeline.web.mistakes import Mistake, Refusal
from causeline.web.rates import Rate
from causeline.web.show import show

router = APIRouter(include_in_schema=False)
BY_NAME, BY_ADDRESS = Rate(10, 600.0), Rate(40, 600.0)
"""Tries of a password: for one name from anywhere, and from one place for any name."""
SHOWN = 200
SAID = {
    "name": "The name is changed.",
    "password": "The password is set.",
    "sessions": "The other browsers are signed out.",
    "key": "The passkey is kept.",
}
WRONG = "That name and that password do not belong together."


def policy_of(request: Request) -> Policy:
    """How this workbench is reached."""
    policy: Policy = request.app.state.policy
    return policy


OfPolicy = Annotated[Policy, Depends(policy_of)]


def signed_of(request: Request) -> SignedIn | None:
    """Who is signed in, with their session; None where this library has no lock."""
    signed: SignedIn | None = getattr(request.state, SIGNED, None)
    return signed


def role_of(request: Request) -> Role:
    """What the one who asks may see; without a lock, everything."""
    signed = signed_of(request)
    return signed.role if signed else Role.ADMINISTRATION


def administers(request: Request) -> None:
    """Raise Refusal for who does not look after the coaches here."""
    if role_of(request) is not Role.ADMINISTRATION:
        raise Refusal(
            Mistake(
                403,
                "this page is for who looks after the coaches here",
                "the role of administration was expected",
                "ask them",
            )
        )


Administers = Annotated[None, Depends(administers)]


def let_in(desk: Desk, policy: Policy, coach: str, to: str) -> Response:
    """Begin a session, and go on."""
    session, secret = save_session(desk.library, coach)
    save_audit(desk.library, coach, "signed in", session.id)
    answer = RedirectResponse(here(to), 303)
    answer.headers.append("set-cookie", session_cookie(policy, secret))
    return answer


def here(to: str) -> str:
    """An address of this app, whatever was asked for: nobody is led elsewhere."""
    ours = to.startswith("/") and not to.startswith(("//", "/\\")) and "\n" not in to
    return to if ours and not to.startswith("/sign-in") else "/"


@router.get("/sign-in")
def sign_in_page(request: Request, to: str = "/") -> Response:
    """Ask who comes."""
    return show(request, "sign_in.html.j2", SignIn(here(to), "", ""))


@router.post("/sign-in")
def sign_in(
    request: Request,
    desk: OfDesk,
    policy: OfPolicy,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    to: Annotated[str, Form()] = "/",
) -> Response:
    """Let in who knows the password; slowly, and not too often."""
    address = request.client.host if request.client else "?"
    BY_ADDRESS.take(address)
    BY_NAME.take(name.strip().casefold()[:200])
    coach = load_with_password(desk.library, name, password)
    if coach is None:
        save_audit(desk.library, "nobody", "sign-in refused", "")
        page = SignIn(here(to), name[:200], WRONG)
        return show(request, "sign_in.html.j2", page, status=401)
    BY_NAME.forget(name.strip().casefold()[:200])
    return let_in(desk, policy, coach.id, to)


@router.post("/sign-out")
def sign_out(request: Request, desk: OfDesk, policy: OfPolicy) -> Response:
    """End this browser's session."""
    signed = signed_of(request)
    if signed is not None:
        save_session_ended(desk.library, signed.session.id)
        save_audit(desk.library, signed.session.coach, "signed out", signed.session.id)
    answer = RedirectResponse("/sign-in", 303)
    answer.headers.append("set-cookie", session_cookie(policy, ""))
    answer.delete_cookie(STANDS_FOR)
    return answer


@router.get("/welcome/{secret}")
def welcome_page(request: Request, desk: OfDesk, secret: str) -> Response:
    """An invited coach sets a password here."""
    BY_ADDRESS.take(request.client.host if request.client else "?")
    _, coach = load_invite(desk.library, secret)
    page = Welcome(f"/welcome/{secret}", coach.name, SHORTEST, "")
    return show(request, "welcome.html.j2", page)


@router.post("/welcome/{secret}")
def welcome(
    request: Request,
    desk: OfDesk,
    policy: OfPolicy,
    secret: str,
    password: Annotated[str, Form()] = "",
) -> Response:
    """Use the invitation up."""
    BY_ADDRESS.take(request.client.host if request.client else "?")
    _, coach = load_invite(desk.library, secret)
    try:
        save_invited(desk.library, secret, password)
    except SettingError as error:
        page = Welcome(f"/welcome/{secret}", coach.name, SHORTEST, str(error))
        return show(request, "welcome.html.j2", page, status=422)
    save_audit(desk.library, coach.id, "invitation used", coach.id)
    return let_in(desk, policy, coach.id, "/")


@router.get("/access")
def me_page(request: Request, desk: OfDesk, coach: Who, said: str = "") -> Response:
    """One's own account."""
    return show(request, "me.html.j2", _me(request, desk, coach, said=SAID.get(said, "")))


@router.post("/access/name")
def change_name(
    request: Request,
    desk: OfDesk,
    coach: Who,
    name: Annotated[str, Form()],
    version: Annotated[int, Form()],
    mail: Annotated[str, Form()] = "",
) -> Response:
    """Change one's own name and mail."""
    own = load_coach(desk.library, own_id(request, coach))
    if not name.strip():
        page = _me(request, desk, coach, wrong="A name was expected.")
        return show(request, "me.html.j2", page, status=422)
    changed = replace(own, name=name.strip()[:200], mail=mail.strip()[:200], version=version)
    save_coach(desk.library, changed)
    return RedirectResponse("/access?said=name", 303)


@router.post("/access/password")
def change_password(
    request: Request,
    desk: OfDesk,
    policy: OfPolicy,
    coach: Who,
    password: Annotated[str, Form()] = "",
    before: Annotated[str, Form()] = "",
) -> Response:
    """Set one's own password; who has one shows it first. Every other browser is signed out."""
    own = load_coach(desk.library, own_id(request, coach))
    try:
        _check_before(desk.library, own, before)
        save_password(desk.library, own.id, password)
    except SettingError as error:
        page = _me(request, desk, coach, wrong=str(error))
        return show(request, "me.html.j2", page, status=422)
    save_audit(desk.library, own.id, "password set", own.id)
    return let_in(desk, policy, own.id, "/access?said=password")


@router.post("/access/sessions")
def end_sessions(request: Request, desk: OfDesk, policy: OfPolicy, coach: Who) -> Response:
    """Sign every other browser out."""
    own = own_id(request, coach)
    save_sessions_ended(desk.library, own)
    save_audit(desk.library, own, "all sessions ended", own)
    return let_in(desk, policy, own, "/access?said=sessions")


@router.post("/access/passkeys/{name}/remove")
def remove_passkey(request: Request, desk: OfDesk, coach: Who, name: str) -> Response:
    """Forget one of one's own passkeys, as long as there is another way in."""
    own = own_id(request, coach)
    keys = load_passkeys(desk.library, own)
    if len(keys) == 1 and not _has_password(desk.library, own):
        page = _me(request, desk, coach, wrong="Set a password first, else nobody could come in.")
        return show(request, "me.html.j2", page, status=422)
    save_passkey_removed(desk.library, name, own)
    save_audit(desk.library, own, "passkey removed", name)
    return RedirectResponse("/access", 303)


@router.post("/access/for")
def stand_for(
    request: Request, desk: OfDesk, policy: OfPolicy, coach: Annotated[str, Form()]
) -> Response:
    """Be at work for another coach, with the role for it."""
    if role_of(request) is Role.OWN:
        raise StoreError("there is nobody you could be at work for")
    chosen, own = load_coach(desk.library, coach), own_id(request, None)
    answer = RedirectResponse("/", 303)
    if chosen.id == own:
        answer.delete_cookie(STANDS_FOR)
    else:
        answer.set_cookie(
            STANDS_FOR, chosen.id, httponly=True, samesite="strict", secure=policy.secure
        )
        save_audit(desk.library, own, "at work for another coach", chosen.id)
    return answer


@router.get("/access/coaches")
def coaches_page(request: Request, desk: OfDesk, coach: Who, _: Administers) -> Response:
    """Everybody who teaches here."""
    return show(request, "coaches.html.j2", _coaches(request, desk.library, coach))


@router.post("/access/coaches")
def add_coach(
    request: Request,
    desk: OfDesk,
    coach: Who,
    _: Administers,
    name: Annotated[str, Form()] = "",
    mail: Annotated[str, Form()] = "",
) -> Response:
    """Add a coach, with an invitation."""
    if not name.strip() or any(
        name.strip().casefold() == each.name.casefold() for each in load_coaches(desk.library)
    ):
        page = _coaches(request, desk.library, coach, wrong="A name that nobody has was expected.")
        return show(request, "coaches.html.j2", page, status=422)
    added = save_coach(desk.library, Coach(new_id(), name.strip()[:200], mail.strip()[:200]))
    save_account(desk.library, added.id, Role.OWN)
    save_audit(desk.library, own_id(request, coach), "coach added", added.id)
    return _invited(request, desk, coach, added)


@router.post("/access/coaches/{name}/invite")
def invite(request: Request, desk: OfDesk, coach: Who, _: Administers, name: str) -> Response:
    """A new invitation, for who forgot the password."""
    return _invited(request, desk, coach, load_coach(desk.library, name))


@router.post("/access/coaches/{name}/role")
def set_role(
    request: Request,
    desk: OfDesk,
    coach: Who,
    _: Administers,
    name: str,
    role: Annotated[Role, Form()],
) -> Response:
    """Change what a coach may see; one does not change one's own."""
    _check_other(request, coach, name)
    save_account(desk.library, name, role)
    save_audit(desk.library, own_id(request, coach), f"role: {role.value}", name)
    return RedirectResponse("/access/coaches", 303)


@router.post("/access/coaches/{name}/active")
def set_active(
    request: Request,
    desk: OfDesk,
    coach: Who,
    _: Administers,
    name: str,
    active: Annotated[bool, Form()],
) -> Response:
    """Let a coach in again, or no longer: every browser of theirs is signed out at once."""
    _check_other(request, coach, name)
    save_coach(desk.library, replace(load_coach(desk.library, name), active=active))
    save_sessions_ended(desk.library, name)
    what = "let in again" if active else "no longer let in"
    save_audit(desk.library, own_id(request, coach), what, name)
    return RedirectResponse("/access/coaches", 303)


@router.get("/access/done")
def done_page(request: Request, desk: OfDesk, _: Who, __: Administers) -> Response:
    """What was done here, the newest first."""
    lines = load_audit(desk.library, limit=SHOWN)
    names = {each.id: each.name for each in load_coaches(desk.library)}
    names |= {each.id: each.golfer.name for each in load_golfers(desk.library)}
    shown = tuple(
        DoneLine(_when(line.at), names.get(line.who, line.who), line.what,
                 names.get(line.about, line.about[:8]))
        for line in lines
    )  # fmt: skip
    return show(request, "done.html.j2", Done(shown, len(lines) == SHOWN))


def own_id(request: Request, coach: Coach | None) -> str:
    """The id of who is at work, also while they are so for another."""
    signed = signed_of(request)
    if signed is not None:
        return signed.session.coach
    if coach is None:
        raise StoreError("nobody is signed in", "", "set a password first")
    return coach.id


def may_have_keys(request: Request) -> bool:
    """Whether browsers allow passkeys here: by a name, on this machine or by https."""
    name = request.url.hostname or ""
    try:
        ip_address(name)
    except ValueError:
        return name == "localhost" or request.url.scheme == "https"
    return False


def _check_before(library: Library, own: Coach, before: str) -> None:
    if _has_password(library, own.id):
        BY_NAME.take(own.id)
        fitting = load_with_password(library, own.name, before)
        if fitting is None or fitting.id != own.id:
            raise SettingError("the password so far was another one", "", "try again")


def _has_password(library: Library, coach: str) -> bool:
    return any(
        each.id == coach and account and account.secret for each, account in load_accounts(library)
    )


def _check_other(request: Request, coach: Coach, name: str) -> None:
    if name == own_id(request, coach):
        raise SettingError(
            "your own account would be changed", "another coach's was expected",
            "let another coach with the role of administration do it",
        )  # fmt: skip


def _invited(request: Request, desk: Desk, coach: Coach, invited: Coach) -> Response:
    _, secret = save_invite(desk.library, invited.id)
    save_audit(desk.library, own_id(request, coach), "invited", invited.id)
    link = f"{request.url.scheme}://{request.url.netloc}/welcome/{secret}"
    page = replace(_coaches(request, desk.library, coach), invited=invited.name, link=link)
    return show(request, "coaches.html.j2", page)


def _me(request: Request, desk: Desk, coach: Coach, said: str = "", wrong: str = "") -> Me:
    own = load_coach(desk.library, own_id(request, coach))
    signed, role = signed_of(request), load_role(desk.library, own.id)
    others = load_coaches(desk.library) if signed and role is not Role.OWN else ()
    return Me(
        name=own.name,
        mail=own.mail,
        version=own.version,
        role=role.value,
        locked=load_locked(desk.library),
        has_password=_has_password(desk.library, own.id),
        shortest=SHORTEST,
        keys=tuple(map(_key_line, load_passkeys(desk.library, own.id))),
        may_have_keys=may_have_keys(request),
        sessions=tuple(_session_line(each, signed) for each in load_sessions(desk.library, own.id)),
        stands=tuple(
            Choice(each.id, each.name, each.id == coach.id) for each in others if each.active
        ),
        administers=role_of(request) is Role.ADMINISTRATION,
        said=said,
        wrong=wrong,
    )


def _coaches(request: Request, library: Library, coach: Coach, wrong: str = "") -> Coaches:
    own = own_id(request, coach)
    golfers = load_golfers(library)
    return Coaches(
        tuple(
            _coach_line(each, account, own, sum(one.coach == each.id for one in golfers),
                        len(load_passkeys(library, each.id)))
            for each, account in load_accounts(library)
        ),
        invited="",
        link="",
        wrong=wrong,
    )  # fmt: skip


def _coach_line(
    coach: Coach, account: Account | None, own: str, golfers: int, keys: int
) -> CoachLine:
    role = account.role if account else Role.OWN
    ways = ["a password"] if account and account.secret else []
    ways += [f"{keys} passkey{'' if keys == 1 else 's'}"] if keys else []
    return CoachLine(
        id=coach.id,
        name=coach.name,
        mail=coach.mail,
        active=coach.active,
        signs_in=" and ".join(ways) or "cannot sign in yet",
        golfers=golfers,
        roles=tuple(Choice(each.value, each.value, each is role) for each in Role),
        me=coach.id == own,
    )


def _key_line(key: Passkey) -> KeyLine:
    used = _when(key.used_at) if key.used_at else "never"
    return KeyLine(key.id, key.name, _when(key.made_at), used)


def _session_line(session: Session, signed: SignedIn | None) -> SessionLine:
    this = signed is not None and signed.session.id == session.id
    return SessionLine(_when(session.made_at), _when(session.seen_at), this)


def _when(at: datetime) -> str:
    return at.strftime("%Y-%m-%d %H:%M UTC")
