"""What can be said of a clip before it is read."""

from __future__ import annotations

from causeline.measures.filming import measure_filming
from causeline.model.clip import Clip
from causeline.model.filming import Advice


def run_first_advice(clip: Clip) -> tuple[Advice, ...]:
    """How to film better, from the file alone: frame rate, slow motion, damage; the worst first."""
    return measure_filming(clip, ())
