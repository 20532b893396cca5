"""The check that records of arrays share."""

from __future__ import annotations

from causeline.quantities.angle import Floats


def check_shapes(what: str, expected: dict[str, tuple[Floats, tuple[int, ...]]]) -> None:
    """Raise ValueError, naming each array that has not the shape beside it."""
    wrong = [
        f"{name} is {array.shape}, expected {shape}"
        for name, (array, shape) in expected.items()
        if array.shape != shape
    ]
    if wrong:
        raise ValueError(f"{what}: " + "; ".join(wrong))
