"""A book is at one schema or the next, never between; and every released schema can be brought up."""

from __future__ import annotations

import random
import re
import time
from contextlib import closing
from pathlib import Path

import pytest

from rounds.problems import BookError
from rounds.store import migrations
from rounds.store.backup import folder_of
from rounds.store.book import open_book
from rounds.store.orm import pw, run
from rounds.store.steps import SCHEMA, STEPS, Step
from tests.store import children
from tests.store.houses import fill, held, new_house

SCHEMAS = Path(__file__).parent / "schemas"


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


LATER = (Step(2, "enclosures have a colour", add_colour), Step(3, "due work is lean", rebuild_due))


def schema(path: Path) -> str:
    with open_book(path, readonly=True) as book:
        rows = book.rows("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY type DESC, name")
    return "".join(re.sub(r"\s+", " ", sql) + ";\n" for (sql,) in rows)


def test_the_schema_is_the_released_one(path: Path) -> None:
    """A change of the models needs a step, a new version, and its schema kept beside the others."""
    new_house(path).close()
    assert schema(path) == (SCHEMAS / f"{SCHEMA}.sql").read_text()


def test_versions_are_without_a_gap() -> None:
    assert [step.version for step in STEPS] == list(range(2, 2 + len(STEPS)))


def test_an_older_book_is_backed_up_and_brought_up_to_date(path: Path) -> None:
    with new_house(path) as book:
        fill(book, 2, [1, 2, 3], [("moisture", "right")])
        wanted = held(book)
    with open_book(path, steps=LATER) as book:
        assert book.row("SELECT schema FROM meta") == (3,)
        assert book.rows("SELECT version, title FROM schema_step ORDER BY version")[1:] == [
            (s.version, s.title) for s in LATER
        ]
        assert book.row("SELECT colour FROM enclosure WHERE id = 1") == ("grey",)
        assert book.row("PRAGMA foreign_keys") == (1,)
        assert held(book) == wanted
        (note,) = book.notes
        assert "from schema 1 to 3" in note
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
    with pytest.raises(BookError, match="older schema 1"):
        open_book(path, readonly=True, steps=LATER)
    assert not folder_of(path).exists()


def test_a_step_that_fails_leaves_the_book_as_it_was(path: Path) -> None:
    new_house(path).close()
    before = schema(path)

    def half(db: pw.SqliteDatabase) -> None:
        run(db, "DROP TABLE due")
        run(db, "CREATE TABLE keeper (again)")

    with pytest.raises(BookError):
        open_book(path, steps=(Step(2, "half", half),))
    assert schema(path) == before


def test_a_step_that_leaves_references_to_nothing_is_refused(path: Path) -> None:
    with new_house(path) as book:
        fill(book, 1, [1], [("moisture", "right")])

    def lose(db: pw.SqliteDatabase) -> None:
        run(db, "DELETE FROM keeper")

    with pytest.raises(BookError, match="`round` referring to nothing in `keeper`"):
        open_book(path, steps=(Step(2, "lose keepers", lose),))
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
    from rounds.store.steps import Step

    def step(version):
        def rows(db):
            run(db, f"CREATE TABLE made_{version} (a INTEGER)")
            for n in range(400):
                run(db, f"INSERT INTO made_{version} VALUES (?)", (n,))
        return Step(version, f"make {version}", rows)

    def careless(db, path, step):
        step.run(db)
        run(db, "UPDATE meta SET schema = ?", (step.version,))

    if sys.argv[2] == "careless":
        migrations._take = careless
    print("begin")
    open_book(sys.argv[1], steps=[step(v) for v in range(2, 8)]).close()
    print("done")
"""


def consistent(path: Path) -> bool:
    """Exactly the tables of the version the book says it has, each whole."""
    from rounds.store.book import connect

    with closing(connect(path)) as db:
        version = migrations.version_of(db)
        made = {
            t
            for (t,) in run(
                db, "SELECT name FROM sqlite_master WHERE name LIKE 'made\\_%' ESCAPE '\\'"
            ).fetchall()
        }
        whole = all(run(db, f"SELECT count(*) FROM {t}").fetchone() == (400,) for t in made)
    return whole and made == {f"made_{v}" for v in range(2, version + 1)}


def kills(tmp_path: Path, build: str, times: int) -> list[bool]:
    chance, out = random.Random(3), []
    for n in range(times):
        path = tmp_path / f"{n}" / "tarn.book"
        new_house(path).close()
        with children.start(MIGRATE, path, build) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == "begin\n"
            time.sleep(chance.uniform(0.0, 0.08))
            child.kill()
        out.append(consistent(path))
        if build == "careful":
            code, said, err = children.run(MIGRATE, path, build)
            assert (code, said) == (0, "begin\ndone\n"), err
            assert consistent(path)
    return out


@pytest.mark.long
def test_killed_at_any_moment_it_is_at_one_version_and_goes_on(tmp_path: Path) -> None:
    assert all(kills(tmp_path, "careful", 15))


@pytest.mark.long
def test_control_steps_without_a_transaction_are_found_out(tmp_path: Path) -> None:
    assert not all(kills(tmp_path, "careless", 15))
