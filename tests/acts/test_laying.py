"""To the laying enclosure: alone or with her male, nobody digs, and the first search is due."""

from __future__ import annotations

import pytest

from rounds.acts import effects_sentences, laying_sentences, pairing_sentences, shared_act_sentences
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Due, Line, Lock, PairingMale
from rounds.values.spans import Span
from tests.acts.books import asked, day, house, inside, record, ref, refused, row, span


@pytest.fixture
def books() -> Ledger:
    return house()


def due(ledger: Ledger, box: str, what: str) -> list[tuple[int, int, int, str]]:
    return [
        (r.earliest, r.likely, r.latest, r.why)
        for r in ledger.rows(Due, Due.enclosure.is_(ref(ledger, "enclosure", box)), Due.done.is_(None))
        if r.what == what
    ]


def males(ledger: Ledger, pairing: str) -> dict[str, bool]:
    """Each male by name, and whether he is still in it."""
    out = {}
    for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(ref(ledger, "pairing", pairing))):
        a = ledger.row(Animal, partner.male)
        out[f"{ledger.row(Line, a.line).name}/{a.number}"] = partner.until is None
    return out


# --- to the laying enclosure --------------------------------------------------------------


def test_alone_to_lay_her_pairing_ends_and_nobody_digs_for_four_weeks(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", on="2026-05-16")
    assert inside(after, "T-11") == ["KESTREL/2"]
    assert inside(after, "T-03") == ["KESTREL/1"]
    assert row(after, "pairing", "P-01").until == span("2026-05-16")
    assert males(after, "P-01") == {"KESTREL/1": False}
    assert row(after, "enclosure", "T-11").stage == "laying"
    assert row(after, "enclosure", "T-11").stage_since == span("2026-05-16")
    [lock] = after.rows(Lock, Lock.enclosure.is_(ref(after, "enclosure", "T-11")))
    assert (lock.forbids, lock.from_day, lock.until) == (
        "dig",
        day("2026-05-16"),
        span("2026-06-12"),
    )
    [search] = due(after, "T-11", "first search")
    assert search == (
        day("2026-06-13"),
        day("2026-06-13"),
        day("2026-06-13"),
        shared_act_sentences.days_after(
            "KESTREL/2 has been in it since 16 May 2026", "28 days", "common practice, no source"
        ),
    )
    assert row(after, "enclosure", "T-03").stage == "holding", "he is alone there"
    [(_, _, _, behind)] = due(after, "T-03", "look for eggs before clearing")
    assert laying_sentences.may_have_laid("KESTREL/2", "16 May 2026") in behind


def test_with_her_male_the_pairing_goes_on_and_two_eat(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", with_male="yes", rest="keep", on="2026-05-16")
    assert inside(after, "T-11") == ["KESTREL/2", "KESTREL/1"]
    open_ = row(after, "pairing", "P-01")
    assert (open_.until, open_.enclosure) == (None, ref(after, "enclosure", "T-11"))
    assert males(after, "P-01") == {"KESTREL/1": True}
    record(after, "mating-seen", "T-11")  # the pairing is found where they are
    record(after, "male-out", "P-01", to="T-03")


def test_what_becomes_of_the_box_both_left_is_asked(books: Ledger) -> None:
    slip = refused(books, "to-laying", "T-03", to="T-11", with_male="yes")["rest"]
    assert slip.message == effects_sentences.rest_missing("T-03").message
    kept = record(books, "to-laying", "T-03", to="T-11", with_male="yes", rest="keep")
    assert row(kept, "enclosure", "T-03").stage == "pairing"
    still = refused(books, "to-laying", "T-03", to="T-11", rest="empty")["rest"]
    assert effects_sentences.others_still_there("T-03").message in still.message
    eggs = refused(books, "to-laying", "T-03", to="T-11", with_male="yes", rest="empty", looked="yes")
    assert effects_sentences.may_hold_eggs("T-03").message in eggs["looked"].message
    # A box in which nobody was paired is left without a question, as by any other move.
    assert row(record(books, "to-laying", "T-02", to="T-11"), "enclosure", "T-02").stage == "holding"


def test_a_vague_move_makes_a_window(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", on="between 2026-05-10 and 2026-05-14")
    [(earliest, _, latest, _)] = due(after, "T-11", "first search")
    assert (earliest, latest) == (day("2026-06-07"), day("2026-06-11"))
    [lock] = after.rows(Lock, Lock.enclosure.is_(ref(after, "enclosure", "T-11")))
    last = day("2026-06-06")
    assert lock.until == Span(last, last), "over before the search may begin"


def test_a_female_without_a_pairing_goes_to_lay_too(books: Ledger) -> None:
    after = record(books, "to-laying", "T-02", to="T-11")
    assert inside(after, "T-11") == ["UMBER/2"]
    assert due(after, "T-02", "look for eggs before clearing") == []  # nobody paired there


def test_the_same_enclosure_may_become_her_laying_enclosure(books: Ledger) -> None:
    assert (
        laying_sentences.male_still_with_her("KESTREL/1").message
        in refused(books, "to-laying", "T-03", to="T-03")["with_male"].message
    )
    after = record(books, "to-laying", "T-03", to="T-03", with_male="yes")
    assert row(after, "enclosure", "T-03").stage == "laying"
    assert inside(after, "T-03") == ["KESTREL/1", "KESTREL/2"]


def test_two_females_in_one_laying_enclosure_are_asked_about(books: Ledger) -> None:
    question = str(asked(books, "to-laying", "T-03", to="T-04"))
    assert laying_sentences.another_female_there("UMBER/4", "T-04") in question


def test_bad_input_to_to_laying(books: Ledger) -> None:
    assert (
        pairing_sentences.stage_does_not_fit(
            "T-05", "larvae", ["prepared", "empty", "holding", "laying"]
        ).message
        in refused(books, "to-laying", "T-03", to="T-05")["to"].message
    )
    assert "is needed" in refused(books, "to-laying", "T-03")["to"].message
    assert (
        laying_sentences.female_not_there("UMBER/2", "T-03").message
        in refused(books, "to-laying", "T-03", to="T-11", female="UMBER/2")["female"].message
    )
    assert (
        laying_sentences.not_a_female("KESTREL/1").message
        in refused(books, "to-laying", "T-03", to="T-11", female="KESTREL/1")["female"].message
    )
    assert (
        laying_sentences.no_female_here("T-01").message
        in refused(books, "to-laying", "T-01", to="T-11")["female"].message
    )
    assert (
        laying_sentences.no_pairing_with_a_male("UMBER/2").message
        in refused(books, "to-laying", "T-02", to="T-11", with_male="yes")["with_male"].message
    )
    assert (
        pairing_sentences.before_it_began("P-01", "8 May 2026").message
        in refused(books, "to-laying", "T-03", to="T-11", on="2026-04-17")["on"].message
    )
    assert "yes, no" in refused(books, "to-laying", "T-03", to="T-11", with_male="maybe")["with_male"].hint
