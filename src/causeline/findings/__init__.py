"""Faults, the graph of causes and effects, and which fault of a swing is the cause."""

from causeline.findings.explain import explain_findings
from causeline.findings.reliability import explain_calibration_error, explain_reliability

__all__ = ["explain_calibration_error", "explain_findings", "explain_reliability"]
