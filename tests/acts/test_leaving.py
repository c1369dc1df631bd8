"""Dead, given away, lent, missing and back again; what becomes of the enclosure; clearing."""

from __future__ import annotations

import pytest

from rounds.acts import (
    care_sentences,
    effects_sentences,
    groups_sentences,
    identity_sentences,
    leaving_sentences,
    movement_sentences,
    shared_act_sentences,
)
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Due, Fewer, Loan, Lock, PairingMale, Search, Tick
from rounds.values.spans import LAST, Span
from tests.acts.books import TODAY, asked, day, house, inside, record, ref, refused, row, span

BOOKS = house()


def searched(ledger: Ledger, box: str, on: str, complete: bool = True) -> Ledger:
    """The books with a search of a box in them."""
    draft = Draft(ledger)
    draft.add(Search(enclosure=ref(ledger, "enclosure", box), made=span(on), complete=complete))
    return draft.ledger


def test_a_death_keeps_when_it_was_found_apart_from_when_it_was_last_seen() -> None:
    books = record(BOOKS, "dead", "UMBER/1", seen="2026-05-14", cause="old age?", rest="keep")
    one = row(books, "animal", "UMBER/1")
    assert (one.state, one.died, one.last_seen, one.cause) == (
        "dead",
        Span(day("2026-05-14"), TODAY),
        day("2026-05-14"),
        "old age?",
    )
    assert inside(books, "T-01") == []
    assert row(books, "enclosure", "T-01").stage == "holding"
    unseen = record(BOOKS, "dead", "UMBER/1", on="May 2026", rest="keep")
    assert row(unseen, "animal", "UMBER/1").died == span("May 2026")
    assert row(unseen, "animal", "UMBER/1").last_seen is None


def test_a_death_ends_pairings_and_what_was_due_for_it() -> None:
    draft = Draft(BOOKS)
    male = ref(BOOKS, "animal", "KESTREL/1")
    draft.add(Due(animal=male, what="weigh", earliest=TODAY, likely=TODAY, latest=TODAY))
    draft.add(Lock(animal=male, forbids="move", from_day=TODAY))
    books = record(draft.ledger, "dead", "KESTREL/1")
    assert row(books, "pairing", "P-01").until == span("2026-05-18")
    assert [partner.until for partner in books.rows(PairingMale, PairingMale.male.is_(male))] == [
        span("2026-05-18")
    ]
    (due,) = list(books.rows(Due, Due.animal.is_(male)))
    assert (due.off_until, due.off_why, due.done) == (LAST, leaving_sentences.died("KESTREL/1"), None)
    assert [lock.lifted for lock in books.rows(Lock, Lock.animal.is_(male))] == [TODAY]


def test_one_male_of_several_may_go_and_the_pairing_stays() -> None:
    draft = Draft(BOOKS)
    other = ref(BOOKS, "animal", "UMBER/1")
    draft.add(PairingMale(pairing=ref(BOOKS, "pairing", "P-01"), male=other, since=span("2026-05-11")))
    books = record(draft.ledger, "dead", "KESTREL/1")
    assert row(books, "pairing", "P-01").until is None
    books = record(books, "dead", "UMBER/1", rest="keep")
    assert row(books, "pairing", "P-01").until == span("2026-05-18")


def test_the_last_one_leaves_a_question_about_its_enclosure() -> None:
    slip = refused(BOOKS, "dead", "UMBER/1")["rest"]
    assert effects_sentences.rest_missing("T-01").message in str(slip)
    assert effects_sentences.rest_missing("T-01").hint in str(slip)
    for rest, stage in (("keep", "holding"), ("empty", "empty"), ("prepare", "prepared")):
        books = record(BOOKS, "dead", "UMBER/1", rest=rest, looked="yes")
        assert row(books, "enclosure", "T-01").stage == stage
    assert effects_sentences.not_looked_through("T-01").message in str(
        refused(BOOKS, "dead", "UMBER/1", rest="empty")["looked"]
    )
    assert effects_sentences.not_looked_through("T-01").message in str(
        refused(BOOKS, "dead", "UMBER/1", rest="prepare", looked="no")["looked"]
    )
    assert effects_sentences.others_still_there("T-03").message in str(
        refused(BOOKS, "dead", "KESTREL/1", rest="empty", looked="yes")["rest"]
    )


def test_a_laying_enclosure_is_not_cleared_without_a_complete_search() -> None:
    typed = {"rest": "empty", "looked": "yes"}
    assert effects_sentences.may_hold_eggs("T-04").message in str(
        refused(BOOKS, "dead", "UMBER/4", **typed)["looked"]
    )
    assert effects_sentences.may_hold_eggs("T-04").message in str(
        refused(searched(BOOKS, "T-04", "2026-05-18", False), "dead", "UMBER/4", **typed)["looked"]
    )
    assert effects_sentences.may_hold_eggs("T-04").message in str(
        refused(searched(BOOKS, "T-04", "2026-05-16"), "dead", "UMBER/4", **typed)["looked"]
    )
    books = record(searched(BOOKS, "T-04", "2026-05-18"), "dead", "UMBER/4", **typed)
    assert row(books, "enclosure", "T-04").stage == "empty"
    assert [lock.lifted for lock in books.rows(Lock, Lock.enclosure.is_(4))] == [TODAY]
    # Kept, it is cleared later by itself.
    kept = record(BOOKS, "dead", "UMBER/4", rest="keep")
    assert effects_sentences.may_hold_eggs("T-04").message in str(
        refused(kept, "emptied", "T-04", looked="yes")["looked"]
    )
    record(searched(kept, "T-04", "2026-05-18"), "emptied", "T-04", looked="yes")


@pytest.mark.parametrize(
    ("who", "typed", "field", "words"),
    [
        ("UMBER/3", {}, "animal", shared_act_sentences.is_dead("UMBER/3").message),
        ("UMBER/33", {}, "animal", "Did you mean `UMBER/3`?"),
        ("UMBER/1", {"seen": "2026-05-19"}, "seen", "has not come yet"),
        (
            "UMBER/1",
            {"seen": "2026-05-14", "on": "2026-05-06"},
            "seen",
            leaving_sentences.seen_later("6 May 2026").message,
        ),
        ("UMBER/1", {"seen": "May 2026"}, "seen", "more than one day"),
        ("UMBER/1", {"cause": "\0"}, "cause", "NUL"),
        ("UMBER/1", {"rest": "kep"}, "rest", "Did you mean `keep`?"),
        ("UMBER/1", {"looked": "yep"}, "looked", "yes, no"),
        ("UMBER/1", {"on": "6 Mar 2026"}, "on", shared_act_sentences.before_they_came().message),
        ("UMBER/1", {"on": "2026-01-27"}, "on", "death would come before"),
        (
            "KESTREL/1",
            {"on": "2026-04-17"},
            "on",
            effects_sentences.before_pairing_began("P-01", "8 May 2026").message,
        ),
    ],
)
def test_bad_deaths(who: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "dead", who, **{"rest": "keep", **typed})
    assert set(slips) == {field}
    assert words in str(slips[field])


SOME = {
    "dead-some": ("dead", {}),
    "given-away-some": ("given away", {"to": "Moss Gate"}),
    "missing-some": ("missing", {}),
}


@pytest.mark.parametrize("act", SOME)
def test_some_of_a_group_go_and_are_written_down(act: str) -> None:
    how, more = SOME[act]
    books = record(BOOKS, act, "T-06", count="1.0.1", **more)
    assert inside(books, "T-06") == ["LOCH-01 1.3.3 L3"]
    (gone,) = list(books.rows(Fewer))
    assert (gone.how, gone.males, gone.females, gone.unsexed, gone.instar) == (
        how,
        1,
        0,
        1,
        "L3",
    )
    assert (gone.brood, gone.made) == (ref(books, "brood", "LOCH-01"), span("2026-05-18"))
    assert faults(books) == []
    assert effects_sentences.rest_missing("T-06").message in str(
        refused(books, act, "T-06", count="1.3.3", **more)["rest"]
    )
    books = record(books, act, "T-06", count="1.3.3", rest="prepare", looked="yes", **more)
    assert (inside(books, "T-06"), row(books, "enclosure", "T-06").stage) == ([], "prepared")
    assert faults(books) == []


@pytest.mark.parametrize("act", SOME)
@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"count": ""}, "count", "How many?"),
        ({"count": "0"}, "count", groups_sentences.nothing_taken().hint),
        ({"count": "1.2.x"}, "count", "not a count"),
        ({"count": "30"}, "count", groups_sentences.more_than_there_are("0.0.30", "2.3.4").message),
        (
            {"count": "at least 1"},
            "count",
            groups_sentences.says_not_how_many_are_left("at least 0.0.1").message,
        ),
        ({"line": "LOHC"}, "line", "Did you mean `LOCH`?"),
        ({"brood": "LOCH-2"}, "brood", "Did you mean `LOCH-01`?"),
        ({"age": "adult"}, "age", "Did you mean `adults`?"),
        ({"rest": "emty"}, "rest", "Did you mean `empty`?"),
        ({"rest": "empty", "looked": "yes"}, "rest", effects_sentences.others_still_there("T-06").message),
        ({"looked": "perhaps"}, "looked", "yes, no"),
        ({"on": "18 Mar 2026"}, "on", shared_act_sentences.before_they_came().message),
    ],
)
def test_bad_leaving_of_some(act: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, "T-06", **{"count": "1", **SOME[act][1], **typed})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_the_fields_that_only_some_of_them_have() -> None:
    books = record(BOOKS, "dead-some", "T-06", count="2", seen="2026-05-16", cause="mites?")
    (gone,) = list(books.rows(Fewer))
    assert (gone.last_seen, gone.cause) == (day("2026-05-16"), "mites?")
    assert leaving_sentences.seen_later("6 May 2026").message in str(
        refused(BOOKS, "dead-some", "T-06", count="1", on="2026-05-06", seen="2026-05-16")["seen"]
    )
    assert "NUL" in str(refused(BOOKS, "dead-some", "T-06", count="1", cause="\0")["cause"])
    assert "more than one day" in str(refused(BOOKS, "missing-some", "T-06", count="1", seen="2026")["seen"])
    assert "Who has them now?" in str(refused(BOOKS, "given-away-some", "T-06", count="1")["to"])
    books = record(BOOKS, "given-away-some", "T-06", count="1", to="Moss Gate")
    assert [r.cause for r in books.rows(Fewer)] == ["Moss Gate"]


def test_given_away_is_gone_with_who_has_it() -> None:
    books = record(BOOKS, "given-away", "UMBER/1", to="Moss Gate", rest="keep")
    assert (row(books, "animal", "UMBER/1").state, row(books, "animal", "UMBER/1").owner) == (
        "gone",
        "Moss Gate",
    )
    assert shared_act_sentences.has_left_the_house("UMBER/1").message in str(
        refused(books, "dead", "UMBER/1")["animal"]
    )
    loan = record(BOOKS, "loan-in", "SORREL", number="N1", owner="Nine Alders", into="T-12")
    assert leaving_sentences.belongs_to_another_house("SORREL/N1", "Nine Alders").message in str(
        refused(loan, "given-away", "SORREL/N1", to="Moss Gate")["animal"]
    )


def test_missing_is_a_place_of_its_own_and_found_again() -> None:
    books = record(BOOKS, "missing", "UMBER/1", seen="2026-05-16", rest="keep")
    one = row(books, "animal", "UMBER/1")
    assert (one.state, one.last_seen, inside(books, "T-01")) == ("missing", day("2026-05-16"), [])
    assert leaving_sentences.missing_already("UMBER/1").message in str(
        refused(books, "missing", "UMBER/1")["animal"]
    )
    assert identity_sentences.nobody_knows_where("UMBER/1").message in str(
        refused(books, "move", "UMBER/1", to="T-02")["animal"]
    )
    assert leaving_sentences.is_missing("UMBER/1").hint in str(
        refused(books, "lent", "UMBER/1", to="Moss Gate")["animal"]
    )
    dead = record(books, "dead", "UMBER/1")
    assert row(dead, "animal", "UMBER/1").state == "dead"
    assert leaving_sentences.was_in_no_enclosure("UMBER/1").message in str(
        refused(books, "dead", "UMBER/1", rest="keep")["rest"]
    )
    back = record(books, "found", "UMBER/1", into="T-12", stage="holding")
    assert (row(back, "animal", "UMBER/1").state, inside(back, "T-12")) == ("alive", ["UMBER/1"])


def test_lent_and_back() -> None:
    books = record(
        BOOKS, "lent", "UMBER/2", to="Moss Gate", due="autumn 2026", offspring="half and half", rest="keep"
    )
    who = ref(books, "animal", "UMBER/2")
    (loan,) = list(books.rows(Loan, Loan.animal.is_(who)))
    assert (loan.way, loan.owner, loan.due_back, loan.terms) == (
        "out",
        "Moss Gate",
        span("autumn 2026"),
        "half and half",
    )
    assert (row(books, "animal", "UMBER/2").state, row(books, "animal", "UMBER/2").owner) == (
        "gone",
        "",
    )
    assert [due.off_until for due in books.rows(Due, Due.animal.is_(who))] == [None]
    books = record(books, "came-back", "UMBER/2", into="T-02")
    assert (row(books, "animal", "UMBER/2").state, inside(books, "T-02")) == ("alive", ["UMBER/2"])
    assert [r.back for r in books.rows(Loan, Loan.animal.is_(who))] == [span("2026-05-18")]
    assert [r.done for r in books.rows(Due, Due.animal.is_(who))] == [TODAY]
    assert leaving_sentences.not_lent_out("UMBER/2").message in str(
        refused(books, "came-back", "UMBER/2", into="T-02")["animal"]
    )


def test_an_animal_on_loan_here_goes_back_or_dies() -> None:
    books = record(
        BOOKS, "loan-in", "SORREL", number="N1", owner="Nine Alders", into="T-12", due="2026-08-18"
    )
    in_quarantine = movement_sentences.out_of_the_house("T-12")
    assert in_quarantine in str(asked(books, "went-back", "SORREL/N1", rest="keep"))
    back = record(books, "went-back", "SORREL/N1", rest="keep", sure=True)
    assert row(back, "animal", "SORREL/N1").state == "gone"
    assert [loan.back for loan in back.rows(Loan)] == [span("2026-05-18")]
    assert leaving_sentences.lend_it_on("SORREL/N1", "Nine Alders") in str(
        asked(books, "lent", "SORREL/N1", to="Moss Gate", rest="keep")
    )
    dead = record(books, "dead", "SORREL/N1", rest="keep")
    assert [(r.back, r.terms) for r in dead.rows(Loan)] == [(span("2026-05-18"), "it died here")]
    assert [due.off_until for due in dead.rows(Due, Due.what.is_("loan back"))] == [LAST]


LENT = record(BOOKS, "lent", "UMBER/2", to="Moss Gate", rest="keep", on="2026-05-06")
LOST = record(BOOKS, "missing", "UMBER/2", rest="keep", on="2026-05-06")
HERE = record(BOOKS, "loan-in", "SORREL", number="N1", owner="Nine Alders", into="T-12", on="2026-05-06")


@pytest.mark.parametrize(
    ("books", "act", "who", "typed", "field", "words"),
    [
        (BOOKS, "given-away", "UMBER/1", {}, "to", "Who has it now?"),
        (BOOKS, "given-away", "UMBER/1", {"to": "\0"}, "to", "NUL"),
        (BOOKS, "given-away", "UMBER/1", {"to": "x"}, "rest", "empty now"),
        (BOOKS, "given-away", "UMBER/1", {"to": "x", "rest": "x"}, "rest", "keep, empty, prepare"),
        (BOOKS, "given-away", "UMBER/1", {"to": "x", "rest": "empty"}, "looked", "must be yes"),
        (BOOKS, "given-away", "UMBER/1", {"to": "x", "looked": "x"}, "looked", "yes, no"),
        (BOOKS, "given-away", "UMBER/1", {"to": "x", "on": "x"}, "on", "not a date"),
        (BOOKS, "missing", "UMBER/1", {"seen": "x"}, "seen", "not a date"),
        (
            BOOKS,
            "missing",
            "UMBER/1",
            {"seen": "today", "on": "2026-05-06"},
            "seen",
            leaving_sentences.seen_later("6 May 2026").message,
        ),
        (BOOKS, "missing", "UMBER/1", {}, "rest", "empty now"),
        (BOOKS, "missing", "UMBER/1", {"rest": "prepare"}, "looked", "must be yes"),
        (BOOKS, "missing", "UMBER/1", {"on": "x"}, "on", "not a date"),
        (
            BOOKS,
            "found",
            "UMBER/1",
            {"into": "T-01"},
            "animal",
            leaving_sentences.not_missing("UMBER/1").message,
        ),
        (LOST, "found", "UMBER/2", {}, "into", "Which box is it in now?"),
        (LOST, "found", "UMBER/2", {"into": "T-122"}, "into", "Did you mean `T-12`?"),
        (LOST, "found", "UMBER/2", {"into": "T-12"}, "stage", "what is T-12 (empty) for now?"),
        (
            LOST,
            "found",
            "UMBER/2",
            {"into": "T-02", "on": "2026-04-17"},
            "on",
            leaving_sentences.before_it_left("6 May 2026").message,
        ),
        (BOOKS, "lent", "UMBER/1", {}, "to", "Who has it for the time being?"),
        (BOOKS, "lent", "UMBER/1", {"to": "x", "due": "2025-12-18"}, "due", "before the loan began"),
        (BOOKS, "lent", "UMBER/1", {"to": "x", "due": "x"}, "due", "not a date"),
        (BOOKS, "lent", "UMBER/1", {"to": "x", "offspring": "\0"}, "offspring", "NUL"),
        (BOOKS, "lent", "UMBER/1", {"to": "x"}, "rest", "empty now"),
        (BOOKS, "lent", "UMBER/1", {"to": "x", "looked": "x"}, "looked", "yes, no"),
        (BOOKS, "lent", "UMBER/1", {"to": "x", "on": "x"}, "on", "not a date"),
        (LENT, "came-back", "UMBER/2", {}, "into", "Which box is it in now?"),
        (LENT, "came-back", "UMBER/2", {"into": "T-12"}, "stage", "what is T-12 (empty) for now?"),
        (LENT, "came-back", "UMBER/2", {"into": "T-02", "stage": "laying"}, "stage", "in use"),
        (LENT, "came-back", "UMBER/2", {"into": "T-02", "on": "2026-04-17"}, "on", "before the loan began"),
        (
            LENT,
            "came-back",
            "UMBER/1",
            {"into": "T-02"},
            "animal",
            leaving_sentences.not_lent_out("UMBER/1").message,
        ),
        (HERE, "went-back", "SORREL/N1", {}, "rest", "empty now"),
        (HERE, "went-back", "SORREL/N1", {"rest": "x"}, "rest", "keep, empty, prepare"),
        (HERE, "went-back", "SORREL/N1", {"rest": "empty"}, "looked", "must be yes"),
        (HERE, "went-back", "SORREL/N1", {"rest": "keep", "on": "2026-04-17"}, "on", "before the loan began"),
        (
            HERE,
            "went-back",
            "UMBER/1",
            {"rest": "keep"},
            "animal",
            leaving_sentences.not_on_loan_here("UMBER/1").message,
        ),
    ],
)
def test_bad_going_and_coming(
    books: Ledger, act: str, who: str, typed: dict[str, str], field: str, words: str
) -> None:
    slips = refused(books, act, who, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_emptied_and_cleaned() -> None:
    kept = record(BOOKS, "dead", "UMBER/1", rest="keep")
    books = record(kept, "emptied", "T-01", looked="yes", on="2026-05-18")
    assert row(books, "enclosure", "T-01").stage == "empty"
    books = record(books, "cleaned", "T-01")
    assert [(tick.list, tick.item, tick.done) for tick in books.rows(Tick)] == [
        ("clearing", "cleaned", span("2026-05-18"))
    ]
    again = record(kept, "emptied", "T-01", looked="yes", then="prepared")
    assert row(again, "enclosure", "T-01").stage == "prepared"


def test_clearing_a_quarantine_ends_its_locks_and_work() -> None:
    books = record(BOOKS, "dead", "RUSH/1", rest="keep")
    books = record(books, "emptied", "T-10", looked="yes")
    assert [lock.lifted for lock in books.rows(Lock, Lock.enclosure.is_(10))] == [TODAY]
    assert [due.off_why for due in books.rows(Due, Due.enclosure.is_(10))] == [
        effects_sentences.nobody_left("18 May 2026")
    ]


@pytest.mark.parametrize(
    ("act", "box", "typed", "field", "words"),
    [
        ("emptied", "T-11", {}, "looked", "Was it looked through"),
        ("emptied", "T-11", {"looked": "no"}, "looked", effects_sentences.not_looked_through("T-11").message),
        ("emptied", "T-11", {"looked": "ys"}, "looked", "Did you mean `yes`?"),
        ("emptied", "T-11", {"looked": "yes", "then": "full"}, "then", "empty, prepared"),
        ("emptied", "T-12", {"looked": "yes"}, "then", care_sentences.is_so_already("T-12", "empty").message),
        ("emptied", "T-11", {"looked": "yes", "on": "2026-05-20"}, "on", "has not come yet"),
        ("emptied", "T-01", {"looked": "yes"}, "enclosure", "still holds animals"),
        ("emptied", "T-05", {"looked": "yes"}, "enclosure", "still holds animals"),
        ("emptied", "T-111", {"looked": "yes"}, "enclosure", "Did you mean `T-11`?"),
        ("cleaned", "T-11", {}, "enclosure", care_sentences.not_empty("T-11").message),
        ("cleaned", "T-12", {"on": "2026-05-20"}, "on", "has not come yet"),
        ("cleaned", "T-122", {}, "enclosure", "Did you mean `T-12`?"),
    ],
)
def test_bad_clearing(act: str, box: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, box, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])
