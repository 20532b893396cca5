"""From the measures of one swing, in one view or two, to its findings: which fault is the cause."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from causeline.errors import SettingError
from causeline.findings.catalogue import FAULTS
from causeline.findings.graph import ARROWS, explain_order
from causeline.findings.likelihood import explain_heard
from causeline.findings.spec import Arrow, Fault
from causeline.findings.stories import Graph, Told, explain_stories
from causeline.findings.tell import explain_in_words
from causeline.findings.weigh import TELLING, Seen, Weighed, explain_values, explain_why_unseen
from causeline.model.clip import View
from causeline.model.findings import (
    ClubSort,
    Evidence,
    Finding,
    Findings,
    Role,
    Ruling,
    Say,
    Unseen,
)
from causeline.model.moments import Moments

FOUND = 0.5
"""A fault is a finding when it is likelier there than not."""
SLIGHT = 0.1
"""What a finding counts at least when causes are ranked, however slight."""
MOSTLY = 0.5
"""A value that shows a fault less often than this says nothing of how severe it is."""
LED = 0.5
"""Share of an effect that causes must answer for, for it to follow from the likeliest."""
GRAPH = Graph(FAULTS, ARROWS)


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """What the stories say of one swing."""

    told: Told
    values: Mapping[tuple[str, str], Weighed]
    found: tuple[Fault, ...]
    """In order of the swing."""
    rulings: tuple[Ruling, ...]


def explain_findings(
    seen: Seen,
    club: ClubSort | None = None,
    rulings: Sequence[Ruling] = (),
    moments: Mapping[View, Moments] | None = None,
) -> Findings:
    """The faults that the measures of one swing support, the one that explains most first.

    `seen` holds the measures of each view of the swing; `moments`, where given, puts the frame to
    each evidence. The latest ruling on a fault holds. Raises SettingError for a ruling on a fault
    that the catalogue lacks.
    """
    latest = _latest(rulings)
    known = _known(seen, club, latest)
    ranked = _ranked(known)
    found = [_finding(fault, known, moments or {}) for fault in ranked]
    unseen = tuple(
        Unseen(
            fault.name, fault.title, explain_why_unseen(fault, seen), known.told.odds[fault.name]
        )
        for fault in FAULTS
        if fault.name not in latest and not _seen(fault, known.values)
    )
    return Findings(
        findings=tuple(found),
        unseen=unseen,
        odds=tuple((fault.name, known.told.odds[fault.name]) for fault in FAULTS),
        struck=tuple(one for one in latest.values() if one.say is Say.ABSENT),
        club=club,
    )


def _latest(rulings: Sequence[Ruling]) -> dict[str, Ruling]:
    names = [fault.name for fault in FAULTS]
    for ruling in rulings:
        if ruling.fault not in names:
            raise SettingError(
                f"got a ruling on {ruling.fault!r}",
                f"expected a fault of the catalogue: {', '.join(names)}",
                "Take the name from docs/faults.md.",
            )
    return {ruling.fault: ruling for ruling in rulings}


def _known(seen: Seen, club: ClubSort | None, latest: Mapping[str, Ruling]) -> _Known:
    values = explain_values(seen, club)
    rules = {name: ruling.say is Say.PRESENT for name, ruling in latest.items()}
    told = explain_stories(GRAPH, explain_heard(seen, club), rules)
    order = explain_order()
    found = sorted(
        (
            fault
            for fault in FAULTS
            if told.odds[fault.name] > FOUND and (fault.name in latest or _shown(fault, values))
        ),
        key=lambda fault: order[fault.name],
    )
    return _Known(told, values, tuple(found), tuple(latest.values()))


def _own(fault: Fault, values: Mapping[tuple[str, str], Weighed]) -> list[tuple[float, Weighed]]:
    """The values that show a fault, each with how strongly it shows there."""
    keyed = [((sign.band, sign.side), sign.shows) for sign in fault.signs]
    return [(shows, values[key]) for key, shows in keyed if key in values]


def _seen(fault: Fault, values: Mapping[tuple[str, str], Weighed]) -> bool:
    """Whether anything was measured that tells this fault from others."""
    return any(shows >= TELLING for shows, _ in _own(fault, values))


def _shown(fault: Fault, values: Mapping[tuple[str, str], Weighed]) -> bool:
    """Whether some of that lies outside its band: inside all bands nothing is a finding."""
    return any(shows >= TELLING and one.speaks_for for shows, one in _own(fault, values))


def _severity(fault: Fault, known: _Known) -> float:
    """Mean over the values that mostly show it, by how much they do; 0 without any."""
    own = [pair for pair in _own(fault, known.values) if pair[0] >= MOSTLY]
    weight = sum(shows for shows, _ in own)
    return sum(shows * one.severity for shows, one in own) / weight if own else 0.0


def _explained(name: str, known: _Known) -> float:
    """How much of what was found goes back to one, in expectation: the severe counts more."""
    under = known.told.under[name]
    return sum(under.get(fault.name, 0.0) * _weight(fault, known) for fault in known.found)


def _weight(fault: Fault, known: _Known) -> float:
    """What a finding counts when causes are ranked."""
    return max(_severity(fault, known), SLIGHT)


def _ranked(known: _Known) -> tuple[Fault, ...]:
    """Where most of it begins, then its effects in order of the swing, then the next."""
    left = sorted(known.found, key=lambda fault: -_begins(fault, known))
    ranked: list[Fault] = []
    while left:
        beginning = left[0]
        below = [one for one in known.found if one in left and beginning in _above(one, known)]
        ranked += [beginning, *below]
        left = [fault for fault in left if fault not in ranked]
    return tuple(ranked)


def _begins(fault: Fault, known: _Known) -> float:
    """How many faults of the swing are there because this one came of itself, in expectation."""
    return known.told.begins[fault.name]


def _above(fault: Fault, known: _Known) -> list[Fault]:
    """The findings that one follows from, step by step."""
    above = []
    arrow = _because(fault, known)
    while arrow is not None:
        above.append(next(one for one in known.found if one.name == arrow.cause))
        arrow = _because(above[-1], known)
    return above


def _goes_with(cause: Fault, known: _Known) -> tuple[str, ...]:
    """Findings that follow from one, step by step, in order of the swing."""
    return tuple(one.name for one in known.found if cause in _above(one, known))


def _because(fault: Fault, known: _Known) -> Arrow | None:
    """The arrow from the finding that answers for most of this one; None for a beginning."""
    led = known.told.led[fault.name]
    names = {one.name for one in known.found}
    arrows = [arrow for arrow in ARROWS if arrow.effect == fault.name and arrow.cause in names]
    best = max(arrows, key=lambda arrow: led[arrow.cause], default=None)
    share = sum(led[arrow.cause] for arrow in arrows) / known.told.odds[fault.name]
    return best if share > LED else None


def _finding(fault: Fault, known: _Known, moments: Mapping[View, Moments]) -> Finding:
    because, explains = _because(fault, known), _goes_with(fault, known)
    role = Role.EFFECT if because else Role.CAUSE if explains else Role.ALONE
    own = _own(fault, known.values)
    evidence = tuple(_evidence(one, moments) for _, one in own)
    total = sum(known.told.odds[one.name] * _weight(one, known) for one in known.found)
    return Finding(
        name=fault.name,
        title=fault.title,
        role=role,
        probability=known.told.odds[fault.name],
        severity=_severity(fault, known),
        evidence=evidence,
        explains=explains,
        because=because.cause if because else None,
        explained_share=_explained(fault.name, known) / total,
        sentence=explain_in_words(fault, evidence, because, explains),
        rulings=tuple(one for one in known.rulings if one.fault == fault.name),
    )


def _evidence(one: Weighed, moments: Mapping[View, Moments]) -> Evidence:
    measure, held = one.measure, moments.get(one.view)
    moment = held.get(measure.moment) if held and measure.moment else None
    return Evidence(
        measure=measure.name,
        moment=measure.moment,
        view=one.view,
        frame=moment.frame if moment else None,
        value=measure.value,
        sd=measure.sd,
        unit=measure.unit,
        low=one.low,
        high=one.high,
        outside=one.outside,
        speaks_for=one.speaks_for,
    )
