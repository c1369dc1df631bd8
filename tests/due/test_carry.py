"""What due work needs carried: an amount only where something is known, and what it rests on."""

from __future__ import annotations

import pytest

from rounds.due import work, work_sentences
from rounds.due.carry import needs
from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.round_summary import Need
from rounds.records.tables import Batch, BatchUse, Enclosure
from tests.acts.books import day, house, record, ref, span
from tests.husbandry.test_species import shipped

SPECIES = shipped()
THEN = day("2026-06-06")
"""Within the windows of the substrate of T-05, T-06 and T-14, in larvae since 17 Apr."""


def needed(ledger: Ledger, code: str, today: int = THEN) -> dict[str, Need]:
    works = work.works(ledger, SPECIES, today)
    found = needs(ledger, SPECIES, works, today).get(ref(ledger, "enclosure", code), ())
    return {n.what: n for n in found}


def bedded(
    ledger: Ledger, code: str, when: str, litres: float | None, recipe: str = "leaf and wood"
) -> Ledger:
    draft = Draft(ledger)
    batch = draft.add(Batch(name=f"mix of {when}", made=span(when), recipe=recipe))
    draft.add(
        BatchUse(batch=batch, enclosure=ref(ledger, "enclosure", code), given=span(when), litres=litres)
    )
    return draft.ledger


def with_(ledger: Ledger, code: str, **columns: Value) -> Ledger:
    draft = Draft(ledger)
    for column, value in columns.items():
        draft.set(Enclosure.column(column), ref(ledger, "enclosure", code), value)
    return draft.ledger


def test_two_thirds_of_what_it_holds_is_the_most_where_nothing_else_is_known() -> None:
    need = needed(house(), "T-05")["substrate"]
    assert (need.low, need.high, need.mix) == (0, pytest.approx(20 / 3), "")
    assert need.why == work_sentences.share_of_what_it_holds("two thirds", 10.0)
    assert need.how == work_sentences.BY_WHAT_IT_HOLDS


def test_what_went_in_last_time_is_the_other_end_and_names_the_mix() -> None:
    books = bedded(bedded(house(), "T-05", "2026-04-18", 3, "old mix"), "T-05", "2026-05-06", 8)
    need = needed(books, "T-05")["substrate"]
    assert (need.low, need.high, need.mix) == (pytest.approx(20 / 3), 8, "leaf and wood")
    assert need.why.endswith("; 8 l went in 6 May 2026")
    unmeasured = needed(with_(books, "T-05", litres=None), "T-05")["substrate"]
    assert (unmeasured.low, unmeasured.high, unmeasured.why) == (
        8,
        8,
        work_sentences.went_in(8, "6 May 2026"),
    )


def test_the_species_says_the_room_of_known_larvae_and_nothing_of_uncounted_ones() -> None:
    """T-06 holds 2.3.4 L3 of a species that takes 1 to 1.5 l each; T-05 twelve or more."""
    counted = needed(with_(house(), "T-06", litres=None), "T-06")["substrate"]
    assert (counted.low, counted.high) == (pytest.approx(6), pytest.approx(9))
    assert counted.why == work_sentences.room_for_larvae(
        "two thirds", "1 to 1.5", 9, "common practice, no source"
    )
    uncounted = needed(with_(house(), "T-05", litres=None), "T-05")["substrate"]
    assert (uncounted.high, uncounted.why) == (
        None,
        "nobody wrote down what it holds or what went in last time",
    )


def test_a_search_needs_tubs_and_nobody_knows_how_many() -> None:
    today = day("2026-05-21")  # the last day of its lock
    found = needed(bedded(house(), "T-04", "2026-04-17", 10), "T-04", today)
    assert {(w, n.low, n.high, n.mix) for w, n in found.items()} == {
        ("tubs", 0, None, ""),
        ("substrate", 0, None, ""),
    }


def test_a_bed_made_afresh_takes_all_of_it() -> None:
    today = day("2026-06-04")
    searched = record(
        house(), "search", "T-04", today=today, on="2026-06-03", how="complete", eggs="0", l1="0"
    )
    assert needed(searched, "T-04", today)["substrate"].high == 10


def test_only_what_can_be_done_by_tomorrow_is_carried_for() -> None:
    """Control first; then not due yet, put off, withheld by a lock, done."""
    books = house()
    first = next(
        w for w in work.works(books, SPECIES, day("2026-04-26")) if w.key == "substrate/T-05/substrate-1"
    )
    begins = first.window.earliest
    assert needed(books, "T-05", begins)
    assert needed(books, "T-05", begins - 1), "tomorrow's"
    assert not needed(books, "T-05", begins - 2)
    assert not needed(bedded(books, "T-05", "2026-06-04", 5), "T-05")
    off = [w._replace(off_until=THEN + 3) for w in work.works(books, SPECIES, THEN)]
    assert not needs(books, SPECIES, off, THEN)
    locked = record(books, "lock", "T-05", today=THEN, forbids="open", reason="moulting", until="2026-07-06")
    assert not needed(locked, "T-05")
