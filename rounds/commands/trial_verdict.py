"""What ``rounds trial verdict`` prints, and the plan it is held to."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rounds.commands import trial_command_sentences
from rounds.commands.output import print_document
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, RoundsError, nearest
from rounds.text.cleaning import clean, day_and_year

if TYPE_CHECKING:
    from rounds.analysis.trial.brood_counts import BroodCount
    from rounds.commands.options import CliContext


MOST_GONE = 20
"""Broods named one by one where nothing is left to compare; `trial tally` shows them all."""


class Settled(NamedTuple):
    """What a plan settled before the trial."""

    endpoint: str
    ends: int
    arms: tuple[str, str]


def print_levels(path: Path, form: str) -> None:
    """The cost over several levels of F."""
    from rounds.analysis.trial import inbreeding_cost
    from rounds.commands.named_files import read_lines
    from rounds.reports.verdict_report import cost_report

    rows, problems = inbreeding_cost.levels(read_lines(path), str(path))
    if problems:
        raise BadInput(problems)
    if not any(r.survived for r in rows):
        raise RoundsError(trial_command_sentences.nothing_survived(str(path)))
    print_document(cost_report(rows, inbreeding_cost.fit(rows)), form)


def settled(path: Path) -> Settled:
    """A plan as ``rounds trial plan --as json`` wrote it. Raises BadInput."""
    from rounds.commands.named_files import read_lines

    def wrong(message: str, line: int = 0, column: int = 0) -> BadInput:
        return BadInput([Problem(str(path), line, column, message, trial_command_sentences.GIVE_PLAN_FILE)])

    try:
        read: Any = json.loads("".join(read_lines(path)))
    except json.JSONDecodeError as e:
        raise wrong(trial_command_sentences.no_json(e.msg), e.lineno, e.colno) from e
    except RecursionError as e:
        raise wrong(trial_command_sentences.TOO_DEEP) from e
    if isinstance(read, list) and len(read) == 1:
        read = read[0]
    try:
        arms = read["arms"]
        found = Settled(
            str(read["endpoint"]), date.fromisoformat(read["ends"]).toordinal(), (arms[0], arms[1])
        )
    except (KeyError, TypeError, ValueError, IndexError) as e:
        raise wrong(trial_command_sentences.NO_PLAN) from e
    if not all(isinstance(a, str) for a in found.arms):
        raise wrong(trial_command_sentences.ARM_IS_NO_TEXT)
    return found


class Wish(NamedTuple):
    """What was asked of a verdict: the arm compared with, F of arms, a drawing, and to look before the end."""

    reference: str = ""
    fs: tuple[tuple[str, str], ...] = ()
    plot: Path | None = None
    early: bool = False


class Said(NamedTuple):
    """Lines of a verdict beside the finding: after it, and what to mind (marked ``!``)."""

    after: list[str]
    mind: list[str]


def print_verdict(
    given: CliContext, broods: list[BroodCount], planned: Path | None, wish: Wish, form: str
) -> None:
    """Judge counts and print. With a plan, nothing is judged before its last day."""
    said = Said([], [trial_command_sentences.NO_PLAN_GIVEN])
    before = settled(planned) if planned is not None else None
    if before is not None:
        arms = list(dict.fromkeys(b.arm for b in broods))
        mind = _hold(given, before, arms, early=wish.early)
        said = Said([trial_command_sentences.endpoint_as_planned(before.endpoint)], mind)
    _print(broods, wish, before.arms[1] if before is not None else "", said, form)


def print_of_book(given: CliContext, name: str, wish: Wish, form: str) -> None:
    """The verdict of a trial of the book, held to what was fixed when it began."""
    from rounds.acts.running_trials import ARM_NAMES
    from rounds.analysis.trial import book_trial, book_trial_words, verdict_sentences
    from rounds.commands.trial_book import house, looked_early, trial_named, with_f
    from rounds.reports.verdict_report import running_report

    here = house(given)
    trial = trial_named(here.ledger, name)
    at = book_trial.when(trial, here.today)
    if at.running and not wish.early:
        lines = book_trial_words.running_lines(trial, at, book_trial.progress(here.ledger, trial.id))
        print_document(running_report(lines, at.left), form)
        return
    if at.running:
        looked_early(given, here, trial)
    rows = with_f(here, book_trial.counts(here.ledger, trial.id, here.today))
    sizes = [sum(c.brood.arm == arm for c in rows) for arm in ARM_NAMES.values()]
    far = book_trial.progress(here.ledger, trial.id)
    after = [trial_command_sentences.of_trial(trial.name, book_trial_words.settled_line(trial, far))]
    after += filter(None, [book_trial_words.planned_line(trial, (sizes[0], sizes[1]))])
    mind = book_trial_words.kept_notes(trial, at)
    mind += book_trial_words.place_notes(book_trial.places(here.ledger, trial.id))
    mind += [f"{c.brood.female}: {c.brood.note}" for c in rows if c.brood.note and not c.brood.left_out]
    _print(
        [c.brood for c in rows],
        wish,
        ARM_NAMES["cross"],
        Said(after, [*mind, verdict_sentences.BLINDED]),
        form,
    )


def _print(broods: list[BroodCount], wish: Wish, usual: str, said: Said, form: str) -> None:
    """Judge ``broods`` against the arm asked for, the ``usual`` one or what their names tell."""
    from rounds.analysis.trial import survival_plot
    from rounds.analysis.trial.brood_counts import reference_of
    from rounds.analysis.trial.brood_counts import units as sorted_out
    from rounds.analysis.trial.verdict import verdict
    from rounds.commands.plotting import write_plot
    from rounds.reports.verdict_report import verdict_report

    arms = list(dict.fromkeys(b.arm for b in broods))
    if len(arms) < 2:
        raise RoundsError(trial_command_sentences.one_arm(arms[0]))
    asked = wish.reference or usual
    compared = reference_of(broods, asked)
    if not compared:
        raise RoundsError(trial_command_sentences.no_reference(asked, nearest(asked, arms)))
    found = verdict(broods, compared, _f(wish.fs, arms))
    if found is None:
        left = sorted_out(broods, compared)
        gone = tuple(
            clean(trial_command_sentences.gone(b.arm, b.female, why), 300) for b, why in left.dropped
        )
        empty = tuple(clean(name, 40) for name, some in left.arms.items() if not some)
        more = max(0, len(gone) - MOST_GONE)
        raise RoundsError(trial_command_sentences.nothing_left(empty, gone[:MOST_GONE], more))
    if wish.plot is not None:
        write_plot(wish.plot, survival_plot.drawn(found))
    print_document(verdict_report(found, said.after, said.mind), form)


def _hold(given: CliContext, plan: Settled, arms: list[str], *, early: bool) -> list[str]:
    """What to mind about the plan. Raises RoundsError before its last day and for an arm it has not."""
    from rounds.analysis.trial.kept_trial_sentences import peeking
    from rounds.commands.options import this_day

    for arm in arms:
        if arm.casefold() not in [a.casefold() for a in plan.arms]:
            raise RoundsError(trial_command_sentences.not_in_plan(arm, nearest(arm, plan.arms)))
    today = given.today if given.today is not None else this_day()
    if today >= plan.ends:
        return []
    if early:
        return [peeking(plan.ends - today)]
    raise RoundsError(trial_command_sentences.not_before(day_and_year(plan.ends)))


def _f(given: tuple[tuple[str, str], ...], arms: list[str]) -> dict[str, float]:
    from rounds.values.numbers import parse_decimal

    out = {}
    problems = []
    for arm, text in given:
        name = next((a for a in arms if a.casefold() == arm.casefold()), None)
        try:
            value = parse_decimal(text)
        except ValueError:
            value = -1.0
        if name is None:
            problems.append(Problem("--f", 0, 0, trial_command_sentences.no_arm(arm), nearest(arm, arms)))
        elif not 0 <= value <= 1:
            problems.append(Problem("--f", 0, 0, trial_command_sentences.no_f(text, arm)))
        else:
            out[name] = value
    if problems:
        raise BadInput(problems)
    return out
