"""Settings of all tests."""

from __future__ import annotations

from hypothesis import settings

from tests.workbench import empty_desk, empty_web, scenario_desk, scenario_template, web, workbench

__all__ = ["empty_desk", "empty_web", "scenario_desk", "scenario_template", "web", "workbench"]

# A busy machine is no failure: examples have no deadline, and the same run gives the same answer.
settings.register_profile("causeline", deadline=None, derandomize=True)
settings.load_profile("causeline")
