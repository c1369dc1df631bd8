"""What counts as sound books: each way of being wrong is told, in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rounds.records import fault_sentences
from rounds.records.invariants import ancestors, faults
from rounds.records.ledger import Draft
from rounds.records.tables import Animal, Brood, Content, Pairing, PairingMale, Place, Trial, TrialFemale
from rounds.values.spans import Span
from tests.acts.books import house, ref, span

BOOKS = house()


def _with(change: Callable[[Draft], object]) -> list[str]:
    draft = Draft(BOOKS)
    change(draft)
    return faults(draft.ledger)


def _seat(d: Draft, female: int) -> None:
    """P-02 is UMBER/4's."""
    d.add(TrialFemale(trial=d.add(Trial(name="TR")), arm="sibs", female=female, pairing=2))


A1, A2, A4 = (ref(BOOKS, "animal", f"UMBER/{n}") for n in (1, 2, 4))
LOCH, LOT = ref(BOOKS, "brood", "LOCH-01"), ref(BOOKS, "lot", "Moss Gate spring")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            lambda d: d.add(Content(enclosure=2, animal=A1, line=1, since=span("2026-05-16"))),
            fault_sentences.in_several_places("UMBER/1", 2),
        ),
        (lambda d: d.set(Animal.state, A1, "dead"), fault_sentences.still_in_an_enclosure("UMBER/1", "dead")),
        (
            lambda d: d.set(Animal.state, A1, "missing"),
            fault_sentences.still_in_an_enclosure("UMBER/1", "missing"),
        ),
        (lambda d: d.set(Content.until, 1, span("2026-05-16")), fault_sentences.in_no_enclosure("UMBER/1")),
        (lambda d: d.set(Animal.sire, A1, A1), "its own ancestor"),
        (lambda d: d.set(Animal.dam, A1, A4), "its own ancestor"),
        (lambda d: d.set(Animal.brood, A4, ref(BOOKS, "brood", "UMBER-01")), "its own ancestor"),
        (
            lambda d: d.set(Animal.sire, A4, A2),
            fault_sentences.father_would_not_be("UMBER/4", "UMBER/2", "m"),
        ),
        (lambda d: d.set(Animal.dam, A4, A1), fault_sentences.mother_would_not_be("UMBER/4", "UMBER/1", "f")),
        (lambda d: d.set(Pairing.female, 2, A1), fault_sentences.female_would_be_male("UMBER/1", "P-02")),
        (lambda d: d.set(PairingMale.male, 1, A2), fault_sentences.male_would_be_female("UMBER/2")),
        (lambda d: d.set(Brood.at_least, LOCH, False), ""),
        (lambda d: d.set(Brood.unsexed, LOCH, 40), ""),
        (
            lambda d: [
                d.set(Content.unsexed, content.id, -1) for content in list(d.ledger.rows(Content))[-1:]
            ],
            "fewer than none",
        ),
        (
            lambda d: d.set(Place.void, 1, True),
            fault_sentences.refers_to_what_was_taken_back("box", 1, "place"),
        ),
        (lambda d: d.set(Animal.born, A1, Span(10, 9)), fault_sentences.runs_backwards("born", "animal", 1)),
        (lambda d: d.set(Content.until, 1, span("2024-12-18")), "end before it began"),
        (lambda d: d.add(Trial(name="TR", opened=100, stops=99)), fault_sentences.trial_would_end("TR")),
        (
            lambda d: d.add(Trial(name="TR", opened=100, stops=120, closed=99)),
            fault_sentences.trial_would_be_closed("TR"),
        ),
        (lambda d: d.add(Trial(name="TR", opened=100, stops=100, closed=100)), ""),
        (lambda d: _seat(d, A2), fault_sentences.pairing_of_another("UMBER/2")),
        (lambda d: _seat(d, A4), ""),
    ],
)
def test_unsound_books_are_told(change: Callable[[Draft], object], said: str) -> None:
    assert faults(BOOKS) == []
    found = _with(change)
    if said:
        assert any(said in f for f in found), found
    else:
        assert found == []


def test_totals_that_do_not_add_up_are_told() -> None:
    def exact(d: Draft, found: int) -> None:
        d.set(Brood.at_least, LOCH, False)
        d.set(Brood.unsexed, LOCH, found)
        for content in list(d.ledger.rows(Content, Content.brood.is_(LOCH))):
            if content.at_least:
                d.set(Content.at_least, content.id, False)

    assert _with(lambda d: exact(d, 21)) == []
    assert _with(lambda d: exact(d, 22)) == [fault_sentences.fewer_than_found("brood", "LOCH-01", 21, 22)]
    assert _with(lambda d: exact(d, 20)) == [fault_sentences.more_than_found("brood", "LOCH-01", 21, 20)]


def test_ancestors_are_those_recorded_and_the_mother_of_the_brood() -> None:
    draft = Draft(BOOKS)
    child = draft.add(Animal(line=1, number="9", brood=ref(BOOKS, "brood", "UMBER-01")))
    # UMBER-01 is of P-02: its female UMBER/4 is certain, and with her UMBER/1; its male is only possible.
    assert ancestors(draft.ledger, child) == {A4, A1}
    draft.set(Animal.sire, child, ref(BOOKS, "animal", "UMBER/3"))
    assert ancestors(draft.ledger, child) == {A4, A1, ref(BOOKS, "animal", "UMBER/3")}
