"""Who may sign in: accounts, sessions, passkeys, invitations. No secret is kept that could be used.

A password is kept as an Argon2id hash, a session or an invitation as the SHA-256 of 256 random
bits. A session's secret changes while it lasts; the one before holds for a minute more, for pages
that asked at the same time.
"""

from __future__ import annotations

import hashlib
import secrets
import unicodedata
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import ColumnElement, Connection, delete, insert, or_, select, update

from causeline.errors import SettingError, StoreError
from causeline.model.access import Account, Invite, Passkey, Role, Session
from causeline.model.library import Coach, new_id
from causeline.store.library import Library
from causeline.store.rows import add, many, needed, one, values_of
from causeline.store.tables import ACCOUNTS, COACHES, INVITES, PASSKEYS, SESSIONS

SHORTEST, LONGEST = 15, 1000
"""Characters of a password that stands alone: 15 by NIST SP 800-63B-4 (from memory)."""
DIFFERENT = 5
"""Characters of it that are not the same."""
LASTS = timedelta(days=14)
IDLE = timedelta(hours=12)
"""A session ends so long after it was last used."""
TURNS = timedelta(minutes=15)
"""Age at which a session's secret is changed."""
GRACE = timedelta(minutes=1)
SEEN_STEP = timedelta(minutes=1)
"""A session's last use is written down no more often than this."""
INVITED = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who a session's secret belongs to."""

    session: Session
    coach: Coach
    role: Role
    secret: str = ""
    """A new one, where the browser's was changed just now."""


def save_account(library: Library, coach: str, role: Role) -> Account:
    """Give a coach a role; the password stays as it was. Raises StoreError for no such coach."""
    with library.database.writing() as connection:
        needed(connection, Coach, COACHES, coach)
        known = _account(connection, coach)
        account = Account(coach, role, known.secret if known else "", library.now())
        _write(connection, account)
    return account


def save_password(library: Library, coach: str, password: str) -> Account:
    """Set a coach's password; every session of theirs ends.

    The first one to get a password has the role of administration. Raises SettingError for a
    password that is too short or too plain.
    """
    hashed = _hasher().hash(_checked(password))
    with library.database.writing() as connection:
        needed(connection, Coach, COACHES, coach)
        known = _account(connection, coach)
        role = _role(connection, known)
        account = Account(coach, role, hashed, library.now())
        _write(connection, account)
        connection.execute(delete(SESSIONS).where(SESSIONS.c.coach == coach))
    return account


def load_accounts(library: Library) -> tuple[tuple[Coach, Account | None], ...]:
    """Every coach by name, with how they sign in."""
    with library.database.reading() as connection:
        coaches = many(connection, Coach, select(COACHES).order_by(COACHES.c.name, COACHES.c.id))
        accounts = {each.coach: each for each in many(connection, Account, select(ACCOUNTS))}
    return tuple((coach, accounts.get(coach.id)) for coach in coaches)


def load_role(library: Library, coach: str) -> Role:
    """What a coach may see; their own golfers where nothing was said."""
    with library.database.reading() as connection:
        known = _account(connection, coach)
    return known.role if known else Role.OWN


def load_locked(library: Library) -> bool:
    """Whether anybody can sign in: a coach at work who has a password or a passkey."""
    active = select(COACHES.c.id).where(COACHES.c.active)
    with library.database.reading() as connection:
        secret = select(ACCOUNTS.c.coach).where(
            ACCOUNTS.c.secret != "", ACCOUNTS.c.coach.in_(active)
        )
        passkey = select(PASSKEYS.c.id).where(PASSKEYS.c.coach.in_(active))
        return any(connection.execute(query.limit(1)).first() for query in (secret, passkey))


def load_with_password(library: Library, name: str, password: str) -> Coach | None:
    """The active coach of that name or mail, if the password is theirs.

    It takes as long for a name that nobody bears.
    """
    wanted = name.strip().casefold()
    found = [
        (coach, account)
        for coach, account in load_accounts(library)
        if coach.active and account and account.secret
        if wanted and wanted in (coach.name.casefold(), coach.mail.casefold())
    ]
    held = found[0][1].secret if len(found) == 1 and found[0][1] else _nobody()
    if not _fits(held, password) or held == _nobody():
        return None
    coach = found[0][0]
    if _hasher().check_needs_rehash(held):
        with library.database.writing() as connection:
            stronger = _hasher().hash(_plain(password))
            mine = ACCOUNTS.c.coach == coach.id
            connection.execute(update(ACCOUNTS).where(mine).values(secret=stronger))
    return coach


def save_session(library: Library, coach: str) -> tuple[Session, str]:
    """Begin a session; gives it with its secret, which is for the browser alone."""
    now, secret = library.now(), _secret()
    session = Session(new_id(), coach, now, now, now, now + LASTS)
    with library.database.writing() as connection:
        connection.execute(delete(SESSIONS).where(_over(library)))
        hashes = {"token_hash": _hash(secret), "before_hash": ""}
        connection.execute(insert(SESSIONS).values(values_of(session) | hashes))
    return session, secret


def load_signed_in(library: Library, secret: str) -> SignedIn | None:
    """Whose session that is; None where there is none, it is over, or the coach is not at work.

    Notes that it was used, and changes the secret where it has grown old.
    """
    if len(secret) != 43:
        return None
    given, now = _hash(secret), library.now()
    fresh = SESSIONS.c.token_hash == given
    query = select(SESSIONS, SESSIONS.c.token_hash).where(
        or_(fresh, SESSIONS.c.before_hash == given)
    )
    with library.database.reading() as connection:
        row = connection.execute(query).mappings().first()
        session = one(connection, Session, query)
        if row is None or session is None:
            return None
        coach = needed(connection, Coach, COACHES, session.coach)
        account = _account(connection, session.coach)
    held = row["token_hash"] == given
    if _is_over(session, now) or not coach.active or account is None:
        return None
    if not held and now - session.rotated_at > GRACE:
        return None
    signed = SignedIn(session, coach, account.role)
    if held and _older(now, session.rotated_at, TURNS):
        return _turned(library, signed, given)
    if _older(now, session.seen_at, SEEN_STEP):
        with library.database.writing() as connection:
            mine = SESSIONS.c.id == session.id
            connection.execute(update(SESSIONS).where(mine).values(seen_at=now))
    return signed


def save_session_ended(library: Library, name: str) -> None:
    """End one session."""
    with library.database.writing() as connection:
        connection.execute(delete(SESSIONS).where(SESSIONS.c.id == name))


def save_sessions_ended(library: Library, coach: str) -> int:
    """End every session of a coach; gives how many."""
    with library.database.writing() as connection:
        return connection.execute(delete(SESSIONS).where(SESSIONS.c.coach == coach)).rowcount


def load_sessions(library: Library, coach: str) -> tuple[Session, ...]:
    """A coach's sessions, the newest first."""
    query = select(SESSIONS).where(SESSIONS.c.coach == coach).order_by(SESSIONS.c.seen_at.desc())
    with library.database.reading() as connection:
        found = many(connection, Session, query)
    return tuple(each for each in found if not _is_over(each, library.now()))


def save_passkey(library: Library, passkey: Passkey) -> Passkey:
    """Keep a passkey. Raises StoreError where somebody has that very one."""
    with library.database.writing() as connection:
        known = _account(connection, passkey.coach)
        role = _role(connection, known)
        if known is None or known.role is not role:
            secret = known.secret if known else ""
            _write(connection, Account(passkey.coach, role, secret, library.now()))
        add(connection, PASSKEYS, passkey)
    return passkey


def load_passkeys(library: Library, coach: str) -> tuple[Passkey, ...]:
    """A coach's passkeys, the oldest first."""
    query = select(PASSKEYS).where(PASSKEYS.c.coach == coach).order_by(PASSKEYS.c.made_at)
    with library.database.reading() as connection:
        return many(connection, Passkey, query)


def load_passkey(library: Library, credential: str) -> tuple[Passkey, Coach] | None:
    """The passkey of that name and its coach, if they are at work."""
    with library.database.reading() as connection:
        query = select(PASSKEYS).where(PASSKEYS.c.credential == credential)
        found = one(connection, Passkey, query)
        if found is None:
            return None
        coach = needed(connection, Coach, COACHES, found.coach)
    return (found, coach) if coach.active else None


def save_passkey_used(library: Library, name: str, sign_count: int) -> None:
    """Note that a passkey signed, and how often it says that it did."""
    values = {"sign_count": sign_count, "used_at": library.now()}
    with library.database.writing() as connection:
        connection.execute(update(PASSKEYS).where(PASSKEYS.c.id == name).values(values))


def save_passkey_removed(library: Library, name: str, coach: str) -> None:
    """Delete one of a coach's passkeys."""
    mine = (PASSKEYS.c.id == name, PASSKEYS.c.coach == coach)
    with library.database.writing() as connection:
        connection.execute(delete(PASSKEYS).where(*mine))


def save_invite(library: Library, coach: str) -> tuple[Invite, str]:
    """A link by which a coach sets a password, good once; gives it with its secret."""
    now, secret = library.now(), _secret()
    invite = Invite(new_id(), coach, now, now + INVITED)
    with library.database.writing() as connection:
        needed(connection, Coach, COACHES, coach)
        row = values_of(invite) | {"secret_hash": _hash(secret)}
        connection.execute(insert(INVITES).values(row))
    return invite, secret


def load_invite(library: Library, secret: str) -> tuple[Invite, Coach]:
    """The invitation with that secret. Raises StoreError where it is used, old or none at all."""
    with library.database.reading() as connection:
        query = select(INVITES).where(INVITES.c.secret_hash == _hash(secret))
        found = one(connection, Invite, query)
        if found is not None and found.used_at is None and library.now() < found.ends_at:
            coach = needed(connection, Coach, COACHES, found.coach)
            if coach.active:
                return found, coach
    raise StoreError(
        "that invitation is not good any more",
        "one that was not used yet, and not older than three days, was expected",
        "ask whoever looks after the coaches here for a new one",
    )


def save_invited(library: Library, secret: str, password: str) -> Coach:
    """Use an invitation up to set a password. Raises StoreError and SettingError as above."""
    invite, coach = load_invite(library, secret)
    _checked(password)
    with library.database.writing() as connection:
        free = (INVITES.c.id == invite.id, INVITES.c.used_at.is_(None))
        change = update(INVITES).where(*free).values(used_at=library.now())
        if connection.execute(change).rowcount == 0:
            raise StoreError("that invitation was used just now", "", "sign in with the password")
    save_password(library, coach.id, password)
    return coach


def _turned(library: Library, signed: SignedIn, given: str) -> SignedIn:
    """The same session under a new secret; as it was where another page turned it just now."""
    now, secret = library.now(), _secret()
    mine = (SESSIONS.c.id == signed.session.id, SESSIONS.c.token_hash == given)
    values = {
        "token_hash": _hash(secret), "before_hash": given, "rotated_at": now, "seen_at": now,
    }  # fmt: skip
    with library.database.writing() as connection:
        done = connection.execute(update(SESSIONS).where(*mine).values(values)).rowcount
    return replace(signed, secret=secret) if done else signed


def _account(connection: Connection, coach: str) -> Account | None:
    return one(connection, Account, select(ACCOUNTS).where(ACCOUNTS.c.coach == coach))


def _role(connection: Connection, known: Account | None) -> Role:
    """Who is the first to be able to sign in looks after the others, whatever was said before."""
    secret = select(ACCOUNTS.c.coach).where(ACCOUNTS.c.secret != "").limit(1)
    asked = (secret, select(PASSKEYS.c.id).limit(1))
    if not any(connection.execute(each).first() for each in asked):
        return Role.ADMINISTRATION
    return known.role if known else Role.OWN


def _write(connection: Connection, account: Account) -> None:
    connection.execute(delete(ACCOUNTS).where(ACCOUNTS.c.coach == account.coach))
    add(connection, ACCOUNTS, account)


def _over(library: Library) -> ColumnElement[bool]:
    return or_(SESSIONS.c.ends_at < library.now(), SESSIONS.c.seen_at < library.now() - IDLE)


def _is_over(session: Session, now: datetime) -> bool:
    return now > session.ends_at or now - session.seen_at > IDLE


def _older(now: datetime, then: datetime, age: timedelta) -> bool:
    return now - then > age


def _secret() -> str:
    """256 random bits, 43 letters."""
    return secrets.token_urlsafe(32)


def _hash(secret: str) -> str:
    """A secret of this many random bits needs no salt and no slow hash."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


@cache
def _hasher() -> PasswordHasher:
    """Argon2id with 64 MiB, 3 passes, 4 lanes: the second choice of RFC 9106."""
    return PasswordHasher()


@cache
def _nobody() -> str:
    """The hash of a password that nobody has, to compare with where a name is not known."""
    return _hasher().hash(secrets.token_urlsafe(32))


def _fits(held: str, password: str) -> bool:
    try:
        return _hasher().verify(held, _plain(password))
    except (VerificationError, InvalidHashError):
        return False


def _plain(password: str) -> str:
    """The same text from every keyboard (Unicode NFKC, as NIST SP 800-63B asks)."""
    return unicodedata.normalize("NFKC", password)[: LONGEST + 1]


def _checked(password: str) -> str:
    plain = _plain(password)
    if not SHORTEST <= len(plain) <= LONGEST or len(set(plain)) < DIFFERENT:
        raise SettingError(
            f"a password of {len(plain)} characters came, {len(set(plain))} of them different",
            f"at least {SHORTEST} characters were expected, and no more than {LONGEST}",
            "take four or five words that nobody would expect beside each other",
        )
    return plain
