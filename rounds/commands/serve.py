"""``rounds serve``: the walk in a browser on a tablet, behind a front of the keeper's."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import click

from rounds.commands import serve_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.completing import keepers
from rounds.commands.output import tell
from rounds.commands.walk_commands import BAYS, NAME
from rounds.problems import EXIT_FINE, BookError, RoundsError, lacking, no_book
from rounds.screens.run import SERVED
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.commands.options import CliContext

PORT = 8035


@click.command()
@click.option(
    "--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="0: any free one."
)
@click.option("--host", metavar="ADDRESS", default="127.0.0.1", show_default=True, help="127.0.0.1 or ::1.")
@click.option(
    "--address", metavar="URL", default="", help="The front's address, as the tablet's browser has it."
)
@click.option(
    "--sessions", type=click.IntRange(1, 20), default=2, show_default=True, help="Walks open at once."
)
@click.option(
    "--keeper",
    "keepers",
    metavar="NAME",
    multiple=True,
    shell_complete=keepers,
    help="Who walks; give it again for each keeper (the book's first one when left out).",
)
@BAYS
@NAME
@click.pass_obj
def serve(
    given: CliContext,
    *,
    port: int,
    host: str,
    address: str,
    sessions: int,
    keepers: tuple[str, ...],
    bays: str,
    name: str,
) -> int:
    """The walk in a browser, for a tablet on the shelf.

    It listens at this machine's own address alone. To reach it from a tablet, put a front
    before it on this machine: a reverse proxy that ends TLS and asks for a password. Every
    page that is open runs a walk of its own; a page that is closed or lost ends its walk,
    saved, and the next one goes on there. Each walk carries one keeper's name, and each
    keeper has one walk: opened on a second page, it goes on there.

    \b
    rounds serve --address https://rack.example --keeper Ferrow
    """
    from rounds.serving import guard

    at = guard.loopback(host)
    front = guard.address(address) if address else ""
    _check_book(given)
    try:
        from rounds.serving import server
    except ModuleNotFoundError as e:
        raise RoundsError(lacking(serve_sentences.SERVING_NEEDS, "tablet")) from e
    argv = [sys.executable, "-m", "rounds", "--book", str(given.book.absolute())]
    argv += ["--config", given.config] if given.config else []
    argv += ["--today", date.fromordinal(given.today).isoformat()] if given.today else []
    argv += ["walk", "--touch", "--bays", bays, "--name", name]
    walkers = [server.Walker(clean(k, 40), [*argv, "--keeper", k]) for k in dict.fromkeys(keepers or ("",))]
    with server.listen(at, port) as listening:
        own = listening.getsockname()[1]
        served = guard.Served(at, own, front)
        door = server.Door(served, walkers, SERVED, sessions, lambda said: tell(said, 400))
        click.echo(f"http://{f'[{at}]' if ':' in at else at}:{own}/")
        click.echo(serve_sentences.CAUTION, err=True)
        tell(serve_sentences.front(front) if front else serve_sentences.NO_ADDRESS)
        server.serve(door, listening)
    return EXIT_FINE


def _check_book(given: CliContext) -> None:
    """Say now what would end every walk: no book, a book that cannot be opened, a config that never was good."""

    if not given.book.exists():
        raise BookError(no_book(given.book))
    with reading(given):
        config_in_force(given)
