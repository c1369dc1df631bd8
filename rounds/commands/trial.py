"""``rounds trial``: plan a sib trial, take its counts out of the book, judge it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rounds.commands import trial_command_sentences
from rounds.commands.completing import SPECIES, keepers, listed, named
from rounds.commands.number_types import NUMBER, WHOLE
from rounds.commands.output import prints
from rounds.problems import RoundsError

if TYPE_CHECKING:
    from rounds.commands.options import CliContext

FILE = click.Path(path_type=Path, exists=True, dir_okay=False)
NEW = click.Path(path_type=Path)
ONLY_OF_BOOK = {
    "--species": "species",
    "--batch": "batch",
    "--record": "opens",
    "--keeper": "keeper",
    "--sure": "sure",
}
"""Options of a plan that ask for a trial of the book, and what they are called here."""
ENDPOINTS = click.Choice(["hatched", "L2", "L3", "cell", "adult"])


@click.group()
def trial() -> None:
    """A sib trial: does inbreeding cost anything here, honestly."""


@trial.command()
@click.argument("name", required=False, shell_complete=named("trial"))
@click.option(
    "--endpoint",
    required=True,
    metavar="TEXT",
    help="What counts as survived: fixed before it starts. With NAME: hatched, L2, L3, cell or adult.",
)
@click.option("--ends", required=True, metavar="DATE", help="The last day: fixed before it starts.")
@click.option(
    "--arms", default="sib,outcross", show_default=True, help="Two names, the one compared with last."
)
@click.option("--females", type=WHOLE, default=6, show_default=True, help="Females per arm.")
@click.option("--eggs", type=WHOLE, default=40, show_default=True, help="Eggs per female.")
@click.option(
    "--rho",
    type=NUMBER,
    default=0.1,
    show_default=True,
    help="How alike eggs of one female are (0: not at all).",
)
@click.option(
    "--survival", type=NUMBER, default=0.5, show_default=True, help="What the compared arm should reach."
)
@click.option(
    "--pairs", metavar="FILE", type=FILE, help="A table arm,female[,male,female_age,male_age,batch]."
)
@click.option(
    "--positions",
    metavar="LIST",
    shell_complete=listed(named("place")),
    help="Free places with commas: C1-1,C1-2,…",
)
@click.option(
    "--seed",
    type=WHOLE,
    help="What to draw from. Without it, a number made of the plan itself: the same plan is drawn the same way again.",
)
@click.option(
    "--species",
    metavar="NAME",
    default="",
    shell_complete=named(SPECIES),
    help="With NAME: the species, by its Latin name.",
)
@click.option(
    "--batch",
    metavar="BATCH",
    default="",
    shell_complete=named("batch"),
    help="With NAME: the substrate batch all broods get.",
)
@click.option(
    "--record", "opens", is_flag=True, help="With NAME: open the trial in the book as it is printed."
)
@click.option(
    "--keeper", metavar="NAME", default="", shell_complete=keepers, help="With --record: who opens it."
)
@click.option("--sure", is_flag=True, help="With --record: yes, what is doubtful is meant.")
@prints("trial-plan")
@click.pass_obj
def plan(given: CliContext, /, *, name: str | None, form: str, **asked: Any) -> None:
    """What a trial of a size could show, and who stands where. Settle it before you start.

    With a NAME the females and males are drawn from the book, and --record opens the trial
    there: from then on endpoint and last day are fixed. Without, no book is needed.

    \b
    rounds trial plan --endpoint "adult or cell" --ends 2027-02-28 --females 8 --as json > plan.json
    rounds trial plan spring --endpoint adult --ends 2027-02-28 --positions C1-1,C1-2,… --record
    """
    from rounds.commands import trial_plans

    if name is None:
        only = next((option for option, key in ONLY_OF_BOOK.items() if asked[key]), None)
        if only is not None:
            raise RoundsError(trial_command_sentences.needs_name(only))
        trial_plans.print_plan(given, form, asked)
    else:
        trial_plans.print_of_book(given, name, form, asked)


@trial.command("list")
@prints("trials")
@click.pass_obj
def list_(given: CliContext, form: str) -> None:
    """The trials of the book, and how far each is. No arm is told.

    \b
    rounds trial list
    """
    from rounds.commands import trial_book, trial_plans

    trial_plans.print_list(trial_book.house(given), form)


@trial.command()
@click.argument("name", shell_complete=named("trial"))
@click.option(
    "--arms",
    is_flag=True,
    help="Show the arms of a running trial too; that it was looked at is written down.",
)
@prints("trial-females")
@click.pass_obj
def show(given: CliContext, *, name: str, arms: bool, form: str) -> None:
    """What a trial has fixed, and where each female is.

    Also what was changed since it was opened.

    \b
    rounds trial show spring
    """
    from rounds.commands import trial_plans

    trial_plans.print_trial(given, name, form, arms=arms)


def _book_options(command: Any) -> Any:
    for option in reversed(
        (
            click.option(
                "--endpoint",
                type=ENDPOINTS,
                default="adult",
                show_default=True,
                help="How far an animal must come to count.",
            ),
            click.option(
                "--species",
                metavar="NAME",
                default="",
                shell_complete=named(SPECIES),
                help="Only this species, by its Latin name.",
            ),
            click.option("--since", metavar="DATE", help="Only pairings that began on this day or later."),
            click.option("--until", metavar="DATE", help="Only pairings that began by this day."),
            click.option(
                "--over", is_flag=True, help="The trial is over: who has not come so far counts as lost."
            ),
        )
    ):
        command = option(command)
    return command


@trial.command()
@click.argument("name", required=False, shell_complete=named("trial"))
@click.option(
    "--counts", metavar="FILE", type=FILE, help="A table arm,female,eggs,alive instead of the book."
)
@_book_options
@click.option(
    "--early",
    is_flag=True,
    help="With NAME: show arms and survivors before its last day; that is written down.",
)
@prints("trial-tally", "trial-tally-kept-back")
@click.pass_obj
def tally(
    given: CliContext, /, *, name: str | None, counts: Path | None, early: bool, form: str, **asked: Any
) -> None:
    """The counts of a trial so far, and what cannot be counted.

    They come from the book's searches and broods. NAME is a trial that was opened in the book; before its last day its arms and survivors
    are kept back. Without, every sib and cross pairing of the days asked for.

    \b
    rounds trial tally spring
    rounds trial tally --endpoint adult --since 2026-05-12 --as csv > counts.csv
    """
    from rounds.commands import trial_counts

    if name is not None:
        if counts is not None:
            raise RoundsError(trial_command_sentences.OWN_COUNTS)
        _own_endpoint(asked)
        rows, back = trial_counts.of_trial(given, name, early=early)
        trial_counts.print_tally([c.brood for c in rows], form, kept_back=back)
    elif early:
        raise RoundsError(trial_command_sentences.EARLY_NEEDS_NAME)
    elif counts is not None:
        trial_counts.print_tally(trial_counts.of_file(counts), form, kept_back=False)
    else:
        broods = [c.brood for c in trial_counts.of_book(given, asked)]
        trial_counts.print_tally(broods, form, kept_back=False)


def _own_endpoint(asked: dict[str, Any]) -> None:
    """A trial of the book has fixed what may be asked for otherwise. Raises RoundsError."""
    told = click.get_current_context()
    default = click.core.ParameterSource.DEFAULT
    for option in ("endpoint", "species", "since", "until", "over"):
        if option in asked and told.get_parameter_source(option) != default:
            raise RoundsError(trial_command_sentences.fixed_at_start(option))


@trial.command()
@click.argument("name", required=False, shell_complete=named("trial"))
@click.option(
    "--counts", metavar="FILE", type=FILE, help="A table arm,female,eggs,alive instead of the book."
)
@click.option(
    "--levels", metavar="FILE", type=FILE, help="A table F,n,survived: a cost over several levels of F."
)
@click.option("--plan", "planned", metavar="FILE", type=FILE, help="The plan (JSON) that was settled before.")
@click.option(
    "--early",
    is_flag=True,
    help="Look before its last day all the same; the verdict says so, and a book keeps it.",
)
@click.option("--reference", metavar="ARM", default="", help="The arm compared with.")
@click.option("--f", "fs", nargs=2, multiple=True, metavar="ARM F", help="F of an arm's offspring.")
@click.option("--plot", "plot", metavar="FILE", type=NEW, help="Draw survival by brood, as .svg or .png.")
@_book_options
@prints("trial-verdict", "trial-cost")
@click.pass_obj
def verdict(
    given: CliContext,
    /,
    *,
    name: str | None,
    counts: Path | None,
    levels: Path | None,
    form: str,
    **asked: Any,
) -> None:
    """What a trial found, or why nobody can tell.

    Reckoned by broods, with what the trial could have found. NAME is a trial that was opened in the book: its endpoint and last day are held to.

    \b
    rounds trial verdict spring --plot spring.png
    rounds trial verdict --counts counts.csv
    rounds trial verdict --levels levels.csv
    """
    from rounds.commands import trial_counts, trial_verdict
    from rounds.commands.plotting import checked

    wish = trial_verdict.Wish(asked["reference"], asked["fs"], asked["plot"], asked["early"])
    if wish.plot is not None:
        checked(wish.plot)
    if levels is not None:
        others = (counts, name, asked["planned"])
        if any(x is not None for x in others) or wish != trial_verdict.Wish():
            raise RoundsError(trial_command_sentences.LEVELS_ALONE)
        trial_verdict.print_levels(levels, form)
        return
    if name is not None:
        if asked["planned"] is not None or counts is not None:
            raise RoundsError(trial_command_sentences.OWN_PLAN)
        _own_endpoint(asked)
        trial_verdict.print_of_book(given, name, wish, form)
        return
    if wish.early and asked["planned"] is None:
        raise RoundsError(trial_command_sentences.EARLY_NEEDS_PLAN)
    if counts is not None:
        broods = trial_counts.of_file(counts)
    else:
        broods = [c.brood for c in trial_counts.of_book(given, asked)]
    trial_verdict.print_verdict(given, broods, asked["planned"], wish, form)
