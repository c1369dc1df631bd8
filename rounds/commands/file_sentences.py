"""What is said about files that are named on the command line."""

from __future__ import annotations

NOT_UTF8 = "is not UTF-8 text."
SAVE_AS_UTF8 = "Save the file as CSV in UTF-8."


def cannot_be_read(reason: str) -> str:
    return f"cannot be read: {reason}."


def is_there(option: str, path: str, *, or_force: bool) -> str:
    """``or_force``: the command can write over it."""
    force = ", or add --force to write over it" if or_force else ""
    return f"{option}: {path} is there already. Name a new file{force}."


def cannot_be_written(option: str, path: str, reason: str) -> str:
    return f"{option}: {path} cannot be written: {reason}."


def no_drawing(option: str, path: str) -> str:
    return f"{option}: `{path}` is neither .svg nor .png. Name the file so that it ends in one."


def png_needs(option: str) -> str:
    """Begins a sentence that ends with the library."""
    return f"{option}: a PNG needs"


def no_png(lacking: str) -> str:
    """``lacking`` is the sentence that says what is not here."""
    return f"{lacking} An .svg needs nothing."


def letters_lacking(name: str, letters: str) -> str:
    return f"{name}: the built-in font lacks {letters} and shows `?` for each; an .svg has them."
