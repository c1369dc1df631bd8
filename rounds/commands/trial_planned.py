"""What ``rounds trial plan``, ``list`` and ``show`` print."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.commands.options import day
from rounds.problems import BadInput, Problem, RoundsError, nearest

if TYPE_CHECKING:
    from rounds.analysis.trial.trial_plan import Design, Pair, TrialPlan
    from rounds.commands.options import CliContext
    from rounds.commands.trial_book import House


def print_plan(given: CliContext, form: str, asked: dict[str, Any]) -> None:
    """A plan that needs no book."""
    last = day(asked["ends"], "--ends")
    _to_come(given.today if given.today is not None else day("today", "--today"), last, asked["ends"])
    known: list[Pair] = []
    if asked["pairs"] is not None:
        from rounds.commands.trial_book import read_pairs

        known, _ = read_pairs(asked["pairs"])
    names = [a.strip() for a in asked["arms"].split(",")]
    if len(names) != 2 or not all(names):
        raise BadInput(
            [Problem("--arms", 0, 0, f"`{asked['arms']}` is not two names.", "For example sib,outcross.")]
        )
    made = _made(_design(asked, last, (names[0], names[1])), known)
    _print(made, form, [])


def _to_come(today: int | None, last: int, typed: str) -> None:
    if today is not None and last <= today:
        raise RoundsError(f"--ends: `{typed}` is not after today. A trial ends on a day to come.")


def _design(asked: dict[str, Any], last: int, arms: tuple[str, str]) -> Design:
    from secrets import randbelow

    from rounds.analysis.trial.trial_plan import Design

    positions = asked["positions"] or ""
    return Design(
        asked["endpoint"], last, arms, asked["females"], asked["eggs"], asked["rho"], asked["survival"],
        randbelow(2**31) if asked["seed"] is None else asked["seed"],
        tuple(p.strip() for p in positions.split(",") if p.strip()),
    )  # fmt: skip


def _made(design: Design, known: list[Pair]) -> TrialPlan:
    from rounds.analysis.trial import trial_plan

    problems = [Problem("the plan", 0, 0, *words) for words in trial_plan.mistakes(design, known)]
    if problems:
        raise BadInput(problems)
    return trial_plan.plan(design, known)


def _print(made: TrialPlan, form: str, more: list[str]) -> None:
    from rounds.analysis.trial import trial_words
    from rounds.commands.listing import print_records
    from rounds.text.cleaning import clean

    if form == "text":
        click.echo("\n".join([*trial_words.plan_lines(made), *(clean(line, 300) for line in more)]))
    elif form == "csv":
        print_records(trial_words.layout_records(made), ("position", "arm", "female", "male", "seed"), form)
    else:
        print_records([trial_words.plan_record(made)], (), form)


def print_of_book(given: CliContext, name: str, form: str, asked: dict[str, Any]) -> None:
    """A plan of the book's animals, opened as a trial when that was asked for."""
    from rounds.acts.running_trials import ARM_NAMES, ENDPOINTS
    from rounds.commands import trial_book

    if asked["opens"] and form != "text":
        raise RoundsError("--record prints the trial as text: leave --as out.")
    if not asked["opens"] and (asked["keeper"] or asked["sure"]):
        raise RoundsError("--keeper and --sure go with --record: without it nothing is recorded.")
    arms = tuple(ARM_NAMES.values())
    if asked["arms"] != ",".join(arms):
        raise RoundsError(f"--arms: a trial of the book compares {arms[0]} with {arms[1]}. Leave it out.")
    if asked["endpoint"] not in ENDPOINTS:
        raise RoundsError(
            f"--endpoint: `{asked['endpoint']}` cannot be counted from the book. Expected one of: "
            f"{', '.join(ENDPOINTS)}. {nearest(asked['endpoint'], ENDPOINTS)}".rstrip()
        )
    last = day(asked["ends"], "--ends")
    here = trial_book.house(given)
    _to_come(here.today, last, asked["ends"])
    if here.ledger.find("trial", name) is not None:
        raise RoundsError(f"the book holds a trial `{name}` already. Give another name.")
    design = _design(asked, last, (arms[0], arms[1]))
    trial_book.checked_batch(here, asked["batch"])
    notes = trial_book.checked_places(here, design.positions)
    if asked["pairs"] is not None:
        pairs, numbers = trial_book.read_pairs(asked["pairs"])
        found = trial_book.named(here, pairs, asked["batch"], numbers, str(asked["pairs"]))
    else:
        found = trial_book.drawn(given, here, asked["species"], design.females, design.seed, asked["batch"])
    made = _made(design, found.pairs)
    if not design.positions:
        notes.append("! no --positions were given: the numbers are an order, for places of your own choice")
    ready = [] if asked["opens"] else [f"Nothing is recorded. To open it as it stands here: the same with --seed {design.seed} --record"]  # fmt: skip
    _print(made, form, [*found.said, *notes, *ready])
    if asked["opens"]:
        click.echo("")
        trial_book.open_trial(given, name, asked["endpoint"], last, made, asked["keeper"], asked["sure"])


LISTED = ("name", "species", "endpoint", "opened", "stops", "closed", "females", "paired", "searched", "out")


def listed(here: House) -> list[dict[str, Any]]:
    """Every trial with how far it is; dates as YYYY-MM-DD."""
    from rounds.analysis.trial.book_trial import progress
    from rounds.commands.trial_book import iso

    out = []
    for i, r in here.ledger.rows("trial"):
        far = progress(here.ledger, i)
        days = {c: iso(r[c]) for c in ("opened", "stops", "closed")}
        out.append(
            {"name": r["name"], "species": r["species"], "endpoint": r["endpoint"], **days, **far._asdict()}
        )
    return out


SEATED = ("female", "male", "place", "pairing", "state", "arm", "note")


def seats(here: House, trial: int, arms: bool) -> list[dict[str, Any]]:
    """Every female of a trial, in the order of their places; the arm only when asked for or once it is closed."""
    from rounds.acts.running_trials import ARM_NAMES, times
    from rounds.commands.trial_book import iso
    from rounds.records.naming import animal_name

    ledger = here.ledger
    shown = arms or ledger.row("trial", trial)["closed"] is not None
    out = []
    for _, r in ledger.rows("trial_female", trial=trial):
        place = ledger.row("place", r["place"]) if r["place"] is not None else None
        state = "not paired yet"
        if r["out"] is not None:
            state = f"dropped out on {iso(r['out'])}: {r['out_why']}"
        elif r["pairing"] is not None:
            n = sum(1 for _ in ledger.rows("search", pairing=r["pairing"]))
            state = f"paired, searched {times(n)}" if n else "paired, not searched yet"
        out.append({
            "female": animal_name(ledger, r["female"]),
            "male": animal_name(ledger, r["male"]) if r["male"] is not None else None,
            "place": f"{place['bay']}{place['shelf']}-{place['slot']}" if place is not None else None,
            "pairing": ledger.row("pairing", r["pairing"])["name"] if r["pairing"] is not None else None,
            "state": state, "arm": ARM_NAMES[r["arm"]] if shown else None, "note": r["note"] or None,
        })  # fmt: skip
    # In the order of the books sibs come first: that would tell the arms.
    return sorted(out, key=lambda s: (s["place"] or "~", s["female"]))


def print_list(here: House, form: str) -> None:
    """Every trial of the book."""
    from rounds.commands.listing import print_records
    from rounds.text.cleaning import clean

    rows = listed(here)
    if form != "text":
        print_records(rows, LISTED, form)
        return
    for r in rows:
        state = f"closed {r['closed']}" if r["closed"] else f"runs until {r['stops']}"
        far = f"{r['females']} females: {r['paired']} paired, {r['searched']} searched, {r['out']} out"
        click.echo(clean(f"{r['name']}: {r['species']}, {r['endpoint']}, {state}; {far}", 300))
    if not rows:
        click.echo("no trial was opened in this book: rounds trial plan NAME … --record")


def print_trial(given: CliContext, name: str, arms: bool, form: str) -> None:
    """One trial: what is fixed, what was changed, and its females."""
    from rounds.analysis.trial import book_trial, book_trial_words, trial_words
    from rounds.commands.listing import print_records
    from rounds.commands.trial_book import house, looked_early, trial_named
    from rounds.text.cleaning import clean

    here = house(given)
    i, trial = trial_named(here.ledger, name)
    if arms and book_trial.when(trial, here.today).running:
        looked_early(given, here, i)
    rows = seats(here, i, arms)
    if form != "text":
        print_records(rows, SEATED, form)
        return
    out = [*book_trial_words.fixed_lines(trial, book_trial.progress(here.ledger, i)), ""]
    for r in rows:
        who = f"{r['female']} × {r['male'] or 'unknown'}"
        at = [x for x in (r["place"], r["pairing"], r["arm"]) if x]
        out.append(
            clean(f"{who}: {', '.join([*at, r['state']])}{'; ' + r['note'] if r['note'] else ''}", 400)
        )
    if not arms and trial["closed"] is None:
        out += ["", "Arms are not shown while it runs (--arms). " + trial_words.BLINDING]
    click.echo("\n".join(out))
