"""The plain sentence of a finding: what was seen, what it follows from, what follows from it."""

from __future__ import annotations

from collections.abc import Sequence

from causeline.findings.catalogue import FAULTS
from causeline.findings.spec import Arrow, Fault
from causeline.model.findings import Evidence

TITLES = {fault.name: fault.title for fault in FAULTS}


def explain_in_words(
    fault: Fault, evidence: Sequence[Evidence], because: Arrow | None, explains: Sequence[str]
) -> str:
    """One or two sentences for a golfer, without numbers: those stand beside them."""
    told = f"{fault.title}: {fault.looks}."
    if not any(one.speaks_for for one in evidence):
        told = f"{fault.title}, as told." if not evidence else told
    if because is not None:
        told += f" It follows from {_lower(TITLES[because.cause])}: {because.why}."
    if explains:
        names = [_lower(TITLES[name]) for name in explains]
        told += f" From it {'follows' if len(names) == 1 else 'follow'} {_listed(names)}."
    return told


def _lower(title: str) -> str:
    return title[0].lower() + title[1:]


def _listed(names: Sequence[str]) -> str:
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"
