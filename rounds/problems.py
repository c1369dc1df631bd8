"""What goes wrong, as data: one sentence per problem, and one exit code per class.

Everything a keeper typed (a config file, a CSV table, a command) is checked whole and
its problems are collected; only then is something raised. Nothing below imports this
package's other modules but the sentences of this one.
"""

from __future__ import annotations

from collections.abc import Iterable

from rounds import problem_sentences
from rounds.named_tuple import NamedTuple

EXIT_FINE = 0
EXIT_FOUND = 1  # something was found, where the command was asked to look
EXIT_INPUT = 2  # bad usage, config or input
EXIT_BOOK = 3  # the book cannot be used
EXIT_INTERRUPTED = 130


class Refusal(NamedTuple):
    """What is wrong, and what would work ("" where the first says it)."""

    message: str
    hint: str = ""


class Unsaid(Refusal):
    """Nothing is wrong but that something was not said yet: asking for it is the way on."""


class Problem(NamedTuple):
    """One thing wrong in one place.

    ``line`` and ``column`` count from 1; 0 means the place has none (a whole file).
    ``hint`` says what to do and may be empty.
    """

    file: str
    line: int
    column: int
    message: str
    hint: str = ""

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
            if self.column:
                place += f":{self.column}"
        return one_line(f"{place}  {self.message}" + (f" {self.hint}" if self.hint else ""))


def one_line(text: str) -> str:
    """``text`` fit for a terminal: line ends, control and direction characters as escapes.

    Problems quote what somebody typed or sent, and that must not move the cursor.
    """
    if text.isprintable():
        return text
    return "".join(
        c if c.isprintable() else c.encode("unicode_escape", "surrogatepass").decode() for c in text
    )


class RoundsError(Exception):
    """Something the keeper can mend; its text is one sentence fit to print."""

    exit_code = EXIT_INPUT


class DayInDoubt(RoundsError):
    """The clock gives a round a day that hardly follows the last one; both as ordinals. Somebody has to say which."""

    def __init__(self, message: str, day: int, last: int) -> None:
        self.day, self.last = day, last
        super().__init__(message)


class BadInput(RoundsError):
    """Config, tables or arguments with problems: all of them, in file order."""

    def __init__(self, problems: Iterable[Problem], closing: str = "") -> None:
        self.problems = sorted(problems)
        self.closing = closing
        super().__init__("\n".join([*map(str, self.problems), *([closing] if closing else [])]))


class BookError(RoundsError):
    """The book cannot be opened, read or written."""

    exit_code = EXIT_BOOK


EXTRAS = {
    "numpy": "analysis",
    "scipy": "analysis",
    "PIL": "plots",
    "fpdf": "labels",
    "segno": "labels",
    "fontTools": "labels",
    "textual_serve": "tablet",
    "aiohttp": "tablet",
    "aiohttp_jinja2": "tablet",
    "jinja2": "tablet",
}
"""The extra of pyproject.toml that brings a library, by the name it is imported by."""

LIBRARIES = {
    "analysis": "libraries numpy and scipy",
    "plots": "library Pillow",
    "labels": "libraries fpdf2 and segno",
    "tablet": "library textual-serve",
}


def lacking(what: str, extra: str) -> str:
    """``what`` needs the libraries of an extra."""
    return problem_sentences.library_lacking(what, LIBRARIES[extra], extra)


def no_book(path: object) -> str:
    """There is no book at ``path``."""
    return problem_sentences.no_book(str(path))


def nearest(word: str, known: Iterable[str]) -> str:
    """``Did you mean `x`?`` for the closest known word, or an empty text."""
    import difflib  # only for a word that nobody knows

    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.55)
    return problem_sentences.did_you_mean(close[0]) if close else ""
