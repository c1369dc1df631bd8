"""Answers by digit: known batches, and who can be paired here."""

from __future__ import annotations

from rounds.acts.offered_answers import batches, by_digit, grown
from rounds.acts.offers import offers
from rounds.records.ledger import Draft
from rounds.records.tables import Animal, Content
from tests.acts.books import house, record, ref, span


def test_the_newest_batches_come_first_after_that_it_is_not_known() -> None:
    books = house()
    assert batches(books) == ("not known",)
    for n in range(1, 11):
        books = record(books, "substrate", recipe=f"mix {n}")
    books = record(books, "rebed", "T-05")  # unknown-01 is nothing to choose again
    assert batches(books) == ("not known", *(f"M-{n:02}" for n in range(10, 2, -1)))
    box = ref(books, "enclosure", "T-05")
    offer = next(o for o in offers(books, box) if o.act == "rebed")
    assert offer.fields == ()
    [field] = by_digit(books, box, offer).fields
    assert (field.name, field.words, field.ready) == ("batch", (), batches(books))


def _grown(count: int, sex: str = "f") -> Draft:
    d = Draft(house())
    line = ref(d.ledger, "line", "UMBER")
    for n in range(count):
        made = d.add(Animal(line=line, number=f"g{n}", sex=sex, emerged=span("2026-04-01")))
        d.add(Content(enclosure=ref(d.ledger, "enclosure", "T-12"), animal=made, line=line))
    return d


def test_grown_animals_of_the_sex_and_species_that_are_free_those_here_first() -> None:
    d = _grown(2)
    for name in ("UMBER/2", "KESTREL/2"):  # KESTREL/2 is in an open pairing
        d.set(Animal.first_feed, ref(d.ledger, "animal", name), span("2026-04-01"))
    at = {c: ref(d.ledger, "enclosure", c) for c in ("T-02", "T-12")}
    assert grown(d.ledger, at["T-12"], "f") == ("UMBER/g0", "UMBER/g1", "UMBER/2", "UMBER/4")
    assert grown(d.ledger, at["T-02"], "f") == ("UMBER/2", "UMBER/4", "UMBER/g0", "UMBER/g1")
    assert grown(d.ledger, at["T-12"], "m") == ("UMBER/1",)
    offer = next(o for o in offers(d.ledger, at["T-02"]) if o.act == "pair")
    female, males = by_digit(d.ledger, at["T-02"], offer).fields
    assert female.ready == grown(d.ledger, at["T-02"], "f")
    assert males.ready == ("UMBER/1",)


def test_more_than_a_digit_can_choose_from_are_typed_as_before() -> None:
    at = ref(house(), "enclosure", "T-12")
    assert len(grown(_grown(7).ledger, at, "f")) == 9  # with UMBER/2 and UMBER/4
    assert grown(_grown(8).ledger, at, "f") == ()
    assert grown(_grown(60).ledger, at, "f") == ()
