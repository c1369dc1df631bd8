"""All that can be read in a damaged book comes into a new one, and what could not is listed."""

from __future__ import annotations

import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.problems import BookError
from rounds.store.book import open_book
from rounds.store.checkup import of_the_book
from rounds.store.salvage import salvage
from tests.sampled import sampled
from tests.store.houses import fill, held, new_house
from tests.store.test_migrations import OLD
from tests.store.test_row_checksums import said


@pytest.fixture(scope="module")
def whole_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("whole") / "tarn.book"
    with new_house(path, 20) as book:
        fill(book, 10, range(1, 21), [("moisture", "right"), ("jelly_gone", 2), ("note", "smells odd")])
    return path


@pytest.fixture
def whole(whole_once: Path, path: Path) -> Path:
    path.parent.mkdir()
    return Path(shutil.copy(whole_once, path))


def rows(path: Path) -> dict[str, set[str]]:
    """Every row by table, read without the program; without checksums and what opening writes."""
    with closing(sqlite3.connect(path)) as db:
        return {
            table: {
                repr(
                    {k: v for k, v in zip([c[0] for c in found.description], row, strict=True) if k != "crc"}
                )
                for row in found
            }
            for (table,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            if table not in ("sqlite_stat1", "schema_step", "meta")
            for found in [db.execute(f'SELECT * FROM "{table}"')]
        }


def sound(path: Path) -> None:
    assert [f for f in of_the_book(path) if f.state == "wrong"] == []


def test_a_sound_book_comes_out_as_it_was(path: Path) -> None:
    said(path)
    before = rows(path)
    new = path.with_name("new.book")
    n, lost = salvage(path, new)
    assert lost == []
    assert rows(new) == before
    assert n == sum(map(len, before.values())) + 2
    sound(new)
    with open_book(path) as one, open_book(new) as other:
        assert held(one) == held(other)
        assert one.identity == other.identity


def test_a_book_of_an_older_schema_is_salvaged_too(path: Path) -> None:
    path.parent.mkdir()
    shutil.copy(OLD / "2.book", path)
    _, lost = salvage(path, path.with_name("new.book"))
    assert lost == []
    sound(path.with_name("new.book"))


def page_of(path: Path, table: str, n: int) -> int:
    """The n-th leaf page of a table, from 1 as SQLite counts: by the bytes that stand in its rows."""
    content = path.read_bytes()
    with closing(sqlite3.connect(path)) as db:
        (root,) = db.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    if content[(root - 1) * 4096] == 13:
        return int(root)
    at = (root - 1) * 4096
    cell = int.from_bytes(content[at + 12 + 2 * n : at + 14 + 2 * n], "big")
    return int.from_bytes(content[at + cell : at + cell + 4], "big")


def scribble(path: Path, page: int) -> None:
    content = bytearray(path.read_bytes())
    content[(page - 1) * 4096 : page * 4096] = b"\xa5" * 4096
    path.write_bytes(content)


@pytest.mark.parametrize("table", ["visit", "remark"])
def test_a_page_of_rows_is_lost_and_all_others_are_there(table: str, whole: Path) -> None:
    before = rows(whole)
    scribble(whole, page_of(whole, table, 0))
    new = whole.with_name("new.book")
    damaged = whole.read_bytes()
    _, lost = salvage(whole, new)
    assert whole.read_bytes() == damaged
    assert any(some.table == table and "could not be read" in some.what for some in lost)
    after = rows(new)
    gone = before[table] - after[table]
    assert 0 < len(gone) < len(before[table])
    kept = {t: r for t, r in after.items() if t not in (table, "reading")}
    assert kept == {t: r for t, r in before.items() if t not in (table, "reading")}
    without_text = {row.split("'number'")[0] for row in before["reading"]}
    assert {row.split("'number'")[0] for row in after["reading"]} <= without_text
    if table == "remark":
        assert any("named a row of `remark`" in some.what for some in lost), (
            "no note yet to come may take its place"
        )
    if table == "visit":
        assert any("belonged to a row of `visit`" in some.what for some in lost)
        sound(new)
    with open_book(new) as book:
        assert book.rows("PRAGMA foreign_key_check") == []


def test_a_row_that_is_not_what_was_written_comes_along_and_is_listed(whole: Path) -> None:
    with closing(sqlite3.connect(whole)) as db:
        db.execute("UPDATE visit SET at_ms = 5 WHERE id = 7")
        db.commit()
    _, lost = salvage(whole, whole.with_name("new.book"))
    assert [(some.table, some.what) for some in lost] == [
        ("visit", "row 7 of `visit` is not what was written; look at it")
    ]
    sound(whole.with_name("new.book"))


def test_random_pages_scribbled_over_never_end_in_a_traceback(whole: Path) -> None:
    """Either a sound book comes out with a list, or it is said that nothing could be read; never an error of ours."""
    rng = random.Random(3)
    content = whole.read_bytes()
    made = 0
    for n in range(sampled(12, 200)):
        whole.write_bytes(content)
        for page in rng.sample(range(1, len(content) // 4096 + 1), rng.choice((1, 2, 5))):
            scribble(whole, page)
        new = whole.with_name(f"new{n}.book")
        try:
            _, lost = salvage(whole, new)
        except BookError:
            assert not new.exists()
            continue
        made += 1
        assert lost == [] or all(some.what for some in lost)
        assert {f.check for f in of_the_book(new) if f.state == "wrong"} <= {"the books"}
    assert made
    assert not list(whole.parent.glob(".*"))


def test_nothing_is_overwritten_and_no_book_is_told(whole: Path, tmp_path: Path) -> None:
    with pytest.raises(BookError, match="of this name already"):
        salvage(whole, whole)
    text = tmp_path / "text"
    text.write_text("jelly\n" * 900)
    with pytest.raises(BookError, match="No new book was made"):
        salvage(text, tmp_path / "new.book")
    assert not (tmp_path / "new.book").exists()


def test_as_it_is_typed(whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.sqlite"
    assert run(["--book", str(whole), "restore", "--salvage", str(new)]) == 0
    told = capsys.readouterr()
    assert "Every row could be read." in told.out
    assert f"made {new}" in told.err
    assert run(["--book", str(new), "restore", "--salvage", str(new)]) == 3
