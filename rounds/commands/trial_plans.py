"""What ``rounds trial plan``, ``list`` and ``show`` print."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.commands import trial_command_sentences
from rounds.commands.options import day, this_day
from rounds.commands.output import print_document
from rounds.problems import BadInput, Problem, RoundsError, nearest
from rounds.records.tables import Pairing, Place, Search, Trial, TrialFemale
from rounds.text.cleaning import day_and_year

if TYPE_CHECKING:
    from rounds.analysis.trial.trial_plan import Design, Pair, TrialPlan
    from rounds.commands.options import CliContext
    from rounds.commands.trial_book import House


def print_plan(given: CliContext, form: str, asked: dict[str, Any]) -> None:
    """A plan that needs no book."""
    today = given.today if given.today is not None else this_day()
    last = _last_day(asked["ends"], today)
    known: list[Pair] = []
    if asked["pairs"] is not None:
        from rounds.commands.trial_book import read_pairs

        known, _ = read_pairs(asked["pairs"])
    names = [a.strip() for a in asked["arms"].split(",")]
    if len(names) != 2 or not all(names):
        said = trial_command_sentences.no_two_names(asked["arms"])
        raise BadInput([Problem("--arms", 0, 0, said, trial_command_sentences.FOR_EXAMPLE_ARMS)])
    made = _made(_design(asked, last, (names[0], names[1])), known)
    _print(made, form, [])


def _last_day(typed: str, today: int) -> int:
    """The day a trial ends on. Raises RoundsError unless it is to come."""
    last = day(typed, "--ends", today)
    if last <= today:
        raise RoundsError(trial_command_sentences.ends_too_soon(typed))
    return last


def _design(asked: dict[str, Any], last: int, arms: tuple[str, str], name: str = "") -> Design:
    from rounds.analysis.trial.trial_plan import Design, usual_seed

    positions = asked["positions"] or ""
    d = Design(
        asked["endpoint"],
        last,
        arms,
        asked["females"],
        asked["eggs"],
        asked["rho"],
        asked["survival"],
        asked["seed"] or 0,
        tuple(p.strip() for p in positions.split(",") if p.strip()),
    )
    return d if asked["seed"] is not None else d._replace(seed=usual_seed(d, name))


def _made(design: Design, known: list[Pair]) -> TrialPlan:
    from rounds.analysis.trial import trial_plan

    problems = [Problem("the plan", 0, 0, *words) for words in trial_plan.mistakes(design, known)]
    if problems:
        raise BadInput(problems)
    return trial_plan.plan(design, known)


def _print(made: TrialPlan, form: str, more: list[str]) -> None:
    from rounds.reports.trial_report import plan_report

    print_document(plan_report(made, more), form)


def print_of_book(given: CliContext, name: str, form: str, asked: dict[str, Any]) -> None:
    """A plan of the book's animals, opened as a trial when that was asked for."""
    from rounds.acts.running_trials import ARM_NAMES, ENDPOINTS
    from rounds.commands import trial_book

    if asked["opens"] and form != "text":
        raise RoundsError(trial_command_sentences.RECORD_IS_TEXT)
    if not asked["opens"] and (asked["keeper"] or asked["sure"]):
        raise RoundsError(trial_command_sentences.ONLY_WITH_RECORD)
    arms = tuple(ARM_NAMES.values())
    if asked["arms"] != ",".join(arms):
        raise RoundsError(trial_command_sentences.other_arms(arms[0], arms[1]))
    if asked["endpoint"] not in ENDPOINTS:
        meant = nearest(asked["endpoint"], ENDPOINTS)
        raise RoundsError(trial_command_sentences.no_endpoint(asked["endpoint"], tuple(ENDPOINTS), meant))
    here = trial_book.house(given)
    last = _last_day(asked["ends"], here.today)
    if here.ledger.find(Trial, name) is not None:
        raise RoundsError(trial_command_sentences.is_open(name))
    design = _design(asked, last, (arms[0], arms[1]), name)
    trial_book.checked_batch(here, asked["batch"])
    notes = trial_book.checked_places(here, design.positions)
    if asked["pairs"] is not None:
        pairs, numbers = trial_book.read_pairs(asked["pairs"])
        found = trial_book.named(here, pairs, asked["batch"], numbers, str(asked["pairs"]))
    else:
        found = trial_book.drawn(given, here, asked["species"], design.females, design.seed, asked["batch"])
    made = _made(design, found.pairs)
    if not design.positions:
        notes.append(trial_command_sentences.NO_POSITIONS)
    ready = [] if asked["opens"] else [trial_command_sentences.to_open_it(design.seed)]
    _print(made, form, [*found.said, *notes, *ready])
    if asked["opens"]:
        click.echo("")
        trial_book.open_trial(given, name, asked["endpoint"], last, made, asked["keeper"], sure=asked["sure"])


def seats(here: House, trial: Trial, *, arms: bool) -> list[dict[str, Any]]:
    """Every female of a trial, in the order of their places; the arm only when asked for or once it is closed."""
    from rounds.acts.running_trials import ARM_NAMES
    from rounds.acts.trial_sentences import times
    from rounds.analysis.trial.book_trial import stands
    from rounds.records.naming import animal_name

    ledger = here.ledger
    shown = arms or trial.closed is not None
    out = []
    for seat in ledger.rows(TrialFemale, TrialFemale.trial.is_(trial.id)):
        state = trial_command_sentences.NOT_PAIRED
        if seat.out is not None:
            state = trial_command_sentences.dropped_out(day_and_year(seat.out), seat.out_why)
        elif seat.pairing is not None:
            n = sum(1 for _ in ledger.rows(Search, Search.pairing.is_(seat.pairing)))
            state = trial_command_sentences.searched(times(n)) if n else trial_command_sentences.NOT_SEARCHED
        out.append(
            {
                "female": animal_name(ledger, seat.female),
                "male": animal_name(ledger, seat.male) if seat.male is not None else None,
                "place": ledger.row(Place, seat.place).address if seat.place is not None else None,
                "stands": stands(ledger, seat).now or None,
                "pairing": ledger.row(Pairing, seat.pairing).name if seat.pairing is not None else None,
                "state": state,
                "arm": ARM_NAMES[seat.arm] if shown else None,
                "note": seat.note or None,
            }
        )
    # In the order of the books sibs come first: that would tell the arms.
    return sorted(out, key=lambda s: (s["place"] or "~", s["female"]))


def print_list(here: House, form: str) -> None:
    """Every trial of the book with how far it is."""
    from rounds.analysis.trial.book_trial import progress
    from rounds.reports.trial_report import trials_report

    found = [
        {
            **{c: r.values[c] for c in ("name", "species", "endpoint", "opened", "stops", "closed")},
            **{k: v for k, v in progress(here.ledger, r.id)._asdict().items() if k != "counted"},
        }
        for r in here.ledger.rows(Trial)
    ]
    print_document(trials_report(found), form)


def print_trial(given: CliContext, name: str, form: str, *, arms: bool) -> None:
    """One trial: what is fixed, what was changed, and its females."""
    from rounds.analysis.trial import book_trial, book_trial_words
    from rounds.commands.trial_book import house, looked_early, trial_named
    from rounds.reports.trial_report import females_report

    here = house(given)
    trial = trial_named(here.ledger, name)
    if arms and book_trial.when(trial, here.today).running:
        looked_early(given, here, trial)
    said = book_trial_words.fixed_lines(trial, book_trial.progress(here.ledger, trial.id))
    said += book_trial_words.place_lines(book_trial.places(here.ledger, trial.id))
    blinded = not arms and trial.closed is None
    print_document(females_report(seats(here, trial, arms=arms), said, blinded=blinded), form)
