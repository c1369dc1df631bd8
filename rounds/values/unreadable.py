"""The one exception of every parser here."""

from __future__ import annotations

from rounds.values import value_sentences as sentences


class UnreadableValue(ValueError):
    """A text that is not a value of the kind asked for.

    ``text`` is what was typed, whole. ``reason`` says in one sentence what is wrong with it,
    ``expected`` as a phrase what would be right, and ``hint`` in one sentence what to do; it
    may be empty. ``suggestions`` are texts that the same parser accepts, the likeliest first:
    two when the text can be read in two ways.
    """

    def __init__(
        self, text: str, reason: str, expected: str, suggestions: tuple[str, ...] = (), hint: str = ""
    ) -> None:
        self.text, self.reason, self.expected, self.suggestions = text, reason, expected, suggestions
        self.hint = hint or sentences.did_you_mean(suggestions)
        super().__init__(text, reason, expected, suggestions, self.hint)

    def __str__(self) -> str:
        return " ".join(filter(None, (self.reason, f"Expected {self.expected}.", self.hint)))


class YearMissing(UnreadableValue):
    """A date that lacks nothing but its year; ``in_year`` has a place for one, such as ``27 Nov {}``."""

    def __init__(
        self, text: str, reason: str, expected: str, suggestions: tuple[str, ...], in_year: str
    ) -> None:
        super().__init__(text, reason, expected, suggestions)
        self.in_year = in_year
