"""Where the counts of a trial come from: a file, the book's pairings, a trial of the book."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rounds.commands import trial_command_sentences
from rounds.commands.output import print_document, tell
from rounds.problems import BadInput, RoundsError, nearest
from rounds.records.tables import Line
from rounds.values.spans import FIRST, LAST

if TYPE_CHECKING:
    from pathlib import Path

    from rounds.analysis.trial.book_trial import Count
    from rounds.analysis.trial.brood_counts import BroodCount
    from rounds.commands.options import CliContext


def of_file(path: Path) -> list[BroodCount]:
    """Counts of a table. Raises BadInput."""
    from rounds.analysis.trial.brood_counts import counts
    from rounds.commands.named_files import read_lines

    broods, problems = counts(read_lines(path), str(path))
    if problems:
        raise BadInput(problems)
    return broods


def of_book(given: CliContext, asked: dict[str, Any]) -> list[Count]:
    """Every sib and cross pairing of the days asked for, with the F of its offspring where it is known."""
    from rounds.acts.running_trials import hidden
    from rounds.analysis.trial.book_trial import Count
    from rounds.analysis.trial.tally import Asked
    from rounds.analysis.trial.tally import tally as count
    from rounds.commands.options import day
    from rounds.commands.trial_book import house, with_f

    days = [
        day(asked[k], f"--{k}") if asked[k] else otherwise
        for k, otherwise in (("since", FIRST), ("until", LAST))
    ]
    here = house(given)
    known = {line.species for line in here.ledger.rows(Line)}
    if asked["species"] and asked["species"] not in known:
        meant = nearest(asked["species"], known)
        raise RoundsError(trial_command_sentences.no_line_of_species(asked["species"], meant))
    wanted = Asked(asked["endpoint"], asked["over"], asked["species"], *days)
    rows = [Count(b, female, males, pairing) for b, female, males, pairing in count(here.ledger, wanted)]
    kept_back = [c for c in rows if hidden(here.ledger, c.seat)]
    if kept_back:
        tell(trial_command_sentences.running_left_out(len(kept_back)))
        rows = [c for c in rows if c not in kept_back]
    if not rows:
        raise RoundsError(trial_command_sentences.NOTHING_SEARCHED)
    return with_f(here, rows, by_purpose=True)


def of_trial(given: CliContext, name: str, *, early: bool) -> tuple[list[Count], bool]:
    """The females of a trial of the book as rows, and whether what tells of the arms has to be kept back."""
    from rounds.analysis.trial.book_trial import counts, in_no_order, when
    from rounds.commands.trial_book import house, looked_early, trial_named, with_f

    here = house(given)
    trial = trial_named(here.ledger, name)
    running = when(trial, here.today).running
    back = running and not early
    if running and early:
        looked_early(given, here, trial)
    rows = counts(here.ledger, trial.id, here.today)
    if back:
        return in_no_order(rows), True
    return with_f(here, rows), False


def print_tally(broods: list[BroodCount], form: str, *, kept_back: bool) -> None:
    """The rows, with what a verdict would leave out or put together; ``kept_back``: without arm, F and survivors."""
    from rounds.analysis.trial.brood_counts import reference_of, units
    from rounds.reports.trial_report import tally_report

    merged: list[str] = []
    if not kept_back and len({b.arm for b in broods}) == 2:
        sorted_out = units(broods, reference_of(broods))
        why = {id(b): reason for b, reason in sorted_out.dropped}
        broods, merged = [b._replace(left_out=why.get(id(b), "")) for b in broods], sorted_out.merged
    print_document(tally_report(broods, merged, kept_back=kept_back), form)
