"""What a golfer agrees to; and that taking it back leaves nothing that hung on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench.puppet_reader import ask, puppet_doors, read_all
from sqlalchemy import select

from causeline.errors import NotAgreed, SettingError, StoreError
from causeline.model.access import Made, Make
from causeline.model.library import GolferEntry, Purpose, Reference, State, new_id
from causeline.reading.work import run_claimed
from causeline.store.library import Library
from causeline.store.library_clips import (
    load_clips,
    load_references,
    save_reference,
)
from causeline.store.library_consent import (
    load_agreed,
    load_allowed,
    load_consents,
    load_readable,
    save_consent,
    save_consent_withdrawn,
)
from causeline.store.library_lessons import load_link, save_lesson, save_link
from causeline.store.library_made import load_made, load_made_for, save_made
from causeline.store.library_people import load_audit, save_golfer
from causeline.store.library_readings import ReadingBook
from causeline.store.library_removal import save_clip_removed, save_golfer_removed
from causeline.store.tables import READINGS, STAGES
from causeline.store.verify import load_findings
from tests.shelf import THEN, a_clip, a_coach, a_golfer, a_lesson


def made(
    library: Library, key: str, *, shared: bool = False, face: bool = True, **whose: str
) -> Made:
    """A file that was made, and says of what in its content."""
    one = Made(key * 64, Make.STILL, {"n": 1}, "", THEN, shared=shared, face=face, **whose)
    return save_made(library, one, f"picture {key}".encode())


def a_junior(library: Library) -> GolferEntry:
    """A child with a guardian."""
    golfer = a_golfer(library, name="Nell Tarrow")
    child = replace(golfer.golfer, junior=True)
    return save_golfer(library, replace(golfer, golfer=child, guardian="Asa Tarrow"))


def read_golfer(library: Library) -> GolferEntry:
    """A golfer with one clip that is read, everything made of it, and everything shared."""
    golfer = a_golfer(library)
    read_all(library, golfer, [b"a swing"])
    (clip,) = load_clips(library, golfer.id)
    lesson = save_lesson(library, a_lesson(golfer), "coach")
    save_consent(library, golfer.id, Purpose.REFERENCE, "they")
    save_reference(library, Reference(new_id(), golfer.coach, clip.id, 1, "Calm", THEN))
    made(library, "1", sha256=clip.sha256)
    made(library, "2", shared=True, golfer=golfer.id)
    made(library, "3", shared=True, face=False, lesson=lesson.id)
    return golfer


def left(library: Library, golfer: GolferEntry) -> tuple[int, int, int, bool]:
    """Readings, references, made files; and whether a link can be made."""
    with library.database.reading() as connection:
        readings = len(connection.execute(select(READINGS.c.id)).all())
    keys = [key for key in "123" if load_made(library, key * 64)]
    try:
        save_link(library, golfer.id)
        links = True
    except NotAgreed:
        links = False
    return readings, len(load_references(library, golfer.coach)), len(keys), links


@pytest.mark.parametrize(
    ("purpose", "after"),
    [
        (Purpose.SHARING, (1, 1, 1, False)),
        (Purpose.REFERENCE, (1, 0, 3, True)),
        (Purpose.FACE, (1, 1, 2, True)),
        (Purpose.ANALYSIS, (0, 0, 0, True)),
    ],
)
def test_withdrawing_acts_at_once(
    library: Library, purpose: Purpose, after: tuple[int, int, int, bool]
) -> None:
    golfer = read_golfer(library)
    _, secret = save_link(library, golfer.id)
    assert left(library, golfer) == (1, 1, 3, True)
    save_consent_withdrawn(library, golfer.id, purpose, "coach")
    assert left(library, golfer) == after
    if purpose in (Purpose.SHARING, Purpose.ANALYSIS):
        with pytest.raises(StoreError, match="leads nowhere"):
            load_link(library, secret)
    assert purpose not in load_allowed(library, golfer.id)
    assert load_audit(library, golfer.id)[0].what == f"{purpose.value} withdrawn"
    found = load_findings(library)
    assert found.problems == ()
    save_golfer_removed(library, golfer.id, "coach")
    assert list(library.vault.keys()) == []


def test_a_clip_that_another_golfer_has_stays_read(library: Library) -> None:
    golfer = read_golfer(library)
    other = a_golfer(library, name="Dara Quill")
    a_clip(library, other)
    save_consent_withdrawn(library, golfer.id, Purpose.ANALYSIS)
    assert left(library, golfer)[0] == 1
    clip = load_clips(library, golfer.id)[0]
    assert load_readable(library, clip.sha256)
    save_consent_withdrawn(library, other.id, Purpose.ANALYSIS)
    assert not load_readable(library, clip.sha256)


def test_who_works_on_a_reading_cannot_finish_it_after_analysis_is_withdrawn(
    library: Library,
) -> None:
    golfer = a_golfer(library)
    a_clip(library, golfer)
    entry = ask(library, load_clips(library, golfer.id)[0].sha256)

    def withdrawn_meanwhile() -> object:
        save_consent_withdrawn(library, golfer.id, Purpose.ANALYSIS)
        return puppet_doors()

    state = run_claimed(ReadingBook(library), entry.id, withdrawn_meanwhile)  # type: ignore[arg-type]
    assert state is not State.READY
    with library.database.reading() as connection:
        assert connection.execute(select(READINGS.c.id)).all() == []
        assert connection.execute(select(STAGES.c.key)).all() == []
    library.tidy()
    assert len(list(library.vault.keys())) == 1, "the clip alone"
    assert load_findings(library).problems == ()


def test_only_the_guardian_speaks_for_a_junior(library: Library) -> None:
    junior = a_junior(library)
    assert load_allowed(library, junior.id) == frozenset()
    with pytest.raises(SettingError, match="The word of Asa Tarrow was expected"):
        save_consent(library, junior.id, Purpose.SHARING, "Nell Tarrow")
    with pytest.raises(NotAgreed, match="no consent to sharing"):
        save_link(library, junior.id)
    save_consent(library, junior.id, Purpose.SHARING, "Asa Tarrow")
    save_link(library, junior.id)
    assert load_allowed(library, junior.id) == {Purpose.SHARING}
    nobody = save_golfer(library, replace(junior, guardian=""))
    with pytest.raises(SettingError, match="Enter the guardian"):
        save_consent(library, nobody.id, Purpose.FACE, "")


def test_a_grown_golfer_can_say_no_without_having_said_yes(library: Library) -> None:
    golfer = a_golfer(library)
    assert Purpose.FACE in load_allowed(library, golfer.id)
    assert save_consent_withdrawn(library, golfer.id, Purpose.FACE, "coach") == 0
    assert load_allowed(library, golfer.id) == {Purpose.ANALYSIS, Purpose.SHARING}
    assert len(load_consents(library, golfer.id)) == 1
    save_consent(library, golfer.id, Purpose.FACE, "they")
    assert Purpose.FACE in load_allowed(library, golfer.id)
    assert load_agreed(library, golfer.id) == {Purpose.FACE}


def test_nobody_is_shown_to_others_without_a_word(library: Library) -> None:
    golfer = a_golfer(library)
    clip = a_clip(library, golfer)
    reference = Reference(new_id(), golfer.coach, clip, 1, "Calm", THEN)
    with pytest.raises(NotAgreed, match="no consent to reference"):
        save_reference(library, reference)
    assert load_references(library, a_coach(library).id) == ()


def test_consent_of_nobody_is_told(library: Library) -> None:
    with pytest.raises(StoreError, match="no row 'nobody'"):
        save_consent(library, "nobody", Purpose.FACE, "they")


def test_what_was_made_is_made_once_and_goes_with_its_clip(library: Library) -> None:
    golfer = a_golfer(library)
    clip = a_clip(library, golfer)
    sha256 = load_clips(library, golfer.id)[0].sha256
    first = made(library, "a", sha256=sha256)
    again = save_made(library, replace(first, content={"n": 2}), b"another picture")
    library.tidy()
    assert load_made(library, "a" * 64) == again
    assert load_made_for(library, sha256=sha256) == (again,)
    assert len(list(library.vault.keys())) == 2
    save_clip_removed(library, clip, "coach")
    assert load_made(library, "a" * 64) is None
    assert list(library.vault.keys()) == []


@pytest.mark.parametrize("purpose", [Purpose.REFERENCE, Purpose.FACE, Purpose.ANALYSIS])
def test_what_another_golfer_was_sent_with_them_in_it_goes_too(
    library: Library, purpose: Purpose
) -> None:
    """A film of Dara's lesson with Ivo's swing beside hers; and one with nobody beside her."""
    ivo, dara = read_golfer(library), a_golfer(library, name="Dara Quill")
    sha256 = load_clips(library, ivo.id)[0].sha256
    beside = replace(a_lesson(dara), content={"references": [{"sha256": sha256, "number": 1}]})
    both, alone = (save_lesson(library, each, "coach") for each in (beside, a_lesson(dara)))
    made(library, "b", shared=True, lesson=both.id, golfer=dara.id)
    made(library, "c", shared=True, lesson=alone.id, golfer=dara.id)
    save_consent_withdrawn(library, ivo.id, purpose)
    assert load_made(library, "b" * 64) is None
    assert load_made(library, "c" * 64) is not None
    assert load_findings(library).problems == ()
