"""What ``rounds draw`` says when there is nothing to draw."""

from __future__ import annotations


def no_line_or_brood(name: str, near: str) -> str:
    return f"the book has no line and no brood `{name}`. {near}".rstrip()


def no_weights(name: str) -> str:
    return (
        f"{name}: no weight can be drawn. It takes a weighing with its day, of a brood whose finding has a day: "
        "record them with `rounds record weigh`."
    )


def no_counts(name: str) -> str:
    return f"{name}: no brood of it was counted."


def no_temperatures(since: str) -> str:
    return f"no shelf temperature was read since {since}. It is asked once a shelf on the walk."


NO_RACK = "the book has no places and no boxes yet."
