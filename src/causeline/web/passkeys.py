"""Passkeys: a coach's own device signs instead of a password (W3C Web Authentication, level 3)."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from starlette.responses import JSONResponse
from webauthn import (
    base64url_to_bytes,
    generate_authentication_options,
    generate_registration_options,
    options_to_json,
    verify_authentication_response,
    verify_registration_response,
)
from webauthn.helpers import bytes_to_base64url
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import (
    AuthenticatorSelectionCriteria,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from causeline.errors import SettingError
from causeline.model.access import Passkey
from causeline.model.library import new_id
from causeline.store.library_access import (
    load_passkey,
    load_passkeys,
    save_passkey,
    save_passkey_used,
    save_session,
)
from causeline.store.library_people import load_coach, save_audit
from causeline.web.access import BY_ADDRESS, OfPolicy, here, may_have_keys, own_id
from causeline.web.contract.access import GoOn, PasskeyAnswer, PasskeyOptions
from causeline.web.desk import OfDesk, Who
from causeline.web.gate import session_cookie
from causeline.web.mistakes import Mistake, Refusal

router = APIRouter()
HOLDS_S = 300.0
"""How long somebody may take to touch a device."""
MOST_OPEN = 1000
NAME = "Causeline"


@dataclass(frozen=True, slots=True)
class _Open:
    challenge: bytes
    until_s: float


class Challenges:
    """What devices were asked to sign, by the browser's token: each is answered once."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._open: dict[str, _Open] = {}
        self._clock, self._lock = clock, threading.Lock()

    def keep(self, token: str, challenge: bytes) -> None:
        """Remember; the oldest are forgotten where there are very many."""
        with self._lock:
            self._open.pop(token, None)
            self._open[token] = _Open(challenge, self._clock() + HOLDS_S)
            while len(self._open) > MOST_OPEN:
                del self._open[next(iter(self._open))]

    def take(self, token: str) -> bytes:
        """The challenge, once. Raises Refusal where there is none, or it is too old."""
        with self._lock:
            found = self._open.pop(token, None)
        if found is None or self._clock() > found.until_s:
            raise _refusal("nothing was asked of this device", "begin again")
        return found.challenge


CHALLENGES = Challenges()


@router.post("/access/passkeys/options")
def new_options(request: Request, desk: OfDesk, coach: Who) -> PasskeyOptions:
    """What the device is asked for a new passkey."""
    _check_place(request)
    own = load_coach(desk.library, own_id(request, coach))
    options = generate_registration_options(
        rp_id=_rp(request),
        rp_name=NAME,
        user_id=own.id.encode(),
        user_name=own.mail or own.name,
        user_display_name=own.name,
        authenticator_selection=AuthenticatorSelectionCriteria(
            resident_key=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.REQUIRED,
        ),
        exclude_credentials=[
            PublicKeyCredentialDescriptor(id=base64url_to_bytes(key.credential))
            for key in load_passkeys(desk.library, own.id)
        ],
    )
    CHALLENGES.keep(request.state.token, options.challenge)
    return PasskeyOptions(options=json.loads(options_to_json(options)))


@router.post("/access/passkeys")
def keep(
    request: Request, desk: OfDesk, policy: OfPolicy, coach: Who, given: PasskeyAnswer
) -> Response:
    """Keep a new passkey; where it is the first lock of all, its coach is signed in by it."""
    own = own_id(request, coach)
    challenge = CHALLENGES.take(request.state.token)
    try:
        proved = verify_registration_response(
            credential=given.credential,
            expected_challenge=challenge,
            expected_rp_id=_rp(request),
            expected_origin=_origin(request),
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError, KeyError, TypeError) as error:
        raise _refusal("that device's answer is not sound", "begin again") from error
    key = Passkey(
        id=new_id(),
        coach=own,
        credential=bytes_to_base64url(proved.credential_id),
        public_key=bytes_to_base64url(proved.credential_public_key),
        sign_count=proved.sign_count,
        name=given.name.strip()[:80] or "passkey",
        made_at=desk.library.now(),
    )
    save_passkey(desk.library, key)
    save_audit(desk.library, own, "passkey kept", key.id)
    answer = JSONResponse(GoOn(to="/access?said=key").model_dump())
    _, secret = save_session(desk.library, own)
    answer.headers.append("set-cookie", session_cookie(policy, secret))
    return answer


@router.post("/sign-in/passkey/options")
def sign_in_options(request: Request) -> PasskeyOptions:
    """What any device with a passkey of this place is asked."""
    _check_place(request)
    BY_ADDRESS.take(request.client.host if request.client else "?")
    options = generate_authentication_options(
        rp_id=_rp(request), user_verification=UserVerificationRequirement.REQUIRED
    )
    CHALLENGES.keep(request.state.token, options.challenge)
    return PasskeyOptions(options=json.loads(options_to_json(options)))


@router.post("/sign-in/passkey")
def sign_in(
    request: Request, desk: OfDesk, policy: OfPolicy, given: PasskeyAnswer, to: str = "/"
) -> Response:
    """Let in whose device signed."""
    challenge = CHALLENGES.take(request.state.token)
    found = load_passkey(desk.library, str(given.credential.get("id", ""))[:1400])
    if found is None:
        raise _refusal("that passkey is not known here", "sign in with the password")
    key, coach = found
    try:
        proved = verify_authentication_response(
            credential=given.credential,
            expected_challenge=challenge,
            expected_rp_id=_rp(request),
            expected_origin=_origin(request),
            credential_public_key=base64url_to_bytes(key.public_key),
            credential_current_sign_count=key.sign_count,
            require_user_verification=True,
        )
    except (WebAuthnException, ValueError, KeyError, TypeError) as error:
        save_audit(desk.library, "nobody", "passkey refused", key.id)
        raise _refusal("that device's answer is not sound", "begin again") from error
    save_passkey_used(desk.library, key.id, proved.new_sign_count)
    session, secret = save_session(desk.library, coach.id)
    save_audit(desk.library, coach.id, "signed in", session.id)
    answer = JSONResponse(GoOn(to=here(to)).model_dump())
    answer.headers.append("set-cookie", session_cookie(policy, secret))
    return answer


def _check_place(request: Request) -> None:
    if not may_have_keys(request):
        raise SettingError(
            "passkeys were asked for at an address that is no name, or not by https",
            "a name was expected, or localhost on this machine",
            "open the same page at http://localhost with the port that Causeline printed",
        )


def _rp(request: Request) -> str:
    return request.url.hostname or "localhost"


def _origin(request: Request) -> str:
    return f"{request.url.scheme}://{request.url.netloc}"


def _refusal(came: str, remedy: str) -> Refusal:
    return Refusal(Mistake(403, came, "an answer to what was asked just now was expected", remedy))
