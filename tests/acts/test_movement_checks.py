"""Whatever an act moves is asked about where that can do harm; no act of the registry gets past it.

Quarantine apart, species apart, no hand in a locked box: common practice, no source.
"""

from __future__ import annotations

import pytest

from rounds.acts import movement_sentences as sentences
from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired, Settings
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import (
    Animal,
    Brood,
    Content,
    Enclosure,
    Lock,
    PlannedPairing,
    Trial,
    TrialFemale,
)
from rounds.values.spans import LAST, Span
from tests.acts.books import TODAY, asked, house, plan, record, ref

BOOKS = house()
MISSING = record(BOOKS, "missing", "UMBER/2", rest="keep", on="2026-05-06")
LENT = record(BOOKS, "lent", "UMBER/2", to="Moss Gate", rest="keep", on="2026-05-06")
PLANNED = record(BOOKS, "plan-pair", "UMBER/2", with_="UMBER/1", sure=True)


def _set(ledger: Ledger, *made: tuple[object, int, object]) -> Ledger:
    draft = Draft(ledger)
    for column, id_, value in made:
        draft.set(column, id_, value)  # type: ignore[arg-type]  # columns of any type in one list
    return draft.ledger


MOVES: dict[str, tuple[Ledger, str, dict[str, str]]] = {
    "move": (BOOKS, "UMBER/1", {"to": "T-02"}),
    "move-some": (BOOKS, "T-06", {"count": "2", "to": "T-05"}),
    "found": (MISSING, "UMBER/2", {"into": "T-01"}),
    "came-back": (LENT, "UMBER/2", {"into": "T-01"}),
    "arrival": (BOOKS, "", {"species": "Mecynorhina torquata", "into": "T-12", "count": "0.1.0"}),
    "loan-in": (BOOKS, "UMBER", {"number": "N1", "owner": "Nine Alders", "into": "T-12"}),
    "animal": (BOOKS, "UMBER", {"number": "77", "in": "T-01"}),
    "pair": (BOOKS, "T-02", {"female": "UMBER/2", "males": "UMBER/1"}),
    "male-in": (BOOKS, "P-01", {"male": "UMBER/1"}),
    "male-out": (BOOKS, "P-01", {"to": "T-01"}),
    "parted": (BOOKS, "P-01", {"female_to": "T-02"}),
    "to-laying": (BOOKS, "T-03", {"to": "T-02", "female": "KESTREL/2"}),
    "plan-made": (PLANNED, "PLAN-01", {}),
    "split": (BOOKS, "LOCH-01", {"from": "T-05", "into": "T-11"}),
    "split-some": (BOOKS, "T-05", {"brood": "LOCH-01", "into": "T-11"}),
    "merge": (BOOKS, "T-06", {"from": "T-05"}),
    "wandering": (BOOKS, "T-06", {"count": "0.1.0", "into": "T-12"}),
    "cell": (BOOKS, "T-06", {"count": "0.1.0", "into": "T-12"}),
}
"""One case of every act by which animals come into an enclosure that is there already."""

STAY: frozenset[str] = frozenset(
    {
        *("quarantine-over", "counted", "hatched", "substrate", "substrate-used", "rebed", "protein"),
        *("protein-out", "tick", "emptied", "cleaned", "due-done", "due-off", "move-box", "swap-boxes"),
        *(
            "stage",
            "lock",
            "lift",
            "look-again",
            "swapped-labels",
            "labels-settled",
            "eclosed",
            "emerged",
            "first-feed",
        ),
        *(
            "mature",
            "parents",
            "brood-parents",
            "plan-confirm",
            "search-sooner",
            "sexed",
            "sexed-some",
            "marked",
            "mark-lost",
            "mating-seen",
            "dead",
        ),
        *("dead-some", "given-away", "given-away-some", "missing", "missing-some", "lent", "went-back"),
        *(
            "plan-pair",
            "plan-confirm",
            "search-sooner",
            "plan-drop",
            "promised",
            "promise-over",
            "line-from",
            "line",
            "shelf",
            "box",
        ),
        *("search", "trial-open", "trial-out", "trial-join", "trial-change", "trial-looked"),
        *("trial-close", "weigh", "weigh-one", "dead-here", "missing-here", "mated-here"),
    }
)
"""Acts that bring nobody into an enclosure that was there before."""


def test_every_act_of_the_registry_is_known_to_move_somebody_or_not() -> None:
    assert set(registry.all_acts()) == set(MOVES) | STAY
    assert not set(MOVES) & STAY


@pytest.mark.parametrize("act", MOVES)
def test_no_act_brings_anybody_where_something_is_to_be_done_without_a_question(act: str) -> None:
    books, subject, typed = MOVES[act]
    act_settings = Settings(open_actions=lambda box: (f"Draw off the water in {box}.",))
    made = registry.plan(act, subject, typed, books, TODAY, "Ferrow", sure=True, settings=act_settings)
    after = books.after(made.changes)
    came = {
        row.enclosure
        for row in after.rows(Content, Content.until.is_(None))
        if row not in list(books.rows(Content, Content.until.is_(None)))
    }
    with pytest.raises(ConfirmationRequired) as question:
        registry.plan(act, subject, typed, books, TODAY, "Ferrow", settings=act_settings)
    assert any(f"Draw off the water in {box}." in question.value.text for box in came)


@pytest.mark.parametrize("act", MOVES)
def test_no_act_brings_anybody_into_or_out_of_quarantine_without_a_question(act: str) -> None:
    books, subject, typed = MOVES[act]
    apart = _set(
        books,
        *(
            (Enclosure.place, box.id, None)  # so that nothing is asked about standing beside
            for box in books.rows(Enclosure)
        ),
    )
    after = apart.after(plan(apart, act, subject, sure=True, **typed).changes)
    moved = {
        row.enclosure
        for ledger, other in ((apart, after), (after, apart))
        for row in ledger.rows(Content, Content.until.is_(None))
        if row not in list(other.rows(Content, Content.until.is_(None)))
    }
    lived_in = {row.enclosure for row in apart.rows(Content, Content.until.is_(None))}
    answers = []
    for box in sorted(moved & lived_in):
        infected = _set(apart, (Enclosure.stage, box, "quarantine"))
        try:
            plan(infected, act, subject, **typed)
            answers.append("nothing was asked")
        except ConfirmationRequired as question:
            answers.append("asked" if "quarantine" in question.text else question.text)
        except registry.BadAct:
            answers.append("refused")
    assert set(answers) <= {"asked", "refused"}
    assert ("asked" in answers) is (act not in NEVER_IN_QUARANTINE)


NEVER_IN_QUARANTINE = {"arrival", "loan-in", "merge"}
"""Refused for an enclosure in quarantine, or always into one in which nobody lives."""


def test_a_box_beside_quarantine_is_asked_about_and_one_that_stood_there_is_not() -> None:
    beside = sentences.beside_quarantine("T-01", "D2-2", "T-10", "D2-1")
    assert beside in str(asked(BOOKS, "move-box", "T-01", to="D2-2"))
    assert sentences.quarantine_box_moved("T-10") in str(asked(BOOKS, "swap-boxes", "T-01", with_="T-10"))
    there = record(BOOKS, "move-box", "T-01", to="D2-2", sure=True)
    assert plan(there, "look-again", "T-01", about="the lid", because="loose").changes
    assert plan(BOOKS, "move-box", "T-01", to="D2-3").changes, "one slot between them"


def test_another_species_is_named() -> None:
    said = str(asked(BOOKS, "move", "UMBER/1", to="T-09"))
    assert sentences.other_species("UMBER/1", "Mecynorhina torquata", "T-09", "Pachnoda marginata") in said
    assert plan(BOOKS, "move", "UMBER/1", to="T-02").changes


def test_a_lock_on_the_box_they_go_into_is_asked_about() -> None:
    books = record(BOOKS, "lock", "T-02", forbids="open", reason="it is moulting", until="2026-05-26")
    said = sentences.locked("T-02", "open", "26 May 2026", "it is moulting")
    assert said in str(asked(books, "move", "UMBER/1", to="T-02"))
    without_end = sentences.locked("T-02", "open", "", "it is moulting")
    for until in (None, Span(TODAY, LAST)):
        [lock] = [lock for lock in books.rows(Lock) if lock.reason == "it is moulting"]
        assert without_end in str(
            asked(_set(books, (Lock.until, lock.id, until)), "move", "UMBER/1", to="T-02")
        )


def test_who_has_left_its_cell_is_no_broken_cell() -> None:
    broken = sentences.locked("T-07", "move", "", "a broken cell is not built twice")
    assert broken in str(asked(BOOKS, "move", "TALLOW/7", to="T-12", stage="holding"))
    for seen in (Animal.emerged, Animal.first_feed):
        out = _set(BOOKS, (seen, ref(BOOKS, "animal", "TALLOW/7"), Span(TODAY - 2, TODAY - 2)))
        assert broken not in str(asked(out, "move", "TALLOW/7", to="T-12", stage="holding"))


def test_a_box_kept_for_a_plan_is_asked_about_and_a_second_plan_for_it_too() -> None:
    books = record(BOOKS, "plan-pair", "UMBER/2", with_="UMBER/1", box="T-11", sure=True)
    kept = sentences.promised_to_plan("T-11", "PLAN-01", "UMBER/2", "UMBER/1")
    assert kept in str(asked(books, "move", "TALLOW/8", to="T-11", stage="holding"))
    assert [p.enclosure for p in books.rows(PlannedPairing)] == [ref(books, "enclosure", "T-11")]
    two = sentences.two_plans("T-11", ["PLAN-01"])
    assert two in str(asked(books, "plan-pair", "KESTREL/2", with_="KESTREL/1", box="T-11"))


def test_a_trials_brood_does_not_leave_the_place_drawn_for_it_unasked() -> None:
    draft = Draft(BOOKS)
    trial = draft.add(Trial(name="SIBS", species="Dicronorhina derbyana", opened=TODAY - 60))
    place = BOOKS.row(Enclosure, ref(BOOKS, "enclosure", "T-06")).place
    pairing = ref(BOOKS, "pairing", "P-02")
    female = ref(BOOKS, "animal", "UMBER/4")
    draft.add(TrialFemale(trial=trial, arm="sibs", female=female, pairing=pairing, place=place))
    draft.set(Brood.pairing, ref(BOOKS, "brood", "LOCH-01"), pairing)
    books = draft.ledger
    leaves = sentences.leaves_drawn_place("LOCH-01", "A2-2", "SIBS")
    assert leaves in str(asked(books, "move-box", "T-06", to="D1-4"))
    assert leaves in str(asked(books, "move-some", "T-06", count="2", to="T-05"))
    stranger = sentences.promised_to_trial("A2-2", "SIBS", "UMBER/4")
    assert stranger in str(asked(books, "move", "UMBER/5", to="T-06"))
    closed = _set(books, (Trial.closed, trial, TODAY - 1))
    assert plan(closed, "move-box", "T-06", to="D1-4").changes


def test_the_own_question_of_an_act_does_not_hide_what_its_move_is_asked_about() -> None:
    locked = record(BOOKS, "lock", "T-01", forbids="move", reason="it is moulting", until="2026-05-26")
    question = str(asked(locked, "move", "UMBER/1", to="T-09"))
    assert "T-01 must not be moved: it is moulting" in question, "what the act asks by itself"
    assert "T-09 holds Pachnoda marginata." in question, "and what follows from where it goes"
