"""What every room may have to say: a library or a book that is not there, a word that was perhaps meant."""

from __future__ import annotations


def library_lacking(what: str, libraries: str, extra: str) -> str:
    """``what`` needs the libraries of an extra: with commands that work."""
    return (
        f"{what} the {libraries}, not all of which are here. In the folder of rounds: "
        f".venv/bin/pip install -e '.[{extra}]' (elsewhere: pip install 'rounds[{extra}]')."
    )


def no_book(path: str) -> str:
    """How to name the right one, then how to make one."""
    return (
        f"{path}: there is no book here. If yours is elsewhere, say where: export ROUNDS_BOOK=PATH, "
        f"or rounds --book PATH. `rounds new {path}` makes a new one, `rounds demo` shows an invented house."
    )


def did_you_mean(word: str) -> str:
    return f"Did you mean `{word}`?"
