"""Loading a folder: what is wrong is told at once and leaves the book as it was; what is right is all there."""

from __future__ import annotations

import hashlib
import os
import tracemalloc
from pathlib import Path

import pytest

from rounds.files.csv_rows import Sink, rows
from rounds.files.load import last_day, load_folder
from rounds.files.typed_tables import sheet
from rounds.problems import BadInput, BookError
from rounds.records.observations import House
from rounds.store import bulk
from rounds.store.book import Book, create, open_book
from rounds.store.snapshot import held, uid
from rounds.store.snapshot_visits import held_cells, held_visits
from tests.files.folders import HOUSE, VOCABULARY, write


def loaded(folder: Path, tables: dict[str, str | bytes], book: Book, **more: int) -> dict[str, int]:
    return load_folder(write(folder, tables), book, VOCABULARY, **more).added


def problems(folder: Path, tables: dict[str, str | bytes], book: Book) -> list[str]:
    with pytest.raises(BadInput) as e:
        load_folder(write(folder, tables), book, VOCABULARY)
    return [str(p) for p in e.value.problems]


def bent(table: str, old: str, new: str, **more: str | bytes) -> dict[str, str | bytes]:
    assert old in HOUSE[table]
    return {**HOUSE, table: HOUSE[table].replace(old, new), **more}


def fingerprint(book: Book) -> dict[str, str]:
    """The bytes of every file of the book that holds data."""
    folder = book.path.parent
    return {
        p.name: hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.iterdir())
        if not p.name.endswith("-shm")  # which readers hold what: no data
    }


def test_everything_of_a_small_house_arrives(tmp_path: Path, book: Book) -> None:
    added = loaded(tmp_path / "t", HOUSE, book)
    assert {k: n for k, n in added.items() if n} == {
        "house": 1,
        "keepers": 2,
        "places": 3,
        "lines": 2,
        "animals": 4,
        "enclosures": 3,
        "contents": 4,
        "locks": 2,
        "due": 1,
        "visits": 4,
        "readings": 7,
    }
    have = held(book.db)
    assert have.house == ("Tarn Lantern", "Europe/Berlin", 240, "serpentine")
    animals, boxes = have.tables["animal"], have.tables["enclosure"]
    contents, locks = list(have.tables["content"].values()), list(have.tables["lock"].values())
    assert animals["UMBER", "007"]["sire"] == ("UMBER", "1")
    assert animals["UMBER", "2"]["emerged"].words == "spring 2025"
    assert [(e["place"], e["slot_order"]) for e in boxes.values()] == [
        (("A", 1, 1), 1),
        (("A", 1, 2), 1),
        (("A", 1, 2), 2),
    ]
    assert [contents[3][c] for c in ("males", "females", "unsexed", "at_least", "instar")] == [
        0,
        0,
        9,
        True,
        "L2",
    ]
    assert contents[2]["animal"] == ("UMBER", "007")
    assert locks[0]["forbids"] == "dig open"
    assert locks[1]["animal"] == ("UMBER", "2")
    visits = held_visits(book.db, [uid("visit", f"v{n}") for n in (1, 2, 3, 4)])
    v1, v2, v3, v4 = (visits[uid("visit", f"v{n}")] for n in (1, 2, 3, 4))
    assert (v1.row.seq, v1.row.place, v1.row.keeper) == (1, ("A", 1, 1), "Ferrow")
    assert (v2.row.note, v3.row.skipped, v4.row.seq) == ("quiet, again", "leave", 1)
    cells = {r: (c.depth, c.value) for r, c in held_cells(book.db, [v1.id])[v1.id].items()}
    assert cells == {"heat": (0, 24.5), "eaten": (1, 3), "as_expected": (1, {"damp": "wet", "shut": True})}
    assert held_cells(book.db, [v4.id])[v4.id]["as_expected"].value == {"eaten": (1, 3)}


def test_loaded_twice_adds_nothing_and_touches_nothing(tmp_path: Path, book: Book) -> None:
    loaded(tmp_path / "t", HOUSE, book)
    before = fingerprint(book)
    assert not any(loaded(tmp_path / "t", HOUSE, book).values())
    assert fingerprint(book) == before


def test_into_a_book_with_records_only_new_rows_go(tmp_path: Path, book: Book) -> None:
    loaded(tmp_path / "t", HOUSE, book)
    more = {k: v for k, v in HOUSE.items() if k in ("visits", "readings", "animals", "contents")}
    more["animals"] += "UMBER,20,m,,UMBER/1,UMBER/2,,,alive\n"
    more["contents"] += "TL-002,UMBER,20,,,,,,\n"
    more["visits"] += "v5,2026-02-27T07:40,Tamsel,TL-002,,,\n"
    more["readings"] += "v5,damp,wall,dry,read\nv2,heat,wall,23.5,read\nv1,eaten,lid,1..3,expected\n"
    added = loaded(tmp_path / "more", more, book)
    assert {k: n for k, n in added.items() if n} == {"animals": 1, "contents": 1, "visits": 1, "readings": 3}
    found = held_visits(book.db, [uid("visit", f"v{n}") for n in (1, 4, 5)])
    v1, v4, v5 = (found[uid("visit", f"v{n}")] for n in (1, 4, 5))
    assert v5.row.seq == v4.row.seq + 1  # the same walk, continued
    assert held_cells(book.db, [v1.id])[v1.id]["as_expected"].value == {
        "damp": "wet",
        "shut": True,
        "eaten": (1, 3),
    }
    assert len(book.rows("SELECT id FROM round")) == 2
    assert book.row("SELECT closed_ms FROM round WHERE day = ?", (739674,)) == (v5.row.at_ms,)


@pytest.mark.parametrize(
    ("table", "old", "new", "said"),
    [
        ("house", "Tarn", "Dark Tarn", "house.csv:2:1  name: the book has `Tarn Lantern` here"),
        ("lines", "Moss Gate", "Nine Alders", "lines.csv:3:3  origin: the book has `Moss Gate` here"),
        (
            "animals",
            "UMBER,1,m",
            "UMBER,1,unknown",
            "animals.csv:2:3  sex: the book has `m` here, this row `unknown`",
        ),
        (
            "animals",
            "about 2025-11-03",
            "2025-11-03",
            "animals.csv:2:8  emerged: the book has `about 2025-11-03` here",
        ),
        (
            "enclosures",
            "TL-002,2,larvae",
            "TL-002,2,cell",
            "enclosures.csv:3:3  stage: the book has `larvae`",
        ),
        ("enclosures", "A1-1", "B3-2", "enclosures.csv:2:5  place: the book has A1-1 here, this row B3-2"),
        ("contents", "0,0,9", "0,1,8", "contents.csv:5:5  females: the book has `0` here, this row `1`"),
        ("due", "six weeks", "five weeks", "due.csv:2:6  why: the book has `six weeks` here"),
        (
            "visits",
            "T07:31,Ferrow",
            "T07:30,Ferrow",
            "visits.csv:2:2  at: the book has 2026-02-26T07:31 for this visit",
        ),
        (
            "visits",
            "quiet, again",
            "quiet",
            "visits.csv:3:7  note: the book has `quiet, again` for this visit",
        ),
        ("visits", ",leave,", ",time,", "visits.csv:4:6  skipped: the book has `leave` for this visit"),
        ("readings", "eaten,lid,3", "eaten,lid,4", "readings.csv:2:4  value: the book has `3` for `eaten`"),
        ("readings", "1..3", "1..4", "readings.csv:7:4  value: the book has 1/3 as usual for `eaten`"),
    ],
)
def test_a_row_unlike_the_book_is_a_conflict(
    tmp_path: Path, book: Book, table: str, old: str, new: str, said: str
) -> None:
    loaded(tmp_path / "t", HOUSE, book)
    before = fingerprint(book)
    told = problems(tmp_path / "t2", bent(table, old, new), book)
    assert any(line.startswith(said) for line in told), told
    assert fingerprint(book) == before


WRONG = [
    (
        "house",
        "Europe/Berlin",
        "Europe/Berln",
        "house.csv:2:2  zone: `Europe/Berln` is not a time zone",
        "Did you mean `Europe/Berlin`?",
    ),
    (
        "house",
        "serpentine\n",
        "serpentine\nAnother,Asia/Tokyo,,\n",
        "house.csv:3:1  name: a book holds one house",
        "Keep one.",
    ),
    ("house", "04:00", "4", "house.csv:2:3  day_starts: expected a time of day", ""),
    ("keepers", "Tamsel", "Ferrow", "keepers.csv:3:1  keeper: Ferrow stands in line 2 already", ""),
    ("places", "A,1,2", "A,1,1", "places.csv:3:3  slot: A1-1 stands in line 2 already", ""),
    ("lines", "LOCH,D", "LO/CH,D", "lines.csv:3:1  line: `LO/CH` holds a /", ""),
    (
        "animals",
        "LOCH,1,f",
        "LOHC,1,f",
        "animals.csv:5:1  line: there is no line LOHC.",
        "Did you mean `LOCH`?",
    ),
    ("animals", "UMBER,007", "UMBER,1", "animals.csv:4:2  animal: UMBER/1 stands in line 2 already", ""),
    (
        "animals",
        "UMBER/1,UMBER/2",
        "UMBER/2,UMBER/1",
        "animals.csv:4:5  sire: UMBER/2 is female; a sire cannot be",
        "",
    ),
    (
        "animals",
        "UMBER/1,UMBER/2",
        "UMBER/2,UMBER/1",
        "animals.csv:4:6  dam: UMBER/1 is male; a dam cannot be",
        "",
    ),
    (
        "animals",
        "UMBER/1,UMBER/2",
        "UMBER/9,UMBER/2",
        "animals.csv:4:5  sire: there is no animal UMBER/9",
        "Did you mean",
    ),
    (
        "animals",
        "UMBER/1,UMBER/2",
        "UMBER/007,",
        "animals.csv:4:5  sire: an animal cannot be its own ancestor: UMBER/007 <- UMBER/007",
        "",
    ),
    (
        "animals",
        "alive\nLOCH",
        "lively\nLOCH",
        "animals.csv:4:9  state: `lively` is not one of the answers",
        "Did you mean `alive`?",
    ),
    (
        "enclosures",
        "TL-003,3",
        "TL-003,1",
        "enclosures.csv:4:2  number: 1 is the number of TL-001 in line 2",
        "",
    ),
    ("enclosures", "TL-003,3", "TL-002,3", "enclosures.csv:4:1  code: TL-002 stands in line 3 already", ""),
    (
        "enclosures",
        "A1-1,,",
        "A1-9,,",
        "enclosures.csv:2:5  place: there is no slot A1-9",
        "Did you mean `A1-",
    ),
    (
        "enclosures",
        "larvae,January",
        "lavrae,January",
        "enclosures.csv:3:3  stage: `lavrae` is not one of the answers",
        "Did you mean `larvae`?",
    ),
    (
        "enclosures",
        "A1-2,,Dic",
        "A1-2,first,Dic",
        "enclosures.csv:4:6  order: `first` is not a number; expected a whole number",
        "",
    ),
    (
        "contents",
        "TL-002,UMBER,007",
        "TL-002,UMBER,1",
        "contents.csv:4:1  enclosure: UMBER/1 is in TL-001 (in line 2)",
        "",
    ),
    (
        "contents",
        "UMBER,007",
        "UMBER,7",
        "contents.csv:4:3  animal: there is no animal UMBER/7",
        "Did you mean",
    ),
    ("contents", "LOCH,,0,0,9", "LOCH,1,,,", "contents.csv:5:3  animal: LOCH/1 is dead in animals.csv", ""),
    (
        "contents",
        "0,0,9,yes",
        "0,0,0,",
        "contents.csv:5:3  animal: the row names no animal and counts none",
        "",
    ),
    (
        "contents",
        "TL-001,UMBER,1,,",
        "TL-001,UMBER,1,2,",
        "contents.csv:2:4  males: counts are for groups",
        "",
    ),
    (
        "contents",
        "yes,L2",
        "yes,L4",
        "contents.csv:5:8  instar: `L4` is not one of the answers; expected one of: eggs, L1, L2, L3",
        "",
    ),
    (
        "locks",
        "TL-003,,",
        ",,",
        "locks.csv:2:1  enclosure: a lock is on a box or on an animal; this row names neither",
        "",
    ),
    (
        "locks",
        "open dig",
        "open digg",
        "locks.csv:2:3  forbids: `digg` is not one of the answers",
        "Did you mean `dig`?",
    ),
    (
        "locks",
        "before 2026-03-01",
        "before 2026-01-15",
        "locks.csv:2:5  until: before 2026-01-15 is before the lock begins",
        "",
    ),
    ("due", "2026-02-25", "2026-04-25", "due.csv:2:5  latest: is before `likely` (2026-04-25)", ""),
    (
        "visits",
        "TL-002,2,,",
        "TL-02,2,,",
        "visits.csv:3:4  enclosure: there is no enclosure TL-02",
        "Did you mean `TL-002`?",
    ),
    ("visits", "v2,", "v1,", "visits.csv:3:1  visit: `v1` stands further up already", ""),
    (
        "visits",
        "Tamsel,TL",
        "Tamsl,TL",
        "visits.csv:5:3  keeper: there is no keeper Tamsl",
        "Did you mean `Tamsel`?",
    ),
    (
        "visits",
        "TL-002,2",
        "TL-002,1",
        "visits.csv:3:5  seq: 1 was given in this day's walk of Ferrow already",
        "",
    ),
    (
        "visits",
        ",leave,",
        ",later,",
        "visits.csv:4:6  skipped: `later` is not one of the answers; expected one of: leave, time",
        "",
    ),
    (
        "visits",
        "2026-02-27T07:31",
        "2026-03-29T02:30",
        "visits.csv:5:2  at: there was no 2026-03-29T02:30 in Europe/Berlin",
        "",
    ),
    ("readings", "v2,damp", "v9,damp", "readings.csv:6:1  visit: there is no visit v9", ""),
    (
        "readings",
        "v1,heat",
        "v1,haet",
        "readings.csv:2:2  reading: `haet` is not a reading",
        "Did you mean `heat`?",
    ),
    (
        "readings",
        "heat,wall,24.5",
        "heat,wall,245",
        "readings.csv:2:4  value: `245` is above 45, the highest possible; expected a number for `heat`, 0 to 45, in °C",
        "",
    ),
    (
        "readings",
        "v1,eaten,lid,3,read\n",
        "v1,heat,lid,3,read\n",
        "readings.csv:3:2  reading: `heat` was given for this visit already",
        "",
    ),
    (
        "readings",
        "damp,lid,wet,",
        "damp,lid,wte,",
        "readings.csv:4:4  value: `wte` is not one of the answers; expected one of: dry, right, wet",
        "Did you mean `wet`?",
    ),
    (
        "readings",
        "damp,lid,wet,",
        "damp,lis,wet,",
        "readings.csv:4:3  depth: `lis` is not one of the answers; expected one of: wall, lid, dug",
        "Did you mean `lid`?",
    ),
    (
        "readings",
        "yes,expected",
        "yes,guessed",
        "readings.csv:5:5  how: `guessed` is not one of the answers; expected one of: read, expected",
        "",
    ),
    (
        "readings",
        "shut,wall,yes",
        "shut,wall,",
        "readings.csv:5:4  value: is empty; expected what was read of `shut`",
        "",
    ),
    ("visits", "visit,at", "visit,when", "visits.csv:1:2  `when` is not a column of this table", ""),
    ("visits", "visit,at", "visit,when", "visits.csv:1  the column `at` (local date and time", ""),
    (
        "animals",
        "animal,sex,",
        "animal,animal,",
        "animals.csv:1:3  the column `animal` is here a second time",
        "Keep one.",
    ),
    ("lines", "WF1,\n", "WF1\n", "lines.csv:2:5  the row has 4 cells, the header 5", "Is a comma missing?"),
    ("due", "six weeks", "six, weeks", "due.csv:2:7  the row has 7 cells, the header 6", "in quotes"),
    ("lines", "Moss Gate", "Moss\0Gate", "lines.csv:3:3  holds a NUL character", "Take it out."),
]


@pytest.mark.parametrize(("table", "old", "new", "said", "hint"), WRONG)
def test_each_slip_is_told_with_its_place_and_the_book_stays(
    tmp_path: Path, book: Book, table: str, old: str, new: str, said: str, hint: str
) -> None:
    before = fingerprint(book)
    told = problems(tmp_path / "t", bent(table, old, new), book)
    found = [line for line in told if line.startswith(said)]
    assert found, told
    assert hint in found[0]
    assert fingerprint(book) == before


def test_many_slips_in_many_tables_are_told_at_once(tmp_path: Path, book: Book) -> None:
    tables: dict[str, str | bytes] = dict(HOUSE)
    for table, old, new, _, _ in WRONG[5:]:
        here = str(tables[table])
        if old in here and "\0" not in new and "column" not in _:
            tables[table] = str(tables[table]).replace(old, new, 1)
    told = problems(tmp_path / "t", tables, book)
    assert len({line.split(":")[0] for line in told}) >= 8
    assert told == sorted(told, key=lambda line: line.split(":")[0])


def test_a_bad_row_is_still_there_for_those_that_refer_to_it(tmp_path: Path, book: Book) -> None:
    told = problems(tmp_path / "t", bent("enclosures", "TL-001,1,pairing", "TL-001,1,paring"), book)
    assert len(told) == 1


def test_a_file_that_broke_off_says_nothing_about_what_it_lacks(tmp_path: Path, book: Book) -> None:
    told = problems(
        tmp_path / "t", {**HOUSE, "enclosures": HOUSE["enclosures"].encode() + b"\xff\xfe\n"}, book
    )
    assert [line.split("  ")[0] for line in told] == ["enclosures.csv:5:1"]


@pytest.mark.parametrize("table", ["house", "places", "enclosures"])
def test_a_missing_table_is_told_unless_the_book_has_its_rows(tmp_path: Path, book: Book, table: str) -> None:
    if table != "house":
        tables = {k: v for k, v in HOUSE.items() if k != table}
        assert any(f"{table}.csv  is missing" in line for line in problems(tmp_path / "t", tables, book))
    loaded(tmp_path / "all", HOUSE, book)
    assert not any(loaded(tmp_path / "rest", {k: v for k, v in HOUSE.items() if k != table}, book).values())


def test_other_files_are_left_alone_but_not_a_misspelt_table(tmp_path: Path, book: Book) -> None:
    folder = write(tmp_path / "t", HOUSE)
    (folder / "make.py").write_text("raise SystemExit\n")
    (folder / "prices.csv").write_text("a\n")
    assert load_folder(folder, book, VOCABULARY).other_files == ("make.py", "prices.csv")
    (folder / "reading.csv").write_text("a\n")
    (folder / "LINES.csv").write_text("a\n")
    with pytest.raises(BadInput) as e:
        load_folder(folder, book, VOCABULARY)
    assert [(p.file, p.hint) for p in e.value.problems] == [
        ("LINES.csv", "Did you mean `lines.csv`? Rename it or take it away."),
        ("reading.csv", "Did you mean `readings.csv`? Rename it or take it away."),
    ]


def test_no_folder_and_an_empty_table_are_told(tmp_path: Path, book: Book) -> None:
    with pytest.raises(BadInput, match="there is no such folder"):
        load_folder(tmp_path / "none", book, VOCABULARY)
    (told,) = problems(tmp_path / "t", {**HOUSE, "lines": b""}, book)
    assert told.startswith("lines.csv:1  is empty; expected the header line,species")


def test_a_header_alone_is_an_empty_table(tmp_path: Path, book: Book) -> None:
    added = loaded(tmp_path / "t", {**HOUSE, "due": "enclosure,what,earliest,latest\n"}, book)
    assert added["due"] == 0


def test_columns_may_stand_in_any_order_and_rows_apart(tmp_path: Path, book: Book) -> None:
    tables = dict(HOUSE)
    tables["readings"] = (
        "how,value,depth,reading,visit\nread,24.5,wall,heat,v1\nexpected,1..3,lid,eaten,v4\n"
        "expected,wet,lid,damp,v1\nread,dry,lid,damp,v4\nexpected,yes,wall,shut,v1\n"
    )
    loaded(tmp_path / "t", tables, book)
    v1 = held_visits(book.db, [uid("visit", "v1")])[uid("visit", "v1")]
    cells = held_cells(book.db, [v1.id])[v1.id]
    assert cells["as_expected"].value == {"damp": "wet", "shut": True}
    assert cells["as_expected"].depth == 1
    assert cells["heat"].value == 24.5


def test_texts_are_kept_letter_by_letter(tmp_path: Path, book: Book) -> None:
    note = "[bold]\x1b[31m\u202e=1+1 \U0001f41e " + "x" * 10_000
    tables = {**HOUSE, "lines": f'line,species,note\nUMBER,M,"{note}"\nLOCH,D,\'=SUM(A1)\n'}
    loaded(tmp_path / "t", tables, book)
    lines = held(book.db).tables["line"]
    assert lines["UMBER"]["note"] == note
    assert lines["LOCH"]["note"] == "=SUM(A1)"


def test_an_hour_passed_twice_is_remarked_once(tmp_path: Path, book: Book) -> None:
    tables = bent("visits", "2026-02-27T07:31,Tamsel", "2026-10-25T02:30,Tamsel")
    told = load_folder(write(tmp_path / "t", tables), book, VOCABULARY).remarks
    (remark,) = (t for t in told if "no pairing is on record" not in t)
    assert "One visit is in an hour that the clocks passed twice" in remark


def test_shifting_moves_every_date_and_nothing_else(tmp_path: Path, book: Book) -> None:
    folder = write(tmp_path / "t", HOUSE)
    load_folder(folder, book, VOCABULARY, shift_days=20)
    with create(tmp_path / "plain" / "b.book", House("", "UTC")) as other:
        load_folder(folder, other, VOCABULARY)
        a, b = held(other.db).tables, held(book.db).tables
        ids = [uid("visit", f"v{n}") for n in range(1, 5)]
        before, after = held_visits(other.db, ids), held_visits(book.db, ids)
    for column in ("earliest", "likely", "latest"):
        assert b["due"][1][column] == a["due"][1][column] + 20
    assert b["lock"][1]["from_day"] == a["lock"][1]["from_day"] + 20
    assert b["lock"][1]["until"].words == "before 2026-03-21"
    assert {after[i].row.day - before[i].row.day for i in ids} == {20}
    assert {after[i].row.at_ms - before[i].row.at_ms for i in ids} == {20 * 86_400_000}
    assert last_day(folder) == 739674


def test_a_last_day_needs_visits(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="has no visits"):
        last_day(write(tmp_path / "t", {"house": HOUSE["house"]}))
    with pytest.raises(BadInput, match=r"visits.csv:2:2"):
        last_day(write(tmp_path / "t2", {"visits": "visit,at,keeper,enclosure\nv,now,a,b\n"}))


def test_a_failure_in_the_middle_leaves_the_book_as_it_was(
    tmp_path: Path, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise bulk.pw.OperationalError("database or disk is full")

    monkeypatch.setattr(bulk.Loading, "cells", full)
    with pytest.raises(BookError):
        loaded(tmp_path / "t", HOUSE, book)
    monkeypatch.undo()
    assert held(book.db).empty
    assert loaded(tmp_path / "t", HOUSE, book)["readings"] == 7


def test_a_book_written_to_meanwhile_is_not_loaded_into(
    tmp_path: Path, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = bulk.Loading.__enter__

    def late(self: bulk.Loading) -> bulk.Loading:
        with open_book(book.path) as other, other.writing():
            other.run("INSERT INTO keeper (name) VALUES ('Tamsel')")
        return real(self)

    monkeypatch.setattr(bulk.Loading, "__enter__", late)
    with pytest.raises(BookError, match="changed while"):
        loaded(tmp_path / "t", HOUSE, book)
    monkeypatch.undo()
    assert held(book.db).keepers == ["Tamsel"]
    assert loaded(tmp_path / "t", HOUSE, book)["keepers"] == 1


def test_a_locked_book_is_said_in_a_sentence(tmp_path: Path, book: Book) -> None:
    with open_book(book.path) as other, other.writing(), pytest.raises(BookError, match="holds it locked"):
        loaded(tmp_path / "t", HOUSE, book)


def test_progress_counts_each_row_twice(tmp_path: Path, book: Book) -> None:
    told: list[tuple[str, int, int]] = []
    folder = write(tmp_path / "t", many(1_500))
    load_folder(folder, book, VOCABULARY, progress=lambda *a: told.append(a))
    of_readings = [(done, total) for table, done, total in told if table == "readings"]
    assert {total for _, total in of_readings} == {2 * 6_001}
    assert of_readings == sorted(of_readings)
    assert of_readings[-1][0] > 6_001


def many(visits: int) -> dict[str, str | bytes]:
    """The small house with so many visits of four readings each."""
    v = ["visit,at,keeper,enclosure"]
    r = ["visit,reading,depth,value,how"]
    for i in range(visits):
        day, minute, second = 1 + i // 3000, i // 60 % 50, i % 60
        v.append(f"n{i},2026-01-{day:02}T07:{minute:02}:{second:02},Ferrow,TL-00{i % 3 + 1}")
        r += [
            f"n{i},heat,lid,{20 + i % 97 / 10:.1f},read",
            f"n{i},eaten,lid,{i % 9},read",
            f"n{i},damp,lid,right,expected",
            f"n{i},shut,lid,yes,expected",
        ]
    return {**HOUSE, "visits": "\n".join(v) + "\n", "readings": "\n".join(r) + "\n"}


def test_memory_grows_little_with_rows(tmp_path: Path) -> None:
    """Bytes held at the peak per further reading: the id of its visit and a bit, not the row."""

    def peak(visits: int, whole: bool = False) -> int:
        folder = write(tmp_path / f"{visits}{whole}", many(visits))
        with create(tmp_path / f"{visits}{whole}.book", House("", "UTC")) as book:
            tracemalloc.start()
            kept = list(rows(folder / "readings.csv", Sink())) if whole else []
            if not whole:
                load_folder(folder, book, VOCABULARY)
            top = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
            assert len(kept) == (4 * visits + 1 if whole else 0)
        return top

    peak(10)  # what is imported and kept for good is no matter of rows
    readings = 4 * (6_000 - 2_000)
    assert (peak(6_000) - peak(2_000)) / readings < 100
    # The control: to keep the rows, and do nothing else, must be over the bound.
    assert (peak(6_000, True) - peak(2_000, True)) / readings > 100


@pytest.mark.skipif(os.name != "posix", reason="named pipes")
def test_a_pipe_under_a_tables_name_does_not_hang(tmp_path: Path, book: Book) -> None:
    folder = write(tmp_path / "t", {k: v for k, v in HOUSE.items() if k != "due"})
    os.mkfifo(folder / "due.csv")
    with pytest.raises(BadInput, match=r"due.csv  is not a file"):
        load_folder(folder, book, VOCABULARY)


ROUGH = (
    "enclosure,made,eggs,l1,l2,l3,at_least,high,count_words\n"
    "TL-001,2026-02-20,12,,3,,yes,20,between 15 and 20\n"
)


@pytest.mark.parametrize(
    ("old", "new", "said", "hint"),
    [
        (",20,", ",15,", "searches.csv:2:8  high: 15 is not above the 15 counted here", "an exact count"),
        (",20,", ",14,", "searches.csv:2:8  high: 14 is not above the 15 counted here", "an exact count"),
        ("yes", "no", "searches.csv:2:7  at_least: says no, but `high` says", ""),
    ],
)
def test_a_rough_count_must_fit_what_is_counted_where_some_was_left_unsaid(
    tmp_path: Path, book: Book, old: str, new: str, said: str, hint: str
) -> None:
    assert loaded(tmp_path / "good", {**HOUSE, "searches": ROUGH}, book)["searches"] == 1
    (search,) = held(book.db).tables["search"].values()
    assert [search[c] for c in ("eggs", "l1", "high")] == [12, None, 20]
    with create(tmp_path / "other" / "b.book", House("", "UTC")) as other:
        told = problems(tmp_path / "t", {**HOUSE, "searches": ROUGH.replace(old, new)}, other)
    assert len(told) == 1
    assert told[0].startswith(said), told
    assert hint in told[0]


PLANS = "plan,female,male,chosen,earliest,latest,pairing,dropped\nA,UMBER/2,UMBER/1,2026-02-20,2026-02-21,2026-03-05,,\n"


@pytest.mark.parametrize(
    ("old", "new", "said", "hint"),
    [
        ("UMBER/1", "UMBER/2", "plans.csv:2:3  male: UMBER/2 cannot be paired with itself", ""),
        ("UMBER/1", "UMBER/8", "plans.csv:2:3  male: there is no animal UMBER/8", "Did you mean"),
        ("2026-03-05", "2026-02-05", "plans.csv:2:6  latest: is before `earliest` (2026-02-21)", "in order"),
        (
            ",,\n",
            ",P-1,2026-02-25\n",
            "plans.csv:2:8  dropped: the plan was made already",
            "Leave one of them empty",
        ),
        (
            ",,\n",
            ",,\nB,UMBER/2,UMBER/1,,,,,\n",
            "plans.csv:3:2  female: UMBER/2 has an open plan, A (in line 2)",
            "`dropped`",
        ),
    ],
)
def test_a_plan_that_cannot_be_is_told(
    tmp_path: Path, book: Book, old: str, new: str, said: str, hint: str
) -> None:
    pairings = "pairing,female\nP-1,UMBER/2\n"
    assert loaded(tmp_path / "good", {**HOUSE, "plans": PLANS, "pairings": pairings}, book)["plans"] == 1
    with create(tmp_path / "other" / "b.book", House("", "UTC")) as other:
        told = problems(
            tmp_path / "t", {**HOUSE, "plans": PLANS.replace(old, new), "pairings": pairings}, other
        )
    assert len(told) == 1
    assert told[0].startswith(said), told
    assert hint in told[0]


def test_a_second_open_plan_is_told_against_the_book_too(tmp_path: Path, book: Book) -> None:
    loaded(tmp_path / "one", {**HOUSE, "plans": PLANS}, book)
    (told,) = problems(tmp_path / "two", {"plans": PLANS.replace("A,U", "B,U", 1)}, book)
    assert told.startswith("plans.csv:2:2  female: UMBER/2 has an open plan, A (in the book)")
    over = PLANS.replace("A,U", "B,U", 1).replace(",,\n", ",,2026-02-25\n")
    assert loaded(tmp_path / "three", {"plans": over}, book)["plans"] == 1


def test_folders_from_before_there_were_plans_load_as_they_are(tmp_path: Path, book: Book) -> None:
    """A folder without the tables and columns that came later: empty, and nothing is told."""
    loaded(tmp_path / "t", HOUSE, book)
    tables = held(book.db).tables
    assert [tables[t] for t in ("plan", "trial", "trial_female")] == [{}, {}, {}]
    assert {a["promised"] for a in tables["animal"].values()} == {""}
    assert {(x["subspecies"], x["locality"]) for x in tables["line"].values()} == {("", "")}


def test_boxes_without_a_short_number_get_the_lowest_free_ones(tmp_path: Path, book: Book) -> None:
    house = "name,zone\nA house,Europe/Berlin\n"
    places = "bay,shelf,slot\nA,1,1\n"
    loaded(
        tmp_path / "one",
        {"house": house, "places": places, "enclosures": "code,stage\nT-09,holding\nT-08,empty\n"},
        book,
    )
    assert {e["number"] for e in held(book.db).tables["enclosure"].values()} == {1, 2}
    more = "code,number,stage\nT-09,,holding\nT-01,3,empty\nT-02,,empty\nT-08,2,empty\n"
    loaded(tmp_path / "two", {"house": house, "places": places, "enclosures": more}, book)
    have = {code: e["number"] for code, e in held(book.db).tables["enclosure"].items()}
    assert have == {"T-09": 1, "T-08": 2, "T-01": 3, "T-02": 4}


@pytest.mark.parametrize(
    ("header", "sign"),
    [
        ("bay;shelf;slot", "semicolons (`;`)"),
        ('"bay";"shelf";"slot"', "semicolons (`;`)"),
        ('bay;"shelf";slot', "semicolons (`;`)"),
        ("bay\tshelf\tslot", "tabs"),
        ('"bay"\t"shelf"\t"slot"', "tabs"),
    ],
)
def test_a_table_that_other_signs_part_is_one_problem(tmp_path: Path, header: str, sign: str) -> None:
    (tmp_path / "places.csv").write_text(f"{header}\nA;1;2\nA;1;3,5\n")
    sink = Sink()
    found = sheet("places", tmp_path, sink)
    assert [str(p) for p in sink.problems] == [
        f"places.csv:1  has {sign} between its columns; expected commas. Open it in the spreadsheet again and "
        "save it as CSV with commas: where it asks for the separator, choose the comma; for the character set, "
        "UTF-8."
    ]
    assert not found.rows
    assert not found.whole


def test_a_damaged_header_with_commas_keeps_its_own_sentence(tmp_path: Path) -> None:
    (tmp_path / "places.csv").write_text('bay,"shelf;x"y,slot\n')
    sink = Sink()
    sheet("places", tmp_path, sink)
    assert [("parted" in p.message, "quote" in p.message) for p in sink.problems] == [(False, True)]


@pytest.mark.parametrize(
    ("table", "old", "new", "said"),
    [
        (
            "animals",
            "about 2025-11-03",
            "2025-13-03",
            "animals.csv:2:8  emerged of UMBER 1 (when it left its cell): ",
        ),
        (
            "due",
            "2026-02-25",
            "soonish",
            "due.csv:2:4  likely (the best guess): `soonish` is not a date; expected one day",
        ),
    ],
)
def test_a_day_that_cannot_be_read_is_told_with_its_meaning_and_row(
    tmp_path: Path, book: Book, table: str, old: str, new: str, said: str
) -> None:
    (line,) = [t for t in problems(tmp_path, bent(table, old, new), book) if t.startswith(f"{table}.csv")]
    assert line.startswith(said)


def test_two_put_together_without_a_pairing_on_record_are_remarked(tmp_path: Path, book: Book) -> None:
    (remark,) = load_folder(write(tmp_path / "t", dict(HOUSE)), book, VOCABULARY).remarks
    assert remark.startswith("TL-001 is for pairing, and no pairing is on record there.")
    assert "pairings.csv" in remark


@pytest.mark.parametrize(("until", "told"), [("", 0), ("2026-02-20", 1)])
def test_a_pairing_on_record_that_goes_on_is_not_remarked(
    tmp_path: Path, book: Book, until: str, told: int
) -> None:
    pairings = f"pairing,female,enclosure,since,until\nP-01,,TL-001,2026-02-01,{until}\n"
    tables: dict[str, str | bytes] = {**HOUSE, "pairings": pairings}
    assert len(load_folder(write(tmp_path / "t", tables), book, VOCABULARY).remarks) == told


def test_a_laying_enclosure_without_a_lock_is_remarked(tmp_path: Path, book: Book) -> None:
    """It is right as it is, and nothing would say that it must not be dug."""
    laying = HOUSE["enclosures"].replace("TL-001,1,pairing,", "TL-001,1,laying,")
    tables: dict[str, str | bytes] = {**HOUSE, "enclosures": laying}
    (remark,) = load_folder(write(tmp_path / "t", tables), book, VOCABULARY).remarks
    assert remark.startswith("TL-001 is laying since 1 Feb 2026 and has no lock: ")
    assert "locks.csv" in remark
    assert load_folder(tmp_path / "t", book, VOCABULARY).remarks == (), "told once"


def test_a_laying_enclosure_with_a_lock_is_not_remarked(tmp_path: Path, book: Book) -> None:
    laying = HOUSE["enclosures"].replace("TL-001,1,pairing,", "TL-001,1,laying,")
    locks = HOUSE["locks"] + "TL-001,,dig,2026-02-01,2026-02-28,first search\n"
    tables: dict[str, str | bytes] = {**HOUSE, "enclosures": laying, "locks": locks}
    assert load_folder(write(tmp_path / "t", tables), book, VOCABULARY).remarks == ()
