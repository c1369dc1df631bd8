"""``rounds keys`` and ``rounds where``: what is in force, and where it lives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rounds.commands.options import Given


@click.command()
@click.pass_obj
def keys(given: Given) -> None:
    """The keys of the walk, as your config gives them.

    \b
    rounds keys
    """
    from rounds.config import layers, read
    from rounds.husbandry.entry_state import ABOUT, COMMANDS
    from rounds.shown import clean

    config = read(layers(given.config))
    for command in COMMANDS:
        mine = " ".join(k for k, c in config.commands.items() if c == command)
        click.echo(f"{mine:<14}{command:<14}{ABOUT[command]}")
    for kind in config.vocabulary.kinds.values():
        if kind.ask_key and not kind.retired:
            click.echo(clean(f"{kind.ask_key:<14}{kind.id:<14}{kind.about or kind.title}", 4000))


@click.command()
@click.pass_obj
def where(given: Given) -> None:
    """Where the book, your config and the shipped files are.

    \b
    rounds where
    """
    from rounds.settings import where as places
    from rounds.shown import clean

    book = given.book
    rows = {
        "book": f"{book}{'' if book.exists() else '  (not there yet)'}",
        "your config": f"{places.user_config(given.config)}",
        "last good config": f"{places.kept_config(book)}",
        "shipped config": f"{places.shipped('config')}",
        "demo data": f"{places.shipped('demo_data')}",
    }
    for name, at in rows.items():
        click.echo(clean(f"{name:<18}{at}", 4000))
