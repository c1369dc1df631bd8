"""What the shell offers while a command is typed: codes, animals, rules, acts and their fields.

Nothing is offered where the book or the config cannot be read: a shell that waits for words
must not be answered with an error. Names that could steer a terminal are never offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import click

from rounds.commands import command_line_sentences
from rounds.problems import RoundsError
from rounds.records.tables import TABLES, Animal, Enclosure
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
Offer = Callable[[click.Context, click.Parameter, str], list[str]]


@click.command()
@click.argument("shell", type=click.Choice([*SHELLS]))
@click.pass_context
def completion(ctx: click.Context, shell: str) -> None:
    """Print what makes your shell complete commands, codes, animals and rules.

    \b
    rounds completion fish > ~/.config/fish/completions/rounds.fish
    eval "$(rounds completion bash)"      in ~/.bashrc
    """
    from click.shell_completion import get_completion_class

    kind = get_completion_class(shell)
    if kind is None:
        raise RoundsError(command_line_sentences.no_completion(shell))
    click.echo(kind(ctx.find_root().command, {}, "rounds", VARIABLE).source())
    click.echo(SHELLS[shell], err=True)


def _fitting(names: Iterable[str], incomplete: str) -> list[str]:

    start = incomplete.casefold()
    return sorted({n for n in names if n.casefold().startswith(start) and n == clean(n, 200)})


def _ledger(ctx: click.Context) -> Ledger | None:
    from rounds.commands.options import CliContext
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    try:
        with open_book(CliContext(ctx.find_root().params.get("book")).book, readonly=True) as book:
            return load(book)
    except RoundsError:
        return None


def named(*tables: str) -> Offer:
    """Offers the names of rows: codes of enclosures, LINE/NUMBER of animals, names of the others."""

    def offer(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:  # noqa: ARG001
        ledger = _ledger(ctx)
        if ledger is None:
            return []
        return _fitting((n for t in tables for n in _names(ledger, t)), incomplete)

    return offer


def _names(ledger: Ledger, table: str) -> Iterable[str]:
    from rounds.records.naming import name_of

    if table == Animal.table:
        return [name_of(ledger, animal) for animal in ledger.rows(Animal)]
    of = TABLES[table]
    name = of.column("code" if table == Enclosure.table else "name")
    return [str(record.value(name)) for record in ledger.rows(of)]


def rules(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:  # noqa: ARG001
    """Offers the ids of the rules in force."""
    from rounds.config import read
    from rounds.settings.layers import layers

    try:
        config = read(layers(ctx.find_root().params.get("config")))
    except RoundsError:
        return []
    return _fitting((r.id for r in config.rules), incomplete)


def act_words(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Offers the words of ``rounds record``: an act, whom it concerns, then its fields."""
    from rounds.acts.registry import all_acts

    typed: tuple[str, ...] = ctx.params.get("words") or ()
    acts = all_acts()
    if not typed:
        return _fitting([*acts, "history", "undo"], incomplete)
    act = acts.get(typed[0])
    if act is not None and len(typed) > 1:
        told = {w.partition("=")[0] for w in typed[2:]}
        return _fitting((f"{f.name}=" for f in act.fields if f.name not in told), incomplete)
    where = ("enclosure", "animal") if act is None else (act.on,)
    fields = [] if act is None or act.on in _TABLES else [f"{f.name}=" for f in act.fields]
    tables = [t for t in where if t in _TABLES]
    return [*named(*tables)(ctx, param, incomplete), *_fitting(fields, incomplete)]


_TABLES = ("enclosure", "animal", "pairing", "plan", "trial", "brood", "lot", "line", "batch")
