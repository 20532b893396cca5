"""The package's own graph, drawn by itself, covers what the studio plants."""

from __future__ import annotations

from studio.faults import ARROWS as PLANTED
from studio.faults import FAULTS as PLANTED_FAULTS

from causeline.findings.catalogue import FAULTS
from causeline.findings.graph import ARROWS


def test_every_planted_fault_is_in_the_catalogue() -> None:
    assert {fault.name for fault in PLANTED_FAULTS} <= {fault.name for fault in FAULTS}


def test_every_planted_arrow_is_in_the_graph() -> None:
    """So the studio's arrows have no cycles either: the package's graph has none."""
    drawn = {(arrow.cause, arrow.effect) for arrow in ARROWS}
    assert {(arrow.cause, arrow.effect) for arrow in PLANTED} <= drawn
