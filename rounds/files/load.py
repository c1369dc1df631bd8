"""Load a folder of tables into a book: every row checked first, then all of it or nothing."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from rounds.files import book_checks, book_tables, load_sentences
from rounds.files import history_tables as past
from rounds.files.cells_in import CellError
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME, TABLES
from rounds.files.data_package import PACKAGE, listed
from rounds.files.local_times import Clock, round_day
from rounds.files.reading_tables import Readings
from rounds.files.typed_tables import raw, sheet
from rounds.files.visit_tables import Visits
from rounds.husbandry.readings import Vocabulary
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem
from rounds.store.backup import back_up
from rounds.store.book import Book
from rounds.store.bulk import Loading, change_mark
from rounds.store.snapshot import RoundRow, Snapshot, held
from rounds.values.rough_width import USUAL, RoughWidth

Progress = Callable[[str, int, int], None]
"""Called as ``progress(table, done, total)`` now and then, in rows; each row counts twice,
once when it is checked and once when it is stored."""

EVERY = 2_000


class Loaded(NamedTuple):
    """``added`` counts new rows by table; ``other_files`` were left alone because they are no tables.

    ``remarks`` are sentences the keeper should be told once.
    """

    added: dict[str, int]
    other_files: tuple[str, ...]
    remarks: tuple[str, ...]


def load_folder(
    folder: Path | str,
    book: Book,
    vocabulary: Vocabulary,
    *,
    shift_days: int = 0,
    about: RoughWidth = USUAL,
    progress: Progress | None = None,
    then: Callable[[], object] | None = None,
) -> Loaded:
    """Load the tables of ``folder`` into ``book``, in one transaction.

    Into a book that holds records already only rows with new ids are added. ``shift_days``
    moves every date (not dates inside notes and reasons); ``about`` says how far a rough
    count reaches. ``then`` is called in the same transaction where new visits were loaded. Raises BadInput with all problems
    (the book is then as it was), BookError when the book cannot be written.
    """
    folder = Path(folder)
    other = _other_files(folder)
    sink = Sink()
    mark = change_mark(book.db)
    have = held(book.db)
    _required(folder, have, sink)
    books = book_tables.read(folder, have, sink, shift_days, about)
    clock = Clock(books.house.zone, books.house.day_starts, shift_days) if books.house else None
    rounds = past.rounds(folder, have, books, clock, sink)
    told = _Told(folder, progress)
    skips = tuple(s.id for s in vocabulary.skips)
    has_visits = bool(have.visits)
    visits = Visits(
        folder, book, skips, clock, books, have.rounds | rounds, sink, told.checked, has_visits=has_visits
    )
    visits.check()
    readings = Readings(folder, book, vocabulary.kinds, visits, sink, told.checked)
    readings.check()
    history = past.read(folder, book, have, books, rounds, visits, clock, sink)
    sink.raise_if_any()
    twice = clock.twice if clock else 0
    added = (
        books.counts()
        | {"rounds": len(rounds), "visits": len(visits.new), "readings": readings.added}
        | history.counts()
    )
    backup = None
    if any(added.values()):
        if not have.empty:
            backup = back_up(book.path, reason="before-load")
        with Loading(book, mark) as into:
            _store(into, books, [*rounds.values(), *visits.rounds.values()], visits, readings, history, told)
            if then is not None and visits.new:
                into.seal()
                then()
    return Loaded(added, other, _remarks(books, twice, backup))


def _remarks(books: book_tables.Books, twice: int, backup: Path | None) -> tuple[str, ...]:
    """What the keeper should be told: odd rows, ``twice`` times of an hour passed twice, the backup made."""
    remarks = book_checks.remarks(books.tables)
    if twice:
        remarks.append(load_sentences.hours_passed_twice(twice))
    if backup is not None:
        remarks.append(load_sentences.kept_before(str(backup)))
    return tuple(remarks)


def last_day(folder: Path | str) -> int:
    """The round day of the newest visit in a folder of tables, for shifting it to another year.

    Raises BadInput when there is none, or the tables that tell it cannot be read.
    """
    folder, sink = Path(folder), Sink()
    houses = sheet("house", folder, sink).good()
    starts = houses[0]["day_starts"] if houses else None
    newest = 0
    if (folder / BY_NAME["visits"].file).is_file():
        for top, line, row in raw("visits", folder, sink):
            try:
                newest = max(newest, round_day(row[top.at["at"]], 240 if starts is None else starts))
            except CellError as e:
                sink.add("visits.csv", line, top.column("at"), f"at: {e.message}", e.refusal.hint)
    if not newest and not sink:
        sink.add("visits.csv", 0, 0, load_sentences.no_visits(str(folder)))
    sink.raise_if_any()
    return newest


def _store(
    into: Loading,
    books: book_tables.Books,
    rounds: Sequence[RoundRow],
    visits: Visits,
    readings: Readings,
    history: past.History,
    told: _Told,
) -> None:
    if books.new_house and books.house is not None:
        into.house(books.house)
    into.keepers(books.keepers)
    into.tables(books.tables)
    into.rounds(rounds)
    into.visits(visits.new, told.storing({"visits": len(visits.new), "readings": len(visits.new.cells)}))
    into.cells((g.visit, cell) for g in readings.held for cell in g.read)
    for g in readings.held:
        if g.expected is not None:
            into.expected(g.visit, g.expected)
    history.store(into)


class _Told:
    """Turns rows done into calls of ``progress``, not too many of them."""

    def __init__(self, folder: Path, progress: Progress | None) -> None:
        self._progress, self._done = progress, 0
        self._total: dict[str, int] = {}
        if progress is not None:
            for name in ("visits", "readings"):
                path = folder / BY_NAME[name].file
                self._total[name] = _line_count(path) if path.is_file() else 0

    def checked(self, table: str, line: int) -> None:
        self._tell(table, line)

    def storing(self, of: Mapping[str, int]) -> Callable[[str, int], None]:
        """To be told how many of the new rows are stored; ``of`` says how many there are."""

        def stored(table: str, done: int) -> None:
            lines = self._total.get(table, 0)
            self._tell(table, lines + lines * done // of[table])

        return stored

    def _tell(self, table: str, done: int) -> None:
        if self._progress is not None and abs(done - self._done) >= EVERY:
            self._done = done
            self._progress(table, done, 2 * self._total[table])


def _line_count(path: Path) -> int:
    with path.open("rb") as f:
        return sum(block.count(b"\n") for block in iter(lambda: f.read(1 << 20), b""))


def _other_files(folder: Path) -> tuple[str, ...]:
    """Names in the folder that are no tables. Raises BadInput if the folder cannot be read."""
    try:
        names = sorted(p.name for p in folder.iterdir())
    except OSError as e:
        why = load_sentences.NO_FOLDER if not folder.exists() else (e.strerror or str(e))
        raise BadInput([Problem(str(folder), 0, 0, load_sentences.cannot_be_loaded(why))]) from e
    return tuple(
        n for n in names if n not in {PACKAGE, *(t.file for t in TABLES)} and not n.startswith((".", "__"))
    )


def _required(folder: Path, have: Snapshot, sink: Sink) -> None:
    files = [t.file for t in TABLES]
    there = {t.name for t in TABLES if (folder / t.file).is_file()}
    for table in TABLES:
        path = folder / table.file
        held_ = have.tables[table.ledger] if table.ledger else have.house
        if table.required and table.name not in there and not held_:
            sink.add(table.file, 0, 0, *load_sentences.table_missing(table.meaning, str(folder)))
        if path.exists() and not path.is_file():
            sink.add(table.file, 0, 0, *load_sentences.NO_FILE)
    for name in listed(folder, sink):
        if not (folder / name).is_file():
            sink.add(PACKAGE, 0, 0, *load_sentences.listed_and_missing(name, PACKAGE))
    if not there:
        return
    for path in folder.iterdir():
        # A table under a wrong name would be passed over in silence.
        name = path.name
        if name not in files and name.lower().endswith(".csv"):
            close = difflib.get_close_matches(name.lower(), files, n=1, cutoff=0.85)
            if close:
                sink.add(name, 0, 0, *load_sentences.no_name_of_a_table(close[0]))
