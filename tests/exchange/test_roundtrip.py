"""Any house written as tables arrives in the book as it was, however its texts look."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rounds.exchange.cells import guarded
from rounds.exchange.load import load_folder
from rounds.exchange.tables import BY_NAME
from rounds.exchange.times import Clock
from rounds.husbandry.records import House
from rounds.husbandry.spans import Span, parse, text
from rounds.husbandry.stages import FORBIDS, INSTARS, STAGES
from rounds.store.book import create
from rounds.store.held import (
    AnimalRow,
    ContentRow,
    DueRow,
    EnclosureRow,
    HouseRow,
    LineRow,
    LockRow,
    VisitRow,
    held,
    held_cells,
    held_visits,
    uid,
)
from tests.exchange.folders import VOCABULARY, csv_text, write

texts = st.text(st.characters(exclude_characters="\0", codec="utf-8"), max_size=12)
names = texts.filter(lambda t: bool(t) and t == t.strip())
line_names = names.filter(lambda t: "/" not in t)
days = st.integers(date(2000, 1, 1).toordinal(), date(2040, 1, 1).toordinal())
iso = days.map(lambda n: date.fromordinal(n).isoformat())
spans = st.one_of(
    st.none(),
    iso.map(parse),
    st.sampled_from(["unknown", "spring 2026", "May 2026", "about 2026-02-03"]).map(parse),
    st.builds("{} {}".format, st.sampled_from(["before", "after", "about"]), iso).map(parse),
)


@st.composite
def houses(draw: st.DrawFn) -> dict[str, list[Any]]:
    """Row objects by table, all of them consistent."""
    places = draw(st.lists(st.tuples(st.sampled_from("ABZ"), st.integers(1, 9), st.integers(1, 20)), min_size=1, max_size=4, unique=True))
    lines = [
        LineRow(n, draw(texts.filter(bool)), draw(texts), draw(texts), draw(texts))
        for n in draw(st.lists(line_names, min_size=1, max_size=3, unique=True))
    ]
    animals: list[AnimalRow] = []
    for line in lines:
        for number in draw(st.lists(names, max_size=3, unique=True)):
            known = [(a.line, a.animal) for a in animals]
            sire = draw(st.sampled_from([None, *(k for k, a in zip(known, animals, strict=True) if a.sex != "f")]))
            dam = draw(st.sampled_from([None, *(k for k, a in zip(known, animals, strict=True) if a.sex != "m")]))
            animals.append(
                AnimalRow(
                    line.line, number, draw(st.sampled_from(["m", "f", "unknown"])), draw(texts), sire, dam, None,
                    draw(spans), None, None, draw(st.sampled_from(["alive", "dead", "gone", "missing"])), draw(texts),
                )
            )  # fmt: skip
    codes = draw(st.lists(names, min_size=1, max_size=4, unique=True))
    numbers = draw(st.lists(st.integers(1, 999), min_size=len(codes), max_size=len(codes), unique=True))
    enclosures = [
        EnclosureRow(
            code, number, draw(st.sampled_from(STAGES)), draw(spans), draw(st.sampled_from([None, *places])), i + 1,
            draw(texts), draw(st.sampled_from([None, 0.2, 12.0])), draw(texts),
        )
        for i, (code, number) in enumerate(zip(codes, numbers, strict=True))
    ]  # fmt: skip
    contents = [
        ContentRow(draw(st.sampled_from(codes)), a.line, a.animal, 0, 0, 0, False, "", draw(spans))
        for a in animals
        if a.state == "alive" and draw(st.booleans())
    ]
    if draw(st.booleans()):
        contents.append(
            ContentRow(codes[0], lines[0].line, "", draw(st.integers(0, 9)), draw(st.integers(0, 9)), 1,
                       draw(st.booleans()), draw(st.sampled_from(["", *INSTARS])), draw(spans))
        )  # fmt: skip
    locks: list[LockRow] = []
    if draw(st.booleans()):
        forbids = [f for f in FORBIDS if draw(st.booleans())] or ["wet"]
        first = draw(days)
        locks.append(LockRow(codes[0], None, " ".join(forbids), first, draw(st.sampled_from([None, Span(first, first)])), draw(texts.filter(bool))))
    start = draw(days)
    due = [DueRow(codes[0], draw(texts.filter(bool)), start, None, start + draw(st.integers(0, 30)), draw(texts))]
    return {
        "house": [HouseRow(draw(texts.filter(bool)), "Europe/Berlin", draw(st.integers(0, 1439)), "straight")],
        "places": places, "lines": lines, "animals": animals, "enclosures": enclosures, "contents": contents,
        "locks": locks, "due": due, "keepers": draw(st.lists(names, min_size=1, max_size=2, unique=True)),
    }  # fmt: skip


def cell(value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Span):
        return text(value)
    if isinstance(value, tuple):
        return f"{value[0]}{value[1]}-{value[2]}" if len(value) == 3 else "/".join(value)
    return str(value)


def as_tables(house: dict[str, list[Any]]) -> dict[str, str | bytes]:
    out: dict[str, str | bytes] = {}
    for name, rows in house.items():
        columns = [c.name for c in BY_NAME[name].columns]
        table = []
        for row in rows:
            cells = [cell(v) for v in row] if isinstance(row, tuple) else [row]
            if name == "house":
                cells[2] = f"{row.day_starts // 60:02}:{row.day_starts % 60:02}"
            elif name == "locks":
                cells[3] = date.fromordinal(row.from_day).isoformat()
            elif name == "due":
                cells[2:5] = ["" if d is None else date.fromordinal(d).isoformat() for d in row[2:5]]
            elif name == "contents" and row.animal:
                cells[3:7] = [""] * 4
            table.append([guarded(c) for c in cells])
        out[name] = csv_text(columns, table)
    return out


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(house=houses())
def test_what_was_written_is_what_is_held(tmp_path_factory: pytest.TempPathFactory, house: dict[str, list[Any]]) -> None:
    folder = tmp_path_factory.mktemp("h")
    write(folder / "t", as_tables(house))
    with create(folder / "a.book", House("", "UTC")) as book:
        load_folder(folder / "t", book, VOCABULARY)
        have = held(book.db)
        again = load_folder(folder / "t", book, VOCABULARY)
    assert have.house == house["house"][0]
    assert have.keepers == set(house["keepers"])
    assert have.places == set(house["places"])
    assert list(have.lines.values()) == house["lines"]
    assert list(have.animals.values()) == house["animals"]
    assert list(have.enclosures.values()) == house["enclosures"]
    assert have.contents == house["contents"]
    assert have.locks == house["locks"]
    assert have.due == house["due"]
    assert not any(again.added.values())


values = {
    "eaten": st.integers(0, 9),
    "heat": st.integers(0, 450).map(lambda n: n / 10),
    "damp": st.sampled_from(["dry", "right", "wet"]),
    "shut": st.booleans(),
}
looks = st.lists(
    st.fixed_dictionaries({}, optional={k: st.tuples(v, st.booleans()) for k, v in values.items()}), max_size=6
)


@settings(max_examples=25, deadline=None)
@given(looks=looks, start=st.integers(1_400_000_000_000, 2_000_000_000_000), order=st.randoms(use_true_random=False),
       note=texts)  # fmt: skip
def test_visits_and_readings_arrive(
    tmp_path_factory: pytest.TempPathFactory, looks: list[dict[str, tuple[Any, bool]]], start: int, order: Any, note: str
) -> None:
    clock = Clock("America/New_York", 240)
    visits, readings = [], []
    for n, look in enumerate(looks):
        visits.append([f"v{n}", clock.written(start + n * 61_234), "Ferrow", "T1", "", guarded(note)])
        for reading, (value, expected) in look.items():
            said = f"{value}..{value}" if expected and reading in ("eaten", "heat") else cell(value) or str(value)
            readings.append([f"v{n}", reading, "lid", said, "expected" if expected else "read"])
    order.shuffle(readings)
    folder = tmp_path_factory.mktemp("v")
    write(folder, {
        "house": "name,zone\nH,America/New_York\n", "keepers": "keeper\nFerrow\n", "places": "bay,shelf,slot\nA,1,1\n",
        "enclosures": "code,number,stage,place\nT1,1,holding,A1-1\n",
        "visits": csv_text(["visit", "at", "keeper", "enclosure", "seq", "note"], visits),
        "readings": csv_text(["visit", "reading", "depth", "value", "how"], readings),
    })  # fmt: skip
    with create(folder / "a.book", House("", "UTC")) as book:
        load_folder(folder, book, VOCABULARY)
        assert not any(load_folder(folder, book, VOCABULARY).added.values())
        found = held_visits(book.db, [uid("visit", f"v{n}") for n in range(len(looks))])
        cells = held_cells(book.db, [v.id for v in found.values()])
    assert len(found) == len(looks)
    for n, look in enumerate(looks):
        id_, row = found[uid("visit", f"v{n}")]
        assert isinstance(row, VisitRow)
        assert (row.at_ms, row.note, row.place) == (start + n * 61_234, note, ("A", 1, 1))
        own = {r: c.value for r, c in cells[id_].items() if r not in ("as_expected", "note")}
        assert own == {r: v for r, (v, expected) in look.items() if not expected}
        confirmed = cells[id_]["as_expected"].value if "as_expected" in cells[id_] else {}
        assert confirmed == {
            r: (v, v) if r in ("eaten", "heat") else v for r, (v, expected) in look.items() if expected
        }


def test_a_visit_keeps_an_id_that_is_a_uuid() -> None:
    raw = bytes(range(16))
    as_text = "00010203-0405-0607-0809-0a0b0c0d0e0f"
    assert uid("visit", as_text) == raw
    assert uid("visit", as_text.upper()) != raw
    assert len({uid("visit", "a"), uid("round", "a"), uid("visit", "b")}) == 3
    made = uid("visit", "a")
    assert made[6] >> 4 == 8
    assert made[8] >> 6 == 2
