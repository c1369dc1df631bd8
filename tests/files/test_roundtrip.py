"""A book written out and loaded again is the same book, however its texts look."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rounds.files import write as writing
from rounds.files.csv_tables import TABLES
from rounds.files.load import load_folder
from rounds.files.local_times import Clock
from rounds.files.write import write_folder
from rounds.problems import BadInput, RoundsError
from rounds.records.observations import House
from rounds.store import ledger_store, read
from rounds.store.book import Book, create
from rounds.store.snapshot import uid
from rounds.store.snapshot_visits import held_cells, held_visits
from tests.files import whole
from tests.files.folders import HOUSE, VOCABULARY, csv_text
from tests.files.folders import write as tables
from tests.sampled import sampled

SLOW = settings(
    max_examples=sampled(12, 40),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@SLOW
@given(
    rows=whole.books(),
    walked=whole.looks,
    house=whole.texts.filter(bool),
    data=whole.recorded,
    guard=st.booleans(),
)
def test_written_and_loaded_again_is_identical(
    tmp_path_factory: pytest.TempPathFactory, rows: Any, walked: Any, house: str, data: Any, guard: bool
) -> None:
    folder = tmp_path_factory.mktemp("w")
    with (
        whole.make(folder / "a.book", rows, walked, house, data) as one,
        create(folder / "b.book", House("", "UTC")) as other,
    ):
        write_folder(folder / "out", one, VOCABULARY, guard=guard)
        load_folder(folder / "out", other, VOCABULARY)
        assert whole.content(folder / "b.book") == whole.content(folder / "a.book")
        assert ledger_store.load(other) == ledger_store.load(one)
        assert read.enclosures(other) == read.enclosures(one)
        assert sorted(read.history(other, since_day=0).items()) == sorted(
            read.history(one, since_day=0).items()
        )
        write_folder(folder / "again", other, VOCABULARY, guard=guard)
        assert not any(load_folder(folder / "out", other, VOCABULARY).added.values())
    for name in [t.file for t in TABLES]:
        assert (folder / "again" / name).read_bytes() == (folder / "out" / name).read_bytes(), name


@pytest.fixture
def small(tmp_path: Path) -> Any:
    with create(tmp_path / "s" / "a.book", House("", "UTC")) as book:
        load_folder(tables(tmp_path / "t", HOUSE), book, VOCABULARY)
        yield book


def test_the_comparison_would_show_a_change(small: Book, tmp_path: Path) -> None:
    """The control: a book that differs by one word in one row is not the same."""
    write_folder(tmp_path / "out", small, VOCABULARY)
    path = tmp_path / "out" / "lines.csv"
    path.write_text(path.read_text().replace("Moss Gate", "Moss Gates"))
    with create(tmp_path / "b.book", House("", "UTC")) as other:
        load_folder(tmp_path / "out", other, VOCABULARY)
    before, after = whole.content(small.path), whole.content(tmp_path / "b.book")
    assert [t for t in before if before[t] != after[t]] == ["line"]


def test_nothing_is_ever_overwritten(small: Book, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert write_folder(tmp_path / "empty", small, VOCABULARY)["animals"] == 4
    before = {p.name: p.read_bytes() for p in (tmp_path / "empty").iterdir()}
    for _ in range(2):
        with pytest.raises(RoundsError, match="nothing is overwritten"):
            write_folder(tmp_path / "empty", small, VOCABULARY)
    (tmp_path / "file").write_text("mine")
    with pytest.raises(RoundsError, match="not an empty folder"):
        write_folder(tmp_path / "file", small, VOCABULARY)
    assert {p.name: p.read_bytes() for p in (tmp_path / "empty").iterdir()} == before
    assert (tmp_path / "file").read_text() == "mine"


def test_a_folder_filled_meanwhile_is_left_alone(
    small: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = writing.described

    def late(*given_: Any) -> Any:
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / "mine.txt").write_text("mine")
        return real(*given_)

    monkeypatch.setattr(writing, "described", late)
    with pytest.raises(RoundsError, match="Nothing was left behind"):
        write_folder(tmp_path / "out", small, VOCABULARY)
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["mine.txt"]
    assert not list(tmp_path.glob(".out*"))


def test_a_failure_leaves_no_half_folder(
    small: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> Any:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, "_reading_lines", full)
    with pytest.raises(RoundsError, match="No space left"):
        write_folder(tmp_path / "out", small, VOCABULARY)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["s", "t"]


def test_formulas_are_defused_and_restored(small: Book, tmp_path: Path) -> None:
    hostile = ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "'=1", "plain"]
    with small.writing():
        for n, text in enumerate(hostile):
            small.run("INSERT INTO line (name, species, note) VALUES (?, 'M', ?)", (f"X{n}", text))
    write_folder(tmp_path / "out", small, VOCABULARY)
    write_folder(tmp_path / "bare", small, VOCABULARY, guard=False)
    cells = [c for p in (tmp_path / "out").glob("*.csv") for r in csv.reader(p.open(newline="")) for c in r]
    assert not [c for c in cells if c[:1] and c[0] in "=+-@\t\r"]
    bare = [c for r in csv.reader((tmp_path / "bare" / "lines.csv").open(newline="")) for c in r]
    assert "=1+1" in bare  # the control: without the guard they are there
    for folder in ("out", "bare"):
        with create(tmp_path / f"{folder}.book", House("", "UTC")) as other:
            load_folder(tmp_path / folder, other, VOCABULARY)
            assert [
                n for (n,) in other.rows("SELECT note FROM line WHERE name LIKE 'X%' ORDER BY id")
            ] == hostile


def test_a_folder_that_is_not_whole_is_told(small: Book, tmp_path: Path) -> None:
    write_folder(tmp_path / "out", small, VOCABULARY)
    (tmp_path / "out" / "readings.csv").unlink()
    with create(tmp_path / "b.book", House("", "UTC")) as other:
        with pytest.raises(BadInput, match=r"datapackage.json  lists readings.csv, which is not there"):
            load_folder(tmp_path / "out", other, VOCABULARY)
        (tmp_path / "out" / "datapackage.json").write_text("[")
        with pytest.raises(BadInput, match="is not a data package"):
            load_folder(tmp_path / "out", other, VOCABULARY)
        (tmp_path / "out" / "datapackage.json").unlink()
        assert load_folder(tmp_path / "out", other, VOCABULARY).added["visits"] == 4


def test_a_book_with_records_is_backed_up_before_a_load(small: Book, tmp_path: Path) -> None:
    more = {**HOUSE, "keepers": HOUSE["keepers"] + "Third\n"}
    before = whole.content(small.path)
    loaded = load_folder(tables(tmp_path / "more", more), small, VOCABULARY)
    (told,) = loaded.remarks
    (copy,) = small.path.with_name(small.path.name + ".backups").glob("*before-load*.book")
    assert str(copy) in told
    assert whole.content(copy) == before
    assert whole.content(small.path) != before
    # Nothing new, no copy: a second run of the same load leaves the folder alone.
    assert load_folder(tmp_path / "more", small, VOCABULARY).remarks == ()
    assert len(list(copy.parent.glob("*.book"))) == 1


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        (
            "act_changes",
            ",enclosure,",
            ",enclosuer,",
            "there is no table enclosuer. Did you mean `enclosure`?",
        ),
        ("act_changes", "TL-001", "TL-009", "row: there is no enclosure TL-009"),
        (
            "act_changes",
            ",stage,",
            ",stagee,",
            "column: enclosure has no column stagee. Did you mean `stage`?",
        ),
        ("act_changes", '""holding""', '""holding', "after: expected JSON"),
        ("acts", "TL-001", "TL-007", "subject: there is no enclosure TL-007"),
        ("acts", "Ferrow", "Nobody", "keeper: there is no keeper Nobody"),
        ("acts", "{", "[{", "given: expected JSON"),
    ],
)
def test_slips_in_acts_are_told_with_their_place(
    small: Book, tmp_path: Path, file: str, old: str, new: str, said: str
) -> None:
    whole._record(small, "stage", 1, {"stage": "holding", "on": "2026-02-01"})
    whole._record(small, "stage", 3, {"stage": "holding", "on": "2026-02-01"})
    with small.writing():
        small.run('UPDATE act_change SET "row" = 1')
        small.run("UPDATE act SET subject = 1")
    write_folder(tmp_path / "out", small, VOCABULARY)
    path = tmp_path / "out" / f"{file}.csv"
    head, _, rest = path.read_text().partition("\n")
    assert old in rest
    line = 2 + rest[: rest.index(old)].count("\n")
    path.write_text(f"{head}\n{rest.replace(old, new, 1)}")
    with create(tmp_path / "b.book", House("", "UTC")) as other:
        with pytest.raises(BadInput) as e:
            load_folder(tmp_path / "out", other, VOCABULARY)
        assert any(str(p).startswith(f"{file}.csv:{line}") and said in str(p) for p in e.value.problems), (
            e.value.problems
        )
        assert not other.rows("SELECT id FROM enclosure")


values = whole.values
typed = st.lists(
    st.fixed_dictionaries({}, optional={k: st.tuples(v, st.booleans()) for k, v in values.items()}),
    max_size=6,
)


@settings(max_examples=sampled(8, 25), deadline=None)
@given(
    looks=typed,
    start=st.integers(1_400_000_000_000, 2_000_000_000_000),
    order=st.randoms(use_true_random=False),
    note=whole.texts,
)
def test_visits_written_by_hand_arrive(
    tmp_path_factory: pytest.TempPathFactory,
    looks: list[dict[str, tuple[Any, bool]]],
    start: int,
    order: Any,
    note: str,
) -> None:
    clock = Clock("America/New_York", 240)
    visits, readings = [], []
    for n, look in enumerate(looks):
        visits.append([f"v{n}", clock.written(start + n * 61_234), "Ferrow", "T1", "", writing.guarded(note)])
        for reading, (value, expected) in look.items():
            said = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
            said = f"{said}..{said}" if expected and reading in ("eaten", "heat") else said
            readings.append([f"v{n}", reading, "lid", said, "expected" if expected else "read"])
    order.shuffle(readings)
    folder = tmp_path_factory.mktemp("v")
    tables(
        folder,
        {
            "house": "name,zone\nH,America/New_York\n",
            "keepers": "keeper\nFerrow\n",
            "places": "bay,shelf,slot\nA,1,1\n",
            "enclosures": "code,number,stage,place\nT1,1,holding,A1-1\n",
            "visits": csv_text(["visit", "at", "keeper", "enclosure", "seq", "note"], visits),
            "readings": csv_text(["visit", "reading", "depth", "value", "how"], readings),
        },
    )
    with create(folder / "a.book", House("", "UTC")) as book:
        load_folder(folder, book, VOCABULARY)
        assert not any(load_folder(folder, book, VOCABULARY).added.values())
        found = held_visits(book.db, [uid("visit", f"v{n}") for n in range(len(looks))])
        cells = held_cells(book.db, [v.id for v in found.values()])
    assert len(found) == len(looks)
    for n, look in enumerate(looks):
        id_, row = found[uid("visit", f"v{n}")]
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


def test_the_package_describes_every_table_and_column(small: Book, tmp_path: Path) -> None:
    write_folder(tmp_path / "out", small, VOCABULARY)
    package = json.loads((tmp_path / "out" / "datapackage.json").read_text())
    assert [r["path"] for r in package["resources"]] == [t.file for t in TABLES]
    for resource, table in zip(package["resources"], TABLES, strict=True):
        head = next(csv.reader((tmp_path / "out" / table.file).open(newline="")))
        assert head == [f["name"] for f in resource["schema"]["fields"]] == [c.name for c in table.columns]
