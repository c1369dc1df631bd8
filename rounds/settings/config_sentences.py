"""What is said about a field of a config file that holds what nobody reads, or not what it must."""

from __future__ import annotations

from rounds.problems import Refusal

A_TEXT = "a text"
A_WHOLE_NUMBER = "a whole number"
A_NUMBER = "a number"
TRUE_OR_FALSE = "true or false"
A_LIST = "a list"
A_MAPPING = "a mapping"
NOTHING = "nothing"

NO_FOLDER = Refusal("is not a folder.", "Name the folder that holds your config.")


def never_read(folders: tuple[str, ...]) -> Refusal:
    return Refusal(
        "is read by nothing.",
        f"A config file ends in .yaml and is called settings.yaml or readings.yaml, or lies in {', '.join(folders)}.",
    )


def no_mapping(what: str, held: str) -> Refusal:
    return Refusal(f"{what}: a mapping was expected, not {held}.")


def too_much_is_wrong(most: int) -> Refusal:
    return Refusal(f"has more than {most} problems; the rest is not shown.")


def unknown_field(what: str, key: str, hint: str) -> Refusal:
    return Refusal(f"{what}: unknown field `{key}`.", hint)


def field_missing(what: str, key: str) -> Refusal:
    return Refusal(f"{what}: the field `{key}` is missing.")


def of_another_kind(what: str, key: str, expected: str, held: str, hint: str) -> Refusal:
    return Refusal(f"{what}: `{key}` must be {expected}, not {held}.", hint)


def put_in_quotes(value: str) -> str:
    return f"Put it in quotes: '{value}'."


def cannot_be(what: str, key: str, value: str, hint: str) -> Refusal:
    return Refusal(f"{what}: `{key}` cannot be `{value}`.", hint)


def from_none_to(most: int) -> str:
    return f"Give a whole number from 0 to {most}."


def takes_texts(what: str, key: str, held: str) -> Refusal:
    return Refusal(f"{what}: `{key}` takes texts, not {held}.")


def unknown_word(what: str, value: str, key: str, hint: str) -> Refusal:
    return Refusal(f"{what}: unknown `{value}` in `{key}`.", hint)


def no_list(key: str, what: str) -> Refusal:
    return Refusal(f"`{key}` must be a list of {what}s.")


def one_of(known: tuple[str, ...], *, more: bool) -> str:
    return f"Expected one of: {', '.join(known)}{'…' if more else ''}."
