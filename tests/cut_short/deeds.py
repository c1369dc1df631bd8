"""Pieces of work that a crash can cut short, and what has to hold afterwards, wherever that was.

A :class:`Deed` is done in a folder that was prepared for it, and says what it has saved as a keeper is told.
Whoever cuts it short (:mod:`.kills`, :mod:`.power_cut`, :mod:`.failing_disk`) then asks for its faults: the
book opens, a checkup is content, what was said is there, and nothing else is half there.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing, redirect_stderr, redirect_stdout
from datetime import UTC, datetime, timedelta
from functools import cache
from io import StringIO
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from rounds.cli import run
from rounds.config import Config, read
from rounds.problems import BookError, RoundsError
from rounds.records.entries import Entry
from rounds.settings.layers import layers
from rounds.store import rescue
from rounds.store.backup import back_up, is_as_made
from rounds.store.backup_ladder import folder_of
from rounds.store.book import open_book
from rounds.store.checkup import of_the_book
from rounds.store.connection import connect
from rounds.store.ids import Ids
from rounds.store.migration_steps import SCHEMA, SCHEMAS, statements
from rounds.store.migrations import version_of
from rounds.store.orm import pw
from rounds.walk.core import Walk
from tests.endtoend import generation, rack
from tests.endtoend.keys import LEAVE, some_keys
from tests.sampled import sampled
from tests.store.houses import DAY, Steady, fill, new_house, walk

Say = Callable[[str], object]
OLD_BOOKS = Path(__file__).parents[1] / "store" / "books"
GENERATION = generation.steps_of(generation.TABLE)[: sampled(8, 19)]


@cache
def shipped() -> Config:
    return read(layers(None)[:1])


class Refused(RoundsError):
    """A command ended with another exit code than 0, as it may when its disk fails it."""


def command(*words: object) -> None:
    """``rounds`` with these words, in this process."""
    with redirect_stdout(StringIO()), redirect_stderr(StringIO()) as said:
        code = run([str(word) for word in words])
    if code:
        error = Refused(said.getvalue())
        error.exit_code = code
        raise error


def quietly(book: Path, some: Sequence[generation.Step]) -> None:
    """Record some steps with ``rounds record``."""
    with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        generation.record(book, some)


def book_in(folder: Path) -> Path:
    return folder / "house" / "tarn.book"


def state_of(book: Path) -> str:
    """A hash of all that is in the book but for instants and drawn ids."""
    with closing(sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True)) as db:
        return hashed(rack.rows_of(db, instants=False))


def hashed(rows: object) -> str:
    return hashlib.blake2b(repr(rows).encode(), digest_size=12).hexdigest()


def faults_of_book(book: Path) -> list[str]:
    """Why the book does not open, or what a checkup of it is not content with.

    That a log is gone is a hint alone, and names that reach the disk in another order can give it for nothing;
    what would be lost with it is missing from the book.
    """
    try:
        with open_book(book) as opened:
            notes = [note for note in opened.notes if "from schema" not in note and "is gone" not in note]
    except BookError as error:
        return [f"it does not open: {error}"]
    return notes + [f"checkup: {f.check}: {f.found}" for f in of_the_book(book) if f.state == "wrong"]


def faults_of_copy(copy: Path, states: Iterable[str]) -> list[str]:
    """What is wrong with a backup."""
    if is_as_made(copy) is False:
        return [f"{copy.name} is not as it was made"]
    state = state_in(copy.read_bytes())
    return [] if state in states else [f"{copy.name} is none that was made of the book: {state}"]


@cache
def state_in(content: bytes) -> str:
    """The :func:`state_of` a sound book with these bytes, or what is wrong with it."""
    with TemporaryDirectory() as folder:
        book = Path(folder, "copy.book")
        book.write_bytes(content)
        try:
            return hashed(rack.content(book, instants=False))
        except (sqlite3.Error, AssertionError) as error:
            return repr(error)


def copies_of(book: Path) -> list[Path]:
    return sorted(folder_of(book).glob("*.book")) if folder_of(book).is_dir() else []


class Deed(ABC):
    """``learn`` gets a folder in which it was done without any cut, before it is asked for ``faults``."""

    can_be_done_again = True
    """Is what a crash leaves enough for the same deed to be done once more, in the same place?"""

    @abstractmethod
    def prepare(self, folder: Path) -> None: ...

    @abstractmethod
    def do(self, folder: Path, say: Say) -> None: ...

    @abstractmethod
    def learn(self, before: Path, after: Path) -> None: ...

    @abstractmethod
    def faults(self, folder: Path, said: Sequence[str]) -> list[str]: ...


class Stepwise(Deed):
    """What saves one thing after the other: the book holds what had been done at some step, not before the last said."""

    states: list[tuple[tuple[int, ...], str]]
    """In the order of the work: the most that can have been said by then, and the state of the book."""

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        if found := faults_of_book(book):
            return found
        state = state_of(book)
        reached = [most for most, known in self.states if known == state]
        if not reached:
            return ["it holds what was never done, or misses something in between"]
        wanted = max((tuple(map(int, words.split())) for words in said), default=(0,))
        return (
            [] if max(reached) >= wanted else [f"{wanted} was said to be saved, and it holds {max(reached)}"]
        )


class Walking(Stepwise):
    """Rounds from the first key to leaving, one a day, with whatever is recorded on the way."""

    def __init__(
        self, house: Callable[[Path], None], days: Callable[[Path], list[tuple[int, list[str]]]]
    ) -> None:
        self.house, self.days = house, days

    def prepare(self, folder: Path) -> None:
        self.house(book_in(folder))
        tried = folder / "tried.book"
        shutil.copy(book_in(folder), tried)
        (folder / "keys.json").write_text(json.dumps(self.days(tried)))
        tried.unlink()

    def walks(self, folder: Path) -> Iterable[tuple[int, Walk, list[str]]]:
        for n, (day, keys) in enumerate(json.loads((folder / "keys.json").read_text()), 1):
            at = int(datetime.fromordinal(day).replace(hour=7, tzinfo=UTC).timestamp() * 1000)
            yield n, Walk(book_in(folder), shipped(), day=day, clock=lambda at=at: at), keys

    def do(self, folder: Path, say: Say) -> None:
        for n, walk_, keys in self.walks(folder):
            said = 0
            for i, key in enumerate(keys):
                walk_.press(key)
                if i % 4 == 0:  # else several keys share a transaction
                    walk_.drain(5.0)
                if walk_.kept > said:
                    say(f"{n} {(said := walk_.kept)}")
            walk_.close(0.5)

    def learn(self, before: Path, after: Path) -> None:
        shutil.copytree(before, after.with_name("slowly"))
        book = book_in(after.with_name("slowly"))
        self.states = [((0,), state_of(book))]
        for n, walk_, keys in self.walks(before):
            walk_.close(5.0)
            slow = Walk(book, shipped(), day=walk_.day, clock=walk_.round.clock)
            most = 0
            for key in keys:
                slow.press(key)
                assert slow.drain(30.0)
                most = max(most, slow.kept)
                self.states.append(((n, most), state_of(book)))
            assert slow.close(30.0) is None
            self.states.append(((n, most), state_of(book)))
        assert state_of(book_in(after)) == self.states[-1][1], "done fast, it comes to something else"


def keys_of_a_round(_: Path) -> list[tuple[int, list[str]]]:
    keys = [key for key in some_keys(Random(5), sampled(50, 100), numbers=6) if key != "q"]
    return [(DAY, [*keys, *LEAVE])]


def keys_of_acts(tried: Path) -> list[tuple[int, list[str]]]:
    return [
        (datetime.fromisoformat(day).toordinal(), generation.KeysOf(tried, shipped(), day).day(some))
        for day, some in generation.by_day(GENERATION)
    ]


def beetle_house(book: Path) -> None:
    book.parent.mkdir(parents=True, exist_ok=True)
    with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        generation.rack(book)


class Recording(Stepwise):
    """``rounds record``, an act after the other."""

    def prepare(self, folder: Path) -> None:
        beetle_house(book_in(folder))

    can_be_done_again = False

    def do(self, folder: Path, say: Say) -> None:
        for n, step in enumerate(GENERATION, 1):
            quietly(book_in(folder), [step])
            say(f"{n}")

    def learn(self, before: Path, after: Path) -> None:
        shutil.copytree(before, after.with_name("slowly"))
        book = book_in(after.with_name("slowly"))
        self.states = [((0,), state_of(book))]
        for n, step in enumerate(GENERATION, 1):
            quietly(book, [step])
            self.states.append(((n,), state_of(book)))


class AllOrNothing(Deed):
    """What leaves the book as it was or as it shall be; backups made on the way are of one of the two."""

    old = new = ""

    def learn(self, before: Path, after: Path) -> None:
        self.old, self.new = state_of(book_in(before)), state_of(book_in(after))

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        if found := faults_of_book(book):
            return found
        state = state_of(book)
        if state not in (self.old, self.new):
            return ["it is neither as it was nor as it shall be"]
        if said and state != self.new:
            return ["it was said to be done, and the book is as it was"]
        return [fault for copy in copies_of(book) for fault in faults_of_copy(copy, {self.old, self.new})]


class Loading(AllOrNothing):
    """``rounds load`` of two more days into a book that has two."""

    def prepare(self, folder: Path) -> None:
        book, more = book_in(folder), folder / "more.book"
        with new_house(book, 6) as opened:
            fill(opened, 2, range(1, 7), [("moisture", "right")])
        shutil.copy(book, more)
        with open_book(more) as opened:
            ids, clock = Ids(Steady(), lambda n: b"\1" * n), Steady()
            from rounds.store.apply_entries import apply

            for day in (DAY + 1, DAY + 2):
                with opened.writing():
                    apply(
                        opened, walk(ids, clock, day, range(1, 7), [("moisture", "wet"), ("smell", "sour")])
                    )
        command("--book", more, "write", folder / "tables")
        more.unlink()

    def do(self, folder: Path, say: Say) -> None:
        command("--book", book_in(folder), "load", folder / "tables")
        say("loaded")


class Migrating(AllOrNothing):
    """A book of an older schema, opened for writing."""

    def __init__(self, version: int) -> None:
        self.version = version

    def prepare(self, folder: Path) -> None:
        book_in(folder).parent.mkdir()
        shutil.copy(OLD_BOOKS / f"{self.version}.book", book_in(folder))

    def do(self, folder: Path, say: Say) -> None:
        open_book(book_in(folder)).close()
        say("brought up")

    def learn(self, before: Path, after: Path) -> None:
        self.old = "" if self.version == 1 else state_of(book_in(before))
        self.new = state_of(book_in(after))

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        """At one schema and not between; and once it is opened again it is as if nothing had been."""
        book = book_in(folder)
        try:
            with closing(connect(book)) as db:
                version, text = version_of(db), "".join(f"{sql};\n" for sql in statements(db))
        except pw.DatabaseError as error:
            return [f"it cannot be read: {error}"]
        if text != (SCHEMAS / f"{version}.sql").read_text():
            return [f"it is not of the schema {version} that it says it has"]
        if said and version != SCHEMA:
            return ["it was said to be brought up, and is not"]
        if found := faults_of_book(book):
            return found
        if state_of(book) != self.new:
            return ["opened again it is not as if nothing had been"]
        copies = copies_of(book)
        if version != self.version and not copies:
            return ["it was brought up without a backup"]
        return [fault for copy in copies for fault in _faults_of_old_copy(copy, self.version)]


def _faults_of_old_copy(copy: Path, version: int) -> list[str]:
    if is_as_made(copy) is False:
        return [f"{copy.name} is not as it was made"]
    with closing(sqlite3.connect(f"{copy.as_uri()}?mode=ro&immutable=1", uri=True)) as db:
        if db.execute("PRAGMA integrity_check").fetchone() != ("ok",):
            return [f"{copy.name} is not whole"]
        with closing(
            sqlite3.connect(f"{(OLD_BOOKS / f'{version}.book').as_uri()}?mode=ro", uri=True)
        ) as first:
            same = list(db.iterdump()) == list(first.iterdump())
    later = copy.name.count("before-schema") and not same
    return [f"{copy.name} is not the old book"] if later and version == SCHEMA - 1 else []


class WritingOut(Deed):
    """``rounds write``: the folder is there whole, or not there."""

    can_be_done_again = False
    """A folder that is there is never overwritten."""

    def prepare(self, folder: Path) -> None:
        beetle_house(book_in(folder))
        quietly(book_in(folder), GENERATION)

    def do(self, folder: Path, say: Say) -> None:
        command("--book", book_in(folder), "write", folder / "out")
        say("written")

    def learn(self, before: Path, after: Path) -> None:
        self.old = state_of(book_in(before))
        self.wanted = _files(after / "out")

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book, out = book_in(folder), folder / "out"
        found = faults_of_book(book)
        if not found and state_of(book) != self.old:
            found.append("the book was changed")
        if out.exists() and _files(out) != self.wanted:
            found.append("the folder is there, and not whole")
        if said and not out.exists():
            found.append("it was said to be written, and is not there")
        return found


def _files(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


class BackingUp(Deed):
    """Backups as after rounds, of several days, so that older ones are thinned out meanwhile."""

    FIRST = datetime(2026, 3, 2, 7, tzinfo=UTC)

    def prepare(self, folder: Path) -> None:
        with new_house(book_in(folder), 6) as opened:
            fill(opened, 2, range(1, 7), [("moisture", "right")])

    def do(self, folder: Path, say: Say) -> None:
        for hours in (0, 5, 24, 30):
            say(back_up(book_in(folder), now=self.FIRST + timedelta(hours=hours)).name)

    def learn(self, before: Path, after: Path) -> None:
        self.old = state_of(book_in(before))

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        found = faults_of_book(book)
        if not found and state_of(book) != self.old:
            found.append("the book was changed")
        copies = copies_of(book)
        if said and (not copies or copies[-1].name < said[-1]):
            found.append(f"{said[-1]} was said to be made, and is not there")
        return found + [fault for copy in copies for fault in faults_of_copy(copy, {self.old})]


class Restoring(Deed):
    """A backup put in the place of a book that somebody left a log beside."""

    def prepare(self, folder: Path) -> None:
        book = book_in(folder)
        with new_house(book, 6) as opened:
            fill(opened, 2, range(1, 7), [("moisture", "right")])
            back_up(book, now=BackingUp.FIRST)
            fill_later(opened)
            opened.fold_in()
            fill_later(opened)
            for end in ("", "-wal"):  # as a kill leaves it
                shutil.copy(f"{book}{end}", f"{book}{end}.left")
        for end in ("", "-wal"):
            shutil.move(f"{book}{end}.left", f"{book}{end}")
        assert Path(f"{book}-wal").stat().st_size

    def do(self, folder: Path, say: Say) -> None:
        (copy,) = copies_of(book_in(folder))
        command("--book", book_in(folder), "restore", copy)
        say("restored")

    def learn(self, before: Path, after: Path) -> None:
        shutil.copytree(before, after.with_name("looked at"))
        self.old = state_of(book_in(after.with_name("looked at")))
        self.new = state_of(book_in(after))
        assert self.old != self.new

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        kept = [
            p for p in sorted(book.parent.glob("tarn.book.kept-*")) if p.name[-4:] not in ("-wal", "-shm")
        ]
        # A log whose file was exchanged just before the cut is put aside by the next opening, and says so.
        found = [f for f in faults_of_book(book) if "The log beside the book was of another file" not in f]
        if found:
            return found
        state = state_of(book)
        if state not in (self.old, self.new):
            return ["it is neither as it was nor the backup"]
        if state == self.new:
            if not kept:
                return ["the backup stands there, and nothing was kept of what stood there"]
            found = faults_of_book(kept[0])
            if not found and state_of(kept[0]) != self.old:
                found = ["what was kept is not what stood there"]
        elif said:
            return ["it was said to be restored, and is not"]
        return found + [fault for copy in copies_of(book) for fault in faults_of_copy(copy, {self.new})]


def fill_later(opened: object) -> None:
    from rounds.store.apply_entries import apply
    from rounds.store.book import Book

    assert isinstance(opened, Book)
    day = DAY + 1 + (opened.row('SELECT count(*) FROM "round"') or (0,))[0]
    with opened.writing():
        apply(
            opened,
            walk(
                Ids(Steady(), lambda n: bytes([day % 251]) * n),
                Steady(),
                day,
                range(1, 7),
                [("moisture", "wet")],
            ),
        )


class Making(Deed):
    """``rounds new``, in a folder that is not there yet."""

    def prepare(self, folder: Path) -> None:
        pass

    def do(self, folder: Path, say: Say) -> None:
        command("new", book_in(folder), "--house", "Tarn Lantern", "--zone", "Europe/Berlin")
        say("made")

    can_be_done_again = False

    def learn(self, before: Path, after: Path) -> None:
        self.new = state_of(book_in(after))

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        if not book.exists():
            return ["it was said to be made, and is not there"] if said else []
        return faults_of_book(book) or (
            [] if state_of(book) == self.new else ["it is not what a new book is"]
        )


class Rescuing(AllOrNothing):
    """What could not be saved is kept in a file, and put into the book by the next start."""

    def prepare(self, folder: Path) -> None:
        new_house(book_in(folder)).close()

    def entries(self) -> list[Entry]:
        return walk(Ids(Steady(), lambda n: bytes(n)), Steady(), DAY, range(1, 4), [("moisture", "wet")])

    def do(self, folder: Path, say: Say) -> None:
        book = book_in(folder)
        with open_book(book) as opened:
            rescue.write(book, self.entries(), opened.identity)
            say("kept")
            rescue.replay(opened)
            say("taken in")

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        book = book_in(folder)
        if found := faults_of_book(book):
            return found
        try:
            with open_book(book) as opened:
                rescue.replay(opened)
        except BookError as error:
            return [f"the next start is refused: {error}"]
        state = state_of(book)
        if state == self.new or (state == self.old and not said):
            return []
        return [
            "what was kept is lost" if state == self.old else "it is neither as it was nor as it shall be"
        ]


DEEDS: dict[str, Deed] = {
    "round": Walking(lambda book: new_house(book, 6).close(), keys_of_a_round),
    "acts": Walking(beetle_house, keys_of_acts),
    "record": Recording(),
    "load": Loading(),
    "write": WritingOut(),
    "backup": BackingUp(),
    "restore": Restoring(),
    "new": Making(),
    "rescue": Rescuing(),
    **{f"migrate {version}": Migrating(version) for version in range(1, SCHEMA)},
}


class SaidTooEarly(Deed):
    """Another deed, by a program that says so before it is done."""

    def __init__(self, deed: Deed) -> None:
        self.deed = deed

    def prepare(self, folder: Path) -> None:
        self.deed.prepare(folder)

    def learn(self, before: Path, after: Path) -> None:
        self.deed.learn(before, after)

    def faults(self, folder: Path, said: Sequence[str]) -> list[str]:
        return self.deed.faults(folder, said)

    def do(self, folder: Path, say: Say) -> None:
        say("done")
        self.deed.do(folder, lambda _: None)


CONTROLS: dict[str, Deed] = {
    f"{name}, said too early": SaidTooEarly(DEEDS[name]) for name in ("load", "restore")
}
"""What has to be found out."""
