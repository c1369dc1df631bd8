"""Choosing pairs of ``rounds pairings``, which records plans, and listing the plans that are open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.commands import pairings_sentences
from rounds.commands.book_reader import config_in_force, reading, writing
from rounds.commands.output import print_document, tell
from rounds.problems import BadInput, Problem, RoundsError
from rounds.records.tables import PlannedPairing

if TYPE_CHECKING:
    from rounds.acts.act import Settings
    from rounds.analysis.pairing.book_pairings import Listed
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger
    from rounds.reports.report_columns import CellValue


def books(given: CliContext) -> tuple[Ledger, int, Settings]:
    """The books, today's round day, and the house's settings; what must be said goes to stderr."""
    from rounds.config import for_acts

    with reading(given) as at:
        ledger, today = at.ledger, at.today
    return ledger, today, for_acts(config_in_force(given))


def choose(
    given: CliContext, listed: list[Listed], numbers: str, into: str | None, form: str, *, sure: bool
) -> None:
    """Record a plan for each number of the list, all of them or none; nobody is moved.

    Raises BadInput for numbers that are not in the list, BadAct for what cannot be planned,
    RoundsError for what is doubtful unless ``sure``.
    """
    from rounds.acts.act import ConfirmationRequired
    from rounds.analysis.pairing.book_pairings import as_act
    from rounds.config import for_acts, in_force
    from rounds.records.entries import RecordActEntry
    from rounds.store import recording as store
    from rounds.store.ids import Ids, now_ms

    chosen = _numbers(listed, numbers)
    boxes = [b.strip() for b in into.split(",")] if into else [""] * len(chosen)
    if len(boxes) != len(chosen):
        raise RoundsError(pairings_sentences.boxes_for_pairs(len(boxes), len(chosen)))
    config = in_force(given.config, given.book)  # what must be said about it was said with the list
    ids = Ids()
    with writing(given) as at:
        entries = []
        for x, box in zip(chosen, boxes, strict=True):
            female, typed = as_act(x, box)
            entries.append(
                RecordActEntry(
                    ids.new(), "plan-pair", female, typed, at.today, now_ms(), at.keeper, sure=sure
                )
            )
        try:
            done = store.record_all(at.book, entries, lambda: for_acts(config))
        except ConfirmationRequired as asked:
            raise RoundsError(pairings_sentences.doubtful(asked.text)) from asked
    made = [change.id for act in done for change in act.changes if change.table == PlannedPairing.table]
    print_plans(given, form, made)
    if form == "text":
        tell(pairings_sentences.NOBODY_MOVED)
    tell(pairings_sentences.recorded(tuple(act.id for act in reversed(done))))


def _numbers(listed: list[Listed], text: str) -> list[Listed]:
    known = {str(x.number): x for x in listed}
    out: list[Listed] = []
    problems = []
    for part in (p.strip() for p in text.split(",")):
        found = known.get(part.lstrip("0"))
        if found is None:
            hint = pairings_sentences.numbers_of_list(len(listed))
            problems.append(Problem("--choose", 0, 0, pairings_sentences.not_in_list(part), hint))
        elif found in out:
            said = pairings_sentences.twice(part)
            problems.append(Problem("--choose", 0, 0, said, pairings_sentences.NAME_IT_ONCE))
        else:
            out.append(found)
    if problems:
        raise BadInput(problems)
    return out


def print_plans(given: CliContext, form: str, only: list[int] | None = None) -> None:
    """Open plans with where and when a round offers them, and what stands in their way; ``only`` these rows."""
    from rounds.reports.pairings_report import plans_report

    ledger, today, _ = books(given)
    print_document(plans_report(_rows(ledger, today, only)), form)


def _rows(ledger: Ledger, today: int, only: list[int] | None) -> list[tuple[CellValue, ...]]:
    """The values of each open plan; ``only`` these rows of the book."""
    from rounds.analysis.pairing.plans_again import PlansRemembered
    from rounds.due.planned_pairings import Hindrances, met_at, open_plans, window
    from rounds.records.naming import animal_name, code

    plans = [plan for plan in open_plans(ledger) if only is None or plan.id in only]
    hindrances = Hindrances(ledger, another=PlansRemembered()(ledger, plans))
    out: list[tuple[CellValue, ...]] = []
    for plan in plans:
        at, span = met_at(plan, hindrances.where), window(plan)
        out.append(
            (
                plan.name,
                animal_name(ledger, plan.male),
                animal_name(ledger, plan.female),
                plan.purpose,
                None if at is None else code(ledger, at),
                None if plan.enclosure is None else code(ledger, plan.enclosure),
                plan.chosen,
                span.earliest,
                span.latest,
                hindrances.of(plan, max(today, span.earliest)) or None,
                plan.why or None,
            )
        )
    return out
