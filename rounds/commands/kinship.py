"""``rounds kinship``: inbreeding and kinship, from the book or from a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import kinship_sentences
from rounds.commands.animal_numbers import BareNumbers
from rounds.commands.book_reader import reading
from rounds.commands.completing import named
from rounds.commands.output import FOR_PROGRAMS, print_document, prints, tell
from rounds.problems import BadInput, Problem, RoundsError

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree
    from rounds.commands.options import CliContext

MOST_MATRIX = 2000
"""Animals in one matrix: four million pairs are more than anybody reads."""


@click.command()
@click.argument("animals", nargs=-1, metavar="[ANIMAL]...", shell_complete=named("animal"))
@click.option(
    "--pedigree",
    "file",
    metavar="FILE",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A table animal,sire,dam instead of the book.",
)
@click.option(
    "--between",
    nargs=2,
    metavar="A B",
    shell_complete=named("animal"),
    help="Two animals: their kinship and where it comes from.",
)
@click.option("--matrix", is_flag=True, help="The kinship of every two animals.")
@click.option("--colony", is_flag=True, help="Figures of each line and species instead of each animal.")
@click.option(
    "--living",
    metavar="A,B,…",
    help="With --colony and --pedigree: who is alive, in place of the column `state`.",
)
@click.option("--unrelated", is_flag=True, help="Take animals without recorded parents as unrelated.")
@click.option(
    "--related", nargs=3, multiple=True, metavar="A B K", help="Founders A and B have the kinship K."
)
@click.option(
    "--plot",
    "--svg",
    "svg",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="With --between: draw the tree, as .svg or .png.",
)
@prints("kinship", "kinship-between", "kinship-matrix", "colony")
@click.pass_obj
def kinship(
    given: CliContext,
    *,
    animals: tuple[str, ...],
    file: Path | None,
    between: tuple[str, str] | None,
    matrix: bool,
    colony: bool,
    living: str | None,
    unrelated: bool,
    related: tuple[tuple[str, str, str], ...],
    svg: Path | None,
    form: str,
) -> None:
    """F of every animal; parents not known give a range.

    It is reckoned from what is known of each animal's parents.

    \b
    rounds kinship --between UMBER/11 UMBER/12
    rounds kinship --pedigree flock.csv --as csv
    """
    asked = [name for name, on in (("--between", between), ("--matrix", matrix), ("--colony", colony)) if on]
    if len(asked) > 1:
        raise RoundsError(kinship_sentences.one_question(tuple(asked)))
    if svg is not None and not between:
        raise RoundsError(kinship_sentences.PLOT_NEEDS_BETWEEN)
    if living is not None and not (colony and file):
        raise RoundsError(kinship_sentences.LIVING_OF_A_FILE)
    if animals and (between or colony):
        raise RoundsError(kinship_sentences.no_further_animals(asked[0]))
    p = pedigree(given, file, tuple(_related(related)), unrelated=unrelated)
    animals = in_full(p, animals)
    if between:
        a, b = in_full(p, between)
        from rounds.commands.kinship_between import print_between

        print_between(p, (a, b), svg, form)
    elif matrix:
        _matrix(p, animals, form)
    elif colony:
        from rounds.commands.kinship_colony import print_colony

        alive = [name.strip() for name in (living or "").split(",")]
        named = in_full(p, tuple(filter(None, alive)))
        print_colony(p, given if file is None else None, form, named)
    else:
        _list(p, animals, form)


def in_full(p: Pedigree, asked: tuple[str, ...]) -> tuple[str, ...]:
    """The names asked for, a bare number as the one LINE/NUMBER it stands for.

    What nothing fits is left as it is, for the pedigree to refuse. Raises RoundsError naming
    all that fit where a number has several, for every such number at once.
    """
    numbers = BareNumbers(p.at)
    out = tuple(map(numbers.full, asked))
    if numbers.open:
        raise RoundsError(
            "\n".join(f"{said} {kinship_sentences.NAME_THE_LINE}" for said in numbers.open.values())
        )
    return out


def _related(given: tuple[tuple[str, str, str], ...]) -> list[tuple[str, str, float]]:
    from rounds.values.numbers import parse_decimal

    out = []
    for a, b, text in given:
        try:
            out.append((a, b, parse_decimal(text)))
        except ValueError as e:
            raise RoundsError(kinship_sentences.no_kinship(text)) from e
    return out


def pedigree(
    given: CliContext,
    file: Path | None,
    related: tuple[tuple[str, str, float], ...] = (),
    *,
    unrelated: bool = False,
) -> Pedigree:
    """The pedigree of a file, or of the book; warnings go to stderr. Raises BadInput with every problem."""
    problems: list[Problem]
    if file is not None:
        from rounds.analysis.pedigree.pedigree_text import read
        from rounds.commands.named_files import read_lines

        p, problems = read(read_lines(file), str(file), related, unrelated=unrelated)
    else:
        from rounds.analysis.pedigree.book_pedigree import of_book

        with reading(given) as at:
            p, problems = of_book(at.ledger, str(given.book), related, unrelated=unrelated)
    if p is None:
        raise BadInput(problems)
    for problem in problems:
        tell(str(problem), 400)
    return p


def _list(p: Pedigree, animals: tuple[str, ...], form: str) -> None:
    from rounds.reports.kinship_report import kinship_report

    which = p.find_all(animals) if animals else p.listed
    if not which and form not in FOR_PROGRAMS:
        raise RoundsError(kinship_sentences.NOBODY)
    print_document(kinship_report(p, which, for_people=form not in FOR_PROGRAMS), form)


def _matrix(p: Pedigree, animals: tuple[str, ...], form: str) -> None:
    from rounds.analysis.pedigree.kinship import matrix
    from rounds.reports.kinship_report import matrix_report

    names = list(animals) or [p.names[i] for i in p.listed]
    if len(names) > MOST_MATRIX:
        raise RoundsError(kinship_sentences.large_matrix(len(names), MOST_MATRIX))
    if not names and form not in FOR_PROGRAMS:
        raise RoundsError(kinship_sentences.NOBODY)
    print_document(matrix_report(matrix(p, names)), form)
