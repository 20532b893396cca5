"""Numbers for people: how many figures to show follows from the ±.

The rule is that of the Particle Data Group (Review of Particle Physics, introduction, "Rounding"):
with the three leading digits of the ± between 100 and 354 it keeps two digits, between 355 and 949
one, and from 950 up it becomes 1000 and keeps two. The value ends at the same place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

MINUS = "\N{MINUS SIGN}"
HARD_SPACE = "\N{NO-BREAK SPACE}"

UNIT_SIGNS = {
    "": "",
    "1": "",
    "ratio": "",
    "deg": "°",
    "degrees": "°",
    "°": "°",
    "°/s": "°/s",
}
"""Units written without a space, or not at all; every other unit follows a space."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A printed number: `value` and `spread` share their last place; `unit` has its space."""

    value: str
    spread: str
    """Empty for an exact number."""
    unit: str


def render_number(value: float, sd: float, unit: str = "") -> Shown:
    """Round a value by its ±. `sd` 0 means exact: up to six figures and no ±.

    Raises ValueError for a number that is not finite or a negative ±: such a number is refused
    before it comes here.
    """
    if not (math.isfinite(value) and math.isfinite(sd) and sd >= 0):
        raise ValueError(f"got {value} ± {sd}; expected finite numbers and a ± of at least 0")
    sign = UNIT_SIGNS.get(unit, HARD_SPACE + unit)
    if sd == 0:
        return Shown(_signed(f"{value:.6g}"), "", sign)
    places = _places(sd)
    return Shown(_rounded(value, places), _rounded(sd, places), sign)


def render_uncertain(value: float, sd: float, unit: str = "") -> str:
    """The same as one line of text: `87° ± 4`, `0.82 s ± 0.02`."""
    shown = render_number(value, sd, unit)
    spread = f" ± {shown.spread}" if shown.spread else ""
    return f"{shown.value}{shown.unit}{spread}"


def render_plain(value: float, places: int) -> str:
    """A number with a fixed count of decimal places, for the ticks of an axis."""
    return _rounded(value, places)


def _places(sd: float) -> int:
    """Decimal places to keep; negative when tens or hundreds are the last sure figure."""
    mantissa, exponent = f"{sd:.2e}".split("e")
    leading = int(mantissa.replace(".", ""))
    if leading <= 354:
        return 1 - int(exponent)
    return -int(exponent)


def _rounded(value: float, places: int) -> str:
    step = Decimal(1).scaleb(-places)
    rounded = Decimal(repr(float(value))).quantize(step, rounding=ROUND_HALF_EVEN)
    return _signed(f"{rounded:.{max(places, 0)}f}")


def _signed(text: str) -> str:
    digits = text.lstrip("-")
    if text.startswith("-") and any(digit in digits for digit in "123456789"):
        return MINUS + digits
    return digits
