"""``rounds pairings``: whom to pair now."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.problems import BadInput, Problem, RoundsError, nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from rounds.analysis.pairing.book_pairings import Listed, Options, Ranking, SpeciesGroup
    from rounds.analysis.pairing.pairing_plan import PairingPlan, RunnerUp
    from rounds.analysis.pairing.restrictions import Wishes
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger

COLUMNS = (
    "species", "rank", "male", "female", "f_low", "f_high", "exact", "cost", "why", "warnings", "runner_up",
    "runner_up_costs_more", "runner_up_f_low", "runner_up_f_high", "runner_up_taken", "for_him",
    "for_him_costs_more", "for_him_f_low", "for_him_f_high", "for_him_taken", "mean_kinship_change_low",
    "mean_kinship_change_high", "until",
)  # fmt: skip
ALLOWED_AS_UNKNOWN = ("subspecies not recorded", "locality not recorded")
LEFT_OUT = 12
"""Animals that cannot breed now listed by name in the text; JSON and CSV of pairs do not list them."""


@click.command()
@click.option("--species", metavar="NAME", default="", help="Only this species, by its Latin name.")
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
    "--across", multiple=True, metavar="WHAT", help="Cross species, subspecies or locality all the same, or unknown ones."
)  # fmt: skip
@click.option("--together", type=int, default=14, show_default=True, help="Days both should be awake.")
@click.option("--leave-out", multiple=True, metavar="ANIMAL", help="Not this one now.")
@click.option("--all", "every", is_flag=True, help="Every pair that may be made, best first, not one plan.")
@click.option("--choose", metavar="N[,N…]", help="Record plans for these numbers of the list.")
@click.option("--into", metavar="CODE[,CODE…]", help="With --choose: the boxes they are meant for, in that order.")  # fmt: skip
@click.option("--sure", is_flag=True, help="With --choose: yes, what looks like a slip is meant.")
@click.option("--plans", is_flag=True, help="List the open plans instead.")
@click.option("--as", "form", type=click.Choice(["text", "csv", "json"]), default="text", show_default=True)
@click.pass_obj
def pairings(
    given: CliContext, /, species: str, every: bool, leave_out: tuple[str, ...], form: str, choose: str | None,
    into: str | None, sure: bool, plans: bool, **wished: Any,
) -> None:  # fmt: skip
    """The best pairs to make now, each with its reasons. Nothing is recorded unless you choose.

    The plan makes as many pairs as it can and of those plans the one of the lowest cost: of
    each pair the weight times F of its offspring, and both parents' mean kinship with the
    living, all at the high end of what is not known. Choosing makes a plan; nobody moves
    before it is made at the rack, where the round offers it.

    \b
    rounds pairings --species "Eudicella smithi" --boxes 2 --most-f 0.125
    rounds pairings --all --choose 3 --into TL-058
    rounds pairings --plans
    """
    from rounds.analysis.pairing.book_pairings import rank
    from rounds.commands import pairings_plans
    from rounds.commands.listing import print_records

    if choose is None and (into or sure):
        raise RoundsError("--into and --sure go with --choose.")
    if plans:
        if choose is not None:
            raise RoundsError("--plans lists and --choose records: ask one at a time.")
        pairings_plans.print_plans(given, form)
        return
    ledger, today, settings = pairings_plans.books(given)
    options = _options(ledger, species, leave_out, wished)
    found = rank(ledger, settings.species, today, options, str(given.book))
    plan_of = [] if every else [group.plan() for group in found.groups]
    listed = list(found) if every else _numbered(found, plan_of)
    if choose is not None:
        pairings_plans.choose(given, listed, choose, into, form, sure=sure)
    elif form == "text":
        _show(found, listed, plan_of)
    else:
        print_records([_record(x) for x in listed], COLUMNS, form)


def _numbered(found: Ranking, plans: list[PairingPlan]) -> list[Listed]:
    pairs = [(k, pair) for k, plan in enumerate(plans) for pair in plan.pairs]
    return [found.listed(n, k, pair) for n, (k, pair) in enumerate(pairs, 1)]


def _options(ledger: Ledger, species: str, leave_out: tuple[str, ...], wished: dict[str, Any]) -> Options:
    from rounds.analysis.pairing.book_pairings import Options
    from rounds.records.naming import animal_name

    known = {animal_name(ledger, i): i for i, _ in ledger.rows("animal")}
    short = _Short(n for n, i in known.items() if ledger.row("animal", i)["state"] in ("alive", "missing"))
    for option in ("force", "forbid"):
        wished[option] = tuple((short.full(option, m), short.full(option, f)) for m, f in wished[option])
    wished["uses_of"] = tuple((short.full("uses-of", m), n) for m, n in wished["uses_of"])
    leave_out = tuple(short.full("leave-out", n) for n in leave_out)
    if short.problems:
        raise BadInput(short.problems)
    return Options(_wishes(wished), species, _animals(known, leave_out))


class _Short:
    """A bare number as the one living LINE/NUMBER it stands for; ``problems`` of those that stand for several."""

    def __init__(self, known: Iterable[str]) -> None:
        self.known, self.problems = tuple(known), list[Problem]()

    def full(self, option: str, name: str) -> str:
        fits = [] if name in self.known else [n for n in self.known if n.rpartition("/")[2] == name]
        if len(fits) > 1:
            more = f" and {len(fits) - 20} more" if len(fits) > 20 else ""
            said = f"`{name}` is the number of {', '.join(fits[:20])}{more}."
            self.problems.append(Problem(f"--{option}", 0, 0, said, "Name the line, too."))
        return fits[0] if len(fits) == 1 else name


def _animals(known: Mapping[str, int], names: tuple[str, ...]) -> list[int]:
    wrong = [n for n in names if n not in known]
    if wrong:
        raise BadInput(
            Problem("--leave-out", 0, 0, f"`{n}` is no animal of this book.", nearest(n, known))
            for n in wrong
        )
    return [known[n] for n in names]


def _wishes(w: dict[str, Any]) -> Wishes:
    from rounds.analysis.pairing.restrictions import Wishes

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


def _show(found: Ranking, listed: list[Listed], plans: list[PairingPlan]) -> None:
    if not found.groups:
        click.echo("the book holds no grown animal that is alive")
    for k, group in enumerate(found.groups):
        mine = [x for x in listed if x.species == group.name]
        able = f"of {_many(len(group.table.males), 'male')} and {_many(len(group.table.females), 'female')} that can breed now"
        _say(f"{group.name}: {_many(len(mine), 'pair')} {'' if plans else 'may be made '}{able}")
        for x in mine:
            _show_pair(x)
        if plans:
            _show_plan(plans[k])
            if not mine and (lowest := _lowest(group)) is not None:
                _say(f"  the lowest F any of them could have is {lowest:.3f} (high end)")


def _many(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _lowest(group: SpeciesGroup) -> float | None:
    """The lowest F (high end) among pairs that only the limit on F forbids; None where there are none."""
    t = group.table
    high = [
        t.f(i, j).high
        for i, row in enumerate(t.barred)
        for j, why in enumerate(row)
        if why.startswith("F above")
    ]
    return min(high, default=None)


def _say(text: str) -> None:
    from rounds.text.cleaning import clean

    click.echo(clean(text, 400))


def _show_pair(x: Listed) -> None:
    from datetime import date

    pair = x.pair
    _say(f"  {x.number}. {pair.male} × {pair.female}")
    for why in pair.why:
        _say(f"       {why}")
    for whose, second in (("instead for her", pair.runner_up), ("instead for him", pair.for_him)):
        if second is not None:
            _say(f"       {whose}: {_instead(second)}")
    if x.until is not None:
        _say(f"       to be made by {date.fromordinal(x.until).isoformat()} at the latest")
    for warning in pair.warnings:
        _say(f"       ! {warning}")


def _instead(r: RunnerUp) -> str:
    from rounds.commands.listing import amount

    taken = ", taken elsewhere in this plan" if r.taken else ""
    return f"{r.animal}{taken}, cost {r.more:+.4f}, F {amount(r.f.low, r.f.high)}"


def _show_plan(plan: PairingPlan) -> None:
    from rounds.commands.listing import amount

    after = (
        f", with one offspring of each pair {amount(plan.after.low, plan.after.high)}" if plan.pairs else ""
    )
    _say(f"  mean kinship of the living {amount(plan.before.low, plan.before.high)}{after}")
    if plan.gap is not None and plan.gap.plans > 1:
        ways = f"  of all {plan.gap.plans:,} ways to make as many pairs"
        if plan.gap.share < 5e-5:
            _say(f"{ways} none would leave the mean kinship lower (high end)")
        else:
            _say(f"{ways} the best for the mean kinship would come to {plan.gap.best:.4f} (high end), "
                 f"{plan.gap.share:.2%} below this one, which weighs F as well")  # fmt: skip
    for reason, n in plan.barred.items():
        allow = " (--across unknown allows them)" if reason in ALLOWED_AS_UNKNOWN else ""
        _say(f"  {_many(n, 'pair')} not allowed: {reason}{allow}")
    for animal, reason in plan.left_out[:LEFT_OUT]:
        _say(f"  not now: {animal}, {reason}")
    if len(plan.left_out) > LEFT_OUT:
        _say(f"  not now: {len(plan.left_out) - LEFT_OUT} more")
    for warning in plan.warnings:
        _say(f"  ! {warning}")
    if not plan.exact:
        _say("  some F are outer bounds: too many possible sires to go through every combination")


def _record(x: Listed) -> dict[str, object]:
    from datetime import date

    pair = x.pair

    def second(r: RunnerUp | None) -> tuple[object, ...]:
        return (None,) * 5 if r is None else (r.animal, r.more, r.f.low, r.f.high, r.taken)

    values = (
        x.species, x.number, pair.male, pair.female, pair.f.low, pair.f.high, pair.f.exact, pair.cost,
        list(pair.why), list(pair.warnings), *second(pair.runner_up), *second(pair.for_him), pair.change.low,
        pair.change.high, None if x.until is None else date.fromordinal(x.until).isoformat(),
    )  # fmt: skip
    return dict(zip(COLUMNS, values, strict=True))
