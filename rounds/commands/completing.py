"""What the shell offers while a command is typed: codes, animals, rules, acts and their fields.

Nothing is offered where the book or the config cannot be read: a shell that waits for words
must not be answered with an error. Names that could steer a terminal are never offered.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import click

from rounds.commands import command_line_sentences
from rounds.commands.paging import show
from rounds.problems import RoundsError
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.records.ledger import Ledger

VARIABLE = "_ROUNDS_COMPLETE"
"""The shell sets it when it wants to know what may come next."""
SHELLS = {
    "bash": 'add to ~/.bashrc:  eval "$(rounds completion bash)"',
    "zsh": 'add to ~/.zshrc:  eval "$(rounds completion zsh)"',
    "fish": "write to a file:  rounds completion fish > ~/.config/fish/completions/rounds.fish",
}
BAYS, SHELVES, SPECIES = "bays", "shelves", "species"
Offer = Callable[[click.Context, click.Parameter, str], list[str]]


@click.command()
@click.argument("shell", type=click.Choice([*SHELLS]))
@click.pass_context
def completion(ctx: click.Context, shell: str) -> None:
    """Print what makes your shell complete what you type.

    That is commands, options, codes of boxes, animals and rules.

    \b
    rounds completion fish > ~/.config/fish/completions/rounds.fish
    eval "$(rounds completion bash)"      in ~/.bashrc
    """
    from click.shell_completion import get_completion_class

    from rounds.commands import bash_completion

    bash_completion.register()
    kind = get_completion_class(shell)
    if kind is None:
        raise RoundsError(command_line_sentences.no_completion(shell))
    show(f"{kind(ctx.find_root().command, {}, 'rounds', VARIABLE).source()}\n")
    if sys.stdout.isatty():  # read by a person; a shell that evaluates it is told nothing
        click.echo(SHELLS[shell], err=True)


def fitting(names: Iterable[str], incomplete: str) -> list[str]:
    """The names that begin as it was begun, in order; none that could steer a terminal."""

    start = incomplete.casefold()
    return sorted({n for n in names if n.casefold().startswith(start) and n == clean(n, 200)})


def _ledger(ctx: click.Context) -> Ledger | None:
    from rounds.commands.options import CliContext
    from rounds.store import database_errors
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    path = CliContext(ctx.find_root().params.get("book")).book
    try:
        with open_book(path, readonly=True) as book, database_errors.in_words(path):
            return load(book)
    except RoundsError:
        return None


def named(*tables: str) -> Offer:
    """Offers the names of rows: codes of boxes, LINE/NUMBER of animals, addresses of places, names of others.

    Beside tables: :data:`BAYS`, :data:`SHELVES` and :data:`SPECIES`, which are columns of them.
    """

    def offer(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
        ledger = _ledger(ctx)
        if ledger is None:
            return []
        return fitting((n for t in tables for n in _names(ledger, t)), incomplete)

    return offer


def _names(ledger: Ledger, table: str) -> Iterable[str]:
    from rounds.records.naming import name_of
    from rounds.records.tables import TABLES, Animal, Enclosure, Line, Place

    if table == Animal.table:
        return [name_of(ledger, animal) for animal in ledger.rows(Animal)]
    if table == Place.table:
        return [place.address for place in ledger.rows(Place)]
    if table == BAYS:
        return [place.bay for place in ledger.rows(Place)]
    if table == SHELVES:
        return [place.shelf_name for place in ledger.rows(Place)]
    if table == SPECIES:
        return [line.species for line in ledger.rows(Line) if line.species]
    of = TABLES[table]
    name = of.column("code" if table == Enclosure.table else "name")
    return [str(record.value(name)) for record in ledger.rows(of)]


def listed(offer: Offer) -> Offer:
    """Offers one more of a list with commas; what stands in it is not offered again."""

    def more(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
        done, comma, begun = incomplete.rpartition(",")
        return [f"{done}{comma}{n}" for n in offer(ctx, param, begun) if n not in done.split(",")]

    return more


def keepers(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the keepers of the book."""
    from rounds.commands.options import CliContext
    from rounds.store import database_errors, read
    from rounds.store.book import open_book

    path = CliContext(ctx.find_root().params.get("book")).book
    try:
        with open_book(path, readonly=True) as book, database_errors.in_words(path):
            return fitting(read.keepers(book), incomplete)
    except RoundsError:
        return []


def looks(_ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the looks there are."""
    from rounds.settings.choices import PALETTE_NAMES

    return fitting(PALETTE_NAMES, incomplete)


def layout_names(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the key layouts in force, a keeper's own among them."""
    from rounds.config import read
    from rounds.settings.layers import layers

    try:
        return fitting(read(layers(ctx.find_root().params.get("config"))).layouts, incomplete)
    except RoundsError:
        return []


def rules(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the ids of the rules in force."""
    from rounds.config import read
    from rounds.settings.layers import layers

    try:
        config = read(layers(ctx.find_root().params.get("config")))
    except RoundsError:
        return []
    return fitting((r.id for r in config.rules), incomplete)
