"""Opening and making books: what cannot be used is said in one sentence, and nothing is left half made."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import threading
from pathlib import Path

import pytest

from rounds.problems import BookError
from rounds.records.observations import House
from rounds.store import book as books
from rounds.store import disk, read
from rounds.store.book import Book, create, open_book
from rounds.store.orm import pw
from tests.store import children
from tests.store.houses import HOUSE, furnish, new_house

OPEN = """
    import sys
    from rounds.problems import BookError
    from rounds.store import read
    from rounds.store.book import open_book
    try:
        with open_book(sys.argv[1], readonly="ro" in sys.argv[2:]) as book:
            print(read.house(book).name, len(read.enclosures(book)))
    except BookError as error:
        print(error, file=sys.stderr)
        sys.exit(error.exit_code)
"""


def refused(path: Path, **options: bool) -> str:
    with pytest.raises(BookError) as found:
        open_book(path, **options)
    said = str(found.value)
    assert said.startswith(str(path))
    assert "\n" not in said
    assert found.value.exit_code == 3
    return said


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_new_book_holds_its_house_and_nothing_else(path: Path) -> None:
    with create(path, HOUSE) as book:
        assert read.house(book) == HOUSE
        assert read.enclosures(book) == []
        assert book.notes == ()


def test_settings_that_keep_what_was_committed(book: Book) -> None:
    assert book.row("PRAGMA journal_mode") == ("wal",)
    assert book.row("PRAGMA synchronous") == (2,)  # FULL
    assert book.row("PRAGMA foreign_keys") == (1,)


def test_files_are_for_their_owner_alone(path: Path) -> None:
    before = os.umask(0o022)
    try:
        with new_house(path):
            files = [path, Path(f"{path}-wal"), Path(f"{path}-shm")]
            assert [mode(file) for file in files] == [0o600] * 3
            assert mode(path.parent) == 0o700
    finally:
        os.umask(before)


def test_a_folder_that_was_there_keeps_its_rights(tmp_path: Path) -> None:
    tmp_path.chmod(0o750)
    create(tmp_path / "tarn.book", HOUSE).close()
    assert mode(tmp_path) == 0o750


def test_missing(tmp_path: Path) -> None:
    assert "there is no book here" in refused(tmp_path / "none.book")
    assert list(tmp_path.iterdir()) == []


def test_a_folder(tmp_path: Path) -> None:
    assert "this is a folder" in refused(tmp_path)


@pytest.mark.parametrize("content", [b"", b"code,number\nTL-001,1\n", b"SQLite format 4\0" + bytes(84)])
def test_another_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(content)
    assert "not a book" in refused(path)
    assert path.read_bytes() == content


def test_a_damaged_header(path: Path) -> None:
    new_house(path).close()
    content = path.read_bytes()
    path.write_bytes(content[:16] + b"\xff" * 400 + content[416:])
    assert "not a book" in refused(path) or "damaged" in refused(path)


def test_a_sqlite_file_of_another_program(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE meta (schema INTEGER)")
    db.close()
    assert "of another program" in refused(path)


def test_a_newer_book_says_which_program_it_needs(path: Path) -> None:
    with new_house(path) as book, book.writing():
        book.run("UPDATE meta SET schema = 9, needs = '3.2.0'")
    before = path.read_bytes()
    said = refused(path)
    assert "schema 9" in said
    assert "rounds 3.2.0 or newer" in said
    assert path.read_bytes() == before


def test_locked_by_another_program(path: Path) -> None:
    new_house(path).close()
    hold = """
        import sqlite3, sys
        db = sqlite3.connect(sys.argv[1], isolation_level=None)
        db.execute("PRAGMA locking_mode = EXCLUSIVE")
        db.execute("BEGIN EXCLUSIVE")
        db.execute("UPDATE meta SET schema = schema")
        print("held")
        sys.stdin.read()
    """
    with children.start(hold, path) as child:
        assert child.stdout is not None
        assert child.stdin is not None
        assert child.stdout.readline() == "held\n"
        assert "locked" in refused(path)
        child.stdin.close()
        child.wait(20)
    open_book(path).close()


def test_on_a_network(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    new_house(path).close()
    monkeypatch.setattr(disk, "network_file_system", lambda _: "nfs4")
    assert "network file system (nfs4)" in refused(path)
    with pytest.raises(BookError, match="network"):
        create(path.with_name("new.book"), HOUSE)
    assert not path.with_name("new.book").exists()


MOUNTS = """\
/dev/a / ext4 rw 0 0
srv:/x /home nfs4 rw 0 0
tmpfs /home/ferrow/ram tmpfs rw 0 0
//srv/y /mnt/two\\040words cifs rw 0 0
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/srv/tarn.book", "ext4"),
        ("/home/ferrow/tarn.book", "nfs4"),
        ("/home/ferrow/ram/t.book", "tmpfs"),
        ("/homestead/tarn.book", "ext4"),
        ("/mnt/two words/tarn.book", "cifs"),
    ],
)
def test_the_innermost_mount_decides(path: str, kind: str) -> None:
    assert disk.file_system(Path(path), MOUNTS) == kind


@pytest.mark.skipif(os.name == "nt", reason="rights of another kind")
@pytest.mark.parametrize(
    ("file", "folder", "what"),
    [(0o444, 0o755, "the book is read-only"), (0o666, 0o555, "folder of the book is read-only")],
)
def test_read_only_for_this_user(tmp_path: Path, file: int, folder: int, what: str) -> None:
    path = tmp_path / "house" / "tarn.book"
    new_house(path).close()
    children.open_to_all(path.parent)
    path.chmod(file)
    path.parent.chmod(folder)
    code, out, err = children.run(OPEN, path, unprivileged=True)
    assert (code, out) == (3, "")
    assert what in err
    # Browsing needs no right to write.
    assert children.run(OPEN, path, "ro", unprivileged=True)[:2] == (0, f"{HOUSE.name} 3\n")


@pytest.mark.skipif(os.name == "nt", reason="rights of another kind")
def test_a_file_this_user_may_not_even_read(tmp_path: Path) -> None:
    path = tmp_path / "house" / "tarn.book"
    new_house(path).close()
    children.open_to_all(path.parent)
    code, _, err = children.run(OPEN, path, "ro", unprivileged=True)
    assert code == 3
    assert "cannot be read" in err


def test_readonly_neither_writes_nor_migrates(path: Path) -> None:
    new_house(path).close()
    with (
        open_book(path, readonly=True) as book,
        pytest.raises(pw.OperationalError, match="readonly"),
        book.writing(),
    ):
        book.run("DELETE FROM place")


def test_making_over_something_is_refused(path: Path) -> None:
    new_house(path).close()
    before = path.read_bytes()
    with pytest.raises(BookError, match="already"):
        create(path, HOUSE)
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == ["tarn.book"]


def test_making_that_fails_leaves_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise pw.OperationalError(sqlite3.OperationalError("database or disk is full"))

    monkeypatch.setattr(pw.SchemaManager, "create_all", full)
    with pytest.raises(BookError):
        create(path, HOUSE)
    assert list(path.parent.iterdir()) == []


def test_making_never_replaces_what_appeared_meanwhile(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = books._fill

    def slow(made: Path, house: House) -> None:
        fill(made, house)
        path.write_text("someone else's")

    monkeypatch.setattr(books, "_fill", slow)
    with pytest.raises(BookError, match="already"):
        create(path, HOUSE)
    assert path.read_text() == "someone else's"
    assert [p.name for p in path.parent.iterdir()] == ["tarn.book"]


def test_a_failed_transaction_leaves_nothing_and_the_book_usable(book: Book) -> None:
    with pytest.raises(pw.IntegrityError), book.writing():
        [book.run("INSERT INTO keeper (name) VALUES ('Ferrow')") for _ in range(2)]
    assert read.keepers(book) == []
    with book.writing():
        book.run("INSERT INTO keeper (name) VALUES ('Tamsel')")
    assert read.keepers(book) == ["Tamsel"]


def test_one_reading_view_sees_one_moment(path: Path, book: Book) -> None:
    with open_book(path) as other, other.reading():
        assert read.keepers(other) == []
        with book.writing():
            book.run("INSERT INTO keeper (name) VALUES ('Ferrow')")
        assert read.keepers(other) == []
    with open_book(path) as other:
        assert read.keepers(other) == ["Ferrow"]


def test_two_threads_have_a_book_each(path: Path, book: Book) -> None:
    seen: list[object] = []

    def look() -> None:
        with open_book(path) as mine:
            seen.append(len(read.enclosures(mine)))
        try:
            book.row("SELECT 1")
        except pw.InterfaceError as error:  # autoconnect is off: no silent second connection
            seen.append(type(error))

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert seen == [3, pw.InterfaceError]


def test_opening_again_does_not_drop_the_locks_of_this_process(path: Path, book: Book) -> None:
    """Another program must not think it is the last one and take our log away."""
    with book.writing():
        book.run("INSERT INTO keeper (name) VALUES ('Ferrow')")
    open_book(path).close()
    open_book(path, readonly=True).close()
    assert children.run(OPEN, path)[0] == 0  # opens, closes, and would clear up if it were alone
    assert Path(f"{path}-wal").exists()
    with book.writing():
        book.run("INSERT INTO keeper (name) VALUES ('Tamsel')")
    code = OPEN.replace("read.house(book).name", "read.keepers(book)")
    assert children.run(code, path)[1] == "['Ferrow', 'Tamsel'] 3\n"


@pytest.mark.skipif(os.name == "nt", reason="locks of another kind")
def test_control_a_file_opened_and_closed_by_hand_drops_them(path: Path, book: Book) -> None:
    with book.writing():
        book.run("INSERT INTO keeper (name) VALUES ('Ferrow')")
    path.read_bytes()
    children.run(OPEN, path)
    assert not Path(f"{path}-wal").exists()


def test_a_copy_of_the_file_is_the_same_book(path: Path) -> None:
    new_house(path).close()
    with open_book(path) as one, open_book(Path(shutil.copy(path, path.with_name("copy.book")))) as two:
        assert one.row("SELECT book FROM meta") == two.row("SELECT book FROM meta")


def test_drivers_of_other_databases_are_not_imported() -> None:
    code = """
        import sys
        from rounds.store import read, writer, rescue
        for name in ("psycopg", "psycopg2", "pymysql", "MySQLdb", "pendulum", "textual", "numpy", "yaml"):
            assert sys.modules.get(name) is None, name
        print("peewee" in sys.modules)
    """
    assert children.run(code) == (0, "True\n", "")


def test_the_loader_can_furnish_a_book(path: Path) -> None:
    with create(path, HOUSE) as book:
        furnish(book, 20)
        assert [e.place.address for e in read.enclosures(book) if e.place][:5] == [
            "A1-1",
            "A1-2",
            "A1-3",
            "A1-4",
            "A2-1",
        ]
