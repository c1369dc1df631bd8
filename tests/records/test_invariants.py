"""What counts as sound books: each way of being wrong is told, in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rounds.records.invariants import ancestors, faults
from rounds.records.ledger import Draft
from rounds.values.spans import Span
from tests.acts.books import house, ref, span

BOOKS = house()


def _with(change: Callable[[Draft], object]) -> list[str]:
    draft = Draft(BOOKS)
    change(draft)
    return faults(draft.ledger)


def _seat(d: Draft, female: int) -> None:
    """P-02 is UMBER/4's."""
    d.add("trial_female", trial=d.add("trial", name="TR"), arm="sibs", female=female, pairing=2)


A1, A2, A4 = (ref(BOOKS, "animal", f"UMBER/{n}") for n in (1, 2, 4))
LOCH, LOT = ref(BOOKS, "brood", "LOCH-01"), ref(BOOKS, "lot", "Moss Gate spring")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d.add("content", enclosure=2, animal=A1, line=1, since=span("2026-05-30")), "in 2 places"),
        (lambda d: d.set("animal", A1, "state", "dead"), "is dead and still in an enclosure"),
        (lambda d: d.set("animal", A1, "state", "missing"), "is missing and still in an enclosure"),
        (lambda d: d.set("content", 1, "until", span("2026-05-30")), "alive and in no enclosure"),
        (lambda d: d.set("animal", A1, "sire", A1), "its own ancestor"),
        (lambda d: d.set("animal", A1, "dam", A4), "its own ancestor"),
        (lambda d: d.set("animal", A4, "brood", ref(BOOKS, "brood", "UMBER-01")), "its own ancestor"),
        (lambda d: d.set("animal", A4, "sire", A2), "father of UMBER/4, UMBER/2, would not be m"),
        (lambda d: d.set("animal", A4, "dam", A1), "mother of UMBER/4, UMBER/1, would not be f"),
        (lambda d: d.set("pairing", 2, "female", A1), "female of P-02, would be male"),
        (lambda d: d.set("pairing_male", 1, "male", A2), "would be female"),
        (lambda d: d.set("brood", LOCH, "at_least", False), ""),
        (lambda d: d.set("brood", LOCH, "unsexed", 40), ""),
        (
            lambda d: [d.set("content", i, "unsexed", -1) for i, _ in list(d.ledger.rows("content"))[-1:]],
            "fewer than none",
        ),
        (lambda d: d.set("place", 1, "void", True), "was taken back"),
        (lambda d: d.set("animal", A1, "born", Span(10, 9)), "run backwards"),
        (lambda d: d.set("content", 1, "until", span("2025-01-01")), "end before it began"),
        (lambda d: d.add("trial", name="TR", opened=100, stops=99), "trial TR would end before it began"),
        (
            lambda d: d.add("trial", name="TR", opened=100, stops=120, closed=99),
            "trial TR would be closed before it began",
        ),
        (lambda d: d.add("trial", name="TR", opened=100, stops=100, closed=100), ""),
        (lambda d: _seat(d, A2), "UMBER/2 would be in a trial with the pairing of another"),
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
        d.set("brood", LOCH, "at_least", False)
        d.set("brood", LOCH, "unsexed", found)
        for i, row in list(d.ledger.rows("content", brood=LOCH)):
            if row["at_least"]:
                d.set("content", i, "at_least", False)

    assert _with(lambda d: exact(d, 21)) == []
    assert _with(lambda d: exact(d, 22)) == ["brood LOCH-01 would have 21 left where 22 were found"]
    assert _with(lambda d: exact(d, 20)) == ["brood LOCH-01 would have 21 where 20 were found"]


def test_ancestors_are_those_recorded_and_the_mother_of_the_brood() -> None:
    draft = Draft(BOOKS)
    child = draft.add("animal", line=1, number="9", brood=ref(BOOKS, "brood", "UMBER-01"))
    # UMBER-01 is of P-02: its female UMBER/4 is certain, and with her UMBER/1; its male is only possible.
    assert ancestors(draft.ledger, child) == {A4, A1}
    draft.set("animal", child, "sire", ref(BOOKS, "animal", "UMBER/3"))
    assert ancestors(draft.ledger, child) == {A4, A1, ref(BOOKS, "animal", "UMBER/3")}
