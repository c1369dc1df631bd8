"""Going back to a backup: verified first, nothing overwritten, whatever state the present book is in."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rounds.problems import BookError
from rounds.store import log_stamps, read
from rounds.store import restore as restoring
from rounds.store.backup import back_up, hash_file_of
from rounds.store.book import create, open_book
from rounds.store.restore import restore
from tests.store import children
from tests.store.houses import new_house, say
from tests.store.test_foreign_log import OTHER, SESSION, session
from tests.store.test_migrations import OLD

NOW = datetime(2026, 3, 1, 7, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def left_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("left") / "house" / "tarn.book"
    new_house(path).close()
    session(path, "first", kill=False)
    back_up(path, now=NOW)
    session(path, "second", kill=False)
    session(path, "killed", kill=True)
    return path.parent


@pytest.fixture
def left(left_once: Path, path: Path) -> Path:
    """A backup of a book that held what `first` said; then `second` spoke, and `killed` left a log."""
    shutil.copytree(left_once, path.parent)
    (copy,) = (path.parent / "tarn.book.backups").glob("*.book")
    return copy


def speakers(path: Path) -> list[str]:
    with open_book(path) as book:
        assert book.row("PRAGMA integrity_check") == ("ok",)
        return sorted(read.keepers(book))


def as_it_is(path: Path) -> None:
    """Nothing happens to the present book."""


def missing(path: Path) -> None:
    path.unlink()


def missing_with_its_log(path: Path) -> None:
    for file in path.parent.glob("tarn.book*"):
        if file.is_file():
            file.unlink()


def scribbled_over(path: Path) -> None:
    path.write_bytes(os.urandom(path.stat().st_size))


def cut_short(path: Path) -> None:
    os.truncate(path, 5000)


def empty(path: Path) -> None:
    os.truncate(path, 0)


def closed_cleanly(path: Path) -> None:
    session(path, kill=False)


@pytest.mark.parametrize(
    "state", [as_it_is, missing, missing_with_its_log, scribbled_over, cut_short, empty, closed_cleanly]
)
def test_whatever_stands_there_the_backup_takes_its_place_and_that_is_kept(
    state: Callable[[Path], None], path: Path, left: Path
) -> None:
    state(path)
    stood = path.read_bytes() if path.exists() else None
    log = log_stamps.log_of(path).read_bytes() if log_stamps.log_of(path).exists() else b""
    kept = restore(path, left, now=NOW)
    with open_book(path) as book:
        assert book.notes == ()
    assert speakers(path) == ["first"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    if stood is None:
        assert kept is None
    else:
        assert kept is not None
        assert kept.name == "tarn.book.kept-20260301T073000Z"
        assert kept.read_bytes() == stood
        assert stat.S_IMODE(kept.stat().st_mode) == 0o600
        if log:
            assert log_stamps.log_of(kept).read_bytes() == log
    assert not list(path.parent.glob(".tarn*"))


def test_there_and_back_again(path: Path, left: Path) -> None:
    kept = restore(path, left, now=NOW)
    assert kept is not None
    again = restore(path, kept, now=NOW)
    assert speakers(path) == ["first", "killed", "second"], "its log was kept with it"
    assert again == path.with_name("tarn.book.kept-20260301T073000Z.1"), "no name is used twice"
    assert speakers(again) == ["first"]


def test_into_a_folder_of_another_machine(path: Path, left: Path, tmp_path: Path) -> None:
    there = tmp_path / "other" / "machine" / "beetles.sqlite"
    assert restore(there, left) is None
    assert speakers(there) == ["first"]


@pytest.mark.parametrize("version", [1, 2, 3])
def test_a_backup_of_an_older_schema_is_brought_up_to_date_when_it_is_opened(
    version: int, path: Path
) -> None:
    new_house(path).close()
    session(path, "killed", kill=True)
    restore(path, OLD / f"{version}.book", another_house=True)
    with open_book(path) as book:
        assert any(f"from schema {version}" in note for note in book.notes)
        assert "killed" not in read.keepers(book)


def refused(path: Path, source: Path, match: str, **options: bool) -> None:
    """Refused, and not a byte of anything is another one."""
    before = {
        file: file.read_bytes()
        for file in path.parent.rglob("*")
        if file.is_file() and file.name[-4:] != "-shm"
    }
    with pytest.raises(BookError, match=match):
        restore(path, source, **options)
    after = {
        file: file.read_bytes()
        for file in path.parent.rglob("*")
        if file.is_file() and file.name[-4:] != "-shm"
    }
    assert after == before


def test_while_a_walk_has_the_book_open_it_is_refused(path: Path, left: Path) -> None:
    with children.start(SESSION, path) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        child.stdout.readline()
        child.stdin.write("walking\n")
        child.stdin.flush()
        child.stdout.readline()
        refused(path, left, "Leave every walk")
        child.stdin.close()
        child.wait(30)
    restore(path, left)
    assert speakers(path) == ["first"]


def test_control_without_asking_it_would_be_taken_from_under_the_walk(
    path: Path, left: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from contextlib import nullcontext

    monkeypatch.setattr(restoring, "nobody_else", lambda _: nullcontext(True))
    with open_book(path) as book:
        before = os.stat(path).st_ino
        restore(path, left)
        assert os.stat(path).st_ino != before
        with pytest.raises(BookError, match="moved or replaced"):
            say(book, "too late")


def test_what_is_not_a_sound_backup_of_this_book_is_refused(path: Path, left: Path, tmp_path: Path) -> None:
    refused(path, path, "the book itself")
    refused(path, tmp_path / "nothing", "there is no book")
    refused(path.parent, left, "this is a folder")

    changed = tmp_path / left.name
    shutil.copy(hash_file_of(left), hash_file_of(changed))
    changed.write_bytes(left.read_bytes()[:-1] + b"x")
    refused(path, changed, "not as it was made")

    hash_file_of(changed).unlink()
    content = bytearray(left.read_bytes())
    for page in range(6, len(content) // 4096):
        content[page * 4096 : page * 4096 + 8] = b"\xa5" * 8
    changed.write_bytes(content)
    refused(path, changed, "damaged")

    create(tmp_path / "fell.book", OTHER).close()
    refused(path, tmp_path / "fell.book", "another book")

    foreign = tmp_path / "foreign.db"
    with closing(sqlite3.connect(foreign)) as db:
        db.execute("CREATE TABLE t (x)")
    refused(path, foreign, "another program")

    newer = Path(shutil.copy(left, tmp_path / "newer.book"))
    with closing(sqlite3.connect(newer)) as db:
        db.execute("UPDATE meta SET schema = 900, needs = '9.9'")
        db.execute(
            "INSERT INTO schema_step (version, title, at_ms) SELECT 900, 'later', made_ms + 1 FROM meta"
        )
        db.commit()
    refused(path, newer, "needs rounds 9.9")

    (tmp_path / "text.book").write_text("jelly, 4 cups\n" * 500)
    refused(path, tmp_path / "text.book", "not a book")


def test_no_room_to_keep_what_stands_there(path: Path, left: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(there: Path, to: Path) -> None:
        to.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(restoring.shutil, "copyfile", full)
    refused(path, left, "No space left.*is as it was")


KILLED_AT = ["copy_verified", "_keep", "replace", "unlink"]


@pytest.mark.parametrize("step", KILLED_AT)
def test_killed_after_any_step_the_book_is_the_old_one_or_the_restored_one(
    step: str, path: Path, left: Path
) -> None:
    code = """
        import os, sys
        from pathlib import Path
        from rounds.store import restore as restoring
        step = sys.argv[3]
        place = {"replace": os, "unlink": Path}.get(step, restoring)
        real = getattr(place, step)
        def then_die(*args, **options):
            done = real(*args, **options)
            if step != "unlink" or str(args[0]).endswith("tarn.book-wal"):
                os.kill(os.getpid(), 9)
            return done
        setattr(place, step, then_die)
        restoring.restore(Path(sys.argv[1]), Path(sys.argv[2]))
    """
    assert children.run(code, path, left, step)[0] == -9
    wanted = ["first", "killed", "second"] if step in ("copy_verified", "_keep") else ["first"]
    assert speakers(path) == wanted
    restore(path, left)
    assert speakers(path) == ["first"]
