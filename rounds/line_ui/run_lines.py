"""Run a round in lines from its book to its exit code: streams, signals, the rescue file."""

from __future__ import annotations

import contextlib
import errno
import shutil
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from io import TextIOWrapper
from pathlib import Path
from types import FrameType
from typing import TextIO

from rounds.config import in_force
from rounds.ending_signals import ENDING, WINDOW_CLOSED
from rounds.keys.terminal_replies import AS_TYPED, typed_line
from rounds.line_ui import round_sentences, spoken_words
from rounds.line_ui.line_session import Session
from rounds.presenters.lines import wrap
from rounds.problems import EXIT_BOOK, EXIT_FINE, BookError, RoundsError, no_book
from rounds.store import database_errors
from rounds.text.cleaning import clean
from rounds.text.terminal_signs import only_ascii, write_only_ascii
from rounds.walk import walk_sentences
from rounds.walk.core import Walk

SETTLE_SECONDS = 8.0  # that leaving waits for what is not committed yet
CLOSE_SECONDS = 2.0  # the same when nothing can be saved: waiting longer would only risk being killed
LEAST_WIDTH = 20
LONGEST = 10_000
"""Characters of a line that are read; whoever types needs a fifth of it, and what else comes is no line."""


class Ended(Exception):
    """A signal came while a line was waited for."""


class Door:
    """Reads and says lines; knows whether a signal, the end of the input or a closed window ended them."""

    def __init__(self, source: TextIO, sink: TextIO, width: int | None) -> None:
        self.source, self.sink, self.width = source, sink, width
        self.typed_by_hand = source.isatty()
        self.ended_by = 0
        self._reading = False

    def on_signal(self, number: int, _frame: FrameType | None) -> None:
        """Only a read is broken off: a key that was typed is taken whole."""
        self.ended_by = self.ended_by or number
        if self._reading:
            raise Ended

    def say(self, text: str) -> None:
        """One line; broken between words where a width was asked for."""
        self.sink.write("".join(f"{line}\n" for line in self._lines(text)))
        self.sink.flush()

    def ask(self, text: str) -> str | None:
        """Ask and read one line without its end; None when there is no more to come."""
        *lines, last = self._lines(f"{text} >")
        self.sink.write("".join(f"{line}\n" for line in lines))
        # Who types ends the line with Enter; from a pipe nobody does, and the next line would be glued to it.
        self.sink.write(f"{last} " if self.typed_by_hand else f"{last}\n")
        self.sink.flush()
        return self._read()

    def _lines(self, text: str) -> list[str]:
        if self.width is None:
            return [text]

        return wrap(text, self.width, len(text) + 1) or [""]

    def _read(self) -> str | None:
        try:
            self._reading = True
            if self.ended_by:
                return None
            while len(line := self.source.readline(LONGEST)) == LONGEST and line[-1] != "\n":
                while (rest := self.source.readline(LONGEST)) and rest[-1] != "\n":
                    pass
                self.say(round_sentences.longer_than_a_line(LONGEST))
        except Ended:
            line = ""
        except OSError:  # a terminal that is gone
            self.ended_by = self.ended_by or WINDOW_CLOSED
            line = ""
        finally:
            self._reading = False
        if line.endswith("\n"):
            return typed_line(line.rstrip("\r\n"))
        if self.typed_by_hand:
            self.say("")
        if line:
            self.say(round_sentences.not_taken_without_enter(clean(line, 2100)))
        return None


@contextlib.contextmanager
def signals(handler: Callable[[int, FrameType | None], None]) -> Iterator[None]:
    """Have signals that ask the program to end handled by ``handler`` meanwhile."""
    old = {number: signal.signal(number, handler) for number in ENDING}
    try:
        yield
    finally:
        for number, before in old.items():
            signal.signal(number, before)


def columns(width: str | None) -> int | None:
    """The width asked for: a number, ``terminal``, or None for lines as long as they are. Raises RoundsError."""
    if width is None:
        return None
    if width == "terminal":
        return max(LEAST_WIDTH, shutil.get_terminal_size().columns)
    if not (width.isascii() and width.isdigit()) or not LEAST_WIDTH <= int(width[:6]) <= 10_000:
        raise RoundsError(round_sentences.no_width(width, LEAST_WIDTH))
    return int(width)


def use_utf8() -> None:
    """Read and say UTF-8, or plain letters to a terminal that has no others.

    Python can do that only before the first line.
    """
    for stream, errors in ((sys.stdin, AS_TYPED), (sys.stdout, "replace")):
        if isinstance(stream, TextIOWrapper) and (stream.encoding, stream.errors) != ("utf-8", errors):
            stream.reconfigure(encoding="utf-8", errors=errors)
    if only_ascii():
        write_only_ascii(columns=False)


def run_plain(
    book: Path,
    config: str | None,
    today: int | None,
    keeper: str,
    bays: Sequence[str],
    name: str,
    width: str | None,
    back_up: Callable[[Path], None],
    *,
    lessons: bool = False,
    stand_in: bool = False,
) -> int:
    """Walk a book in lines and return the exit code once it is left; with ``lessons`` the first boxes teach.

    ``stand_in``: ``keeper`` looks, feeds and notes, and no more.
    """
    wide = columns(width)
    if sys.stdin is None or sys.stdout is None:
        raise RoundsError(round_sentences.CLOSED)
    if not book.exists():
        raise BookError(no_book(book))

    use_utf8()
    with database_errors.in_words(book):
        settings = in_force(config, book)
        if only_ascii(settings.choices.signs):
            write_only_ascii(columns=False)
        walk = Walk(book, settings, keeper=keeper, day=today, name=name, bays=bays, stand_in=stand_in)
    door = Door(sys.stdin, sys.stdout, wide)
    rescued: Path | None = None
    broken: OSError | None = None
    with signals(door.on_signal):
        try:
            with database_errors.in_words(book):
                if lessons:
                    walk.teach()
                try:
                    _walked(walk, door)
                except OSError as error:  # nobody hears us any more
                    broken = error
                    if error.errno == errno.EIO and door.typed_by_hand:  # the terminal is gone
                        door.ended_by = door.ended_by or WINDOW_CLOSED
        finally:
            rescued = walk.close(CLOSE_SECONDS if walk.saving.said else SETTLE_SECONDS)
            if rescued is not None:
                with contextlib.suppress(OSError):
                    reason = clean(walk.saving.said, 2000) or walk_sentences.NOT_IN_TIME
                    print(walk_sentences.rescued(reason, clean(str(rescued), 4000)), file=sys.stderr)
    if rescued is not None:
        return EXIT_BOOK
    if isinstance(broken, BrokenPipeError):
        return EXIT_FINE  # nobody reads on, and all is saved
    if broken is not None and not door.ended_by:
        raise broken
    with contextlib.suppress(OSError):
        door.say(_farewell(walk))
    if walk.over and walk.saving.count:
        back_up(book)
    return 128 + door.ended_by if door.ended_by else EXIT_FINE


def _walked(walk: Walk, door: Door) -> None:
    """Ask and take lines until the walk is left, the input ends or a signal comes."""
    session = Session(walk, door.say, lambda: bool(door.ended_by))
    session.begin()
    while not session.over and not door.ended_by:
        line = door.ask(session.prompt())
        if line is None:
            return
        session.line(line)
    while not session.saves.settle(SETTLE_SECONDS) and not door.ended_by:
        for text in session.saves.stuck():
            door.say(text)
        line = door.ask(round_sentences.TRIED_AGAIN)
        if line is None or spoken_words.is_quit(walk, line.strip()):
            return


def _farewell(walk: Walk) -> str:
    if walk.over:
        return round_sentences.ALL_SAVED
    return round_sentences.goes_on_at(clean(walk.route.label(walk.state.at), 400))
