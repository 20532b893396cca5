"""The sentences of one language, by the English that stands in the code (gettext)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field


def msg(text: str) -> str:
    """Mark a sentence of a table for the catalogues; it is translated when it is said."""
    return text


def _english(count: int) -> int:
    return 0 if count == 1 else 1


@dataclass(frozen=True, slots=True)
class Words:
    """A message catalogue, read and ready. Without messages it speaks English."""

    language: str = "en"
    """A language tag: `en`, `de`."""
    messages: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """English (singular) → its forms in this language."""
    plural: Callable[[int], int] = _english
    """Which form a count takes."""

    def say(self, text: str) -> str:
        """The sentence in this language; the English one where it has none."""
        forms = self.messages.get(text)
        return forms[0] if forms else text

    def count(self, one: str, many: str, number: int) -> str:
        """The form that fits the number; the number is not yet put in."""
        forms = self.messages.get(one)
        if forms:
            return forms[min(self.plural(number), len(forms) - 1)]
        return one if number == 1 else many

    def knows(self, text: str) -> bool:
        """Whether the sentence can be said without falling back to English."""
        return self.language.split("-")[0] == "en" or text in self.messages
