"""Write a whole book out as CSV tables with a ``datapackage.json``: plain files that load again.

The folder is made beside its final place and renamed into it, so that it is there whole or
not at all; nothing that exists is ever overwritten. File names come from the registry of
tables, never from what the book holds.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TextIO

from rounds.files import load_sentences
from rounds.files.act_tables import written, written_changes
from rounds.files.cells_out import guarded, iso, line, span_text, unguarded, yesno
from rounds.files.csv_tables import BOOKS, BY_NAME, NOWHERE, TABLES, CsvTable
from rounds.files.data_package import PACKAGE, described
from rounds.files.local_times import Clock
from rounds.files.reading_cells import NOTHING_ASKED
from rounds.files.row_comparison import named
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.stages import DEPTHS, Depth
from rounds.problems import RoundsError
from rounds.records.entries import AS_EXPECTED
from rounds.records.tables import TABLES as LEDGER
from rounds.store import disk
from rounds.store.book import Book
from rounds.store.snapshot import CellRow, Snapshot, held, uid_text
from rounds.store.snapshot_acts import held_acts
from rounds.store.snapshot_history import KEPT, history_rows
from rounds.store.snapshot_visits import every_cell, every_visit
from rounds.values.numbers import number_text

WORDED = 5000  # cells whose words are kept at a time
_DEPTH = {depth: word for word, depth in DEPTHS.items()}


def write_folder(
    folder: Path | str, book: Book, vocabulary: Vocabulary, *, guard: bool = True
) -> dict[str, int]:
    """Write every table of ``book`` into ``folder``; returns the number of rows by table.

    The folder must not exist, or be empty; what is in it is for its owner alone. Without ``guard`` texts that a spreadsheet would
    run as formulas are written as they are, but for those that loading would take for
    guarded ones. Raises RoundsError when the folder cannot be made or holds something.
    """
    folder = Path(folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise RoundsError(load_sentences.folder_is_there(str(folder)))
    part = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    try:
        part.mkdir(mode=0o700)
        try:
            with disk.private(), book.reading():
                counts = _write(part, book, vocabulary, guarded if guard else _bare)
            disk.sync_folder(part)
            os.rename(part, folder)  # onto an empty folder at most: the system refuses any other
            disk.sync_folder(folder.absolute().parent)
        finally:
            shutil.rmtree(part, ignore_errors=True)  # gone already when all went well
    except OSError as e:
        raise RoundsError(load_sentences.could_not_be_written(str(folder), e.strerror or str(e))) from e
    return counts


def _write(part: Path, book: Book, vocabulary: Vocabulary, guard: Callable[[str], str]) -> dict[str, int]:
    have = held(book.db)
    zone, starts = (have.house.zone, have.house.day_starts) if have.house else ("UTC", 240)
    clock = Clock(zone, starts)
    acts, changes = held_acts(book.db)
    rows: dict[str, Iterable[Sequence[str]]] = {
        "house": _house(have),
        "keepers": ([k] for k in have.keepers),
        "rounds": _rounds(have, clock),
        "visits": _visits(book, clock),
        "acts": written(acts, clock),
        "act_changes": written_changes(changes),
    }
    rows.update((t.name, _of_books(t, have)) for t in BOOKS)
    rows.update((name, _history(name, book, clock)) for name in KEPT)
    lines = {name: _lines(of_table, guard) for name, of_table in rows.items()}
    lines["readings"] = _reading_lines(book, vocabulary, guard)
    counts = {table.name: _file(part, table, lines[table.name]) for table in TABLES}
    title = have.house.name if have.house else ""
    text = json.dumps(described(title or "a book", TABLES), ensure_ascii=False, indent=1)
    with (part / PACKAGE).open("x", encoding="utf-8") as f:
        f.write(text + "\n")
        _flush(f)
    return counts


def _bare(text: str) -> str:
    return text if unguarded(text) == text else guarded(text)


def _lines(rows: Iterable[Sequence[str]], guard: Callable[[str], str]) -> Iterator[str]:
    return (line([guard(cell) for cell in row]) for row in rows)


def _file(part: Path, table: CsvTable, lines: Iterable[str]) -> int:
    n = 0
    with (part / table.file).open("x", encoding="utf-8", newline="") as f:
        f.write(line([c.name for c in table.columns]))
        for text in lines:
            f.write(text)
            n += 1
        _flush(f)
    return n


def _flush(file: TextIO) -> None:
    """Have what was written survive a power cut."""
    file.flush()
    os.fsync(file.fileno())


def _house(have: Snapshot) -> Iterator[Sequence[str]]:
    if have.house is not None:
        h = have.house
        yield h.name, h.zone, f"{h.day_starts // 60:02}:{h.day_starts % 60:02}", h.order


def _of_books(table: CsvTable, have: Snapshot) -> Iterator[Sequence[str]]:
    types = {c.name: c.type for c in LEDGER[table.ledger].columns} | {"void": "yesno"}
    defaults = {c.name: c.default for c in LEDGER[table.ledger].columns} | {"void": False}

    def cell(column: str, words: tuple[str, ...], of: str, value: Any) -> str:
        if value is None or (value == defaults[column] and not words and isinstance(value, (str, bool))):
            return ""
        type_ = types[column]
        if type_ == "ref":
            return named(of, value)
        if type_ == "span":
            return span_text(value)
        if type_ == "day":
            return iso(value)
        if type_ == "yesno":
            return yesno(value)
        return number_text(value) if type_ in ("whole", "number") else str(value)

    for key, row in have.tables[table.ledger].items():
        yield [
            cell(c.holds, c.words, c.of, row[c.holds]) if c.holds else named(table.name, key)
            for c in table.columns
        ]


def _rounds(have: Snapshot, clock: Clock) -> Iterator[Sequence[str]]:
    for r in have.rounds.values():
        closed = "" if r.closed_ms is None else clock.written(r.closed_ms)
        yield (
            uid_text(r.uid),
            r.keeper,
            iso(r.day),
            r.name,
            r.zone,
            " ".join(r.bays),
            clock.written(r.opened_ms),
            closed,
            r.fingerprint,
            r.standing_at or "",
            r.source,
        )


def _visits(book: Book, clock: Clock) -> Iterator[Sequence[str]]:
    for v in every_visit(book.db):
        place = named("places", v.place) if v.place else NOWHERE
        yield (
            uid_text(v.uid),
            clock.written(v.at_ms),
            v.keeper,
            v.enclosure,
            str(v.seq),
            v.round,
            uid_text(v.walk),
            place,
            v.skipped,
            v.note,
        )


def _reading_lines(book: Book, vocabulary: Vocabulary, guard: Callable[[str], str]) -> Iterator[str]:
    ticks = {k.id for k in vocabulary.kinds.values() if k.type == "tick"}

    def said(reading: str, value: Any) -> str:
        if isinstance(value, str):
            return value
        return yesno(value) if reading in ticks or isinstance(value, bool) else number_text(value)

    def rows(cell: CellRow) -> Iterator[tuple[str, str, str, str]]:
        depth = _DEPTH[Depth(cell.depth)]
        if cell.reading != AS_EXPECTED:
            yield cell.reading, depth, said(cell.reading, cell.value), "read"
        elif isinstance(cell.value, Mapping) and cell.value:
            for reading, value in cell.value.items():
                within = isinstance(value, (tuple, list))
                text = f"{number_text(value[0])}..{number_text(value[1])}" if within else said(reading, value)  # type: ignore[index]
                yield reading, depth, text, "expected"
        else:
            yield AS_EXPECTED, depth, NOTHING_ASKED, "expected"

    # Cells that say the same come as one object: by the batch, what it says is put into words once.
    worded: dict[int, tuple[CellRow, tuple[str, ...]]] = {}
    before, id_ = b"", ""
    for visit, cell in every_cell(book.db):
        if visit != before:
            before, id_ = visit, uid_text(visit)
        known = worded.get(id(cell))
        if known is None or known[0] is not cell:
            if len(worded) > WORDED:
                worded.clear()
            known = worded[id(cell)] = (cell, tuple(_lines(rows(cell), guard)))
        for text in known[1]:
            yield f"{id_},{text}"


def _history(name: str, book: Book, clock: Clock) -> Iterator[Sequence[str]]:
    table = BY_NAME[name]
    for row in history_rows(book.db, name):
        cells: list[str] = []
        for c in table.columns:
            if c.name in ("reading", "depth"):
                kind = row["kind"]
                reading, depth = kind if isinstance(kind, tuple) else (kind, row["depth"])
                cells.append(reading if c.name == "reading" else _DEPTH[Depth(depth)])
                continue
            value = row[{"at": "at_ms", "id": "uid"}.get(c.name, c.name)]
            cells.append("" if value is None else _plain(c.type, value, clock))
        yield cells


def _plain(type_: str, value: Any, clock: Clock) -> str:
    if type_ == "time":
        return clock.written(value)
    if type_ == "day":
        return iso(value)
    if type_ == "yesno":
        return yesno(value)
    return uid_text(bytes(value)) if isinstance(value, (bytes, memoryview)) else str(value)
