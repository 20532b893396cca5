"""What the coach says of faults on the command line, and the findings as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

import click

from causeline.findings.catalogue import FAULTS
from causeline.model.findings import Finding, Findings, Role, Ruling, Say

NOTHING = "Nothing stands out: no fault is likelier there than not."
_AWAY = {Role.CAUSE: "the cause", Role.EFFECT: "follows", Role.ALONE: "by itself"}


def rulings_of(pinned: tuple[str, ...], struck: tuple[str, ...]) -> tuple[Ruling, ...]:
    """Rulings out of `FAULT=REASON`. Raises click.BadParameter for any other form."""
    return tuple(
        _ruling(text, say, option)
        for texts, say, option in (
            (pinned, Say.PRESENT, "--pin"),
            (struck, Say.ABSENT, "--strike"),
        )
        for text in texts
    )


def _ruling(text: str, say: Say, option: str) -> Ruling:
    name, _, reason = (part.strip() for part in text.partition("="))
    fault = next((fault for fault in FAULTS if fault.name == name), None)
    if fault is None or not reason:
        names = ", ".join(fault.name for fault in FAULTS)
        raise click.BadParameter(
            f"{text!r} came; FAULT=REASON was expected, as in "
            f"'weak_grip=the lead hand shows one knuckle'. The faults are {names}.",
            param_hint=option,
        )
    return Ruling(name, say, reason, (fault.told_by or "the coach").removeprefix("the "))


def lines_of(findings: Findings | None) -> Iterator[str]:
    """The chain, one line each; nothing for a swing that was not judged."""
    if findings is None:
        return
    if not findings.findings:
        yield NOTHING
    for one in findings.findings:
        yield _line(one)
    for ruling in findings.struck:
        yield f"Struck by the {ruling.by}: {ruling.fault.replace('_', ' ')} ({ruling.reason})"


def _line(one: Finding) -> str:
    indent = "  " if one.role is Role.EFFECT else ""
    odds = "as told" if one.rulings else f"{min(round(100 * one.probability), 99)} in 100"
    return f"{indent}{one.title} ({_AWAY[one.role]}, {odds})"
