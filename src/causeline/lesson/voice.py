"""How a lesson speaks to one golfer: language, sides, units, numbers, dates."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from babel import Locale
from babel.dates import format_date, format_skeleton
from babel.numbers import format_decimal

from causeline.model.clip import Hand
from causeline.model.lesson import Golfer, Units
from causeline.model.words import Words, msg

CM_PER_INCH = 2.54
FEET_PER_M = 1 / 0.3048
KMH_PER_MS = 3.6
MPH_PER_MS = 3600 / 1609.344
SIDES = {Hand.RIGHT: (msg("left"), msg("right")), Hand.LEFT: (msg("right"), msg("left"))}
"""Lead and trail side; a language may give the stem that its endings are put to."""
_PLACE = re.compile(r"\{(\w+)\}")
MIRRORED = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as it is spoken of: `factor` times a measure's own, in `unit`."""

    factor: float
    unit: str


@dataclass(frozen=True, slots=True)
class Voice:
    """Says sentences of the catalogues to one golfer."""

    words: Words
    golfer: Golfer
    stature_cm: float | None = None
    """For lengths that were measured as a share of it."""

    @property
    def locale(self) -> Locale:
        """Numbers and dates of the golfer's language; English is British unless it says more."""
        tag = self.words.language
        return Locale.parse("en_GB" if tag == "en" else tag, sep="-" if "-" in tag else "_")

    def say(self, text: str, **values: str) -> str:
        """The sentence in the golfer's language, with values and sides put in, begun large."""
        return _begun_large(self.put(text, **values))

    def put(self, text: str, **values: str) -> str:
        """The same inside a sentence. What has no translation stays English, sides and all."""
        known = self.words.knows(text)
        sides = SIDES[self.golfer.hand]
        lead, trail = (self.words.say(side) if known else side for side in sides)
        return _filled(self.words.say(text), {"lead": lead, "trail": trail, **values})

    def count(self, one: str, many: str, number: int, **values: str) -> str:
        """A sentence that counts: `{number}` in it is the number."""
        form = self.words.count(one, many, number)
        return _filled(form, {"number": self.number(number), **values})

    def number(self, value: float, places: int = 0) -> str:
        """A number with the signs of the language; minus never stands before zero."""
        rounded = round(value, places) or 0.0
        pattern = "#,##0." + "0" * places if places else "#,##0"
        return format_decimal(rounded, format=pattern, locale=self.locale)

    def day(self, day: date) -> str:
        """`Monday 4 May`, as the language has it."""
        weekday = self.weekday(day)
        dated = format_skeleton("MMMMd", day, locale=self.locale)
        return self.put(msg("{weekday} {date}"), weekday=weekday, date=dated)

    def weekday(self, day: date) -> str:
        """`Monday`."""
        return format_date(day, "EEEE", locale=self.locale)

    def reader(self, unit: str) -> Amount:
        """In what a measure of that unit is spoken of."""
        metric = self.golfer.units is Units.METRIC
        if unit == "% of stature":
            if self.stature_cm is None:
                return Amount(1.0, "% of stature")
            cm = self.stature_cm / 100
            return Amount(cm, "cm") if metric else Amount(cm / CM_PER_INCH, "in")
        if unit == "cm":
            return Amount(1.0, "cm") if metric else Amount(1 / CM_PER_INCH, "in")
        if unit == "m/s":
            return Amount(KMH_PER_MS, "km/h") if metric else Amount(MPH_PER_MS, "mph")
        return Amount(1.0, unit)

    def amount(self, value: float, unit: str) -> str:
        """The size of a measured value with its unit, without its sign: directions are words."""
        reader = self.reader(unit)
        size = abs(value) * reader.factor
        if reader.unit == "in":
            return self._inches(size)
        return self._with_unit(self.number(size, PLACES.get(reader.unit, 0)), reader.unit)

    def spread(self, sd: float, unit: str) -> str:
        """The ± behind an amount, in the same unit, which it does not repeat."""
        reader = self.reader(unit)
        if reader.unit == "in":
            return self._halves(max(sd * reader.factor, 0.5))
        places = PLACES.get(reader.unit, 0)
        return self.number(max(sd * reader.factor, 10.0**-places), places)

    def distance(self, metres: float) -> str:
        """How far to stand away: metres, or feet, or yards where it is far."""
        if self.golfer.units is Units.METRIC:
            return self._with_unit(self.number(metres), "m")
        feet = metres * FEET_PER_M
        if feet >= 30:
            yards = round(feet / 3)
            return self.count(msg("{number} yard"), msg("{number} yards"), yards)
        return self.count(msg("{number} foot"), msg("{number} feet"), round(feet))

    def _inches(self, size: float) -> str:
        halves = round(size * 2)
        count = 1 if halves <= 2 else 2
        form = self.words.count(msg("{number} inch"), msg("{number} inches"), count)
        return _filled(form, {"number": self._halves(size)})

    def _halves(self, size: float) -> str:
        whole, half = divmod(round(size * 2), 2)
        if not half:
            return self.number(whole)
        return f"{self.number(whole)}½" if whole else "½"

    def _with_unit(self, number: str, unit: str) -> str:
        if unit == "°":
            return f"{number}°"
        if unit == "ratio":
            return number
        if unit == "% of stature":
            return self.put(msg("{number} % of your height"), number=number)
        return f"{number}\N{NO-BREAK SPACE}{unit}"


PLACES = {"s": 2, "ratio": 1}
"""Decimal places in a sentence; none for the units that are not named here."""


def compose_listed(voice: Voice, parts: list[str]) -> str:
    """`a, b and c`."""
    if len(parts) < 2:
        return "".join(parts)
    return voice.put(msg("{first} and {last}"), first=", ".join(parts[:-1]), last=parts[-1])


def _filled(text: str, known: Mapping[str, str]) -> str:
    """Put in what is known; other braces, such as a coach wrote, stay as they are."""
    return _PLACE.sub(lambda hit: known.get(hit[1], hit[0]), text)


def _begun_large(text: str) -> str:
    return text[:1].upper() + text[1:]
