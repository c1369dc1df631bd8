"""Acts of a sib trial: opened with everything fixed, a female drops out or joins, changed with a reason, closed."""

from __future__ import annotations

from rounds.acts import pairing_sentences, running_trials, trial_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ask, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.moving_and_locks import NOTE
from rounds.acts.pairing_checks import name_taken
from rounds.acts.trial_checks import doubts, in_both_arms, latin, lengths, not_usable, one_species, to_come
from rounds.due.planned_pairings import open_plans, plan_dropped
from rounds.records.column import Column
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, fresh_name
from rounds.records.parentage import males_of
from rounds.records.tables import ARMS, TABLES, Enclosure, Pairing, PlannedPairing, Search, Trial, TrialFemale
from rounds.text.cleaning import day_and_year
from rounds.values.spans import Span, iso, text


@act(
    "trial-open",
    "a trial begins",
    Field(
        "endpoint",
        "word",
        "how far an animal must come to count as survived",
        required=True,
        words=running_trials.ENDPOINTS,
    ),
    Field("stops", "day", "the last day, on which it is judged whatever it shows", required=True),
    Field(
        "sibs", "ref", "the females of the full-sib pairs, with commas", required=True, of="animal", many=True
    ),
    Field(
        "sib_males",
        "ref",
        "the males of those pairs, in the same order",
        required=True,
        of="animal",
        many=True,
    ),
    Field(
        "cross",
        "ref",
        "the females that get a male of another family, with commas",
        required=True,
        of="animal",
        many=True,
    ),
    Field("cross_males", "ref", "those males, in the same order", required=True, of="animal", many=True),
    Field(
        "places", "ref", "the places drawn for their broods, in the order sibs, cross", of="place", many=True
    ),
    Field("seed", "whole", "from which arms and places were drawn", low=0, high=2**53),
    Field("eggs", "whole", "eggs meant to be set of each female", default="40", low=1, high=10_000),
    Field("rho", "number", "how alike eggs of one female are thought to be", default="0.1", low=0, high=0.99),
    Field(
        "survival", "number", "survival reckoned with in the cross arm", default="0.5", low=0.01, high=0.99
    ),
    Field("name", "text", "what it is called (TR-01 and so on unless given)", label=True),
    NOTE,
    on="",
    about="A trial begins: endpoint, last day, females, males and places are fixed from now on.",
)
def trial_open(draft: Draft, given: ActInput) -> None:
    ledger = draft.ledger
    slips = [
        *name_taken(ledger, Trial, given["name"]),
        *lengths(given),
        *to_come(given["stops"], given.today),
    ]
    drawn = [
        (arm, female, male)
        for arm, fs, ms in (("sibs", "sibs", "sib_males"), ("cross", "cross", "cross_males"))
        for female, male in zip(given[fs], given[ms], strict=False)
    ]
    for arm, female, male in drawn:
        slips += not_usable(ledger, arm, female, male)
    slips += in_both_arms(ledger, given)
    slips += one_species(ledger, [a for _, *pair in drawn for a in pair])
    refuse(*slips)
    on = Span(given.today, given.today)
    ask(given, [d for arm, female, male in drawn for d in doubts(ledger, arm, female, male, on)])
    name = given["name"] or fresh_name(ledger, Trial.name, "TR")
    anew = _taken_back(ledger, name, given.today)
    trial = draft.add(
        Trial(
            name=name,
            species=latin(ledger, drawn[0][1]),
            endpoint=given["endpoint"],
            stops=given["stops"],
            seed=given["seed"],
            eggs=given["eggs"],
            rho=float(given["rho"]),
            survival=float(given["survival"]),
            opened=given.today,
            note="; ".join(filter(None, (given["note"], anew))),
        )
    )
    places = [*given["places"], *([None] * len(drawn))]
    seats = [(*pair, place) for pair, place in zip(drawn, places, strict=False)]
    # In the order of the animals: in the order of the arms rows and plans' names would tell them.
    for arm, female, male, place in sorted(seats, key=lambda s: s[1]):
        draft.add(TrialFemale(trial=trial, arm=arm, female=female, male=male, place=place))
        # The rack offers the pairing as any planned one; what it is for comes from the trial, unsaid.
        draft.add(
            PlannedPairing(
                name=fresh_name(draft.ledger, PlannedPairing.name, "PLAN"),
                female=female,
                male=male,
                purpose=arm,
                enclosure=_vacant(ledger, place),
                chosen=given.today,
                earliest=given.today,
                why=trial_sentences.drawn_for(draft.ledger.row(Trial, trial).name),
            )
        )


def _taken_back(ledger: Ledger, name: str, today: int) -> str:
    """A first opening under the same name that was undone is no secret: what it had fixed is noted."""
    every = ledger.table(Trial.table).values()  # rows that count for nothing are not in rows()
    old = next((r for r in every if isinstance(r, Trial) and r.void and r.name == name), None)
    if old is None:
        return ""
    change = running_trials.change(today)
    return trial_sentences.opened_anew(change, old.endpoint, _day(old.stops))


def _vacant(ledger: Ledger, place: int | None) -> int | None:
    """The one box at a place that waits for use, if there is one."""
    if place is None:
        return None
    found = [
        box.id
        for box in ledger.rows(Enclosure, Enclosure.place.is_(place))
        if box.stage in ("prepared", "empty")
    ]
    return found[0] if len(found) == 1 else None


def _open(ledger: Ledger, trial: int) -> list[FieldError]:
    about = ledger.row(Trial, trial)
    if about.closed is None:
        return []
    return [FieldError.of("trial", trial_sentences.was_closed(about.name, day_and_year(about.closed)))]


@act(
    "trial-out",
    "drops out of a trial",
    Field("because", "text", "why: a tub relabelled, she died before laying", required=True),
    Field("on", "day", "when (today unless given)", default="today", past=True),
    on="animal",
    about="A female of a running trial drops out, with the reason; the verdict lists her.",
)
def trial_out(draft: Draft, given: ActInput) -> None:
    ledger, female = draft.ledger, given.subject
    sits = running_trials.seat(ledger, female)
    if sits is None:
        names = [
            animal_name(ledger, seat.female)
            for seat in ledger.rows(TrialFemale, TrialFemale.out.is_(None))
            if seat.trial in running_trials.running(ledger)
        ]
        raise ActRefused.at("animal", trial_sentences.in_no_running_trial(animal_name(ledger, female), names))
    refuse(*_not_before(sits.about, given["on"]))
    counted = sits.row.pairing is not None and any(ledger.rows(Search, Search.pairing.is_(sits.row.pairing)))
    ask(given, [("because", trial_sentences.BROOD_COUNTED_ALREADY)] if counted else [])
    draft.set(TrialFemale.out, sits.id, given["on"])
    draft.set(TrialFemale.out_why, sits.id, given["because"])
    _unplan(draft, sits.row, given["on"], trial_sentences.dropped_out(sits.about.name))
    if counted:
        _note(draft, TrialFemale.note, sits.id, trial_sentences.DROPPED_AFTER_COUNT)


def _unplan(draft: Draft, seat: TrialFemale, day: int, why: str) -> None:
    """Nobody is offered a pairing any more that the trial has no use for."""
    for plan in list(open_plans(draft.ledger, PlannedPairing.female.is_(seat.female))):
        if plan.male == seat.male:
            plan_dropped(draft, plan.id, day, why)


def _not_before(trial: Trial, day: int) -> list[FieldError]:
    if trial.opened is None or day >= trial.opened:
        return []
    return [
        FieldError.of(
            "on", trial_sentences.before_it_began(day_and_year(day), trial.name, day_and_year(trial.opened))
        )
    ]


@act(
    "trial-join",
    "a pairing joins a trial",
    Field("pairing", "ref", "the pairing, made for sibs or as a cross", required=True, of="pairing"),
    on="trial",
    about="A pairing made on its own, of full sibs or as a cross, joins a running trial.",
)
def trial_join(draft: Draft, given: ActInput) -> None:
    ledger, trial, pairing = draft.ledger, given.subject, given["pairing"]
    about, made = ledger.row(Trial, trial), ledger.row(Pairing, pairing)
    name, bulls = made.name, sorted(males_of(ledger, pairing))
    slips = _open(ledger, trial)
    if made.purpose not in ARMS:
        slips.append(FieldError.of("pairing", trial_sentences.belongs_to_no_arm(name, made.purpose)))
    if len(bulls) != 1:
        slips.append(FieldError.of("pairing", trial_sentences.several_fathers(name, len(bulls))))
    if made.female is None:
        raise ActRefused(
            *slips,
            FieldError.of("pairing", pairing_sentences.has_no_female(name)),
        )
    female = made.female
    sits = running_trials.seat(ledger, female)
    if sits is not None or any(
        ledger.rows(TrialFemale, TrialFemale.trial.is_(trial), TrialFemale.female.is_(female))
    ):
        where = sits.about.name if sits is not None else about.name
        slips.append(
            FieldError.of(
                "pairing", trial_sentences.female_was_in_a_trial(animal_name(ledger, female), where)
            )
        )
    first = next((seat.female for seat in ledger.rows(TrialFemale, TrialFemale.trial.is_(trial))), female)
    refuse(*slips, *(FieldError("pairing", s.message, s.hint) for s in one_species(ledger, [first, female])))
    searches = sum(1 for search in ledger.rows(Search, Search.pairing.is_(pairing)))
    known = trial_sentences.was_searched(name, searches)
    ask(given, [("pairing", known)] if searches else [])
    since = text(made.since) if made.since is not None else ""
    draft.add(
        TrialFemale(
            trial=trial,
            arm=made.purpose,
            female=female,
            male=bulls[0],
            pairing=pairing,
            note=trial_sentences.not_drawn(name, since, iso(given.today), searches),
        )
    )


@act(
    "trial-change",
    "what a trial had fixed is changed",
    Field("endpoint", "word", "another endpoint", words=running_trials.ENDPOINTS),
    Field("stops", "day", "another last day"),
    Field("because", "text", "why it cannot stay", required=True),
    on="trial",
    about="Endpoint or last day of a running trial are changed; the old value and the reason stay with it.",
)
def trial_change(draft: Draft, given: ActInput) -> None:
    ledger, trial = draft.ledger, given.subject
    before = ledger.row(Trial, trial)
    endpoint = given["endpoint"] if given["endpoint"] != before.endpoint else None
    stops = given["stops"] if given["stops"] != before.stops else None
    slips = _open(ledger, trial)
    if endpoint is None and stops is None:
        slips.append(FieldError.of("endpoint", trial_sentences.nothing_to_change()))
    if stops is not None:
        slips += [
            FieldError.of(s.field, trial_sentences.to_end_it_now(s.message))
            for s in to_come(stops, given.today)
        ]
    refuse(*slips)
    ask(given, [("endpoint" if endpoint is not None else "stops", trial_sentences.WAS_FIXED)])
    change = trial_sentences.by_keeper(running_trials.change(given.today), given.keeper)
    because = given["because"]
    if endpoint is not None:
        _note(
            draft,
            Trial.note,
            trial,
            trial_sentences.endpoint_changed(change, before.endpoint, endpoint, because),
        )
        draft.set(Trial.endpoint, trial, endpoint)
    if stops is not None:
        _note(
            draft,
            Trial.note,
            trial,
            trial_sentences.last_day_changed(change, _day(before.stops), iso(stops), because),
        )
        draft.set(Trial.stops, trial, stops)


@act(
    "trial-looked",
    "a trial was looked at early",
    on="trial",
    about="Arms or survivors of a running trial were looked at; the verdict will say so.",
)
def trial_looked(draft: Draft, given: ActInput) -> None:
    ledger, trial = draft.ledger, given.subject
    about = ledger.row(Trial, trial)
    said = running_trials.look(given.today)
    slips = _open(ledger, trial)
    if said in running_trials.written(about):
        slips.append(FieldError.of("trial", trial_sentences.marked_already(about.name, said)))
    refuse(*slips)
    _note(draft, Trial.note, trial, said)


@act(
    "trial-close",
    "a trial is closed",
    Field("because", "text", "why, when it ends before its last day"),
    Field("on", "day", "when (today unless given)", default="today", past=True),
    on="trial",
    about="The trial is over: its arms are shown from now on, and nothing of it is changed.",
)
def trial_close(draft: Draft, given: ActInput) -> None:
    ledger, trial, day = draft.ledger, given.subject, given["on"]
    about = ledger.row(Trial, trial)
    slips = [*_open(ledger, trial), *_not_before(about, day)]
    early = day_and_year(about.stops) if about.stops is not None and day < about.stops else ""
    if early and not given["because"]:
        slips.append(FieldError.of("because", trial_sentences.ends_before_its_last_day(early)))
    refuse(*slips)
    said = trial_sentences.ended_early(about.name, early)
    ask(given, [("on", said)] if early else [])
    for seat in list(ledger.rows(TrialFemale, TrialFemale.trial.is_(trial))):
        _unplan(draft, seat, day, trial_sentences.trial_closed(about.name))
    draft.set(Trial.closed, trial, day)
    draft.set(Trial.closed_why, trial, given["because"] or trial_sentences.LAST_DAY_HAD_COME)


def _day(day: int | None) -> str:
    return iso(day) if day is not None else trial_sentences.NOT_KNOWN


def _note(draft: Draft, column: Column[str], id_: int, words: str) -> None:
    before = draft.ledger.row(TABLES[column.table], id_).value(column)
    draft.set(column, id_, "; ".join(filter(None, (before, words))))
