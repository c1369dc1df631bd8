"""The options every command shares, and values people type, read with care."""

from __future__ import annotations

from pathlib import Path

from rounds.problems import RoundsError


class CliContext:
    """The global options, resolved late: nothing is looked up before a command needs it."""

    def __init__(
        self, book: str | None, config: str | None, today: str | None, debug: bool, plain: bool = False
    ) -> None:
        self._book, self.config, self._today, self.debug, self.plain = book, config, today, debug, plain

    @property
    def book(self) -> Path:
        from rounds.settings import where

        return Path(self._book).expanduser() if self._book else where.default_book()

    @property
    def today(self) -> int | None:
        """The round day asked for with ``--today``, as an ordinal, or None."""
        if self._today is None:
            return None
        return day(self._today, "--today")


def day(text: str, option: str) -> int:
    """A date typed as YYYY-MM-DD, or today/yesterday/tomorrow, as an ordinal."""
    import pendulum

    words = {"today": 0, "yesterday": -1, "tomorrow": 1}
    if text in words:
        return pendulum.now().date().toordinal() + words[text]
    try:
        return pendulum.from_format(text, "YYYY-MM-DD").date().toordinal()
    except ValueError as e:
        raise RoundsError(f"{option}: `{text}` is not a date. Write it as 2026-02-28.") from e
