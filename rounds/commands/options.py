"""The options of the whole program, and days as they are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.problems import RoundsError

if TYPE_CHECKING:  # what only says its version asks for no path
    from pathlib import Path


class CliContext:
    """The global options, resolved late: nothing is looked up before a command needs it."""

    def __init__(
        self,
        book: str | None = None,
        config: str | None = None,
        today: str | None = None,
        *,
        plain: bool = False,
        pager: bool = True,
    ) -> None:
        self._book, self.config, self._today, self.plain, self.pager = book, config, today, plain, pager

    @property
    def book(self) -> Path:
        from pathlib import Path

        from rounds.settings import where

        return Path(self._book).expanduser() if self._book else where.default_book()

    @property
    def book_is_named(self) -> bool:
        """Was a book named on the command line? Then a missing one is more likely a slip than a first start."""
        return bool(self._book)

    @property
    def today(self) -> int | None:
        """The round day asked for with ``--today``, as an ordinal, or None."""
        if self._today is None:
            return None
        return round_day_typed(self._today)

    def with_book(self, book: Path) -> CliContext:
        """The same for another book."""
        return CliContext(str(book), self.config, self._today, plain=self.plain, pager=self.pager)


def day(text: str, option: str, today: int | None = None) -> int:
    """The day typed for an option, as an ordinal. Raises RoundsError.

    ``today`` is what days such as yesterday or +7 are counted from: this machine's today when left out.
    """
    from rounds.values.span_parser import parse_day
    from rounds.values.unreadable import UnreadableValue

    try:
        return parse_day(text, today=this_day() if today is None else today)
    except UnreadableValue as e:
        raise RoundsError(f"{option}: {e}") from e


LAST_YEAR = 9000
"""Of a day that may be today: what is planned from there on has a day, too (the calendar ends with 9999)."""


def round_day_typed(text: str) -> int:
    """The day typed for ``--today``, as an ordinal. Raises RoundsError."""
    from datetime import date

    found = day(text, "--today")
    if date.fromordinal(found).year > LAST_YEAR:
        from rounds.commands import command_line_sentences

        raise RoundsError(command_line_sentences.too_late_for_today(LAST_YEAR))
    return found


def this_day() -> int:
    """Today by this machine's clock: where no house says what day it is."""
    from datetime import date

    return date.today().toordinal()  # noqa: DTZ011  # the keeper's own time zone is meant
