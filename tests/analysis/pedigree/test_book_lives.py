"""When an animal or a brood of the books can have been grown: what its enclosures tell."""

from __future__ import annotations

from rounds.analysis.pedigree.book_lives import BookLives
from rounds.records.ledger import Draft
from rounds.records.tables import Animal, Brood, Content
from rounds.values.spans import LAST
from tests.acts.books import house, ref, span


def test_a_larva_is_not_grown_and_who_left_a_tub_as_one_may_be() -> None:
    ledger = house()
    larva, holding, tub = ref(ledger, "animal", "UMBER/5"), ref(ledger, "enclosure", "T-01"), 14
    assert BookLives(ledger).of_animal(ledger.row(Animal, larva)).mature_from == LAST
    moved = Draft(ledger)
    content = next(c.id for c in ledger.rows(Content, Content.animal.is_(larva)))
    moved.set(Content.until, content, span("2026-05-01"))
    moved.add(Content(enclosure=holding, animal=larva, since=span("2026-05-01")))
    assert ledger.row(Content, content).enclosure == tub
    assert BookLives(moved.ledger).of_animal(ledger.row(Animal, larva)).mature_from is None


def test_no_young_of_a_brood_are_grown_while_some_are_in_a_tub_of_larvae() -> None:
    ledger = house()
    brood = ref(ledger, "brood", "LOCH-01")
    assert ledger.row(Brood, brood).name == "LOCH-01"
    assert BookLives(ledger).of_brood(brood).mature_from == LAST
    left = Draft(ledger)
    for content in list(ledger.rows(Content, Content.brood.is_(brood))):
        left.set(Content.until, content.id, span("2026-05-01"))
    assert BookLives(left.ledger).of_brood(brood).mature_from is None
