"""``rounds pairings``: whom to pair now."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.problems import BadInput, Problem, RoundsError, nearest

if TYPE_CHECKING:
    from rounds.analysis.pairing import Pair, Plan
    from rounds.analysis.pairing_rules import Candidate, Wishes
    from rounds.books.ledger import Ledger
    from rounds.commands.options import Given

COLUMNS = (
    "species", "rank", "male", "female", "f_low", "f_high", "exact", "cost", "why", "warnings", "runner_up",
    "runner_up_costs_more", "runner_up_f_low", "runner_up_f_high", "runner_up_taken",
)  # fmt: skip
LEFT_OUT = 12
"""Animals that cannot breed now listed by name in the text; JSON and CSV of pairs do not list them."""


@click.command()
@click.option("--species", metavar="NAME", help="Only this species, by its Latin name.")
@click.option("--most-f", type=float, metavar="F", help="No pair whose offspring may have a higher F.")
@click.option(
    "--weight", type=float, default=1.0, show_default=True, help="Weight of F against mean kinships."
)
@click.option("--uses", type=int, default=1, show_default=True, help="Females each male may be given.")
@click.option("--uses-of", nargs=2, multiple=True, metavar="MALE N", help="The same for one male.")
@click.option("--apart", nargs=2, multiple=True, metavar="LINE LINE", help="Lines never crossed (one twice: not within).")  # fmt: skip
@click.option(
    "--cross", nargs=3, multiple=True, metavar="LINE LINE N", help="At least N pairs between two lines."
)
@click.option("--force", nargs=2, multiple=True, metavar="MALE FEMALE", help="This pair for certain.")
@click.option("--forbid", nargs=2, multiple=True, metavar="MALE FEMALE", help="Never this pair.")
@click.option("--boxes", type=int, metavar="N", help="Free enclosures: at most so many pairs.")
@click.option(
    "--across", multiple=True, metavar="WHAT", help="Cross species, subspecies or locality all the same."
)
@click.option("--together", type=int, default=14, show_default=True, help="Days both should be awake.")
@click.option(
    "--leave-out", multiple=True, metavar="ANIMAL", help="Not this one now: promised to somebody, say."
)
@click.option("--all", "every", is_flag=True, help="Every pair that may be made, best first, not one plan.")
@click.option("--as", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True)
@click.pass_obj
def pairings(
    given: Given, /, species: str | None, every: bool, leave_out: tuple[str, ...], form: str, **wished: Any
) -> None:
    """The best pairs to make now, each with its reasons. Nothing is recorded.

    \b
    rounds pairings --species "Eudicella smithi" --boxes 2 --most-f 0.125
    """
    from rounds.analysis.pairing_candidates import candidates
    from rounds.commands.kinship import print_records
    from rounds.config import in_force
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ids import now_ms
    from rounds.store.ledger import load
    from rounds.walk import round_day

    with open_book(given.book, readonly=True) as book:
        house = read.house(book)
        ledger = load(book)
    today = given.today or round_day(now_ms(), house.zone, house.day_starts)
    config = in_force(given.config, given.book)
    if config.banner:
        click.echo(config.banner, err=True)
    found = candidates(ledger, config.species, today, _animals(ledger, leave_out))
    wishes = _wishes(wished)
    groups = _groups(found, species, "species" in wishes.across)
    if wishes.boxes is not None and len(groups) > 1:
        raise RoundsError(
            f"--boxes: {wishes.boxes} boxes, and several species could use them ({', '.join(groups)}). "
            "Name one with --species."
        )
    plans = _plans(given, ledger, groups, wishes, every)
    if form == "text":
        for name, plan in plans.items():
            _show(name, plan, every)
        if not plans:
            click.echo("the book holds no grown animal that is alive")
        return
    records = [r for name, plan in plans.items() for r in _records(name, plan)]
    print_records(records, COLUMNS, form)


def _animals(ledger: Ledger, names: tuple[str, ...]) -> list[int]:
    from rounds.books.acts_common import animal_name

    known = {animal_name(ledger, i): i for i, _ in ledger.rows("animal")}
    wrong = [n for n in names if n not in known]
    if wrong:
        raise BadInput(
            Problem("--leave-out", 0, 0, f"`{n}` is no animal of this book.", nearest(n, known))
            for n in wrong
        )
    return [known[n] for n in names]


def _wishes(w: dict[str, Any]) -> Wishes:
    from rounds.analysis.pairing_rules import Wishes

    problems = []

    def whole(option: str, text: str) -> int:
        if text.isascii() and text.isdecimal() and len(text) < 6:
            return int(text)
        problems.append(Problem(option, 0, 0, f"`{text}` is no count.", "Write a whole number, 0 or more."))
        return 0

    wishes = Wishes(
        w["weight"], w["most_f"], w["uses"], {male: whole("--uses-of", n) for male, n in w["uses_of"]}, w["apart"],
        tuple((a, b, whole("--cross", n)) for a, b, n in w["cross"]), w["force"], w["forbid"], w["boxes"],
        frozenset(w["across"]), w["together"],
    )  # fmt: skip
    if problems:
        raise BadInput(problems)
    return wishes


def _groups(found: list[Candidate], species: str | None, together: bool) -> dict[str, list[Candidate]]:
    groups: dict[str, list[Candidate]] = {}
    for c in found:
        groups.setdefault(c.species or "no species", []).append(c)
    if species is not None:
        if species not in groups:
            raise RoundsError(
                f"--species: no grown animal is of `{species}`. {nearest(species, groups)}".rstrip()
            )
        return {species: groups[species]}
    return {", ".join(groups): found} if together and found else groups


def _plans(
    given: Given, ledger: Ledger, groups: dict[str, list[Candidate]], wishes: Wishes, every: bool
) -> dict[str, Plan | list[Pair]]:
    from rounds.analysis import pairing
    from rounds.bookpedigree import living, of_book
    from rounds.books.acts_common import animal_name

    p, problems = of_book(ledger, str(given.book))
    if p is None:
        raise BadInput(problems)
    alive = {
        animal_name(ledger, i): str(ledger.row("line", ledger.row("animal", i)["line"])["species"])
        for i in living(ledger)
    }
    # A wish names animals and lines of one species; each plan is told only what is about its own.
    asked = _Asked(wishes, groups)
    out: dict[str, Plan | list[Pair]] = {}
    for name, some in groups.items():
        kinds = {c.species for c in some}
        group = [n for n, latin in alive.items() if " ".join(latin.split()[:2]) in kinds]
        if not group:
            continue
        mine = asked.of(some)
        if every:
            table = pairing.table(p, some, group, mine)
            out[name] = pairing.ranked(table, mine)
        else:
            out[name] = pairing.plan(p, some, group, mine)
    return out


class _Asked:
    """Wishes divided over the species; what fits none stays in all, so that it is refused with its name."""

    def __init__(self, wishes: Wishes, groups: dict[str, list[Candidate]]) -> None:
        self.wishes = wishes
        self.known = {c.animal for some in groups.values() for c in some}
        self.known |= {c.line for some in groups.values() for c in some}

    def of(self, some: list[Candidate]) -> Wishes:
        w = self.wishes
        here = {c.animal for c in some} | {c.line for c in some}

        def mine(*names: str) -> bool:
            return any(n in here or n not in self.known for n in names)

        return w._replace(
            uses_of={m: n for m, n in w.uses_of.items() if mine(m)},
            apart=tuple(x for x in w.apart if mine(*x)),
            cross=tuple(x for x in w.cross if mine(*x[:2])),
            forced=tuple(x for x in w.forced if mine(*x)),
            forbidden=tuple(x for x in w.forbidden if mine(*x)),
        )


def _show(name: str, plan: Plan | list[Pair], every: bool) -> None:
    from rounds.analysis.kinship import Range
    from rounds.commands.kinship import amount
    from rounds.shown import clean

    def say(text: str) -> None:
        click.echo(clean(text, 300))

    pairs = plan if isinstance(plan, list) else plan.pairs
    say(f"{name}: {len(pairs)} {'pairs may be made' if every else 'pairs'}")
    for n, pair in enumerate(pairs, 1):
        say(f"  {n}. {pair.male} × {pair.female}")
        for why in pair.why:
            say(f"       {why}")
        r = pair.runner_up
        if r is not None:
            taken = ", taken elsewhere in this plan" if r.taken else ""
            f: Range = r.f
            say(f"       instead: {r.animal}{taken}, cost {r.more:+.4f}, F {amount(f.low, f.high)}")
        for warning in pair.warnings:
            say(f"       ! {warning}")
    if isinstance(plan, list):
        return
    say(f"  mean kinship of the living {amount(plan.before.low, plan.before.high)}, "
        f"with one offspring of each pair {amount(plan.after.low, plan.after.high)}")  # fmt: skip
    for reason, n in plan.barred.items():
        say(f"  {n} pairs not allowed: {reason}")
    for animal, reason in plan.left_out[:LEFT_OUT]:
        say(f"  not now: {animal}, {reason}")
    if len(plan.left_out) > LEFT_OUT:
        say(f"  not now: {len(plan.left_out) - LEFT_OUT} more")
    for warning in plan.warnings:
        say(f"  ! {warning}")
    if not plan.exact:
        say("  some F are outer bounds: too many possible sires to go through every combination")


def _records(name: str, plan: Plan | list[Pair]) -> list[dict[str, object]]:
    out = []
    for rank, pair in enumerate(plan if isinstance(plan, list) else plan.pairs, 1):
        r = pair.runner_up
        second = (r.animal, r.more, r.f.low, r.f.high, r.taken) if r is not None else (None,) * 5
        values = (
            name, rank, pair.male, pair.female, pair.f.low, pair.f.high, pair.f.exact, pair.cost, list(pair.why),
            list(pair.warnings), *second,
        )  # fmt: skip
        out.append(dict(zip(COLUMNS, values, strict=True)))
    return out
