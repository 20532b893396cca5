"""The findings of a swing as a chain: rows in order, arcs from cause to effect, proofs beside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from causeline.findings.catalogue import FAULTS
from causeline.model.findings import Evidence, Finding, Findings, Role, Ruling, Unseen
from causeline.model.moments import MomentName
from causeline.model.reading import Swing
from causeline.render.band_scale import render_band, render_scale
from causeline.render.contract import Chain, ChainKnot, ChainLink, Proof, Refused
from causeline.render.numbers import render_number
from causeline.render.stills import Crop, Drawing, render_lines, render_rows
from causeline.render.telling import Texts, render_sentence, render_title
from causeline.render.words import MOMENT_PLACES, MOMENT_SHORT, MOMENT_TITLES

ROW, GUTTER, THREAD = 400, 360, 300
"""Hundredths of a rem: a row's height, the gutter's width, where in it the knots stand."""
PROOFS_MOST = {Role.CAUSE: 3, Role.EFFECT: 2, Role.ALONE: 2}
"""The rest stands among the measures and in the reading file."""
FIRST = {fault.name: fault.first for fault in FAULTS}
TITLES = {fault.name: fault.title for fault in FAULTS}
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
ODDS_WORDS = ((0.95, "very likely"), (0.8, "likely"), (0.0, "more likely than not"))
NOTHING = (
    "Nothing stands out. What could be measured lies inside its band, or too near the band’s "
    "end to tell."
)
ROLES = {Role.CAUSE: "cause", Role.EFFECT: "effect", Role.ALONE: "alone"}


def render_fault_title(name: str) -> str:
    """A fault's title in the trade's words; its name where the catalogue has none."""
    return TITLES.get(name, name.replace("_", " "))


def render_chain(swing: Swing, crop: Crop, anchor: str, texts: Texts) -> Chain | None:
    """The chain of one swing, or None where nobody looked for faults."""
    found = swing.findings
    if found is None:
        return None
    numbers = {one.name: place for place, one in enumerate(found.findings, 1)}
    links = tuple(_link(one, numbers, (swing, crop, anchor), texts) for one in found.findings)
    pairs = [
        (numbers[one.because], numbers[one.name])
        for one in found.findings
        if one.because in numbers
    ]
    return Chain(
        lead=_lead(found),
        links=links,
        gutter=f"0 0 {GUTTER} {ROW * max(len(links), 1)}",
        knots=tuple(ChainKnot(link.role, _knot(link.role, link.number)) for link in links),
        arcs=tuple(_arc(start, end) for start, end in pairs),
        heads=tuple(_head(end) for end in sorted({end for _, end in pairs})),
        struck=tuple(_struck(ruling) for ruling in found.struck),
        unknown=_unknown(found.unseen),
    )


def _lead(found: Findings) -> str:
    cause = found.cause
    if cause is None:
        return NOTHING
    rest = len(found.findings) - 1 - len(cause.explains)
    named = cause.title
    if cause.role is Role.ALONE:
        told = f"{named} stands out, and nothing else that was found follows from it."
    else:
        count = len(cause.explains)
        told = (
            f"It begins with {named[0].lower()}{named[1:]}; {_number(count)} "
            f"{'thing follows' if count == 1 else 'things follow'} from it."
        )
    if rest:
        told += f" {_number(rest).capitalize()} more {'stands' if rest == 1 else 'stand'} apart."
    return told


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def _link(
    one: Finding,
    numbers: Mapping[str, int],
    where: tuple[Swing, Crop, str],
    texts: Texts,
) -> ChainLink:
    swing, crop, anchor = where
    proofs = [each for each in one.evidence if each.speaks_for]
    moment = _pictured(proofs, swing)
    return ChainLink(
        number=numbers[one.name],
        anchor=f"{anchor}-{one.name}",
        name=one.title,
        role=ROLES[one.role],
        place=_place(one, numbers),
        when=MOMENT_TITLES[FIRST[one.name]],
        odds=_odds(one),
        sentence=render_sentence(one.sentence.removeprefix(f"{one.title}: ")),
        ruling="; ".join(f"Pinned by the {each.by}: {each.reason}" for each in one.rulings),
        proofs=tuple(_proof(each, texts) for each in proofs[: PROOFS_MOST[one.role]]),
        inside=_inside(one, texts),
        drawing=None if moment is None else _drawing(swing, crop, moment),
        figure="" if moment is None else MOMENT_SHORT[moment],
        plate="" if moment is None else f"{anchor}-{moment}",
    )


def _place(one: Finding, numbers: Mapping[str, int]) -> str:
    if one.role is Role.CAUSE:
        return "Where it begins"
    if one.role is Role.ALONE:
        return "By itself"
    return f"Follows from {numbers.get(one.because or '', 0)}"


def _odds(one: Finding) -> str:
    if one.rulings:
        return "as told"
    word = next(word for least, word in ODDS_WORDS if one.probability >= least)
    return f"{word}, {min(int(100 * one.probability), 99)} in 100"


def _pictured(proofs: Sequence[Evidence], swing: Swing) -> MomentName | None:
    """Where the foremost proof lies, of those with a frame of this swing's clip."""
    frames = {moment.name: moment.frame for moment in swing.moments.found}
    here = (e.moment for e in proofs if e.moment in frames and frames[e.moment] == e.frame)
    return next(here, None)


def _drawing(swing: Swing, crop: Crop, name: MomentName) -> Drawing:
    place = next(k for k, each in enumerate(swing.moments.found) if each.name == name)
    return render_lines(swing.body, render_rows(swing)[place], crop, swing.club)


def _proof(one: Evidence, texts: Texts) -> Proof:
    when = "" if one.moment is None else MOMENT_PLACES[one.moment]
    frame = "" if one.frame is None else f"frame {one.frame}"
    return Proof(
        title=render_title(one.measure, texts),
        when=", ".join(part for part in (when, frame) if part),
        shown=render_number(one.value, one.sd, one.unit),
        band=render_band(one),
        beyond=_beyond(one.outside),
        scale=render_scale(one),
    )


def _beyond(outside: float) -> str:
    if outside < 1:
        return "outside by less than its ±"
    if outside < 1.5:
        return "outside by about its ±"
    return f"outside by {min(outside, 99):.0f} times its ±"


def _inside(one: Finding, texts: Texts) -> str:
    quiet = [e for e in one.evidence if not e.speaks_for]
    names = dict.fromkeys(
        f"{render_title(e.measure, texts)}" + (f" {MOMENT_PLACES[e.moment]}" if e.moment else "")
        for e in quiet
    )
    return "; ".join(names)


def _struck(ruling: Ruling) -> str:
    title = next(fault.title for fault in FAULTS if fault.name == ruling.fault)
    return f"{title}, struck by the {ruling.by}: {ruling.reason}"


def _unknown(unseen: Sequence[Unseen]) -> tuple[Refused, ...]:
    reasons: dict[str, list[str]] = {}
    for one in unseen:
        reasons.setdefault(render_sentence(one.reason), []).append(one.title)
    return tuple(Refused("; ".join(titles), why) for why, titles in reasons.items())


def _middle(number: int) -> int:
    return ROW * (number - 1) + ROW // 2


def _knot(role: str, number: int) -> str:
    """A lozenge for a cause, a ring for an effect, a bar for what stands by itself."""
    y = _middle(number)
    if role == "cause":
        return f"M{THREAD - 34} {y}L{THREAD} {y - 34}L{THREAD + 34} {y}L{THREAD} {y + 34}Z"
    if role == "alone":
        return f"M{THREAD - 26} {y}H{THREAD + 26}"
    return f"M{THREAD - 20} {y}a20 20 0 1 0 40 0a20 20 0 1 0 -40 0Z"


def _arc(start: int, end: int) -> str:
    """From a cause's row to its effect's, the farther the wider."""
    top, bottom = _middle(start), _middle(end)
    out = THREAD - min(70 + 62 * abs(end - start), THREAD + 60)
    return f"M{THREAD - 24} {top}C{out} {top + 30} {out} {bottom - 10} {THREAD - 40} {bottom}"


def _head(end: int) -> str:
    y = _middle(end)
    return f"M{THREAD - 64} {y - 26}L{THREAD - 28} {y}L{THREAD - 70} {y + 10}"
