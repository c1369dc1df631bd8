"""Every row has its checksum, whoever wrote it; damage is told, and stays told when something is written beside it."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from rounds.problems import BookError
from rounds.records.entries import (
    Assign,
    CloseRound,
    Entry,
    OpenRound,
    OpenVisit,
    RecordActEntry,
    SetActionEntry,
    SetFlag,
    StandAt,
    UndoActEntry,
)
from rounds.records.observations import Action, Flag
from rounds.store import damage, row_checksums
from rounds.store.apply_entries import apply
from rounds.store.backup import back_up
from rounds.store.book import Book, open_book
from rounds.store.checkup import of_the_book
from rounds.store.models import MODELS
from rounds.store.row_verifying import Verified, verify
from tests.sampled import sampled
from tests.store.houses import DAY, NOON, fill, new_house
from tests.store.test_migrations import OLD

V, R = b"v" * 16, b"r" * 16
UNHASHED = {"meta", "schema_step", "step"}
"""Tables without checksums.

``meta`` and ``schema_step`` say what file this is, and each in part what the other says; which book it is, which
program brought its schema in, and the titles and days of later steps stand there once. ``step`` has what undo needs
until its round is closed; what it was that changed stands in ``change``, which has checksums, as well.
"""


def action(state: str = "open", why: str = "") -> Action:
    return Action(b"a" * 16, 1, "foul", "now", "it smells", "air it", DAY, state=state, why=why)


def entries() -> list[Entry]:
    """One of each kind that leaves something in the book."""
    flag = Flag("foul", "now", "it smells", "air it", "")
    return [
        OpenRound(R, "Wren", DAY, NOON, "UTC"),
        OpenVisit(V, R, 1, 1, NOON),
        Assign(V, "jelly_gone", 0, None, 2, NOON, "Wren"),
        Assign(V, "moisture", 1, None, "right", NOON, "Wren"),
        Assign(V, "note", 0, None, "smells ödd", NOON, "Wren"),
        Assign(V, "note", 0, "smells ödd", "smells odd", NOON + 1, "Wren"),
        Assign(V, "jelly_gone", 2, 2, 3, NOON + 2, "Wren", "miscounted"),
        Assign(V, "moisture", 1, "right", None, NOON + 3, "Wren"),
        Assign(V, "temperature", 0, None, -0.0, NOON, "Wren"),
        SetFlag(V, flag, stands=True, fingerprint="f"),
        SetFlag(V, flag._replace(reason="it smells strongly"), stands=True, fingerprint="f"),
        SetActionEntry(action(), V, NOON, "Wren"),
        SetActionEntry(action("done", "aired"), V, NOON + 4, "Wren"),
        RecordActEntry(
            b"1" * 16, "look-again", "TL-001", {"about": "the heater", "because": "so"}, DAY, NOON, "Wren"
        ),
        RecordActEntry(
            b"2" * 16, "line", "", {"name": "UMBER", "species": "Eudicella smithi"}, DAY, NOON, "Wren"
        ),
        UndoActEntry(b"3" * 16, b"1" * 16, DAY, NOON, "Wren"),
        StandAt(R, 2),
        CloseRound(R, NOON + 5, (2, 3)),
    ]


def look(path: Path) -> Verified:
    with closing(sqlite3.connect(path)) as db:
        return verify(db)


def test_every_table_but_three_has_checksums(book: Book) -> None:
    assert set(row_checksums.tables_of(book.db)) == {m._meta.table_name for m in MODELS} - UNHASHED - {
        "reading"
    }


def said(path: Path) -> Path:
    """A book in which each kind of entry has left something."""
    with new_house(path) as book:
        fill(book, 2, [1, 2, 3], [("moisture", "right"), ("jelly_gone", 2), ("note", "smells odd")])
        with book.writing():
            apply(book, entries())
            row_checksums.seal_all(book.db)  # what the test's own house wrote by hand
    return path


def test_whatever_writes_a_row_seals_it(path: Path) -> None:
    with new_house(path) as book, book.writing():
        row_checksums.seal_all(book.db)
        fill_in = entries()
        for entry in fill_in:
            apply(book, [entry])
            found = verify(book.db.connection())  # type: ignore[no-untyped-call]
            assert (found.unvouched, found.damaged) == (0, ()), entry
        again = verify(book.db.connection())  # type: ignore[no-untyped-call]
        apply(book, fill_in[:-1])  # applied twice nothing changes, and nothing disagrees
        assert verify(book.db.connection()).damaged == ()  # type: ignore[no-untyped-call]
        assert again.rows > 30


def test_what_is_loaded_is_sealed_also_into_visits_that_were_there(demo_book: Path) -> None:
    """The demo book is loaded from tables; its expected values are joined to visits of the same load."""
    found = look(demo_book)
    assert found.rows > 3000
    assert (found.unvouched, found.damaged) == (0, ())


@pytest.mark.parametrize("version", [1, 2, 3])
def test_a_book_of_before_vouches_from_its_migration_on(version: int, path: Path) -> None:
    path.parent.mkdir()
    shutil.copy(OLD / f"{version}.book", path)
    assert look(path) == Verified(0, 0, ())
    with open_book(path):
        pass
    found = look(path)
    assert found.rows > 10
    assert (found.unvouched, found.damaged) == (0, ())


CHANGES = [
    "UPDATE visit SET at_ms = at_ms + 1 WHERE id = 3",
    "UPDATE reading SET number = number + 1 WHERE visit = 2 AND kind = (SELECT max(kind) FROM reading WHERE visit = 2)",
    "UPDATE reading SET kind = 99 WHERE visit = 2 AND kind = (SELECT min(kind) FROM reading WHERE visit = 2)",
    "DELETE FROM reading WHERE visit = 2",
    "UPDATE phrase SET text = 'wet' WHERE text = 'right'",
    "UPDATE remark SET text = 'smells old' WHERE id = 1",
    "UPDATE remark SET text = CAST(text AS BLOB) WHERE id = 1",
    "UPDATE remark SET text = CAST(x'736dff' AS TEXT) WHERE id = 1",
    "UPDATE act SET undone_by = NULL",
    "UPDATE enclosure SET stage = 'laying' WHERE id = 1",
    "UPDATE enclosure SET litres = 5.000001 WHERE id = 1",
    "UPDATE line SET void = 1",
    "UPDATE keeper SET name = 'Wrem' WHERE name = 'Wren'",
    "UPDATE house SET day_starts = 241",
    "UPDATE action SET state = 'open'",
    "UPDATE flag SET stands = 0",
    "UPDATE meta SET schema = 4",
    "UPDATE meta SET schema = x'05'",
    "UPDATE meta SET needs = x'30'",
    "UPDATE meta SET book = 'sixteen letters!'",
    "UPDATE meta SET made_ms = made_ms + 1",
    "UPDATE schema_step SET version = 4",
    "DELETE FROM meta",
]


@pytest.mark.parametrize("change", CHANGES)
def test_a_value_that_another_one_has_taken_the_place_of_is_told(change: str, path: Path) -> None:
    said(path)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute(change).rowcount
        db.commit()
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",), "SQLite itself finds nothing"
    assert look(path).damaged
    assert {f.check: f.state for f in of_the_book(path)}["checksums"] == "wrong"
    with pytest.raises(BookError, match="damaged"):
        back_up(path)


@pytest.mark.parametrize(
    ("was", "now"),
    [
        (b"tableduedue", b"taBleduedue"),
        (b'"crc" INTEGER', b'"\xe3rc" INTEGER'),
        (b'"walk_order" TEXT', b'"\xf7alk_order" TEXT'),  # a name that cannot be asked for
    ],
)
def test_a_table_that_the_schema_names_otherwise_is_told(was: bytes, now: bytes, path: Path) -> None:
    """It would not be among the tables that are verified, or have no checksums: nothing of it would be told."""
    content = said(path).read_bytes()
    assert was in content
    path.write_bytes(content.replace(was, now, 1))
    assert {row.table for row in look(path).damaged}
    assert told_by_checkup(path)


def test_writing_beside_damage_does_not_make_it_good(path: Path) -> None:
    said(path)
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE visit SET seq = 9 WHERE uid = ?", (V,))
        db.execute("UPDATE enclosure SET note = 'x' WHERE id = 1")
        db.execute("UPDATE flag SET day = 1")
        db.execute("UPDATE action SET rule = 'x'")
        db.execute("UPDATE \"round\" SET name = 'x' WHERE uid = ?", (R,))
        db.commit()
    before = {row.table for row in look(path).damaged}
    assert before == {"visit", "enclosure", "flag", "action", "round"}
    with open_book(path) as book, book.writing():
        later = [e for e in entries() if not isinstance(e, (RecordActEntry, UndoActEntry))]
        apply(book, [*later, Assign(V, "jelly_gone", 0, 3, 1, NOON + 9, "Wren")])
    assert {row.table for row in look(path).damaged} == before


# Bytes that flip


class Flipped:
    """What became of flips: by the table the page belongs to, how many changed a value, and how many of those were told."""

    def __init__(self) -> None:
        self.told: Counter[str] = Counter()
        self.silent: Counter[str] = Counter()
        self.harmless = 0


def contents(path: Path) -> dict[str, list[tuple[object, ...]]] | None:
    """Every value of every table, read without the program; None where SQLite cannot."""
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro&immutable=1", uri=True)) as db:
            db.text_factory = bytes
            tables = db.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            return {
                table.decode(): sorted(map(repr, db.execute(f'SELECT * FROM "{table.decode()}"')))  # type: ignore[misc]
                for (table,) in tables
                if table != b"sqlite_stat1"
            }
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def owners(path: Path) -> dict[int, str]:
    """The table or index that each page belongs to, by number."""
    with closing(sqlite3.connect(path)) as db:
        try:
            rows = db.execute("SELECT pageno, name FROM dbstat").fetchall()
        except sqlite3.OperationalError:  # a build without it
            return {}
    return dict(rows)


def flip(path: Path, times: int, seed: int, tell: Callable[[Path], bool]) -> Flipped:
    """Change one byte at a time, drawn over all pages, and look whether a changed value is told."""
    rng = random.Random(seed)
    whole, before, belongs = path.read_bytes(), contents(path), owners(path)
    assert before is not None
    out = Flipped()
    copy = path.with_name("flipped.book")
    for _ in range(times):
        page = rng.randrange(len(whole) // 4096)
        used = [at for at in range(page * 4096, page * 4096 + 4096) if whole[at] and at >= 100]
        if not used:
            continue  # a page that nothing stands in yet; the head of the file is not drawn
        at = rng.choice(used)
        content = bytearray(whole)
        content[at] ^= 1 << rng.randrange(8)
        copy.write_bytes(content)
        after = contents(copy)
        changed = None if after is None else {t for t in before if after.get(t) != before[t]}
        if changed is not None and not changed:
            out.harmless += 1
            continue
        where = "/".join(sorted(changed)) if changed else belongs.get(at // 4096 + 1, "unreadable")
        (out.told if tell(copy) else out.silent)[where] += 1
    return out


def told_by_checkup(path: Path) -> bool:
    return any(found.state == "wrong" for found in of_the_book(path))


def test_every_flip_that_changes_a_value_is_told(path: Path) -> None:
    """But for tables without checksums."""
    said(path)
    found = flip(path, sampled(150, 5000), 1, told_by_checkup)
    assert sum(found.told.values()) > sampled(25, 500), "flips that change something were drawn"
    assert not {tables for tables in found.silent if not set(tables.split("/")) <= UNHASHED}, found.silent


def test_control_without_checksums_flips_stay_unheard(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    said(path)
    monkeypatch.setattr(damage, "verify", lambda _: Verified(0, 0, ()))
    bare = flip(path, sampled(150, 1000), 1, lambda at: damage.what_is_damaged(at) != "")
    assert {tables for tables in bare.silent if not set(tables.split("/")) <= UNHASHED}
