"""Run a walk from its book to its exit code, without the command line's own machinery.

The daily command is `rounds` alone: it has nothing to parse, and must be on the screen as
fast as can be.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.problems import EXIT_BOOK, EXIT_FINE, BookError, RoundsError, no_book
from rounds.screens import program_end_sentences
from rounds.text import terminal_signs
from rounds.text.cleaning import clean
from rounds.walk import walk_sentences

if TYPE_CHECKING:
    from rounds.walk.core import Walk

SERVED = "rounds.screens.served:ServedDriver"  # what TEXTUAL_DRIVER is set to behind a web server
CLOSE_SECONDS = 2.0  # what a disk that works needs at most; the walk itself waited before


def check_terminal() -> None:
    """Raise unless all three streams are a terminal: without one the walk would wait for ever, unseen.

    A served walk has none; its server is at the other end.
    """
    if os.environ.get("TEXTUAL_DRIVER") == SERVED:
        return
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        raise RoundsError(program_end_sentences.NO_TERMINAL)


def run_walk(
    book: Path,
    config: str | None,
    today: int | None,
    keeper: str,
    bays: Sequence[str],
    name: str,
    *,
    touch: bool = False,
    keys: str = "",
    palette: str = "",
    kept: bool = True,
    lessons: bool = False,
    stand_in: bool = False,
) -> int:
    """Open the walk on a book and return the exit code once it is left.

    ``bays``: only these, all when there are none. ``kept``: False for a book that is thrown away afterwards.
    ``stand_in``: ``keeper`` looks, feeds and notes, and no more. ``lessons``: the first boxes say what can be
    tried. ``touch``: with keys for a finger. ``keys`` and ``palette``: others than the config's.
    """
    check_terminal()
    if not book.exists():
        raise BookError(no_book(book))
    gc.disable()  # a start makes only what stays: looking for rubbish in it takes a tenth of its time
    from rounds.store import database_errors

    with database_errors.in_words(book):
        from rounds.config import in_force
        from rounds.screens import palettes
        from rounds.screens.app import WalkApp
        from rounds.walk.core import Walk

        settings = in_force(config, book)
        if keys:
            settings = settings.with_keys(keys)
        palette = palettes.chosen(palette, settings.choices.palette)
        # What a browser shows is no matter of the terminal the server was started from.
        ascii_only = os.environ.get("TEXTUAL_DRIVER") != SERVED and terminal_signs.only_ascii(
            settings.choices.signs
        )
        if ascii_only:
            terminal_signs.write_only_ascii()
        walk_ = Walk(
            book,
            settings,
            keeper=keeper,
            day=today,
            name=name,
            bays=bays,
            stand_in=stand_in,
        )
        if lessons:
            walk_.teach()
        app = WalkApp(walk_, touch=touch, palette=palette, ascii_only=ascii_only)
        try:
            ended = app.run()
        finally:
            gc.enable()
            rescued = walk_.close(CLOSE_SECONDS)
        if rescued is not None:
            with contextlib.suppress(OSError):  # a closed window hears nothing; the exit code still tells
                reason = walk_.saving.said or walk_sentences.NOT_IN_TIME
                print(walk_sentences.rescued(reason, str(rescued)), file=sys.stderr)
        if isinstance(ended, Exception):
            raise ended
        if rescued is not None:
            return EXIT_BOOK
        if app.return_code:
            return app.return_code
        if walk_.over and walk_.saving.count:
            back_up(book)
        if not ended and os.environ.get("TEXTUAL_DRIVER") != SERVED:
            with contextlib.suppress(OSError):  # as above
                import shutil

                from rounds.presenters.lines import wrap

                said = clean(left_words(walk_, kept=kept), 600)
                print("\n".join(wrap(said, shutil.get_terminal_size().columns, 9)), file=sys.stderr)
        return 128 + ended if ended else EXIT_FINE


def left_words(walk: Walk, *, kept: bool = True) -> str:
    """What is saved of the round that was left, and where the next start goes on. Reads no book: it is closed.

    ``kept``: whether there will be a next start on this book.
    """
    n = walk.kept
    saved = program_end_sentences.saved(n) if n else program_end_sentences.NOTHING_RECORDED
    if not kept:
        return program_end_sentences.thrown_away(saved)
    if not walk.round.opened:  # a start that recorded nothing leaves no place to go on at
        return saved
    if not walk.over:
        return program_end_sentences.goes_on_at(saved, clean(walk.route.label(walk.state.at), 40))
    return program_end_sentences.at_its_end(saved, len(walk.round.unseen()))


def back_up(book: Path) -> None:
    """A verified copy of the book, made by a process of its own so that nobody waits for it.

    How it ended is told at the next start; that it cannot even begin is told at once.
    """
    import subprocess

    from rounds.store import backup_sentences, backup_state
    from rounds.store.ids import now_ms

    try:
        backup_state.begin(book, now_ms())
    except OSError as error:
        with contextlib.suppress(
            OSError
        ):  # a closed window hears nothing; the next start tells of old backups
            said = backup_sentences.not_begun(str(book), error.strerror or str(error))
            print(clean(said, 4000), file=sys.stderr)
        return
    subprocess.Popen(
        [sys.executable, "-m", "rounds.store.backup", str(book)],
        start_new_session=True,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
