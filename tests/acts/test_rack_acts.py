"""Shelves and boxes come into use."""

from __future__ import annotations

import pytest

from rounds.acts import registry
from rounds.records.ledger import Ledger
from rounds.records.tables import Enclosure, Place
from tests.acts.books import TODAY


def done(ledger: Ledger, act: str, **typed: str) -> Ledger:
    return ledger.after(registry.plan(act, "", typed, ledger, TODAY).changes)


def refused(ledger: Ledger, act: str, **typed: str) -> str:
    with pytest.raises(registry.BadAct) as e:
        registry.plan(act, "", typed, ledger, TODAY)
    return str(e.value)


def test_an_empty_book_gets_its_first_shelf_and_boxes() -> None:
    ledger = done(Ledger(), "shelf", bay="B", shelf="3", slots="2")
    assert [(place.bay, place.shelf, place.slot) for place in ledger.rows(Place)] == [
        ("B", 3, 1),
        ("B", 3, 2),
    ]
    ledger = done(
        done(ledger, "box", code="TL-1", place="B3-2"), "box", code="TL-2", litres="7.5", stage="prepared"
    )
    rows = list(ledger.rows(Enclosure))
    assert [(r.code, r.number, r.stage, r.litres) for r in rows] == [
        ("TL-1", 1, "empty", None),
        ("TL-2", 2, "prepared", 7.5),
    ]


def test_a_shelf_can_get_more_slots_and_no_fewer() -> None:
    ledger = done(Ledger(), "shelf", bay="B", shelf="3", slots="2")
    assert len(list(done(ledger, "shelf", bay="B", shelf="3", slots="4").rows(Place))) == 4
    assert "slots: B3 has 2 slots already." in refused(ledger, "shelf", bay="B", shelf="3", slots="2")


def test_codes_and_numbers_are_taken_once() -> None:
    ledger = done(Ledger(), "box", code="TL-1", number="7")
    said = refused(ledger, "box", code="tl-1", number="7")
    assert "code: there is a box `tl-1` already." in said
    assert "number: 7 is taken." in said


def test_a_bay_is_letters() -> None:
    assert "bay: `B3` is not a bay." in refused(Ledger(), "shelf", bay="B3", shelf="1", slots="1")
