"""``rounds keys`` and ``rounds where``: what is in force, and where it lives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.config import Config


COLUMNS = ("keys", "for", "about", "kind", "layout")


@click.command()
@click.option("--layout", metavar="NAME", default="", help="Another layout than the one in force.")
@click.option(
    "--as", "as_", type=click.Choice(["text", "csv", "json"]), default="text", help="Form of the table."
)
@click.pass_obj
def keys(given: CliContext, layout: str, as_: str) -> None:
    """The keys of the walk, as your config gives them.

    A key such as `/1` is the menu's key, then a digit. Keys that move to a reading follow
    those that give commands.

    \b
    rounds keys
    rounds keys --layout numbers
    """
    from rounds.config import read
    from rounds.settings.layers import layers
    from rounds.text.cleaning import clean

    config = read(layers(given.config))
    if layout:
        config = config.with_keys(layout, "--layout")
    rows = key_table(config)
    if as_ == "json":
        import json

        click.echo(json.dumps(rows, ensure_ascii=False, indent=2))
    elif as_ == "csv":
        from rounds.commands.listing import as_csv

        click.echo(as_csv(COLUMNS, [{**r, "keys": " ".join(r["keys"])} for r in rows]), nl=False)
    else:
        for r in rows:
            click.echo(clean(f"{' '.join(r['keys']):<14}{r['for']:<14}{r['about']}", 4000))


def key_table(config: Config) -> list[dict[str, Any]]:
    """The layout in force: commands in their order, then the readings that have a key of their own."""
    from rounds.keys.commands import ABOUT

    name = config.choices.keys
    rows: list[dict[str, Any]] = []
    for command, about in ABOUT.items():
        mine = [k for k, c in config.commands.items() if c == command]
        if mine:
            rows.append({"keys": mine, "for": command, "about": about, "kind": "command", "layout": name})
    for kind in config.vocabulary.kinds.values():
        if kind.ask_key and not kind.retired:
            about = kind.about or kind.title
            rows.append(
                {"keys": [kind.ask_key], "for": kind.id, "about": about, "kind": "reading", "layout": name}
            )
    return rows


@click.command()
@click.pass_obj
def where(given: CliContext) -> None:
    """Where the book, your config and the shipped files are.

    \b
    rounds where
    """
    from rounds.settings import where as places
    from rounds.text.cleaning import clean

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
