"""How acts, their fields and what they changed are told in lists."""

from __future__ import annotations

REQUIRED = "required"
SEVERAL = "several with commas"
TAKEN_BACK = "  (taken back)"
NOTHING = "nothing"
YES = "yes"
NO = "no"


def act(name: str, on: str, about: str) -> str:
    """``on`` is the table it is done to."""
    return f"{name:<18}{on.upper():<11}{about}"


def topic(title: str) -> str:
    return f"{title}:"


def field(name: str, about: str) -> str:
    return f"  {name:<16}{about}"


def field_about(about: str, more: tuple[str, ...]) -> str:
    return about + (f" ({'; '.join(more)})" if more else "")


def one_of(words: tuple[str, ...]) -> str:
    return f"one of {', '.join(words)}"


def unless_given(value: str) -> str:
    return f"{value} unless given"


def new_row(who: str, values: tuple[str, ...]) -> str:
    return f"new {who}" + (f": {', '.join(values)}" if values else "")


def counts(who: str, *, taken_back: bool) -> str:
    return f"{who}: {'counts no more' if taken_back else 'counts again'}"


def changed(who: str, column: str, before: str, after: str) -> str:
    return f"{who}: {column} {before} -> {after}"
