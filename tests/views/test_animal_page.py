"""An animal's page: F, weights before it had a number, what is forbidden."""

from __future__ import annotations

from rounds.records.ledger import Draft
from rounds.records.tables import Content, Lock, Weight
from tests.acts.books import TODAY, house, record, ref, span
from tests.views.on_books import OnBooks, part
from tests.views.test_family_pages import family


def test_f_is_told_in_three_readings():
    ledger = family()
    books = OnBooks(ledger)
    assert dict(books.page("animal", ref(ledger, "animal", "UMBER/1")).facts)["F"].startswith(
        "0, at most 0.25 (parents not"
    )
    assert dict(books.page("animal", ref(ledger, "animal", "UMBER/9")).facts)["F"].startswith(
        "0–0.25, at most 0.375"
    )


def test_weights_before_it_had_a_number_are_only_likely_its_and_those_of_a_group_nobodys():
    d = Draft(house())
    line = ref(d.ledger, "line", "LOCH")
    for box, grams in (("T-05", 8.0), ("T-14", 21.0)):
        where = ref(d.ledger, "enclosure", box)
        single = box == "T-14"
        group = d.add(
            Content(
                enclosure=where,
                line=line,
                unsexed=1 if single else 5,
                instar="L3",
                since=span("2026-01-18"),
            )
        )
        d.add(Weight(content=group, made=span("2026-03-18"), grams=grams, instar="L3"))
        d.add(Weight(content=group, made=span("2026-04-01"), grams=grams + 4, instar="L3"))
    ledger = record(d.ledger, "animal", "LOCH", number="s", in_="T-14", age="L3")
    ledger = record(ledger, "animal", "LOCH", number="g", in_="T-05", age="L3")
    books = OnBooks(record(ledger, "weigh", "LOCH/s", grams="30"))
    alone = books.page("animal", ref(ledger, "animal", "LOCH/s"))
    assert [(r[1], r[4], r[5]) for r in part(alone, "weights")] == [
        ("30 g", "its own", "+5 g in 47 d"),
        ("25 g", "likely its", "+4 g in 14 d"),
        ("21 g", "likely its", ""),
    ]
    assert alone.drawn[-1].endswith("? likely its")
    many = books.page("animal", ref(ledger, "animal", "LOCH/g"))
    assert [(r[1], r[4], r[5]) for r in part(many, "weights")] == [
        ("12 g", "one of several", ""),
        ("8 g", "one of several", ""),
    ]
    assert many.drawn == ()


def test_what_is_forbidden_is_said_for_the_animal_and_not_for_its_neighbour():
    d = Draft(house())
    one, two = ref(d.ledger, "animal", "KESTREL/1"), ref(d.ledger, "animal", "KESTREL/2")
    d.add(Lock(animal=one, forbids="move", from_day=TODAY - 3, reason="a leg is hurt"))
    d.add(
        Lock(
            enclosure=ref(d.ledger, "enclosure", "T-03"),
            forbids="open",
            from_day=TODAY,
            until=span("2026-05-26"),
            reason="quiet",
        )
    )
    d.add(Lock(animal=one, forbids="wet", from_day=TODAY - 9, lifted=TODAY - 1, reason="over"))
    cell = ref(d.ledger, "animal", "TALLOW/7")
    books = OnBooks(d.ledger)

    def forbidden(animal: int) -> list[tuple[str, ...]]:
        return [r for r in part(books.page("animal", animal), "now") if r[0].startswith("do not")]

    quiet = ("do not open", "quiet", "through 26 May 2026")
    assert forbidden(one) == [("do not move", "a leg is hurt", "until it is lifted"), quiet]
    assert forbidden(two) == [quiet]
    assert [r[2] for r in forbidden(cell)] == ["while in this stage"]
