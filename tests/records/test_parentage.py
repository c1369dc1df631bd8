"""How sure the father is, close kin named and asked about, totals of a pairing as spans."""

from __future__ import annotations

import pytest

from rounds.acts import pairing_sentences
from rounds.records import parentage_sentences
from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import OffspringTotal, offspring, parents, past, relation
from rounds.records.tables import Animal, Brood, Content, Lot, PairingMale, Search
from tests.acts.books import asked, house, record, ref, row, span


def animal(draft: Draft, name: str, sex: str, box: str, **more: Value) -> int:
    line, number = name.split("/")
    of = ref(draft.ledger, "line", line)
    made = draft.add(Animal(line=of, number=number, sex=sex, **more))
    at = ref(draft.ledger, "enclosure", box)
    draft.add(Content(enclosure=at, animal=made, line=of, since=span("2026-04-17")))
    return made


@pytest.fixture
def books() -> Ledger:
    return house()


@pytest.fixture
def sibs(books: Ledger) -> Ledger:
    """SORREL/1 m and SORREL/2 f of the same parents, SORREL/3 f of the same mother, in boxes of their own.

    SORREL/7 f and SORREL/8 m are of their species and of parents nobody recorded.
    """
    d = Draft(books)
    dad, mum = ref(d.ledger, "animal", "KESTREL/1"), ref(d.ledger, "animal", "KESTREL/2")
    other = ref(d.ledger, "animal", "UMBER/1")
    animal(d, "SORREL/1", "m", "T-11", sire=dad, dam=mum)
    animal(d, "SORREL/2", "f", "T-12", sire=dad, dam=mum)
    animal(d, "SORREL/3", "f", "T-15", sire=other, dam=mum)
    animal(d, "SORREL/7", "f", "T-12")
    animal(d, "SORREL/8", "m", "T-11")
    return d.ledger


def males(ledger: Ledger, pairing: str) -> dict[str, bool]:
    """Each male by name, and whether he is still in it."""
    out = {}
    for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(ref(ledger, "pairing", pairing))):
        out[animal_name(ledger, partner.male)] = partner.until is None
    return out


# --- paternity --------------------------------------------------------------------------


@pytest.mark.parametrize(("mated", "paternity"), [("no", "certain"), ("unknown", "likely"), ("yes", "open")])
def test_paternity_follows_from_what_the_arrival_said(books: Ledger, mated: str, paternity: str) -> None:
    d = Draft(books)
    lot = d.add(Lot(name="L", arrived=span("2026-04-06"), mated_before=mated))
    animal(d, "RUSH/9", "f", "T-15", lot=lot)
    after = record(d.ledger, "pair", "T-12", female="RUSH/9", males="UMBER/1")
    assert row(after, "pairing", "P-03").paternity == paternity


def test_a_female_that_came_as_a_larva_had_not_mated(books: Ledger) -> None:
    d = Draft(books)
    lot = d.add(Lot(name="L", arrived=span("2025-12-27"), mated_before="unknown"))
    animal(d, "RUSH/9", "f", "T-15", lot=lot, eclosed=span("about 2026-03-18"))
    after = record(d.ledger, "pair", "T-12", female="RUSH/9", males="UMBER/1")
    assert row(after, "pairing", "P-03").paternity == "certain"


def test_a_female_bred_here_and_never_with_a_male_is_certain_and_one_of_unknown_past_is_not(
    sibs: Ledger,
) -> None:
    after = record(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/8")
    assert row(after, "pairing", "P-03").paternity == "certain"
    other = record(sibs, "pair", "T-12", female="SORREL/7", males="SORREL/1")
    assert row(other, "pairing", "P-03").paternity == "likely"


def test_a_female_that_shared_a_box_with_a_grown_male_is_open(sibs: Ledger) -> None:
    d = Draft(sibs)
    male = ref(d.ledger, "animal", "SORREL/1")
    d.add(
        Content(
            enclosure=ref(d.ledger, "enclosure", "T-12"),
            animal=male,
            line=ref(d.ledger, "line", "SORREL"),
            since=span("2026-04-18"),
            until=span("2026-04-25"),
        )
    )
    female = ref(d.ledger, "animal", "SORREL/2")
    known = past(d.ledger, female, frozenset(), span("2026-05-18"))
    assert (known.unmated, known.why) == (False, parentage_sentences.shared_an_enclosure("SORREL/1"))
    # The control: he came only after she had been looked at.
    assert past(d.ledger, female, frozenset(), span("2026-04-17")).unmated is True
    after = record(d.ledger, "pair", "T-12", female="SORREL/2", males="SORREL/8")
    assert row(after, "pairing", "P-03").paternity == "open"


def test_an_earlier_male_leaves_the_father_open_and_the_same_male_does_not(sibs: Ledger) -> None:
    once = record(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/8")
    apart = record(once, "parted", "P-03", males_to="T-11")
    assert (
        row(record(apart, "pair", "T-12", female="SORREL/2", males="SORREL/8"), "pairing", "P-04").paternity
        == "certain"
    )
    d = Draft(apart)
    animal(d, "SORREL/9", "m", "T-15")
    assert (
        row(
            record(d.ledger, "pair", "T-12", female="SORREL/2", males="SORREL/9"), "pairing", "P-04"
        ).paternity
        == "open"
    )


def test_several_males_leave_the_father_open(sibs: Ledger) -> None:
    d = Draft(sibs)
    animal(d, "SORREL/9", "m", "T-15")
    after = record(d.ledger, "pair", "T-12", female="SORREL/2", males="SORREL/8, SORREL/9")
    assert row(after, "pairing", "P-03").paternity == "open"
    assert males(after, "P-03") == {"SORREL/8": True, "SORREL/9": True}


def test_more_certain_than_the_books_is_asked_about_and_less_is_taken(books: Ledger) -> None:
    question = asked(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", paternity="certain")
    assert question.field == "paternity"
    assert pairing_sentences.another_paternity(
        "likely", "certain", "where she was before is not recorded"
    ) in str(question)
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", paternity="open")
    assert row(after, "pairing", "P-03").paternity == "open"


def test_a_male_that_is_there_and_not_named_is_asked_about(books: Ledger) -> None:
    question = asked(books, "pair", "T-03", female="UMBER/2", males="UMBER/1")
    assert pairing_sentences.another_male_there("KESTREL/1", "T-03") in str(question)
    after = record(books, "pair", "T-03", sure=True, female="UMBER/2", males="UMBER/1")
    assert row(after, "pairing", "P-03").paternity == "open"


# --- kin --------------------------------------------------------------------------------


def test_full_sibs_are_named_and_asked_about_unless_they_are_the_purpose(sibs: Ledger) -> None:
    question = asked(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/1")
    assert question.field == "males"
    assert pairing_sentences.are_kin("SORREL/2", "SORREL/1", "full sibs") in str(question)
    after = record(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/1", purpose="sibs")
    assert row(after, "pairing", "P-03").purpose == "sibs"


def test_sibs_on_purpose_that_are_none_are_asked_about(sibs: Ledger) -> None:
    assert pairing_sentences.not_known_as_sibs("SORREL/3", "SORREL/1") in str(
        asked(sibs, "pair", "T-15", female="SORREL/3", males="SORREL/1", purpose="sibs")
    )


def test_half_sibs_are_told_apart_and_a_father_is_asked_about(sibs: Ledger) -> None:
    one, half = ref(sibs, "animal", "SORREL/1"), ref(sibs, "animal", "SORREL/3")
    assert relation(sibs, one, half) == relation(sibs, half, one) == "half sibs"
    record(sibs, "pair", "T-15", female="SORREL/3", males="SORREL/1")  # not asked
    assert pairing_sentences.are_kin("UMBER/4", "UMBER/1", "parent and child") in str(
        asked(sibs, "pair", "T-04", female="UMBER/4", males="UMBER/1")
    )


def test_an_open_father_leaves_sibs_of_one_brood_in_doubt(books: Ledger) -> None:
    d = Draft(books)
    animal(d, "UMBER/7", "f", "T-11", brood=ref(d.ledger, "brood", "UMBER-01"))
    animal(d, "UMBER/8", "m", "T-12", brood=ref(d.ledger, "brood", "UMBER-01"))
    seven, eight = ref(d.ledger, "animal", "UMBER/7"), ref(d.ledger, "animal", "UMBER/8")
    assert relation(d.ledger, seven, eight) == "full sibs"
    assert parents(d.ledger, seven) == (
        ref(books, "animal", "UMBER/4"),
        frozenset({ref(books, "animal", "UMBER/3")}),
        True,
    )
    d.set(Brood.paternity, ref(d.ledger, "brood", "UMBER-01"), "open")
    assert relation(d.ledger, seven, eight) == "full or half sibs"
    assert "full or half sibs" in str(asked(d.ledger, "pair", "T-11", female="UMBER/7", males="UMBER/8"))


# --- totals -----------------------------------------------------------------------------


def test_offspring_of_a_pairing_are_a_span(books: Ledger) -> None:
    two = ref(books, "pairing", "P-02")
    assert offspring(books, two) == OffspringTotal(10, None)
    d = Draft(books)
    d.set(Brood.at_least, ref(books, "brood", "UMBER-01"), False)
    assert offspring(d.ledger, two) == OffspringTotal(10, 10)
    search = d.add(
        Search(enclosure=ref(books, "enclosure", "T-13"), made=span("2026-05-16"), l1=8, recount=8)
    )
    d.add(Brood(name="X", pairing=two, search=search, found=span("2026-05-16"), unsexed=8))
    assert offspring(d.ledger, two) == OffspringTotal(10, 18)
    with pytest.raises(KeyError):
        offspring(d.ledger, 99)
