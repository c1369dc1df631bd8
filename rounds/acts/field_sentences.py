"""What is said about a field of an act that cannot be used as it was typed."""

from __future__ import annotations

from rounds.problems import Refusal, Unsaid
from rounds.values.value_sentences import quoted

MISSING = "is needed."
HOLDS_NUL = Refusal("holds a NUL character, which no text has.", "Type it again without.")
HOLDS_HALF_A_CHARACTER = Refusal("holds half a character (a lone surrogate).", "Type it again.")
NAME_IT_ONCE = "Name it once."
PLACES_ARE_WRITTEN = "Places are written B3-2."
ANIMALS_ARE_WRITTEN = "Animals are written LINE/NUMBER."


def no_such_field(nearest: str, fields: tuple[str, ...]) -> Refusal:
    return Refusal("there is no such field.", nearest or f"Fields: {', '.join(fields)}.")


def expected(about: str) -> str:
    return f"It asks for: {about}."


def missing(question: str, words: tuple[str, ...]) -> Refusal:
    """``words`` are its fixed answers, where it has some."""
    one_of = f" One of: {', '.join(words)}." if words else ""
    return Unsaid(MISSING, f"{question}{one_of}")


def there_twice(typed: str) -> Refusal:
    return Refusal(f"{quoted(typed)} is there twice.", NAME_IT_ONCE)


def names_nothing(typed: str, about: str) -> Refusal:
    return Refusal(f"{quoted(typed)} names nothing.", expected(about))


def unreadable(reason: str, about: str, hint: str) -> Refusal:
    return Refusal(reason, f"Give {about}. {hint}".rstrip())


def too_long_for_a_name(typed: str, most: int) -> Refusal:
    return Refusal(f"{quoted(typed)} has {len(typed)} characters.", f"Give a name of at most {most}.")


def no_name(typed: str) -> Refusal:
    return Refusal(f"{quoted(typed)} cannot be a name.", "Give one line without commas.")


def not_come_yet(typed: str, today: str) -> Refusal:
    return Refusal(f"{quoted(typed)} has not come yet.", f"Give today ({today}) or an earlier day.")


def none_of_this_name(table: str, typed: str, hint: str) -> Refusal:
    return Refusal(f"there is no {table} {quoted(typed)}.", hint)


def none_recorded(table: str) -> str:
    return f"No {table} is recorded yet."


def some_there_are(some: tuple[str, ...], *, more: bool) -> str:
    return f"There are: {', '.join(some)}{' and more' if more else ''}."


def several_of_this_number(number: str, animals: tuple[str, ...]) -> Refusal:
    return Refusal(f"several animals have the number {quoted(number)}.", f"Say which: {', '.join(animals)}.")
