"""A whole generation, from an arrival to the next pairing, through commands and walk keys alone.

Every derived date, count and parent is checked against what was recorded: species times are
those of config/species (mecynorhina-torquata.yaml), the hatch rule is: not before the female
went in plus the shortest egg time, not after the search less the shortest time to the instar
found.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.config import read
from rounds.husbandry.species import times
from rounds.records.ledger import Ledger
from rounds.records.tables import (
    TABLES,
    Animal,
    Brood,
    Content,
    Enclosure,
    Line,
    Lot,
    Mating,
    Pairing,
    Weight,
)
from rounds.settings.layers import layers
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from rounds.values.spans import Span
from rounds.walk.core import Walk

ZONE_MORNING = 6 * 3_600_000  # 07:00 in Berlin in winter


class House:
    """A keeper at a keyboard: commands, and rounds walked by keys."""

    def __init__(self, book: Path) -> None:
        self.book = book
        self.today = date(2026, 3, 1)

    def on(self, day: str) -> House:
        self.today = date.fromisoformat(day)
        return self

    def rounds(self, *words: str) -> None:
        code = run(["--book", str(self.book), "--today", self.today.isoformat(), *words])
        assert code == 0, words

    def record(self, *words: str) -> None:
        self.rounds("record", *words)

    def ledger(self) -> Ledger:
        with open_book(self.book, readonly=True) as book:
            return stored.load(book)

    def walk(self, **keys_by_code: str) -> Walk:
        """Walk to enclosures by number and type keys there; a key of several letters is in <>."""
        at_ms = (self.today.toordinal() - date(1970, 1, 1).toordinal()) * 86_400_000 + ZONE_MORNING
        walk = Walk(self.book, read(layers(None)[:1]), day=self.today.toordinal(), clock=lambda: at_ms)
        for code, keys in keys_by_code.items():
            for key in ["g", *code.removeprefix("no"), "enter", *_keys(keys)]:
                walk.press(key)
        walk.press("q")
        assert walk.close(20) is None
        return walk


def _keys(text: str) -> list[str]:
    out: list[str] = []
    while text:
        if text[0] == "<":
            name, _, text = text[1:].partition(">")
            out.append(name)
        else:
            out.append(text[0])
            text = text[1:]
    return out


def day(text: str) -> Span:
    n = date.fromisoformat(text).toordinal()
    return Span(n, n)


def animal(ledger: Ledger, line: str, number: str) -> Animal:
    id_ = ledger.find(Animal, ledger.find(Line, line), number)
    assert id_ is not None, number
    return ledger.row(Animal, id_)


def who(ledger: Ledger, code: str) -> list[Content]:
    box = ledger.find(Enclosure, code)
    assert box is not None
    return [c for c in ledger.rows(Content, Content.enclosure.is_(box)) if c.until is None]


def stage(ledger: Ledger, code: str) -> str:
    box = ledger.find(Enclosure, code)
    assert box is not None
    return ledger.row(Enclosure, box).stage


@pytest.mark.long
def test_a_generation(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    house = House(tmp_path / "house.sqlite")
    assert run(["new", str(house.book), "--house", "Tarn Lantern", "--zone", "Europe/Berlin"]) == 0
    house.record("shelf", "bay=A", "shelf=1", "slots=9")
    for n in range(1, 6):
        house.record("box", f"code=TL-0{n}", f"place=A1-{n}", "litres=12", "stage=prepared")

    # An arrival, with its papers, into quarantine; the animals get their numbers.
    house.record(
        "line", "name=UMBER", "species=Mecynorhina torquata", "generation=WF1 as the seller wrote it"
    )
    house.record(
        "arrival",
        "species=Mecynorhina torquata",
        "count=1.1.0",
        "into=TL-01",
        "name=Spring lot",
        "from=Nine Alders",
        "papers=P-7",
        "origin=off the old ridge road",
        "mated=no",
        "line=UMBER",
        "until=2026-03-31",
    )
    house.record("animal", "UMBER", "number=1", "sex=m", "in=TL-01", "counted=yes", "lot=Spring lot")
    house.record("animal", "UMBER", "number=2", "sex=f", "in=TL-01", "counted=yes", "lot=Spring lot")
    books = house.ledger()
    assert stage(books, "TL-01") == "quarantine"
    lot = next(books.rows(Lot))
    assert (lot.papers, lot.origin, lot.mated_before) == ("P-7", "off the old ridge road", "no")
    assert lot.quarantine_until == date(2026, 3, 31).toordinal()
    assert sorted(r.animal is not None for r in who(books, "TL-01")) == [True, True]

    # The morning walk in quarantine: what was eaten, and on.
    walk = house.on("2026-03-02").walk(no1="2<space>")
    assert walk.round.looked(0)
    house.on("2026-04-01").record("quarantine-over", "TL-01", "stage=holding")
    house.record("first-feed", "UMBER/1")
    house.record("first-feed", "UMBER/2", "on=about 2026-03-20")
    house.on("2026-04-14").record("mature", "UMBER/1")
    house.record("mature", "UMBER/2")
    assert animal(house.ledger(), "UMBER", "2").first_feed.words == "about 2026-03-20"

    # Paired; a mating is seen on the walk, with the act's keys.
    house.on("2026-04-15").record("pair", "TL-02", "female=UMBER/2", "males=UMBER/1")
    books = house.ledger()
    pairing = next(books.rows(Pairing))
    assert (pairing.paternity, pairing.since) == ("certain", day("2026-04-15"))
    assert (stage(books, "TL-02"), who(books, "TL-01")) == ("pairing", [])
    house.on("2026-04-18").walk(no2="2y1<space>")
    books = house.ledger()
    assert [r.seen for r in books.rows(Mating)] == [day("2026-04-18")]

    # She lays alone; digging is locked until the first search, which is due four weeks on.
    house.on("2026-05-01").record("to-laying", "TL-02", "to=TL-03")
    books = house.ledger()
    pairing = next(books.rows(Pairing))
    assert (stage(books, "TL-03"), pairing.until) == ("laying", day("2026-05-01"))
    capsys.readouterr()
    house.on("2026-05-20").rounds("due", "--until", "2026-06-10")
    assert "search" in capsys.readouterr().out
    walk = house.walk(no3="2<space>")
    assert any("dig" in lock.forbids for lock in walk.route.stops[walk.route.find("3") or 0].locks)

    # The search: at least six L1, two eggs left where they lie.
    house.on("2026-05-29").record("search", "TL-03", "how=complete", "l1=at least 6", "eggs=2")
    books = house.ledger()
    broods = {brood.instar: brood for brood in books.rows(Brood)}
    larvae, eggs = broods["L1"], broods["eggs"]
    known = times(read(layers(None)[:1]).species["Mecynorhina torquata"])
    assert known is not None
    assert known.egg is not None
    went_in, searched = date(2026, 5, 1).toordinal(), date(2026, 5, 29).toordinal()
    assert (larvae.hatch.earliest, larvae.hatch.latest) == (went_in + known.egg[0], searched)
    assert eggs.hatch.earliest >= searched  # they had not hatched by then
    assert (larvae.unsexed, larvae.at_least, eggs.unsexed) == (6, True, 2)
    books_pairing = books.row(Pairing, larvae.pairing)
    assert books_pairing.female == books.find(Animal, books.find(Line, "UMBER"), "2")

    # Split into tubs with running codes, in one step, none lost.
    name = larvae.name
    house.on("2026-06-12").record("split", name, "prefix=L", "tubs=6", "per=1", "litres=0.5", "age=L1")
    books = house.ledger()
    tubs = [f"L-0{n}" for n in range(1, 7)]
    assert all(stage(books, tub) == "larvae" and len(who(books, tub)) == 1 for tub in tubs)

    # They grow: counted as L3, numbered and sexed, weighed (a slip of the finger is asked about).
    house.on("2026-10-01")
    for n, tub in enumerate(tubs[:2], 11):
        house.record("counted", tub, "count=1", "instar=L3")
        house.record(
            "animal",
            "UMBER",
            f"number={n}",
            "sex=unknown",
            f"in={tub}",
            "counted=yes",
            f"brood={name}",
            "age=L3",
        )
    house.record("weigh", "UMBER/11", "grams=31.5")
    assert (
        run(["--book", str(house.book), "--today", "2026-11-01", "record", "weigh", "UMBER/11", "grams=3.3"])
        == 2
    )
    house.on("2026-11-01").record("weigh", "UMBER/11", "grams=33.0")
    house.record("sexed", "UMBER/11", "sex=m", "how=spot")
    house.record("sexed", "UMBER/12", "sex=f", "how=spot")

    # Wandering, cell, and out of it again: four dates, each as it was seen.
    for n, tub in ((11, "L-01"), (12, "L-02")):
        house.on("2026-12-01").record("wandering", tub)
        house.on("2026-12-20").record("cell", tub)
        house.on("2027-02-10").record("eclosed", f"UMBER/{n}", "on=before 2027-02-10")
        house.on("2027-03-15").record("emerged", f"UMBER/{n}")
        house.on("2027-03-20").record("first-feed", f"UMBER/{n}", "stage=holding")
        house.on("2027-04-02").record("mature", f"UMBER/{n}")
    books = house.ledger()
    son, daughter = animal(books, "UMBER", "11"), animal(books, "UMBER", "12")
    parents = [books.find(Animal, books.find(Line, "UMBER"), n) for n in ("1", "2")]
    for child in (son, daughter):
        assert [child.sire, child.dam] in (parents, [None, None])
        assert child.brood == books.find(Brood, name)
    assert (son.sex, son.sexed_sure, daughter.sex) == ("m", "likely", "f")
    assert son.eclosed.words == "before 2027-02-10"
    assert [r.grams for r in books.rows(Weight)] == [31.5, 33.0]

    # The next pairing is of full sibs: asked about, unless it is on purpose.
    assert (
        run(
            [
                "--book",
                str(house.book),
                "--today",
                "2027-04-05",
                "record",
                "pair",
                "TL-04",
                "female=UMBER/12",
                "males=UMBER/11",
            ]
        )
        == 2
    )
    assert "sib" in capsys.readouterr().err
    house.on("2027-04-05").record("pair", "TL-04", "female=UMBER/12", "males=UMBER/11", "purpose=sibs")
    books = house.ledger()
    assert sum(1 for r in books.rows(Pairing) if r.until is None) == 1

    # The walk and the summary of that day know it all.
    walk = house.on("2027-04-06").walk(no4="3<space>")
    box = next(s.enclosure for s in walk.route.stops if s.enclosure.code == "TL-04")
    assert (box.stage, {c.animal for c in box.contents}) == ("pairing", {"11", "12"})
    house.rounds("summary", "--as", "json")

    # All of it can still be taken back, newest first, to the boxes themselves: those were visited.
    taken = 0
    while run(["--book", str(house.book), "--today", "2027-04-06", "record", "undo"]) == 0:
        taken += 1
        assert taken < 200
    assert "was visited since" in capsys.readouterr().err
    left = house.ledger()
    for name in TABLES.keys() - {"enclosure", "place"}:
        assert all(record.void for record in left.table(name).values()), name
    assert {stage(left, f"TL-0{n}") for n in range(1, 5)} == {"prepared"}
    assert taken > 30
