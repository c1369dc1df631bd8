"""A book is at one schema or the next, never between; and every released schema can be brought up."""

from __future__ import annotations

import random
import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from rounds.acts import registry
from rounds.problems import BookError
from rounds.records.tables import (
    TABLES,
    Animal,
    Brood,
    Content,
    Fewer,
    Line,
    Lock,
    Lot,
    Pairing,
    PlannedPairing,
    Search,
    Trial,
    TrialFemale,
)
from rounds.store import ledger_store, migrations
from rounds.store.backup import folder_of
from rounds.store.book import Book, open_book
from rounds.store.connection import connect
from rounds.store.migration_steps import SCHEMA, SCHEMAS, STEPS, MigrationStep, statements
from rounds.store.orm import pw, run
from rounds.store.row_verifying import verify
from rounds.values.span_parser import parse_span
from tests.endtoend.rack import rows_of
from tests.sampled import sampled
from tests.store import children
from tests.store.houses import DAY, NOON, fill, held, new_house

OLD = Path(__file__).parent / "books"
"""Small books as released programs left them, by schema; never made anew."""


def add_colour(db: pw.SqliteDatabase) -> None:
    run(db, "ALTER TABLE enclosure ADD COLUMN colour TEXT NOT NULL DEFAULT ''")
    run(db, "UPDATE enclosure SET colour = 'grey'")


def rebuild_due(db: pw.SqliteDatabase) -> None:
    run(db, "ALTER TABLE due RENAME TO old")
    run(
        db,
        "CREATE TABLE due (id INTEGER PRIMARY KEY, enclosure INTEGER NOT NULL REFERENCES enclosure (id), what TEXT)",
    )
    run(db, "INSERT INTO due SELECT id, enclosure, what FROM old")
    run(db, "DROP TABLE old")


NEXT = SCHEMA + 1
LATER = (
    MigrationStep(NEXT, "enclosures have a colour", add_colour),
    MigrationStep(NEXT + 1, "due work is lean", rebuild_due),
)


def schema(path: Path) -> str:
    with open_book(path, readonly=True) as book:
        return "".join(f"{sql};\n" for sql in statements(book.db))


def test_the_schema_is_the_released_one(path: Path, request: pytest.FixtureRequest) -> None:
    """A change of the models or the registry needs a step, a new version, and its file.

    While a version is not released yet, ``pytest tests/store --update`` writes its file anew.
    """
    new_house(path).close()
    released = SCHEMAS / f"{SCHEMA}.sql"
    if request.config.getoption("--update"):
        released.write_text(schema(path))
    assert schema(path) == released.read_text()


@pytest.fixture
def old(path: Path) -> Path:
    """A book of schema 1, as the program of that time left it."""
    return of_schema(1, path)


def of_schema(version: int, path: Path) -> Path:
    path.parent.mkdir()
    shutil.copy(OLD / f"{version}.book", path)
    return path


def contents(path: Path) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table as it stands in the file, read without the program."""
    with closing(sqlite3.connect(path)) as db:
        return {
            table: [dict(zip([c[0] for c in rows.description], row, strict=True)) for row in rows]
            for (table,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            if table != "sqlite_stat1"  # the planner's, made anew
            for rows in [db.execute(f'SELECT * FROM "{table}" ORDER BY 1, 2')]
        }


def hold(book: Book, before: dict[str, list[dict[str, Any]]]) -> None:
    """The book has these rows, each of them and no more, whatever columns came to them."""
    for table, rows in before.items():
        for row in rows:
            names = ", ".join(f'"{name}"' for name in row)
            where = " AND ".join(f'"{name}" IS ?' for name in row)
            assert book.rows(f'SELECT {names} FROM "{table}" WHERE {where}', list(row.values())) == [
                tuple(row.values())
            ], (table, row)
        assert book.row(f'SELECT count(*) FROM "{table}"') == (len(rows),)


def test_there_is_a_book_of_every_released_schema() -> None:
    assert sorted(p.name for p in OLD.glob("*.book")) == [f"{v}.book" for v in range(1, SCHEMA)]


def test_a_book_of_the_first_schema_becomes_the_newest(old: Path) -> None:
    before = contents(old)
    # What the step is meant to change.
    assert before.pop("meta")[0]["schema"] == 1
    assert len(before.pop("schema_step")) == 1
    assert [a.pop("state") for a in before["animal"]] == ["dead", "alive", "", "alive"]
    assert [d.pop("words") for d in before["due"]] == [None, "in spring", None]
    with open_book(old) as book:
        (note,) = book.notes
        assert f"from schema 1 to {SCHEMA}" in note
        assert book.row("PRAGMA integrity_check") == ("ok",)
        assert book.rows("PRAGMA foreign_key_check") == []
        hold(book, before)
        assert book.rows("SELECT state FROM animal ORDER BY id") == [
            ("dead",),
            ("alive",),
            ("alive",),
            ("alive",),
        ]
        assert book.rows("SELECT words FROM due ORDER BY id") == [("",), ("in spring",), ("",)]
        books = ledger_store.load(book)
    assert schema(old) == (SCHEMAS / f"{SCHEMA}.sql").read_text()
    assert books.row(Animal, 3).born == parse_span("before 2025-01-10")
    assert books.row(Animal, 3).sire == 1
    assert books.row(Lock, 1).until == parse_span("2025-03-01")
    assert all(not record.void for name in TABLES for record in books.table(name).values())
    assert registry.plan("lock", "TL-003", {"forbids": "dig", "reason": "eggs"}, books, DAY).changes


def test_a_book_with_acts_becomes_the_newest_and_its_acts_can_still_be_taken_back(path: Path) -> None:
    """Schema 2: a pairing, a lock and a mating that was taken back, recorded by the program of that time."""
    before = contents(of_schema(2, path))
    assert before.pop("meta")[0]["schema"] == 2
    assert len(before.pop("schema_step")) == 1
    assert [a["name"] for a in before["act"]] == ["pair", "lock", "mating-seen", "undo"]
    with open_book(path) as book:
        (note,) = book.notes
        assert f"from schema 2 to {SCHEMA}" in note
        assert book.row("PRAGMA integrity_check") == ("ok",)
        assert book.rows("PRAGMA foreign_key_check") == []
        hold(book, before)
        books = ledger_store.load(book)
        assert [a.promised for a in books.rows(Animal)] == ["", "", ""]
        assert [(r.locality, r.subspecies) for r in books.rows(Line)] == [("", "")]
        assert [list(books.rows(of)) for of in (PlannedPairing, Trial, TrialFemale)] == [[], [], []]
        # ``act_change`` holds whole rows as they were then: without the columns that came later.
        pairing = next(a for a in ledger_store.recorded(book) if a.name == "pair")
        with book.writing():
            ledger_store.undo(book, pairing.uid, bytes(16), DAY, NOON)
        assert list(ledger_store.load(book).rows(Pairing)) == []
    assert schema(path) == (SCHEMAS / f"{SCHEMA}.sql").read_text()


def test_what_the_next_schema_reserves_is_empty_in_a_book_of_before(path: Path) -> None:
    """Schema 3: an arrival, a pairing that had been planned, a search that found `at least 14`, and an undo."""
    before = contents(of_schema(3, path))
    assert before.pop("meta")[0]["schema"] == 3
    assert len(before.pop("schema_step")) == 1
    with open_book(path) as book:
        (note,) = book.notes
        assert f"from schema 3 to {SCHEMA}" in note
        assert book.row("PRAGMA integrity_check") == ("ok",)
        assert book.rows("PRAGMA foreign_key_check") == []
        hold(book, before)
        assert book.rows("SELECT 1 FROM reading WHERE act IS NOT NULL") == []
        assert [book.row(f"SELECT count(*) FROM {t}") for t in ("attachment", "tag", "tagged")] == [(0,)] * 3
        books = ledger_store.load(book)
        counted = [row for of in (Lot, Content, Search, Brood) for row in books.rows(of)]
        assert {(row.high, row.count_words) for row in counted} == {(None, "")}
        assert [(brood.unsexed, brood.at_least) for brood in books.rows(Brood)] == [(14, True)]
        dead = next(a for a in ledger_store.recorded(book) if a.name == "dead-some")
        with book.writing():
            ledger_store.undo(book, dead.uid, bytes(16), DAY, NOON)
        assert [f.void for f in ledger_store.load(book).rows(Fewer, Fewer.how.is_("dead"))] == []
    assert schema(path) == (SCHEMAS / f"{SCHEMA}.sql").read_text()


def test_a_book_without_checksums_gets_them_and_goes_on(path: Path) -> None:
    """Schema 4: a round with a note and a flag, a rough count, labels that were swapped, a lock that was lifted."""
    before = contents(of_schema(4, path))
    assert before.pop("meta")[0]["schema"] == 4
    before.pop("schema_step")
    for rows in before.values():
        for row in rows:
            assert row.pop("crc", None) is None, "places for them had been kept, and nothing was put there"
    with open_book(path) as book:
        (note,) = book.notes
        assert f"from schema 4 to {SCHEMA}" in note
        assert book.row("PRAGMA integrity_check") == ("ok",)
        assert book.rows("PRAGMA foreign_key_check") == []
        hold(book, before)
        sums = verify(book.db.connection())
        assert (sums.unvouched, sums.damaged) == (0, ())
        assert [s.count_words for s in ledger_store.load(book).rows(Search)] == [
            before["search"][0]["count_words"]
        ]
        swapped = next(a for a in ledger_store.recorded(book) if a.name == "swapped-labels")
        with book.writing():
            ledger_store.undo(book, swapped.uid, bytes(16), DAY, NOON)
        assert verify(book.db.connection()).damaged == ()
    assert schema(path) == (SCHEMAS / f"{SCHEMA}.sql").read_text()


@pytest.mark.parametrize("version", range(1, SCHEMA))
def test_control_a_step_that_forgets_something_is_found_out(version: int, path: Path) -> None:
    def careless(db: pw.SqliteDatabase) -> None:
        STEPS[-1].run(db)
        run(db, "DROP INDEX enclosure_code")
        run(db, "ALTER TABLE due DROP COLUMN off_why")

    open_book(
        of_schema(version, path), steps=(*STEPS[:-1], MigrationStep(SCHEMA, "careless", careless))
    ).close()
    assert schema(path) != (SCHEMAS / f"{SCHEMA}.sql").read_text()


def test_the_registry_and_the_database_have_the_same_columns(book: Book) -> None:
    for table in TABLES.values():
        wanted = ["id", "void"]
        for column in table.columns:
            ends = [f"{column.name}_{end}" for end in ledger_store.ENDS]
            wanted += ends if column.type == "span" else [column.name]
        found = book.rows(f'PRAGMA table_info("{table.table}")')
        assert [row[1] for row in found] == [*wanted, "crc"]
        refs = {(row[3], row[2]) for row in book.rows(f'PRAGMA foreign_key_list("{table.table}")')}
        assert refs == {(c.name, c.of) for c in table.columns if c.type == "ref"}


def test_versions_are_without_a_gap() -> None:
    assert [step.version for step in STEPS] == list(range(2, 2 + len(STEPS)))


def test_an_older_book_is_backed_up_and_brought_up_to_date(path: Path) -> None:
    with new_house(path) as book:
        fill(book, 2, [1, 2, 3], [("moisture", "right")])
        wanted = held(book)
    with open_book(path, steps=LATER) as book:
        verified = verify(book.db.connection())
        assert (verified.unvouched, verified.damaged) == (0, ()), "tables that changed were sealed again"
        assert book.row("SELECT schema FROM meta") == (NEXT + 1,)
        assert book.rows("SELECT version, title FROM schema_step ORDER BY version")[1:] == [
            (s.version, s.title) for s in LATER
        ]
        assert book.row("SELECT colour FROM enclosure WHERE id = 1") == ("grey",)
        assert book.row("PRAGMA foreign_keys") == (1,)
        assert held(book) == wanted
        (note,) = book.notes
        assert f"from schema {SCHEMA} to {NEXT + 1}" in note
    (copy,) = folder_of(path).glob("*.book")
    assert str(copy) in note
    with open_book(copy) as old:
        assert held(old) == wanted
    with open_book(path, steps=LATER) as book:
        assert book.notes == ()
    # This program's own, older, idea of the schema: the book is newer now.
    with pytest.raises(BookError, match="newer program"):
        open_book(path)


def test_looking_only_does_not_bring_it_up_to_date(path: Path) -> None:
    new_house(path).close()
    with pytest.raises(BookError, match=f"older schema {SCHEMA}"):
        open_book(path, readonly=True, steps=LATER)
    assert not folder_of(path).exists()


def test_a_step_that_fails_leaves_the_book_as_it_was(path: Path) -> None:
    new_house(path).close()
    before = schema(path)

    def half(db: pw.SqliteDatabase) -> None:
        run(db, "DROP TABLE due")
        run(db, "CREATE TABLE keeper (again)")

    with pytest.raises(BookError):
        open_book(path, steps=(MigrationStep(NEXT, "half", half),))
    assert schema(path) == before


def test_a_step_that_leaves_references_to_nothing_is_refused(path: Path) -> None:
    with new_house(path) as book:
        fill(book, 1, [1], [("moisture", "right")])

    def lose(db: pw.SqliteDatabase) -> None:
        run(db, "DELETE FROM keeper")

    with pytest.raises(BookError, match="`round` referring to nothing in `keeper`"):
        open_book(path, steps=(MigrationStep(NEXT, "lose keepers", lose),))
    with open_book(path) as book:
        assert book.row("SELECT count(*) FROM keeper") == (1,)


def test_a_missing_step_is_refused(path: Path) -> None:
    new_house(path).close()
    with pytest.raises(BookError, match="a step is missing"):
        open_book(path, steps=LATER[1:])


def test_without_a_backup_there_is_no_migration(path: Path) -> None:
    new_house(path).close()
    folder_of(path).write_text("a file where the backups should go")
    with pytest.raises(BookError, match="backup could not be made"):
        open_book(path, steps=LATER)
    open_book(path).close()


MIGRATE = """
    import sys
    from contextlib import nullcontext
    from rounds.store import migrations
    from rounds.store.book import open_book
    from rounds.store.orm import run
    from rounds.store.migration_steps import MigrationStep

    def step(version):
        def rows(db):
            run(db, f"CREATE TABLE made_{version} (a INTEGER)")
            for n in range(400):
                run(db, f"INSERT INTO made_{version} VALUES (?)", (n,))
        return MigrationStep(version, f"make {version}", rows)

    def careless(db, path, step):
        step.run(db)
        run(db, "UPDATE meta SET schema = ?", (step.version,))

    if sys.argv[2] == "careless":
        migrations._take = careless
    print("begin")
    first = int(sys.argv[3])
    open_book(sys.argv[1], steps=[step(v) for v in range(first, first + 6)]).close()
    print("done")
"""


def consistent(path: Path) -> bool:
    """Exactly the tables of the version the book says it has, each whole."""
    with closing(connect(path)) as db:
        version = migrations.version_of(db)
        made = {
            t
            for (t,) in run(
                db, "SELECT name FROM sqlite_master WHERE name LIKE 'made\\_%' ESCAPE '\\'"
            ).fetchall()
        }
        whole = all(run(db, f"SELECT count(*) FROM {t}").fetchone() == (400,) for t in made)
    return whole and made == {f"made_{v}" for v in range(NEXT, version + 1)}


def kills(tmp_path: Path, build: str, times: int, within: float = 0.3) -> list[bool]:
    """Whether each book was at one version, killed within so many seconds."""
    chance, out = random.Random(3), []
    tmp_path.mkdir(exist_ok=True)
    for n in range(times):
        path = tmp_path / f"{n}" / "tarn.book"
        new_house(path).close()
        with children.start(MIGRATE, path, build, NEXT) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == "begin\n"
            time.sleep(chance.uniform(0.0, within))
            child.kill()
        out.append(consistent(path))
        if build == "careless" and not out[-1]:
            break  # the control has shown what it must
        if build == "careful":
            code, said, err = children.run(MIGRATE, path, build, NEXT)
            assert (code, said) == (0, "begin\ndone\n"), err
            assert consistent(path)
    return out


@pytest.mark.long
def test_killed_at_any_moment_it_is_at_one_version_and_goes_on(tmp_path: Path) -> None:
    assert all(kills(tmp_path, "careful", sampled(4, 15)))


@pytest.mark.long
def test_control_steps_without_a_transaction_are_found_out(tmp_path: Path) -> None:
    assert any(not all(kills(tmp_path / str(n), "careless", 15, s)) for n, s in enumerate(SPANS))


SPANS = (0.3, 0.1, 0.05, 0.02, 1.0, 0.2, 3.0, 0.1, 0.05, 0.02)
"""Seconds within which a control kills, in turn: a short step is hit by few, and a slow machine begins late."""

# Both builds take 100 ms from the last change to the version, so that a kill can fall in between.
MIGRATE_OLD = """
    import sys, time
    from rounds.store import migration_steps as steps
    from rounds.store import migrations
    from rounds.store.book import open_book
    from rounds.store.orm import run

    def careless(db, path, step):
        step.run(db)
        run(db, "UPDATE meta SET schema = ?", (step.version,))

    def slowly(step):
        return step._replace(run=lambda db: (step.run(db), time.sleep(0.1)))

    if sys.argv[2] == "careless":
        migrations._take = careless
    print("begin")
    open_book(sys.argv[1], steps=[slowly(step) for step in steps.STEPS]).close()
    print("done")
"""


ROWS = {1: [4, 3, 3, 5], 2: [3, 1, 1, 5], 3: [2, 3, 5, 7], 4: [2, 3, 6, 8]}
"""Animals, locks, due work and contents in the books of each schema."""


def torn(tmp_path: Path, build: str, times: int, old: int, within: float = 0.3) -> int:
    """How many of the kills, each ``within`` seconds, left a book whose schema is not the one it says it has."""
    chance, found = random.Random(5), 0
    tmp_path.mkdir(exist_ok=True)
    for n in range(times):
        path = of_schema(old, tmp_path / f"{n}" / "tarn.book")
        with children.start(MIGRATE_OLD, path, build) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == "begin\n"
            time.sleep(chance.uniform(0.0, within))
            child.kill()
        with closing(connect(path)) as db:
            version = migrations.version_of(db)
            text = "".join(f"{sql};\n" for sql in statements(db))
            whole = (
                text == (SCHEMAS / f"{version}.sql").read_text()
                and [
                    run(db, f"SELECT count(*) FROM {t}").fetchone()[0]
                    for t in ("animal", "lock", "due", "content")
                ]
                == ROWS[old]
            )
        found += not whole
        if build == "careless" and found:
            break
        if build == "careful":
            assert children.run(MIGRATE_OLD, path, build)[:2] == (0, "begin\ndone\n")
            assert schema(path) == (SCHEMAS / f"{SCHEMA}.sql").read_text()
    return found


@pytest.mark.long
@pytest.mark.parametrize("old", range(1, SCHEMA))
def test_killed_while_it_is_brought_up_an_old_book_is_old_or_new(tmp_path: Path, old: int) -> None:
    assert torn(tmp_path, "careful", sampled(3, 12), old) == 0


@pytest.mark.long
@pytest.mark.parametrize("old", range(1, SCHEMA))
def test_control_the_same_without_a_transaction_tears_a_book(tmp_path: Path, old: int) -> None:
    assert any(torn(tmp_path / str(n), "careless", 12, old, s) for n, s in enumerate(SPANS))


def brought_up(old: int, folder: Path, fails_at: int = 0) -> tuple[str, int, str]:
    """Bring a book up on a disk that is full at the n-th statement: what it holds then, how many there were, what was said."""
    path, said, done = of_schema(old, folder / "tarn.book"), "", 0
    execute = pw.SqliteDatabase.execute_sql

    def fails(db: Any, sql: str, *values: Any, **options: Any) -> Any:
        nonlocal done
        done += 1
        if done == fails_at:
            raise pw.OperationalError("database or disk is full")
        return execute(db, sql, *values, **options)  # type: ignore[no-untyped-call]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pw.SqliteDatabase, "execute_sql", fails)
        try:
            open_book(path).close()
        except BookError as error:
            said = str(error)
    with closing(connect(path)) as db:
        text = "".join(f"{sql};\n" for sql in statements(db))
        assert text == (SCHEMAS / f"{migrations.version_of(db)}.sql").read_text(), fails_at
    open_book(path).close()
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return repr(rows_of(db, instants=False)), done, said


def every_statement(old: int, tmp_path: Path, times: int) -> None:
    """Fail at each of so many statements, or at every one; the book is of one schema, and brought up again as if nothing had been."""
    wanted, count, _ = brought_up(old, tmp_path / "undisturbed")
    for n in sorted(random.Random(old).sample(range(1, count + 1), min(times, count))):
        holds, _, said = brought_up(old, tmp_path / str(n), n)
        assert "full" in said, f"statement {n} failed, and nothing was said"
        assert holds == wanted, n


@pytest.mark.parametrize("old", range(1, SCHEMA))
def test_whichever_statement_fails_a_book_is_brought_up_afterwards(old: int, tmp_path: Path) -> None:
    every_statement(old, tmp_path, sampled(2, 10**6))


def test_control_without_a_transaction_a_statement_that_fails_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def careless(db: pw.SqliteDatabase, path: Path, step: MigrationStep) -> None:
        step.run(db)
        run(db, "UPDATE meta SET schema = ?", (step.version,))

    monkeypatch.setattr(migrations, "_take", careless)
    brought_up(4, tmp_path / "careless")
    with pytest.raises((AssertionError, BookError)):
        every_statement(4, tmp_path, 12)
