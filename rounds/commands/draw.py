"""``rounds draw``: pictures of the books, in letters on the terminal and as a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import draw_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.completing import named
from rounds.commands.options import day
from rounds.commands.paging import show
from rounds.problems import RoundsError, nearest
from rounds.text.cleaning import clean_lines, day_and_year

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rounds.analysis.plots.svg_drawing import Drawing
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger
    from rounds.records.tables import Brood

WEEKS = 8
"""Of shelf temperatures, where nobody says since when."""
WIDTH = 78
"""Columns where the output is no terminal."""

to_file = click.option(
    "--plot",
    "plot",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Draw it into a file too, .svg or .png.",
)


@click.group()
def draw() -> None:
    """Pictures of the books, in letters here and as .svg or .png.

    \b
    rounds draw rack
    rounds draw growth KESTREL --plot kestrel.svg
    """


@draw.command()
@click.argument("name", shell_complete=named("line", "brood"))
@to_file
@click.pass_obj
def growth(given: CliContext, *, name: str, plot: Path | None) -> None:
    """Weights of a line or a brood by age.

    \b
    rounds draw growth KESTREL
    """
    from rounds.analysis.plots import book_charts, chart

    _checked(plot)
    with reading(given) as at:
        broods = _broods(at.ledger, name)
        found = book_charts.growth(at.ledger, {b.id for b in broods}, name)
    if found is None:
        raise RoundsError(draw_sentences.no_weights(name))
    _out(chart.as_text(found, _width()), chart.drawn(found), plot)


@draw.command()
@click.argument("name", shell_complete=named("line", "brood"))
@to_file
@click.pass_obj
def survival(given: CliContext, *, name: str, plot: Path | None) -> None:
    """What share of each brood of a line lived, at least and at most.

    \b
    rounds draw survival KESTREL
    """
    from rounds.analysis.plots import book_charts, share_rows

    _checked(plot)
    with reading(given) as at:
        found = book_charts.survival(at.ledger, _broods(at.ledger, name), name)
    if found is None:
        raise RoundsError(draw_sentences.no_counts(name))
    _out(share_rows.as_text(found, _width()), share_rows.drawn(found), plot)


@draw.command()
@click.argument("animals", nargs=-1, required=True, metavar="ANIMAL [OTHER]", shell_complete=named("animal"))
@to_file
@click.pass_obj
def tree(given: CliContext, *, animals: tuple[str, ...], plot: Path | None) -> None:
    """The ancestors of one animal, or of two.

    \b
    rounds draw tree UMBER/11 UMBER/12
    """
    from rounds.analysis.pedigree import ancestor_tree
    from rounds.commands import kinship_sentences
    from rounds.commands.kinship import in_full, pedigree

    _checked(plot)
    p = pedigree(given, None)
    asked = in_full(p, tuple(dict.fromkeys(animals)))
    trees = ancestor_tree.ancestors(p, asked)
    _out(ancestor_tree.as_text(trees), ancestor_tree.drawn(trees, kinship_sentences.tree_title(asked)), plot)


@draw.command()
@to_file
@click.pass_obj
def rack(given: CliContext, *, plot: Path | None) -> None:
    """The rack: every slot, its box, its stage and what is open there.

    \b
    rounds draw rack --plot rack.svg
    """
    from rounds.analysis.plots import plot_sentences, rack_map
    from rounds.commands.rack_drawing import rack_of
    from rounds.store import read

    _checked(plot)
    with reading(given) as at:
        title = plot_sentences.rack(at.house.name, day_and_year(at.today))
        found = rack_of(at.ledger, at.enclosures, read.open_actions(at.book, at.today), title)
    if not found.shelves and not found.elsewhere:
        raise RoundsError(draw_sentences.NO_RACK)
    _out(rack_map.as_text(found, _width()), rack_map.drawn(found), plot)


@draw.command()
@click.option("--since", metavar="DATE", help="From this day on (eight weeks when left out).")
@to_file
@click.pass_obj
def shelves(given: CliContext, *, since: str | None, plot: Path | None) -> None:
    """Temperatures of every shelf, day by day.

    \b
    rounds draw shelves --since 2026-02-01
    """
    from rounds.analysis.plots import plot_sentences, shelf_strips
    from rounds.commands.rack_drawing import temperatures
    from rounds.store import read

    _checked(plot)
    with reading(given) as at:
        first = day(since, "--since", given.today) if since else at.today - 7 * WEEKS + 1
        kinds = config_in_force(given).vocabulary.kinds.values()
        read_by_shelf = {k.id: k.unit for k in kinds if k.subject == "shelf"}
        history = read.shelf_history(at.book, tuple(read_by_shelf), first)
        last = at.today
    strips = temperatures(history, tuple(read_by_shelf))
    if not strips:
        raise RoundsError(draw_sentences.no_temperatures(day_and_year(first)))
    title = plot_sentences.temperatures(day_and_year(first), day_and_year(last))
    unit = next(iter(read_by_shelf.values()))
    found = shelf_strips.Strips(title, unit, plot_sentences.SHELF_GAP, first, last, strips)
    _out(shelf_strips.as_text(found, _width()), shelf_strips.drawn(found), plot)


def _broods(ledger: Ledger, name: str) -> list[Brood]:
    """The broods of a line, or the one of that name, with those split off. Raises RoundsError for neither."""
    from rounds.records.parentage import first_brood
    from rounds.records.tables import Brood, Line

    broods = list(ledger.rows(Brood))
    lines = {line.name: line.id for line in ledger.rows(Line)}
    if name in lines:
        return [b for b in broods if b.line == lines[name]]
    own = next((b for b in broods if b.name == name), None)
    if own is None:
        known = [*lines, *(b.name for b in broods)]
        raise RoundsError(draw_sentences.no_line_or_brood(name, nearest(name, known)))
    return [b for b in broods if b.id == own.id or first_brood(ledger, b.id).id == own.id]


def _checked(plot: Path | None) -> None:
    if plot is not None:
        from rounds.commands.plotting import checked

        checked(plot)


def _width() -> int:
    """The columns of the terminal; anywhere else a usual one."""
    import shutil
    import sys

    return shutil.get_terminal_size().columns if sys.stdout.isatty() else WIDTH


def _out(lines: Sequence[str], drawing: Drawing, plot: Path | None) -> None:
    if plot is not None:
        from rounds.commands.plotting import write_plot

        write_plot(plot, drawing)
    show(clean_lines("".join(f"{line}\n" for line in lines), 20_000))
