"""What is said about a YAML file that cannot be read, or holds what the subset leaves out."""

from __future__ import annotations

from rounds.problems import Refusal

_SPLIT = "Split it into several files."
_WRITE_OUT = "Write the value out."

TOO_LARGE = Refusal("is larger than 1 MiB.", _SPLIT)
NOT_UTF8 = Refusal("is not UTF-8 text.", "Save it as UTF-8.")
NOT_YAML = "is not YAML"
SECOND_DOCUMENT = Refusal("holds a second document (`---`).", "Keep one per file.")
ALIAS = Refusal("aliases (`*name`) are not allowed.", _WRITE_OUT)
ANCHOR = Refusal("anchors (`&name`) are not allowed.", _WRITE_OUT)
TAG = Refusal("tags (`!name`) are not allowed.", "Write plain values.")
KEY_NO_TEXT = Refusal("a key must be plain text.")
MERGE_KEY = Refusal("merge keys (`<<`) are not allowed.", "Write the values out.")


def cannot_be_read(why: str) -> str:
    return f"cannot be read: {why}."


def not_readable(what: str, *, tabs: bool) -> Refusal:
    """``what`` is the YAML parser's own complaint; ``tabs``: the line holds one."""
    return Refusal(f"not readable as YAML: {what}.", "Indent with spaces." if tabs else "")


def bad_character(number: int) -> str:
    return f"holds a character that text may not hold (U+{number:04X})."


def too_many_values(most: int) -> Refusal:
    return Refusal(f"holds more than {most} values.", _SPLIT)


def too_long(characters: int, most: int) -> Refusal:
    return Refusal(f"holds a text of {characters} characters; {most} is the most.")


def too_deep(most: int) -> Refusal:
    return Refusal(f"is nested deeper than {most} levels.")


def key_twice(key: str) -> Refusal:
    return Refusal(f"`{key}` is given twice.", "Keep one of them.")
