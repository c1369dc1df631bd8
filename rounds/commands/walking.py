"""``rounds walk`` and ``rounds demo``: the round itself."""

from __future__ import annotations

import contextlib
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.problems import EXIT_BOOK, EXIT_FINE, BookError, RoundsError

if TYPE_CHECKING:
    from rounds.commands.options import Given

KEEPER = click.option(
    "--keeper", metavar="NAME", default="", help="Who walks (the book's first keeper when left out)."
)
BAYS = click.option("--bays", metavar="A,B", default="", help="Only these bays.")
CLOSE_SECONDS = 2.0  # what a disk that works needs at most; the walk itself waited before
NAME = click.option(
    "--name", metavar="WORD", default="", help="A second round of the same day, for example evening."
)


@click.command()
@KEEPER
@BAYS
@NAME
@click.pass_obj
def walk(given: Given, keeper: str = "", bays: str = "", name: str = "") -> int:
    """Today's round, resumed where it stopped.

    Box by box in shelf order; every key is saved as it is typed.

    \b
    rounds walk --bays A,B --keeper Ferrow
    """
    return run_walk(given.book, given.config, given.today, keeper, bays, name)


@click.command()
@KEEPER
@BAYS
@NAME
@click.option("--at", metavar="PATH", help="Keep the demo book at this path instead of throwing it away.")
@click.option(
    "--print", "printed", is_flag=True, help="Print its summary instead of walking; needs no terminal."
)
@click.pass_context
def demo(ctx: click.Context, keeper: str, bays: str, name: str, at: str | None, printed: bool) -> int:
    """Try a round on an invented house.

    Nothing of yours is touched; the book is thrown away afterwards.

    \b
    rounds demo
    """
    import shutil
    import tempfile

    given: Given = ctx.obj
    if not printed:
        check_terminal()
    folder = None if at else Path(tempfile.mkdtemp(prefix="rounds-demo-"))
    path = Path(at) if at else Path(str(folder)) / "demo.sqlite"
    try:
        if not path.exists():
            from rounds.commands.books import load_demo

            load_demo(path, given.config, given.today)
        if printed:
            from rounds.commands.printing import print_summary

            print_summary(path, given.config, given.today, "text")
            return EXIT_FINE
        return run_walk(path, given.config, given.today, keeper, bays, name)
    finally:
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)


def check_terminal() -> None:
    """Raise unless all three streams are a terminal: without one the walk would wait for ever, unseen."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        raise RoundsError(
            "the walk needs a terminal: run it in one, without redirecting its input or output "
            "(rounds summary prints the day's list anywhere)."
        )


def run_walk(book: Path, config: str | None, today: int | None, keeper: str, bays: str, name: str) -> int:
    """Open the walk on a book and return the exit code once it is left."""
    check_terminal()
    if not book.exists():
        raise BookError(
            f"there is no book at {book}. `rounds new {book}` makes one, `rounds demo` shows an invented house."
        )
    gc.disable()  # a start makes only what stays: looking for rubbish in it takes a tenth of its time
    from rounds.config import in_force
    from rounds.screens.app import WalkApp
    from rounds.walk import Walk

    walk_ = Walk(
        book, in_force(config, book), keeper=keeper, day=today, name=name,
        bays=tuple(b.strip() for b in bays.split(",") if b.strip()),
    )  # fmt: skip
    app = WalkApp(walk_)
    try:
        ended = app.run()
    finally:
        gc.enable()
        rescued = walk_.close(CLOSE_SECONDS)
    if rescued is not None:
        with contextlib.suppress(OSError):  # a closed window hears nothing; the exit code still tells
            click.echo(
                f"NOT everything is in the book ({walk_.said or 'it could not be written in time'}). What was not "
                f"saved is kept in {rescued}; the next start puts it into the book.", err=True,
            )  # fmt: skip
        return EXIT_BOOK
    if isinstance(ended, Exception):
        raise ended
    if app.return_code:
        return app.return_code
    if walk_.over and walk_.saved_count:
        back_up(book)
    return 128 + ended if ended else EXIT_FINE


def back_up(book: Path) -> None:
    """A verified copy of the book, made by a process of its own so that nobody waits for it."""
    import subprocess

    subprocess.Popen(
        [sys.executable, "-m", "rounds.store.backup", str(book)], start_new_session=True,
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
