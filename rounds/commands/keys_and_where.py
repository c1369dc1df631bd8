"""``rounds keys`` and ``rounds where``: what is in force, and where it lives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands import book_sentences
from rounds.commands.completing import layout_names
from rounds.commands.output import print_document, prints
from rounds.reports.report import ReportRow, document, listing

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.config import Config
    from rounds.reports.report import ReportDocument
    from rounds.reports.report_columns import CellValue


@click.command()
@click.option(
    "--layout",
    metavar="NAME",
    default="",
    shell_complete=layout_names,
    help="Another layout than the one in force.",
)
@prints("keys")
@click.pass_obj
def keys(given: CliContext, layout: str, form: str) -> None:
    """The keys of the walk, as your config gives them.

    A key such as `/1` is the menu's key, then a digit. Keys that move to a reading follow
    those that give commands.

    \b
    rounds keys
    rounds keys --layout numbers
    """
    from rounds.config import read
    from rounds.settings.layers import layers

    config = read(layers(given.config))
    if layout:
        config = config.with_keys(layout, "--layout")
    print_document(key_table(config), form)


def key_table(config: Config) -> ReportDocument:
    """The layout in force: commands in their order, those of a card, then the readings that have a key of their own."""
    from rounds.keys.card_commands import CARD_COMMANDS
    from rounds.keys.commands import COMMANDS
    from rounds.reports.book_kinds import KEYS

    name = config.choices.keys
    rows = []
    for command in COMMANDS.values():
        mine = [k for k, c in config.commands.items() if c == command.id]
        if mine or command.id != "menu":  # a layout without that key has no menu
            rows.append(ReportRow((mine, command.id, command.does, "command", name)))
    for card in CARD_COMMANDS.values():
        keys = [k for k, c in config.card_keys.items() if c == card.id]
        rows.append(ReportRow((keys, card.id, card.does, "card", name)))
    for kind in config.vocabulary.kinds.values():
        if kind.ask_key and not kind.retired:
            rows.append(ReportRow(([kind.ask_key], kind.id, kind.about or kind.title, "reading", name)))
    return listing(KEYS, rows)


@click.command()
@prints("where")
@click.pass_obj
def where(given: CliContext, form: str) -> None:
    """Where the book, your config and the shipped files are.

    \b
    rounds where
    """
    from rounds.reports.book_kinds import WHERE
    from rounds.settings import where as places

    book = given.book
    found: dict[str, CellValue] = {
        "book": str(book),
        "book_exists": book.exists(),
        "config": str(places.user_config(given.config)),
        "last_good_config": str(places.kept_config(book)),
        "shipped_config": str(places.shipped("config")),
        "demo_data": str(places.shipped("demo_data")),
    }
    missing = () if book.exists() else (book_sentences.NO_BOOK_YET,)
    print_document(document(WHERE, "", result=found, notes=missing), form)
