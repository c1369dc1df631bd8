"""``rounds pairings``: whom to pair now."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.commands import kinship_sentences, pairings_sentences
from rounds.commands.animal_numbers import BareNumbers
from rounds.commands.completing import SPECIES, listed, named
from rounds.commands.first_interrupt import first_interrupt
from rounds.commands.number_types import NUMBER, WHOLE
from rounds.commands.output import print_document, prints, tell
from rounds.problems import EXIT_FINE, EXIT_INTERRUPTED, BadInput, Problem, RoundsError, nearest
from rounds.records.tables import Animal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rounds.analysis.pairing.book_pairings import Listed, Options, Ranking
    from rounds.analysis.pairing.pairing_plan import PairingPlan
    from rounds.analysis.pairing.restrictions import Wishes
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger

MOST_WISHED = 99_999
"""Pairs that may be wished for: far more than any house has."""


@click.command()
@click.option(
    "--species",
    metavar="NAME",
    default="",
    shell_complete=named(SPECIES),
    help="Only this species, by its Latin name.",
)
@click.option("--most-f", type=NUMBER, metavar="F", help="No pair whose offspring may have a higher F.")
@click.option(
    "--weight", type=NUMBER, default=0.1, show_default=True, help="Weight of F against mean kinship."
)
@click.option("--uses", type=WHOLE, default=1, show_default=True, help="Females each male may be given.")
@click.option(
    "--uses-of",
    nargs=2,
    multiple=True,
    metavar="MALE N",
    shell_complete=named("animal"),
    help="The same for one male.",
)
@click.option(
    "--apart",
    nargs=2,
    multiple=True,
    metavar="LINE LINE",
    help="Lines never crossed (one twice: not within).",
)
@click.option(
    "--cross", nargs=3, multiple=True, metavar="LINE LINE N", help="At least N pairs between two lines."
)
@click.option(
    "--force",
    nargs=2,
    multiple=True,
    metavar="MALE FEMALE",
    shell_complete=named("animal"),
    help="This pair for certain.",
)
@click.option(
    "--forbid",
    nargs=2,
    multiple=True,
    metavar="MALE FEMALE",
    shell_complete=named("animal"),
    help="Never this pair.",
)
@click.option("--boxes", type=WHOLE, metavar="N", help="Free boxes: at most so many pairs.")
@click.option(
    "--across",
    multiple=True,
    metavar="WHAT",
    help="Cross species, subspecies or locality all the same, or unknown ones.",
)
@click.option("--together", type=WHOLE, default=14, show_default=True, help="Days both should be awake.")
@click.option(
    "--by",
    type=click.Choice(["most", "usual", "low"]),
    default="most",
    show_default=True,
    help="Rank and limit F by what it is at most, by the usual reading, or by its low end.",
)
@click.option(
    "--leave-out", multiple=True, metavar="ANIMAL", shell_complete=named("animal"), help="Not this one now."
)
@click.option("--all", "every", is_flag=True, help="Every pair that may be made, best first, not one plan.")
@click.option("--choose", metavar="N[,N…]", help="Record plans for these numbers of the list.")
@click.option(
    "--into",
    metavar="CODE[,CODE…]",
    shell_complete=listed(named("enclosure")),
    help="With --choose: the boxes they are meant for, in that order.",
)
@click.option("--sure", is_flag=True, help="With --choose: yes, what looks like a slip is meant.")
@click.option("--reasons", is_flag=True, help="Every reason of each pair, not just the first in one line.")
@click.option("--plans", is_flag=True, help="List the open plans instead.")
@prints("pairings", "pairing-plans")
@click.pass_obj
def pairings(
    given: CliContext,
    /,
    *,
    species: str,
    every: bool,
    leave_out: tuple[str, ...],
    form: str,
    choose: str | None,
    into: str | None,
    sure: bool,
    plans: bool,
    reasons: bool,
    **wished: Any,
) -> int:
    """The best pairs to make now, each with its reasons. Nothing is recorded unless you choose.

    The plan makes as many pairs as it can, and of those plans the one that leaves the next
    generation least related: its mean kinship, plus the weight times the mean F of the pairs,
    with parents that are not recorded taken for the closest they may have been. Choosing makes a plan; nobody moves
    before it is made at the rack, where the round offers it.

    Ctrl-C during the search prints the best plan found by then and how much better another can
    be at most; nothing is recorded, and it ends with exit code 130.

    \b
    rounds pairings --species "Eudicella smithi" --boxes 2 --most-f 0.125
    rounds pairings --all --choose 3 --into TL-058
    rounds pairings --plans
    """
    from rounds.analysis.pairing.book_pairings import rank
    from rounds.commands import pairings_plans
    from rounds.reports.pairings_report import pairings_report

    if choose is None and (into or sure):
        raise RoundsError(pairings_sentences.ONLY_WITH_CHOOSE)
    if plans:
        if choose is not None:
            raise RoundsError(pairings_sentences.PLANS_OR_CHOOSE)
        pairings_plans.print_plans(given, form)
        return EXIT_FINE
    ledger, today, settings = pairings_plans.books(given)
    options = _options(ledger, species, leave_out, wished)
    found = rank(ledger, settings.species, today, options, str(given.book))
    with first_interrupt() as enough:
        plan_of = [] if every else [group.plan(enough=enough) for group in found.groups]
    listed = list(found) if every else _numbered(found, plan_of)
    if choose is None:
        print_document(pairings_report(found, listed, plan_of, reasons=reasons), form)
    elif not enough():
        pairings_plans.choose(given, listed, choose, into, form, sure=sure)
    if not enough():
        return EXIT_FINE
    tell(pairings_sentences.NOTHING_CHOSEN if choose is not None else pairings_sentences.SEARCH_STOPPED)
    return EXIT_INTERRUPTED


def _numbered(found: Ranking, plans: list[PairingPlan]) -> list[Listed]:
    pairs = [(k, pair) for k, plan in enumerate(plans) for pair in plan.pairs]
    return [found.listed(n, k, pair) for n, (k, pair) in enumerate(pairs, 1)]


def _options(ledger: Ledger, species: str, leave_out: tuple[str, ...], wished: dict[str, Any]) -> Options:
    from rounds.analysis.pairing.book_pairings import Options
    from rounds.records.naming import animal_name

    known = {animal_name(ledger, animal.id): animal.id for animal in ledger.rows(Animal)}
    living = [n for n, i in known.items() if ledger.row(Animal, i).state in ("alive", "missing")]
    problems: list[Problem] = []

    def full(option: str, *names: str) -> tuple[str, ...]:
        numbers = BareNumbers(living)
        found = tuple(map(numbers.full, names))
        hint = kinship_sentences.NAME_THE_LINE
        problems.extend(Problem(f"--{option}", 0, 0, said, hint) for said in numbers.open.values())
        return found

    for option in ("force", "forbid"):
        wished[option] = tuple(full(option, *pair) for pair in wished[option])
    wished["uses_of"] = tuple((*full("uses-of", male), n) for male, n in wished["uses_of"])
    leave_out = full("leave-out", *leave_out)
    if problems:
        raise BadInput(problems)
    return Options(_wishes(wished), species, _animals(known, leave_out))


def _animals(known: Mapping[str, int], names: tuple[str, ...]) -> list[int]:
    wrong = [n for n in names if n not in known]
    if wrong:
        raise BadInput(
            Problem("--leave-out", 0, 0, pairings_sentences.no_animal(n), nearest(n, known)) for n in wrong
        )
    return [known[n] for n in names]


def _wishes(w: dict[str, Any]) -> Wishes:
    from rounds.analysis.pairing.restrictions import Wishes
    from rounds.values.numbers import parse_whole
    from rounds.values.unreadable import UnreadableValue

    problems = []

    def whole(option: str, text: str) -> int:
        try:
            return parse_whole(text, low=0, high=MOST_WISHED)
        except UnreadableValue:
            said = pairings_sentences.no_count(text)
            problems.append(Problem(option, 0, 0, said, pairings_sentences.WRITE_A_COUNT))
            return 0

    wishes = Wishes(
        w["weight"],
        w["most_f"],
        w["uses"],
        {male: whole("--uses-of", n) for male, n in w["uses_of"]},
        w["apart"],
        tuple((a, b, whole("--cross", n)) for a, b, n in w["cross"]),
        w["force"],
        w["forbid"],
        w["boxes"],
        frozenset(w["across"]),
        w["together"],
        by=w["by"],
    )
    if problems:
        raise BadInput(problems)
    return wishes
