"""Another file in the book's place, at rest and under a running walk: no log is put into a file it is not of.

Every case says what the book must hold afterwards. The controls take the check away and must find
another book than that.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import struct
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

import pytest

from rounds.problems import BookError
from rounds.records.observations import House
from rounds.store import log_stamps, read, rescue
from rounds.store.backup import back_up
from rounds.store.book import Book, create, open_book
from tests.store import children
from tests.store.houses import HOUSE, SAID, new_house, say
from tests.store.test_migrations import OLD

OTHER = House("Fell Lantern Beetle House", "Europe/Berlin")
# Says something (a keeper and many visits) per line it reads, and is killed or ends when there is no more.
SESSION = """
    import sys
    from tests.store.houses import say
    from rounds.store.book import open_book
    with open_book(sys.argv[1]) as book:
        print("ready")
        for line in sys.stdin:
            if line == "fold in\\n":
                book.run("PRAGMA wal_checkpoint(PASSIVE)")
            else:
                say(book, line.strip())
            print("done")
"""


def said(book: Book) -> tuple[str, list[str]]:
    """What a book holds: its house, and who said something; all of it whole."""
    assert book.rows("PRAGMA integrity_check") == [("ok",)]
    names = read.keepers(book)
    assert book.row("SELECT count(*) FROM cell") == (len(names) * SAID,)
    return read.house(book).name, sorted(names)


def session(path: Path, *lines: str, kill: bool) -> None:
    with children.start(SESSION, path) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n", child.stderr and child.stderr.read()
        for line in lines:
            child.stdin.write(line + "\n")
            child.stdin.flush()
            assert child.stdout.readline() == "done\n"
        if kill:
            child.kill()
        else:
            child.stdin.close()
        child.wait(30)


class Left(NamedTuple):
    """A book as a kill left it, with what there was before."""

    path: Path  # holds `first` and `second`, and `killed` in the log beside it
    backup: Path  # holds `first`
    cold: Path  # a plain copy of the file when it held `first`
    other: Path  # a book of another house, killed as well, with its log


def made(folder: Path, *, killed: bool) -> Left:
    """Both houses' books, the last session of each killed or not."""
    path, other = folder / "house" / "tarn.book", folder / "fell" / "fell.book"
    new_house(path).close()
    session(path, "first", kill=False)
    backup = back_up(path)
    cold = Path(shutil.copy(path, folder / "cold.book"))
    session(path, "second", kill=False)
    new_house(other, house=OTHER).close()
    session(other, "fell", kill=False)
    if killed:
        session(path, "killed", kill=True)
        session(other, "felled", kill=True)
        assert log_stamps.has_log(path)
        assert log_stamps.has_log(other)
    return Left(path, backup, cold, other)


def copied_whole(made: Left, to: Path) -> Left:
    """A copy of the whole folder, which belongs together as the original does (``folder_copied`` below)."""
    root = made.cold.parent
    shutil.copytree(root, to, dirs_exist_ok=True)
    return Left(*(to / path.relative_to(root) for path in made))


@pytest.fixture(scope="module")
def left_once(tmp_path_factory: pytest.TempPathFactory) -> Left:
    return made(tmp_path_factory.mktemp("left"), killed=True)


@pytest.fixture
def left(left_once: Left, tmp_path: Path) -> Left:
    return copied_whole(left_once, tmp_path)


def log(path: Path) -> Path:
    return Path(f"{path}-wal")


def nothing(left: Left) -> Path:
    return left.path


def copied_over(which: str) -> Callable[[Left], Path]:
    def act(left: Left) -> Path:
        shutil.copyfile(getattr(left, which), left.path)
        return left.path

    return act


def moved_over(which: str) -> Callable[[Left], Path]:
    def act(left: Left) -> Path:
        os.replace(getattr(left, which), left.path)
        return left.path

    return act


def copied_over_with_its_times(left: Left) -> Path:
    shutil.copy2(left.cold, left.path)
    return left.path


def both_copied_over(left: Left) -> Path:
    shutil.copyfile(left.other, left.path)
    shutil.copyfile(log(left.other), log(left.path))  # the old `-shm` stays
    return left.path


def only_the_log_copied_over(left: Left) -> Path:
    shutil.copyfile(log(left.other), log(left.path))
    return left.path


def folder_copied(left: Left) -> Path:
    return Path(shutil.copytree(left.path.parent, left.path.parent.with_name("copied"))) / left.path.name


def folder_moved(left: Left) -> Path:
    return left.path.parent.rename(left.path.parent.with_name("moved")) / left.path.name


def copied_without_shm(left: Left) -> Path:
    folder = left.path.parent.with_name("two files")
    folder.mkdir()
    shutil.copy(left.path, folder)
    shutil.copy(log(left.path), folder)
    return folder / left.path.name


def reached_through_a_link(left: Left) -> Path:
    """SQLite keeps the log beside the file itself, not beside the link."""
    link = left.path.parent.with_name("link.book")
    link.symlink_to(left.path)
    return link


def older_schema_copied(left: Left) -> Path:
    shutil.copyfile(OLD / "1.book", left.path)
    return left.path


def put_back_as_it_was(left: Left) -> Path:
    """A plain copy of the file, made after its last folding in: byte for byte the same file."""
    copy = Path(shutil.copy(left.path, left.cold.with_name("same.book")))
    os.replace(copy, left.path)
    return left.path


def backup_of_the_same_hour(left: Left) -> Path:
    """Made while the log was already being written: its pages carry stamps that are in the log."""
    with children.start(SESSION, left.path) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        child.stdin.write("third\n")
        child.stdin.flush()
        child.stdout.readline()
        copy = back_up(left.path)
        child.stdin.write("fourth\n")
        child.stdin.flush()
        child.stdout.readline()
        child.kill()
    shutil.copyfile(copy, left.path)
    return left.path


def walked_on_elsewhere(left: Left) -> Path:
    """A program that synchronises folders brings the book of another machine, where the round went on."""
    there = folder_copied(left)
    session(there, "elsewhere", kill=False)
    shutil.copyfile(there, left.path)
    return left.path


def only_the_log_of_elsewhere(left: Left) -> Path:
    """The same, and only the log has come so far."""
    there = folder_copied(left)
    session(there, "elsewhere", kill=True)
    shutil.copyfile(log(there), log(left.path))
    return left.path


def removed_and_made_anew(left: Left) -> Path:
    left.path.unlink()
    create(left.path, OTHER).close()
    return left.path


def folded_in_and_killed(left: Left) -> Path:
    session(left.path, "third", "fold in", kill=True)
    return left.path


def folded_in_begun_anew_and_killed(left: Left) -> Path:
    session(left.path, "third", "fold in", "fourth", kill=True)
    return left.path


def half_folded_in(left: Left) -> Path:
    """Killed while the log was being folded in: page 1 and every other page are in the file, the others not yet."""
    before = left.path.read_bytes()
    session(left.path, "third", "fold in", kill=True)
    after = left.path.read_bytes()
    pages = [
        (after if n % 2 == 0 else before)[n * 4096 : n * 4096 + 4096].ljust(4096, b"\0")
        for n in range(len(after) // 4096)
    ]
    left.path.write_bytes(b"".join(pages))
    return left.path


def _log_cut(left: Left, size: int) -> Path:
    os.truncate(log(left.path), size)
    return left.path


def log_torn_in_the_first_transaction(left: Left) -> Path:
    return _log_cut(left, 32 + 24 + 4096 + 500)


def log_of_nothing(left: Left) -> Path:
    return _log_cut(left, 0)


TARN, FELL = HOUSE.name, OTHER.name
WHOLE = (TARN, ["first", "killed", "second"])
FIRST = (TARN, ["first"])
BELONGS = {
    nothing: WHOLE,
    folder_copied: WHOLE,
    folder_moved: WHOLE,
    copied_without_shm: WHOLE,
    put_back_as_it_was: WHOLE,
    reached_through_a_link: WHOLE,
    both_copied_over: (FELL, ["fell", "felled"]),
    only_the_log_of_elsewhere: (TARN, ["elsewhere", "first", "killed", "second"]),
    folded_in_and_killed: (TARN, ["first", "killed", "second", "third"]),
    folded_in_begun_anew_and_killed: (TARN, ["first", "fourth", "killed", "second", "third"]),
    half_folded_in: (TARN, ["first", "killed", "second", "third"]),
    log_torn_in_the_first_transaction: (TARN, ["first", "second"]),
    log_of_nothing: (TARN, ["first", "second"]),
}
FOREIGN = {
    "backup copied": (copied_over("backup"), FIRST),
    "backup moved": (moved_over("backup"), FIRST),
    "plain copy copied": (copied_over("cold"), FIRST),
    "plain copy moved": (moved_over("cold"), FIRST),
    "plain copy with its times": (copied_over_with_its_times, FIRST),
    "another house copied": (copied_over("other"), (FELL, ["fell"])),
    "another house moved": (moved_over("other"), (FELL, ["fell"])),
    "only a log": (only_the_log_copied_over, (TARN, ["first", "second"])),
    "backup of the same hour": (backup_of_the_same_hour, (TARN, ["first", "killed", "second", "third"])),
    "walked on elsewhere": (walked_on_elsewhere, (TARN, ["elsewhere", "first", "killed", "second"])),
    "made anew": (removed_and_made_anew, (FELL, [])),
}


def files(path: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in path.parent.iterdir() if file.is_file()}


@pytest.mark.parametrize("act", BELONGS, ids=lambda act: act.__name__)
def test_a_log_that_belongs_is_read_in(act: Callable[[Left], Path], left: Left) -> None:
    path = act(left)
    with open_book(path) as book:
        assert (*said(book), book.notes) == (*BELONGS[act], ())
    with open_book(path, readonly=True) as book:
        assert said(book) == BELONGS[act]
    assert not list(path.parent.glob("*.other-*"))


@pytest.mark.parametrize("name", FOREIGN)
def test_a_log_of_another_file_is_put_aside_and_the_book_is_as_it_was_put_there(
    name: str, left: Left
) -> None:
    act, wanted = FOREIGN[name]
    former = log(left.path).read_bytes()
    path = act(left)
    if name != "made anew":  # making a book opens it
        was = files(path)
        with open_book(path, readonly=True) as book:
            assert said(book) == wanted
        assert files(path) == was, "who only looks puts nothing aside"
    if name in ("only a log", "backup of the same hour"):
        former = log(path).read_bytes()
    with open_book(path) as book:
        assert said(book) == wanted
        if name != "made anew":
            (note,) = book.notes
            assert note.count("The log beside the book was of another file") == 1
            assert "\n" not in note
    (aside,) = path.parent.glob("*.other-*-wal")
    assert aside.read_bytes() == former, "kept whole"
    if name == "made anew":
        return  # it has no enclosure yet of which anything could be said
    session(path, "afterwards", kill=True)
    with open_book(path) as book:
        assert said(book) == (wanted[0], sorted([*wanted[1], "afterwards"]))
        assert book.notes == ()


@pytest.mark.parametrize("name", [n for n in FOREIGN if n != "made anew"])
def test_control_without_the_check_another_book_comes_out(
    name: str, left: Left, monkeypatch: pytest.MonkeyPatch
) -> None:
    act, wanted = FOREIGN[name]
    path = act(left)
    monkeypatch.setattr(log_stamps, "belongs", lambda _: True)
    try:
        with open_book(path) as book:
            found = said(book)
    except (BookError, AssertionError, sqlite3.Error, Exception):  # damaged, as it had to be
        return
    assert found != wanted


def test_what_was_put_aside_can_be_opened_beside_the_file_it_is_of(left: Left) -> None:
    kept = Path(shutil.copy(left.path, left.path.with_name("kept")))
    shutil.copyfile(left.backup, left.path)
    with open_book(left.path) as book:
        (note,) = book.notes
    (aside,) = left.path.parent.glob("*.other-*-wal")
    former = aside.with_name(aside.name.removesuffix("-wal"))
    assert str(aside) in note
    assert f"as {former.name} " in note
    kept.rename(former)
    with open_book(former) as book:
        assert said(book) == WHOLE


def test_backing_up_never_reads_another_files_log(left: Left) -> None:
    shutil.copyfile(left.cold, left.path)
    before = set(left.backup.parent.glob("*.book*"))
    with pytest.raises(BookError, match="the log beside the book is of another file"):
        back_up(left.path)
    assert set(left.backup.parent.glob("*.book*")) == before


def test_a_book_of_an_older_schema_put_over_one_with_a_log_is_brought_up_to_date_as_it_was(
    left: Left,
) -> None:
    path = older_schema_copied(left)
    with closing(sqlite3.connect(f"{(OLD / '1.book').as_uri()}?mode=ro&immutable=1", uri=True)) as db:
        wanted = db.execute("SELECT name FROM keeper ORDER BY id").fetchall()
    with open_book(path) as book:
        assert [note[:20] for note in book.notes] == ["The log beside the b", "The book was brought"]
        assert book.rows("SELECT name FROM keeper ORDER BY id") == wanted
        assert book.rows("PRAGMA integrity_check") == [("ok",)]


def test_a_backup_put_where_a_link_leads_is_not_ruined_by_the_log_there(left: Left) -> None:
    link = reached_through_a_link(left)
    shutil.copyfile(left.backup, left.path)
    with open_book(link) as book:
        assert said(book) == FIRST
        assert len(book.notes) == 1
    assert list(left.path.parent.glob("*.other-*-wal")), "it is beside the file"


def without_stamps(path: Path) -> None:
    """As a program without stamps has written it, the last rows in a log that a kill left."""
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 0")
    code = """
        import os, sqlite3, sys
        db = sqlite3.connect(sys.argv[1], isolation_level=None)
        db.execute("INSERT INTO keeper (name) VALUES ('killed')")
        os.kill(os.getpid(), 9)
    """
    assert children.run(code, path)[0] == -9
    assert log_stamps.has_log(path)


def test_a_book_without_stamps_keeps_its_log_and_gets_one_at_once(path: Path) -> None:
    new_house(path).close()
    without_stamps(path)
    copy = Path(shutil.copy(path, path.with_name("old.book")))
    with open_book(path, readonly=True) as book:
        assert read.keepers(book) == ["killed"]
    assert log_stamps.stamp_in_file(path) == 0
    with open_book(path) as book:
        assert read.keepers(book) == ["killed"]
        assert log_stamps.stamp_in_file(path) != 0
    session(path, "again", kill=True)
    shutil.copyfile(copy, path)  # it has no stamp, but the log has them
    with open_book(path) as book:
        assert read.keepers(book) == []
        assert len(book.notes) == 1


def test_the_hash_of_the_stamp_before_and_no_other() -> None:
    before = log_stamps.next_stamp(0)
    after = [log_stamps.next_stamp(before) for _ in range(500)]
    assert all(log_stamps.follows(stamp, before) for stamp in after)
    assert len(set(after)) > 450
    strangers = sum(log_stamps.follows(stamp, other) for stamp in after for other in range(1, 400))
    assert strangers < 20  # 200,000 pairs, one in 65,536 by chance: 3 expected


def test_stamps_stand_where_the_file_format_says(path: Path) -> None:
    """SQLite's file format, section 1.3: the user version is the four bytes, big-endian, from byte 60."""
    new_house(path).close()
    stamp = log_stamps.stamp_in_file(path)
    assert struct.unpack(">I", path.read_bytes()[60:64]) == (stamp,)
    assert stamp != 0


# Under a running walk


WALK = """
    import sys
    from rounds.records.entries import Assign, OpenRound, OpenVisit
    from rounds.store import file_watch, rescue
    from rounds.store.book import open_book
    from rounds.store.writer import Writer
    if sys.argv[2] == "careless":
        file_watch.FileWatch.is_there = lambda self: True
        file_watch.FileWatch.has_its_log = lambda self: True
    book = open_book(sys.argv[1])
    book.rows("SELECT count(*) FROM visit")
    writer = Writer(sys.argv[1], lambda n: print("saved", n), lambda t: t and print("trouble", t), watch=book.watch)
    entries = [OpenRound(b"r" * 16, "Ferrow", 1, 1, "UTC"), OpenVisit(b"v" * 16, b"r" * 16, 1, 1, 1)]
    for n in range(10 if len(sys.argv) < 4 else 0):
        entries.append(Assign(b"v" * 16, f"k{n}", 1, None, n, n, "Ferrow"))
    if len(sys.argv) < 4:
        writer.put(entries)
        assert writer.drain(20)
    print("ready")
    for line in sys.stdin:
        n = int(line)
        writer.put([Assign(b"v" * 16, f"late{n}", 1, None, n, n, "Ferrow")] if len(sys.argv) < 4 else entries)
    left = writer.close(1)
    book.close()
    if left:
        print("rescued", rescue.write(book.path, left, identity), len(left))
"""
WALK = WALK.replace('    book.rows("SELECT', '    identity = book.identity\n    book.rows("SELECT')


class Ran(NamedTuple):
    saved: list[int]
    trouble: list[str]
    rescued: list[Path]


def walked(
    path: Path, act: Callable[[], None], late: int, build: str = "careful", *more: str, kill: bool = False
) -> Ran:
    """A walk with its book in use, ``act`` in the middle of it, ``late`` more entries, and its end.

    ``kill``: it is killed once it has said what became of the first of those.
    """
    with children.start(WALK, path, build, *more) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        lines = []
        while (line := child.stdout.readline().strip()) != "ready":
            assert line, child.stderr and child.stderr.read()
            lines.append(line)
        act()
        for n in range(late):
            child.stdin.write(f"{n}\n")
            child.stdin.flush()
        if kill:
            # The writer may say what it saved first only after the walk is ready.
            while (line := child.stdout.readline().strip()) == "saved 12":
                lines.append(line)
            lines.append(line)
            child.kill()
        child.stdin.close()
        lines += child.stdout.read().splitlines()
        assert child.wait(30) == (-9 if kill else 0), child.stderr and child.stderr.read()
    return Ran(
        [int(line.split()[1]) for line in lines if line.startswith("saved")],
        [line for line in lines if line.startswith("trouble")],
        [Path(line.split()[1]) for line in lines if line.startswith("rescued")],
    )


def cells(path: Path) -> int:
    with open_book(path) as book:
        assert book.rows("PRAGMA integrity_check") == [("ok",)]
        (n,) = book.row(
            "SELECT count(*) FROM cell c JOIN visit v ON v.id = c.visit WHERE v.uid = ?", (b"v" * 16,)
        ) or (0,)
        return int(n)


@pytest.fixture(scope="module")
def stood_once(tmp_path_factory: pytest.TempPathFactory) -> Left:
    """A closed book with two sayings, a backup and a plain copy from after the first, another house's book."""
    return made(tmp_path_factory.mktemp("stood"), killed=False)


@pytest.fixture
def stood(stood_once: Left, tmp_path: Path) -> Left:
    return copied_whole(stood_once, tmp_path)


@pytest.mark.parametrize("way", [copied_over, moved_over])
@pytest.mark.parametrize("which", ["backup", "cold", "other"])
@pytest.mark.parametrize("late", [0, 3])
@pytest.mark.parametrize("fresh", [False, True], ids=["in use", "just opened"])
def test_a_file_put_in_place_of_the_book_in_use_is_never_written_to(
    way: Callable[[str], Callable[[Left], Path]], which: str, late: int, fresh: bool, stood: Left
) -> None:
    wanted = getattr(stood, which).read_bytes()
    ran = walked(stood.path, lambda: void(way(which)(stood)), late, "careful", *["fresh"][: int(fresh)])
    assert stood.path.read_bytes() == wanted
    assert ran.saved == ([] if fresh else [12])
    if late:
        assert "the book was moved or replaced while it was open" in ran.trouble[0]
        (file,) = ran.rescued
        lines = file.read_text().splitlines()
        assert [rescue.from_line(line).kind for line in lines[1:] if not fresh] == (
            [] if fresh else ["late0", "late1", "late2"]
        )
    else:
        assert ran.rescued == []
    with open_book(stood.path) as book:
        holds = said(book)
        assert holds == ((FELL, ["fell"]) if which == "other" else FIRST)
        if late and which == "other":
            (sentence,) = rescue.replay(book)
            assert "of another book" in sentence
            assert said(book) == holds
            assert rescue.pending(stood.path) == [file]


def void(_: object) -> None:
    """For an act whose path is known already."""


@pytest.mark.parametrize("late", [0, 3])
@pytest.mark.parametrize("which", ["cold", "other"])
def test_control_a_walk_that_does_not_look_ruins_the_file(late: int, which: str, stood: Left) -> None:
    wanted = getattr(stood, which).read_bytes()
    walked(stood.path, lambda: void(copied_over(which)(stood)), late, "careless")
    assert stood.path.read_bytes() != wanted


def test_a_book_removed_under_a_walk_is_not_made_again_and_comes_back_whole(stood: Left) -> None:
    away = stood.path.with_name("away")
    ran = walked(stood.path, lambda: os.link(stood.path, away) or stood.path.unlink(), 2)
    assert not stood.path.exists()
    assert ran.saved == [12]
    assert len(ran.rescued) == 1
    away.rename(stood.path)
    assert cells(stood.path) == 10, "all that was saved is in the log that stayed"
    with open_book(stood.path) as book:
        assert rescue.replay(book) == ["2 entries that could not be saved last time are in the book now."]
    assert cells(stood.path) == 12


def log_taken_away(left: Left) -> None:
    log(left.path).unlink()


def log_swapped(left: Left) -> None:
    """As a program does that synchronises folders: a file beside it, then the name."""
    other = left.path.with_name("half a pair")
    other.write_bytes(log(left.path).read_bytes()[:5000])
    other.replace(log(left.path))


@pytest.mark.parametrize("kill", [False, True], ids=["left", "killed"])
@pytest.mark.parametrize("act", [log_taken_away, log_swapped])
def test_a_log_taken_away_under_a_walk_is_said_and_what_was_saved_is_in_the_book(
    act: Callable[[Left], None], kill: bool, stood: Left
) -> None:
    ran = walked(stood.path, lambda: act(stood), 1, kill=kill)
    assert ran.saved == [12], "nothing is shown as saved that only a log holds which nobody finds"
    assert "the log beside the book was taken away or replaced while it was open" in ran.trouble[0]
    if act is log_swapped and not kill:
        assert list(stood.path.parent.glob("*.other-*-wal")), "what was put there is kept"
    assert cells(stood.path) == 10
    if not kill:
        with open_book(stood.path) as book:
            assert rescue.replay(book) == ["1 entry that could not be saved last time is in the book now."]
        assert cells(stood.path) == 11


def test_control_without_the_look_at_the_log_a_kill_loses_what_was_shown_as_saved(stood: Left) -> None:
    ran = walked(stood.path, lambda: log_taken_away(stood), 1, "careless", kill=True)
    assert ran.saved == [12, 13]
    assert cells(stood.path) < 11


def test_a_start_beside_a_walk_whose_log_is_gone_waits_for_its_end(stood: Left) -> None:
    def act() -> None:
        log_taken_away(stood)
        with pytest.raises(BookError, match="End that program first"):
            open_book(stood.path)

    walked(stood.path, act, 1)
    assert cells(stood.path) == 10


def test_moved_away_and_back_the_walk_goes_on(stood: Left) -> None:
    away = stood.path.with_name("away")

    def act() -> None:
        stood.path.rename(away)
        away.rename(stood.path)

    ran = walked(stood.path, act, 3)
    assert ran.saved[-1] == 15
    assert cells(stood.path) == 13


def test_a_start_beside_a_walk_whose_book_was_written_over_waits_for_its_end(stood: Left) -> None:
    """The log is in use: put aside now it would be written on under its new name."""

    def act() -> None:
        shutil.copyfile(stood.cold, stood.path)
        with pytest.raises(BookError, match="End that program first"):
            open_book(stood.path)
        with open_book(stood.path, readonly=True) as book:
            assert said(book) == FIRST

    ran = walked(stood.path, act, 1)
    assert len(ran.rescued) == 1
    with open_book(stood.path) as book:
        assert said(book) == FIRST
        assert len(book.notes) == 1


def test_a_book_that_others_write_and_fold_in_is_still_the_same(stood: Left) -> None:
    """The file changes under the walk, but by its own log: nothing is wrong."""

    def act() -> None:
        for n in range(3):
            session(stood.path, f"third {n}", "fold in", f"fourth {n}", kill=False)
        with open_book(stood.path) as book:
            book.tidy()
            say(book, "fifth")
            book.tidy()

    ran = walked(stood.path, act, 2)
    assert (ran.trouble, ran.rescued) == ([], [])
    assert ran.saved[-1] == 14
    assert cells(stood.path) == 12


def test_a_transaction_over_which_the_file_was_replaced_is_taken_back(stood: Left) -> None:

    def transaction(book: Book) -> None:
        with book.writing():
            book.run("INSERT INTO keeper (name) VALUES ('lost')")
            shutil.copyfile(stood.cold, stood.path)

    with open_book(stood.path) as book:
        for act in (transaction, transaction, Book.tidy):
            with pytest.raises(BookError, match="moved or replaced"):
                act(book)
    assert stood.path.read_bytes() == stood.cold.read_bytes()


def test_a_log_that_is_folded_in_only_after_the_close_is_still_the_books_own(path: Path) -> None:
    """A statement that somebody still holds keeps SQLite from closing; its end is the close."""
    new_house(path).close()
    book = open_book(path)
    say(book, "first")
    held = book.run("SELECT id FROM keeper UNION ALL SELECT visit FROM reading")
    next(held)
    book.close()
    assert log_stamps.has_log(path)
    assert book.watch.is_there()
    del held
    assert not log_stamps.has_log(path)
    assert book.watch.is_there()


def test_cut_off_while_the_log_was_folded_in_the_book_opens(left: Left, tmp_path: Path) -> None:
    """Its first page is the newest already, and the file has not grown to what that says; the log makes it good."""
    folded = Path(shutil.copy(left.path, tmp_path / "folded.book"))
    shutil.copy(log(left.path), log(folded))
    with closing(sqlite3.connect(folded)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert folded.stat().st_size > left.path.stat().st_size
    with left.path.open("r+b") as file:
        file.write(folded.read_bytes()[:4096])
    alone = f"{left.path.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(alone, uri=True)) as db, pytest.raises(sqlite3.DatabaseError):
        db.execute("PRAGMA user_version")
    with open_book(left.path) as book:
        assert book.notes == ()
        assert said(book) == (HOUSE.name, ["first", "killed", "second"])


def test_the_beginning_of_a_log_is_no_other_files(left: Left) -> None:
    """Killed between the two writes of a page: what stands in it is of a log that was there before."""
    data = bytearray(log(left.path).read_bytes())
    at = log_stamps.HEAD + log_stamps.FRAME_HEAD + log_stamps.STAMP_AT
    data[at : at + 4] = b"\1\2\3\4"
    log(left.path).write_bytes(data[: log_stamps.HEAD + log_stamps.FRAME_HEAD + 4096])
    with open_book(left.path) as book:
        assert book.notes == ()
        assert said(book) == (HOUSE.name, ["first", "second"])
    # The control: a whole transaction under another stamp is another file's.
    shutil.copy(log(left.other), log(left.path))
    with open_book(left.path) as book:
        assert "was of another file" in book.notes[0]
