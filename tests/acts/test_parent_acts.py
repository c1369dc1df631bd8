"""Of which pairing a brood is, found out later."""

from __future__ import annotations

from rounds.acts import parent_sentences
from rounds.records import parentage
from rounds.records.ledger import Draft
from rounds.records.tables import Animal
from tests.acts.books import asked, house, record, ref, refused, row

BOOKS = house()


def test_a_brood_gets_its_parents_and_those_numbered_from_it_follow() -> None:
    books = record(BOOKS, "animal", "LOCH", number="9", in_="T-06", brood="LOCH-01", sex="m")
    books = record(books, "brood-parents", "LOCH-01", pairing="P-01", sure=True)
    brood = row(books, "brood", "LOCH-01")
    assert (brood.pairing, brood.paternity) == (ref(books, "pairing", "P-01"), "likely")
    known = parentage.of_brood(books, brood.id)
    assert known.dam == ref(books, "animal", "KESTREL/2")


def test_another_pairing_a_later_one_and_another_line_are_asked_about() -> None:
    question = asked(BOOKS, "brood-parents", "UMBER-01", pairing="P-01").text
    assert parent_sentences.another_pairing_known("UMBER-01", "P-02", "P-01") in question
    assert parent_sentences.other_line("UMBER-01", "P-01") in question
    later = asked(BOOKS, "brood-parents", "LOCH-01", pairing="P-01").text
    assert parent_sentences.began_later("P-01", "8 May 2026") in later


def test_what_says_nothing_new_or_makes_its_own_ancestor_is_refused() -> None:
    known = record(BOOKS, "brood-parents", "UMBER-01", pairing="P-02")  # its paternity, as the pairing's
    assert "pairing" in refused(known, "brood-parents", "UMBER-01", pairing="P-02")
    with_brood = Draft(BOOKS)
    mother = ref(BOOKS, "animal", "KESTREL/2")
    with_brood.set(Animal.brood, mother, ref(BOOKS, "brood", "LOCH-01"))  # she is from LOCH-01
    slips = refused(with_brood.ledger, "brood-parents", "LOCH-01", pairing="P-01")
    assert "its own ancestor" in str(slips["pairing"])
