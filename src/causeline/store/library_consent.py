"""What a golfer, or a junior's guardian, agrees to; withdrawing it acts in the same change.

| purpose | without a word | with a junior | withdrawn: gone at once |
|---|---|---|---|
| analysis | allowed | when the guardian agreed | readings and all that was made of them, links |
| sharing | allowed: it is the golfer's own page | when the guardian agreed | links, shared files |
| reference | not allowed | when the guardian agreed | the golfer's swings among references |
| face | shown | when the guardian agreed | shared files that may show a face |

A golfer who never agreed can say no as well: that is kept as a consent withdrawn when it was given.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, Select, delete, exists, insert, or_, select, update

from causeline.errors import NotAgreed, SettingError
from causeline.model.library import AuditLine, Consent, Purpose, new_id
from causeline.store.library import Library
from causeline.store.library_made import save_unfilmed, save_unmade, save_unshown
from causeline.store.rows import add, many, missing, values_of
from causeline.store.tables import (
    ATTACHMENTS,
    AUDIT,
    CLIPS,
    CONSENTS,
    GOLFERS,
    LESSONS,
    LINKS,
    MADE,
    READINGS,
    REFERENCES,
    STAGES,
)

ASSUMED = frozenset({Purpose.ANALYSIS, Purpose.SHARING, Purpose.FACE})
"""What a grown golfer who sends a clip to a coach agrees to until they say otherwise (judged)."""


def save_consent(library: Library, golfer: str, purpose: Purpose, given_by: str) -> Consent:
    """Note that somebody agreed, now; for a junior only the guardian can.

    Raises SettingError where somebody else speaks for a junior, StoreError for no such golfer.
    """
    consent = Consent(new_id(), golfer, purpose, given_by, library.now())
    with library.database.writing() as connection:
        _check_speaker(connection, golfer, given_by)
        add(connection, CONSENTS, consent)
    return consent


def save_consent_withdrawn(
    library: Library, golfer: str, purpose: Purpose, by: str = "coach"
) -> int:
    """Withdraw what was agreed to, with everything that hangs on it; gives how many consents.

    Who never agreed says no by it. Anybody may say no for a junior.
    """
    now = library.now()
    with library.database.alone() as connection:
        held = (
            CONSENTS.c.golfer == golfer,
            CONSENTS.c.purpose == purpose,
            CONSENTS.c.withdrawn_at.is_(None),
        )
        count = connection.execute(update(CONSENTS).where(*held).values(withdrawn_at=now)).rowcount
        if count == 0:
            add(connection, CONSENTS, Consent(new_id(), golfer, purpose, by, now, now))
        _act(library, connection, golfer, purpose, now)
        line = values_of(AuditLine(now, by, f"{purpose.value} withdrawn", golfer))
        del line["id"]
        connection.execute(insert(AUDIT).values(line))
    library.tidy()
    return count


def load_consents(library: Library, golfer: str) -> tuple[Consent, ...]:
    """Everything a golfer ever agreed to, the oldest first."""
    with library.database.reading() as connection:
        return many(connection, Consent, _consents(golfer))


def load_agreed(library: Library, golfer: str) -> frozenset[Purpose]:
    """What a golfer said yes to, and holds to now."""
    consents = load_consents(library, golfer)
    return frozenset(each.purpose for each in consents if each.withdrawn_at is None)


def load_allowed(library: Library, golfer: str) -> frozenset[Purpose]:
    """What may be done now: what was agreed to, and for grown golfers what is assumed."""
    with library.database.reading() as connection:
        return allowed(connection, golfer)


def load_readable(library: Library, sha256: str) -> bool:
    """Whether anybody who has that clip lets it be analysed; true for a clip of nobody."""
    with library.database.reading() as connection:
        owners = list(
            connection.execute(select(CLIPS.c.golfer).where(CLIPS.c.sha256 == sha256)).scalars()
        )
        return not owners or any(Purpose.ANALYSIS in allowed(connection, each) for each in owners)


def allowed(connection: Connection, golfer: str) -> frozenset[Purpose]:
    """As `load_allowed`, within a change that goes on."""
    junior = connection.execute(select(GOLFERS.c.junior).where(GOLFERS.c.id == golfer)).scalar()
    said: dict[Purpose, bool] = {}
    for each in many(connection, Consent, _consents(golfer)):
        said[each.purpose] = said.get(each.purpose, False) or each.withdrawn_at is None
    assumed = frozenset() if junior else ASSUMED - set(said)
    return assumed | {purpose for purpose, yes in said.items() if yes}


def check_allowed(connection: Connection, golfer: str, purpose: Purpose) -> None:
    """Raise NotAgreed where a golfer, or a junior's guardian, does not agree."""
    if purpose not in allowed(connection, golfer):
        raise NotAgreed(
            f"there is no consent to {purpose.value}",
            "the golfer's word was expected, or for a junior the guardian's",
            "ask them, then note their answer on the golfer's page",
        )


def _consents(golfer: str) -> Select[tuple[object]]:
    return select(CONSENTS).where(CONSENTS.c.golfer == golfer).order_by(CONSENTS.c.given_at)


def _check_speaker(connection: Connection, golfer: str, given_by: str) -> None:
    asked = select(GOLFERS.c.junior, GOLFERS.c.guardian).where(GOLFERS.c.id == golfer)
    row = connection.execute(asked).first()
    if row is None:
        raise missing(GOLFERS, golfer)
    if row.junior and (not row.guardian or given_by != row.guardian):
        raise SettingError(
            "somebody else than the guardian agreed for a junior",
            f"the word of {row.guardian} was expected" if row.guardian else "a guardian's name",
            "enter the guardian with the golfer, and note their consent under that name",
        )


def _act(
    library: Library, connection: Connection, golfer: str, purpose: Purpose, now: datetime
) -> None:
    """Everything that may no longer be."""
    own_clips = select(CLIPS.c.id).where(CLIPS.c.golfer == golfer)
    if purpose in (Purpose.REFERENCE, Purpose.ANALYSIS):
        connection.execute(delete(REFERENCES).where(REFERENCES.c.clip.in_(own_clips)))
    if purpose in (Purpose.SHARING, Purpose.ANALYSIS):
        held = (LINKS.c.golfer == golfer, LINKS.c.withdrawn_at.is_(None))
        connection.execute(update(LINKS).where(*held).values(withdrawn_at=now))
    _unmake(library, connection, golfer, purpose)
    if purpose is Purpose.ANALYSIS:
        _unread(library, connection, golfer)


def _unmake(library: Library, connection: Connection, golfer: str, purpose: Purpose) -> None:
    """What was made: all of it, what is shared, or what is shared and may show a face.

    And what others were sent that shows this golfer beside them.
    """
    if purpose is Purpose.REFERENCE:
        kept = select(CLIPS.c.sha256).where(CLIPS.c.golfer == golfer)
        save_unshown(library, connection, golfer, list(connection.execute(kept).scalars()))
        return
    lessons = select(LESSONS.c.id).where(LESSONS.c.golfer == golfer)
    hashes = select(CLIPS.c.sha256).where(CLIPS.c.golfer == golfer)
    mine = or_(MADE.c.golfer == golfer, MADE.c.lesson.in_(lessons), MADE.c.sha256.in_(hashes))
    if purpose is Purpose.FACE:
        mine = mine & MADE.c.shared & MADE.c.face
    elif purpose is not Purpose.ANALYSIS:
        mine = mine & MADE.c.shared
    save_unmade(library, connection, mine)
    save_unfilmed(library, connection, ATTACHMENTS.c.golfer == golfer)
    if purpose is not Purpose.SHARING:
        save_unshown(library, connection, golfer, list(connection.execute(hashes).scalars()))


def _unread(library: Library, connection: Connection, golfer: str) -> None:
    """Readings of clips that only this golfer has; who works on one cannot finish it."""
    other = CLIPS.alias()
    shared = exists().where(other.c.sha256 == CLIPS.c.sha256, other.c.golfer != golfer)
    own = select(CLIPS.c.sha256).where(CLIPS.c.golfer == golfer, ~shared)
    files: list[str | None] = []
    for table, columns in (
        (READINGS, (READINGS.c.seen_key, READINGS.c.reading_key)),
        (STAGES, (STAGES.c.file_key,)),
    ):
        for column in columns:
            files += connection.execute(select(column).where(table.c.sha256.in_(own))).scalars()
        connection.execute(delete(table).where(table.c.sha256.in_(own)))
    library.let_go(connection, files)
