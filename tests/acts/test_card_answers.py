"""Answers by digit: known batches, who can be paired here, boxes, slots, days."""

from __future__ import annotations

from rounds.acts import species_checks
from rounds.acts.card import Card, CardAnswer
from rounds.acts.card_answers import answers, batches, free_slots, grown
from rounds.acts.card_fields import card
from rounds.acts.offers import offers
from rounds.acts.registry import known
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Batch, Content, Enclosure
from tests.acts.books import TODAY, house, record, ref, span


def said(found: tuple[CardAnswer, ...]) -> tuple[str, ...]:
    """What the answers tell."""
    return tuple(a.typed for a in found)


def ready(ledger: Ledger, box: str, act: str, field: str) -> tuple[str, ...]:
    """The ready answers of one field at a box."""
    one = next(f for f in known(act).fields if f.name == field)
    return said(answers(ledger, ref(ledger, "enclosure", box), act, one, TODAY))


def test_the_newest_batches_come_first_after_that_it_is_not_known() -> None:
    books = house()
    assert said(batches(books)) == ("not known",)
    for n in range(1, 11):
        books = record(books, "substrate", recipe=f"mix {n}")
    books = record(books, "rebed", "T-05")  # unknown-01 is nothing to choose again
    assert said(batches(books)) == ("not known", *(f"M-{n:02}" for n in range(10, 0, -1)))
    assert ready(books, "T-05", "rebed", "batch") == said(batches(books))
    loaded = Draft(books)
    loaded.add(Batch(name="of old notes", made=span("2025")))
    assert said(batches(loaded.ledger))[1] == "of old notes", "its day is enough to know it by"


def _grown(count: int, sex: str = "f") -> Draft:
    d = Draft(house())
    line = ref(d.ledger, "line", "UMBER")
    for n in range(count):
        made = d.add(Animal(line=line, number=f"g{n}", sex=sex, emerged=span("2026-03-18")))
        d.add(Content(enclosure=ref(d.ledger, "enclosure", "T-12"), animal=made, line=line))
    return d


def test_grown_animals_of_the_sex_and_species_that_are_free_those_here_first() -> None:
    d = _grown(2)
    for name in ("UMBER/2", "KESTREL/2"):  # KESTREL/2 is in an open pairing
        d.set(Animal.first_feed, ref(d.ledger, "animal", name), span("2026-03-18"))
    at = {c: ref(d.ledger, "enclosure", c) for c in ("T-02", "T-12")}
    assert said(grown(d.ledger, at["T-12"], "f")) == ("UMBER/g0", "UMBER/g1", "UMBER/2", "UMBER/4")
    assert said(grown(d.ledger, at["T-02"], "f")) == ("UMBER/2", "UMBER/4", "UMBER/g0", "UMBER/g1")
    assert said(grown(d.ledger, at["T-12"], "m")) == ("UMBER/1",)
    assert ready(d.ledger, "T-02", "pair", "female") == said(grown(d.ledger, at["T-02"], "f"))
    assert ready(d.ledger, "T-02", "pair", "males") == ("UMBER/1",)


def test_a_beetle_that_came_as_one_is_offered_though_no_day_of_its_life_is_known() -> None:
    """It was numbered on arrival: nobody here saw it leave its cell. A larva with a number is none."""
    d = Draft(house())
    mate, larva = (ref(d.ledger, "animal", name) for name in ("UMBER/2", "UMBER/5"))
    for column in (Animal.eclosed, Animal.emerged, Animal.first_feed, Animal.mature):
        d.set(column, mate, None)
        d.set(column, larva, None)
    d.set(Animal.sex, larva, "f")
    assert "UMBER/2" in ready(d.ledger, "T-02", "pair", "female")
    assert "UMBER/5" not in ready(d.ledger, "T-02", "pair", "female")


def test_more_than_a_digit_can_choose_from_are_typed_as_before() -> None:
    at = ref(house(), "enclosure", "T-12")
    assert len(grown(_grown(7).ledger, at, "f")) == 9  # with UMBER/2 and UMBER/4
    assert grown(_grown(8).ledger, at, "f") == ()
    assert grown(_grown(60).ledger, at, "f") == ()


def test_prepared_boxes_come_first_for_a_female_that_goes_to_lay() -> None:
    found = ready(house(), "T-03", "to-laying", "to")
    assert found[:3] == ("T-11", "T-12", "T-15"), "prepared, then empty ones"
    assert set(found) == {"T-11", "T-12", "T-15", "T-01", "T-02", "T-04"}
    exchanged = Draft(house())
    for box, place in (("T-12", 15), ("T-15", 12)):
        exchanged.set(Enclosure.place, ref(exchanged.ledger, "enclosure", box), place)
    exchanged.add(Enclosure(code="T-00", number=40, stage="empty"))
    found = ready(exchanged.ledger, "T-03", "to-laying", "to")
    assert found[:4] == ("T-11", "T-15", "T-12", "T-00"), (
        "as they stand on the rack, then what stands nowhere"
    )


def test_the_days_before_today_have_the_digit_they_are_away_and_those_to_come_too() -> None:
    assert ready(house(), "T-01", "dead", "seen")[:2] == ("2026-05-17", "2026-05-16")
    assert ready(house(), "T-01", "due-off", "until")[:2] == ("2026-05-19", "2026-05-20")


def test_days_to_choose_from_begin_with_a_word_so_that_no_digit_runs_into_another() -> None:
    ledger = house()
    field = next(f for f in known("due-off").fields if f.name == "until")
    listed = answers(ledger, ref(ledger, "enclosure", "T-01"), "due-off", field, TODAY)
    assert [a.shown for a in listed][:3] == ["tomorrow", "Wed 20 May", "Thu 21 May"]


def test_free_slots_begin_after_the_box_itself() -> None:
    ledger = house()
    first = free_slots(ledger, ref(ledger, "enclosure", "T-05"), 3)
    assert len(set(first)) == 3
    taken = {box.place for box in ledger.rows(Enclosure)}
    assert not {ref(ledger, "place", address) for address in first} & taken


def test_the_species_of_the_box_comes_first_then_all_that_are_kept() -> None:
    ledger = house()
    found = species_checks.offered(ledger, ref(ledger, "enclosure", "T-05"), {})
    assert found[0] == "Dicronorhina derbyana"
    assert len(found) == len(set(found)) == 4


def test_arrivals_are_listed_the_newest_first() -> None:
    books = record(
        house(),
        "arrival",
        species="Pachnoda marginata",
        count="9",
        age="L2",
        into="T-15",
        name="Late lot",
        sure=True,
    )
    assert ready(books, "T-15", "line", "lot") == ("Late lot", "Moss Gate spring")


def _card(ledger: Ledger, box: str, act: str, whom: str = "") -> Card:
    at = ref(ledger, "enclosure", box)
    offer = next(o for o in offers(ledger, at) if o.act == act)
    return card(ledger, at, known(act), offer, whom or offer.only, (), TODAY, lambda _: "")


def test_after_quarantine_the_stage_follows_from_who_is_there() -> None:
    books = record(
        house(), "arrival", species="Pachnoda marginata", count="9", age="L2", into="T-15", sure=True
    )
    for box, stage in (("T-10", "holding"), ("T-15", "larvae")):
        field = _card(books, box, "quarantine-over").field("stage")
        assert field is not None
        assert field.proposed == stage


def test_what_becomes_of_the_box_is_asked_only_of_the_last_one_there() -> None:
    books = house()
    offered = {b: {o.act: o for o in offers(books, ref(books, "enclosure", b))} for b in ("T-03", "T-08")}
    assert [len(acts["dead"].whom) for acts in offered.values()] == [2, 1]
    first, _ = offered["T-03"]["dead"].whom[0]
    assert _card(books, "T-03", "dead", first).field("rest") is None
    assert _card(books, "T-08", "dead").field("rest") is not None


def test_a_default_of_some_days_ahead_is_shown_as_the_day() -> None:
    until = _card(house(), "T-15", "arrival").field("until")
    assert until is not None
    assert until.otherwise == "17 Jun", "30 days after 18 May 2026"


def test_which_of_several_is_asked_only_where_there_are_several() -> None:
    one = house()
    two = record(one, "animal", "UMBER", number="77", in_="T-14", sure=True)
    for books, several in ((one, False), (two, True)):
        fields = {f.name for f in _card(books, "T-14", "wandering").fields}
        assert ("animal" in fields) is several
        assert "into" in fields, "what is no matter of several stays"
