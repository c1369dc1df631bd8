"""``rounds trial``: plan a sib trial, take its counts out of the book, judge it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rounds.problems import BadInput, Problem, RoundsError, nearest

if TYPE_CHECKING:
    from rounds.analysis.trial_counts import Brood
    from rounds.commands.options import Given

FORMS = click.Choice(["text", "csv", "json"])
FILE = click.Path(path_type=Path, exists=True, dir_okay=False)
NEW = click.Path(path_type=Path)
ENDPOINTS = click.Choice(["hatched", "L2", "L3", "cell", "adult"])


@click.group()
def trial() -> None:
    """A sib trial: does inbreeding cost anything here, honestly."""


@trial.command()
@click.option(
    "--endpoint", required=True, metavar="TEXT", help="What counts as survived: fixed before it starts."
)
@click.option("--ends", required=True, metavar="DATE", help="The last day: fixed before it starts.")
@click.option(
    "--arms", default="sib,outcross", show_default=True, help="Two names, the one compared with last."
)
@click.option("--females", type=int, default=6, show_default=True, help="Females per arm.")
@click.option("--eggs", type=int, default=40, show_default=True, help="Eggs per female.")
@click.option("--rho", type=float, default=0.1, show_default=True, help="How alike eggs of one female are (0: not at all).")  # fmt: skip
@click.option(
    "--survival", type=float, default=0.5, show_default=True, help="What the compared arm should reach."
)
@click.option(
    "--pairs", metavar="FILE", type=FILE, help="A table arm,female[,male,female_age,male_age,batch]."
)
@click.option("--positions", metavar="LIST", help="Free places with commas: C1-1,C1-2,…")
@click.option("--seed", type=int, help="Draw the places again as before.")
@click.option("--as", "form", type=FORMS, default="text", show_default=True)
@click.pass_obj
def plan(given: Given, /, endpoint: str, ends: str, arms: str, pairs: Path | None, positions: str | None, seed: int | None, form: str, **size: Any) -> None:  # fmt: skip
    """What a trial of a size could show, and who stands where. Settle it before you start.

    \b
    rounds trial plan --endpoint "adult or cell" --ends 2027-02-28 --females 8 --as json > plan.json
    """
    from secrets import randbelow

    from rounds.analysis import trial_plan, trial_words
    from rounds.commands.kinship import print_records
    from rounds.commands.options import day

    last = day(ends, "--ends")
    if given.today is not None and last <= given.today:
        raise RoundsError(f"--ends: `{ends}` is not after today. A trial ends on a day to come.")
    known: list[trial_plan.Pair] = []
    problems: list[Problem] = []
    if pairs is not None:
        from rounds.commands.listing import read_lines

        known, problems = trial_plan.pairs(read_lines(pairs), str(pairs))
    names = [a.strip() for a in arms.split(",")]
    if len(names) != 2 or not all(names):
        problems.append(Problem("--arms", 0, 0, f"`{arms}` is not two names.", "For example sib,outcross."))
        raise BadInput(problems)
    design = trial_plan.Design(
        endpoint, last, (names[0], names[1]), size["females"], size["eggs"], size["rho"], size["survival"],
        randbelow(2**31) if seed is None else seed,
        tuple(p.strip() for p in positions.split(",") if p.strip()) if positions else (),
    )  # fmt: skip
    problems += [Problem("the plan", 0, 0, *words) for words in trial_plan.mistakes(design, known)]
    if problems:
        raise BadInput(problems)
    made = trial_plan.plan(design, known)
    if form == "text":
        click.echo("\n".join(trial_words.plan_lines(made)))
    elif form == "csv":
        print_records(trial_words.layout_records(made), ("position", "arm", "female", "seed"), form)
    else:
        print_records([trial_words.plan_record(made)], (), form)


def _book_options(command: Any) -> Any:
    for option in reversed((
        click.option("--endpoint", type=ENDPOINTS, default="adult", show_default=True, help="How far an animal must come to count."),
        click.option("--species", metavar="NAME", default="", help="Only this species, by its Latin name."),
        click.option("--since", metavar="DATE", help="Only pairings that began on this day or later."),
        click.option("--until", metavar="DATE", help="Only pairings that began by this day."),
        click.option("--over", is_flag=True, help="The trial is over: who has not come so far counts as lost."),
    )):  # fmt: skip
        command = option(command)
    return command


@trial.command()
@_book_options
@click.option("--as", "form", type=FORMS, default="text", show_default=True)
@click.pass_obj
def tally(given: Given, /, form: str, **asked: Any) -> None:
    """The counts of a trial out of the book: searches and broods of sib and cross pairings.

    \b
    rounds trial tally --endpoint adult --since 2026-06-01 --as csv > counts.csv
    """
    from rounds.commands.kinship import print_records
    from rounds.shown import clean

    columns = (
        "arm",
        "female",
        "eggs",
        "alive",
        "male",
        "f",
        "batch",
        "female_age",
        "male_age",
        "left_out",
        "note",
    )
    broods = _from_book(given, asked)
    if form != "text":
        print_records([{c: getattr(b, c) for c in columns} for b in broods], columns, form)
        return
    for b in broods:
        f = "" if b.f is None else f", F {b.f:.3f}"
        click.echo(clean(f"{b.arm}: {b.female} × {b.male or 'unknown'}: {b.alive} of {b.eggs}{f}", 200))
        for word, text in (("left out", b.left_out), ("note", b.note)):
            if text:
                click.echo(clean(f"    {word}: {text}", 300))
    click.echo(f"{len(broods)} broods, {sum(bool(b.left_out) for b in broods)} of them left out")


def _from_book(given: Given, asked: dict[str, Any]) -> list[Brood]:
    """The counts of the book, with the F of each pairing's offspring where it is known."""
    from rounds.analysis.kinship import matrix
    from rounds.analysis.trial_tally import Asked
    from rounds.analysis.trial_tally import tally as count
    from rounds.bookpedigree import of_book
    from rounds.books.acts_common import animal_name
    from rounds.commands.options import day
    from rounds.husbandry.spans import FIRST, LAST
    from rounds.store.book import open_book
    from rounds.store.ledger import load

    days = [
        day(asked[k], f"--{k}") if asked[k] else otherwise
        for k, otherwise in (("since", FIRST), ("until", LAST))
    ]
    with open_book(given.book, readonly=True) as book:
        ledger = load(book)
    known = {str(r["species"]) for _, r in ledger.rows("line")}
    if asked["species"] and asked["species"] not in known:
        raise RoundsError(
            f"--species: no line is of `{asked['species']}`. {nearest(asked['species'], known)}".rstrip()
        )
    rows = count(ledger, Asked(asked["endpoint"], asked["over"], asked["species"], *days))
    if not rows:
        raise RoundsError(
            "the book holds no searched pairing made for `sibs` or `cross` in those days. "
            "Counts from elsewhere: --counts FILE."
        )
    p, problems = of_book(ledger, str(given.book))
    if p is None:
        raise BadInput(problems)
    out = []
    for brood, female, males in rows:
        if len(males) == 1:
            k = matrix(p, [animal_name(ledger, female), animal_name(ledger, males[0])])
            low, high = k.low[0][1], k.high[0][1]
            if high - low < 5e-4:
                brood = brood._replace(f=low)
            else:
                said = f"F {low:.3f} to {high:.3f}, parents further back are not recorded"
                brood = brood._replace(note="; ".join(filter(None, (brood.note, said))))
        out.append(brood)
    return out


@trial.command()
@click.option(
    "--counts", metavar="FILE", type=FILE, help="A table arm,female,eggs,alive instead of the book."
)
@click.option(
    "--levels", metavar="FILE", type=FILE, help="A table F,n,survived: a cost over several levels of F."
)
@click.option("--plan", "planned", metavar="FILE", type=FILE, help="The plan (JSON) that was settled before.")
@click.option("--reference", metavar="ARM", default="", help="The arm compared with.")
@click.option("--f", "fs", nargs=2, multiple=True, metavar="ARM F", help="F of an arm's offspring.")
@click.option("--plot", "plot", metavar="FILE", type=NEW, help="Draw survival by brood, as .svg or .png.")
@_book_options
@click.option("--as", "form", type=FORMS, default="text", show_default=True)
@click.pass_obj
def verdict(given: Given, /, counts: Path | None, levels: Path | None, planned: Path | None, reference: str, fs: tuple[tuple[str, str], ...], plot: Path | None, form: str, **asked: Any) -> None:  # fmt: skip
    """What a trial found: by broods, with what it could have found, or "cannot tell".

    \b
    rounds trial verdict --counts counts.csv --plot trial.svg
    rounds trial verdict --levels levels.csv
    """
    from rounds.commands import trial_judged
    from rounds.commands.listing import read_lines

    if levels is not None:
        if counts is not None or plot is not None or planned is not None or fs or reference:
            raise RoundsError("--levels stands alone: a cost over levels of F has no arms.")
        trial_judged.print_levels(levels, form)
        return
    broods: list[Brood]
    if counts is not None:
        from rounds.analysis.trial_counts import counts as read

        broods, problems = read(read_lines(counts), str(counts))
        if problems:
            raise BadInput(problems)
    else:
        broods = _from_book(given, asked)
    trial_judged.print_verdict(given, broods, planned, reference, fs, plot, form)
