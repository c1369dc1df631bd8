"""``rounds walk`` and ``rounds demo``: the round itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import command_line_sentences
from rounds.commands.completing import BAYS as BAY_NAMES
from rounds.commands.completing import keepers, layout_names, listed, looks, named
from rounds.problems import EXIT_FINE, DayInDoubt, RoundsError
from rounds.screens.run import back_up, check_terminal, run_walk

if TYPE_CHECKING:
    from rounds.commands.options import CliContext

KEEPER = click.option(
    "--keeper",
    metavar="NAME",
    default="",
    shell_complete=keepers,
    help="Who walks (the book's first keeper when left out).",
)
BAYS = click.option(
    "--bays", metavar="A,B", default="", shell_complete=listed(named(BAY_NAMES)), help="Only these bays."
)
NAME = click.option(
    "--name", metavar="WORD", default="", help="A second round of the same day, for example evening."
)
TOUCH = click.option("--touch", is_flag=True, help="With large keys at the foot, for a finger or a mouse.")
PLAIN = click.option(
    "--plain",
    is_flag=True,
    help="Questions and answers in lines instead of a screen: for screen readers, bad links, pipes.",
)
WIDTH = click.option(
    "--width",
    is_flag=False,
    flag_value="terminal",
    metavar="[COLUMNS]",
    help="With --plain: break lines at this width (alone: the terminal's).",
)
KEYS = click.option(
    "--keys",
    metavar="LAYOUT",
    default="",
    shell_complete=layout_names,
    help="Another key layout: numbers is the number pad alone.",
)

PALETTE = click.option(
    "--look",
    "palette",
    metavar="NAME",
    default="",
    shell_complete=looks,
    help="dark, light, terminal or red (or set ROUNDS_LOOK).",
)


@click.command()
@KEEPER
@click.option(
    "--stand-in",
    "stand_in",
    metavar="NAME",
    default="",
    help="NAME stands in for the keeper: looks, feeds and notes, records no acts.",
)
@BAYS
@NAME
@TOUCH
@PLAIN
@WIDTH
@KEYS
@PALETTE
@click.pass_obj
def walk(
    given: CliContext,
    *,
    keeper: str = "",
    stand_in: str = "",
    bays: str = "",
    name: str = "",
    touch: bool = False,
    plain: bool = False,
    width: str | None = None,
    keys: str = "",
    palette: str = "",
) -> int:
    """Today's round, resumed where it stopped.

    Box by box in shelf order; every key is saved as it is typed.

    \b
    rounds walk --bays A,B --keeper Ferrow
    """
    if stand_in and keeper:
        raise RoundsError(command_line_sentences.STAND_IN_OR_KEEPER)
    plain = plain or given.plain or width is not None
    if not given.book_is_named and not given.book.exists():
        from rounds.commands import first_start

        if first_start.offered(given.book):
            chosen, code = first_start.begin(given.book, given.today, plain=plain)
            if chosen != "walk":
                return _demo_instead(plain=plain, width=width, keys=keys, palette=palette) if chosen else code

    def begin(today: int | None) -> int:
        who, only, limited = stand_in or keeper, _named_bays(bays), bool(stand_in)
        if plain:
            return _in_lines(given.book, given, who, only, name, width, today=today, stand_in=limited)
        return run_walk(
            given.book,
            given.config,
            today,
            who,
            only,
            name,
            touch=touch,
            keys=keys,
            palette=palette,
            stand_in=limited,
        )

    try:
        return begin(given.today)
    except DayInDoubt as doubt:
        from rounds.line_ui.which_day import asked

        day = asked(doubt)
        return EXIT_FINE if day is None else begin(day)


def _demo_instead(**chosen: str | bool | None) -> int:
    """Who has no book yet chose the invented house; keeper and bays of their own are not in it."""
    ended: int = click.get_current_context().invoke(demo, **chosen)
    return ended


@click.command()
@KEEPER
@BAYS
@NAME
@PLAIN
@WIDTH
@KEYS
@PALETTE
@click.option("--at", metavar="PATH", help="Keep the demo book at this path instead of throwing it away.")
@click.option(
    "--print", "printed", is_flag=True, help="Print its summary instead of walking; needs no terminal."
)
@click.pass_obj
def demo(
    given: CliContext,
    *,
    keeper: str,
    bays: str,
    name: str,
    plain: bool,
    width: str | None,
    keys: str,
    palette: str,
    at: str | None,
    printed: bool,
) -> int:
    """Try a round on an invented house.

    Nothing of yours is touched; the book is thrown away afterwards.

    \b
    rounds demo
    """
    import shutil
    import tempfile

    plain = plain or given.plain or width is not None
    if not (printed or plain):
        check_terminal()
    folder = None if at else Path(tempfile.mkdtemp(prefix="rounds-demo-"))
    path = Path(at) if at else Path(str(folder)) / "demo.sqlite"
    try:
        if not path.exists():
            from rounds.commands.book_commands import load_demo

            load_demo(path, given.config, given.today)
        if printed:
            from rounds.commands.summary import print_summary

            print_summary(given.with_book(path), given.today, "text")
            return EXIT_FINE
        if plain:
            only = _named_bays(bays)
            return _in_lines(path, given, keeper, only, name, width, today=given.today, lessons=True)
        return run_walk(
            path,
            given.config,
            given.today,
            keeper,
            _named_bays(bays),
            name,
            keys=keys,
            palette=palette,
            kept=at is not None,
            lessons=True,
        )
    finally:
        if folder is not None:
            shutil.rmtree(folder, ignore_errors=True)


def _named_bays(text: str) -> tuple[str, ...]:
    return tuple(bay.strip() for bay in text.split(",") if bay.strip())


def _in_lines(
    book: Path,
    given: CliContext,
    keeper: str,
    bays: Sequence[str],
    name: str,
    width: str | None,
    *,
    today: int | None,
    lessons: bool = False,
    stand_in: bool = False,
) -> int:
    from rounds.line_ui.run_lines import run_plain

    return run_plain(
        book,
        given.config,
        today,
        keeper,
        bays,
        name,
        width,
        back_up,
        lessons=lessons,
        stand_in=stand_in,
    )
