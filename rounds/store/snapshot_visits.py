"""Every visit of a book and every cell read at them, under the names a keeper knows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.records.entries import NOTE, SKIPPED
from rounds.store.book_models import RECORD_MODELS
from rounds.store.cell_codec import decode
from rounds.store.orm import ask, one_of, pw, run
from rounds.store.round_models import KeeperModel, RoundModel, VisitModel
from rounds.store.snapshot import CHUNK, CellRow, VisitRow

_ENCLOSURE: Any = RECORD_MODELS["enclosure"]
_PLACE: Any = RECORD_MODELS["place"]


class HeldVisit(NamedTuple):
    """A visit with its row id; its note and its skip are in the row."""

    id: int
    row: VisitRow


def held_cells(
    db: pw.Database, visits: Sequence[int], *, only: Sequence[str] = ()
) -> dict[int, dict[str, CellRow]]:
    """The cells of visits (by row id) by reading, without those that were taken back.

    ``only`` names the readings that are wanted, where not all are. What many cells say is one object.
    """
    out: dict[int, dict[str, CellRow]] = {v: {} for v in visits}
    rows: dict[tuple[Any, ...], CellRow] = {}
    wanted = f" AND reading IN ({', '.join('?' * len(only))})" if only else ""
    for start in range(0, len(visits), CHUNK):
        some = list(visits[start : start + CHUNK])
        for visit, reading, depth, number, text in run(
            db,
            "SELECT visit, reading, depth, number, text FROM cell"
            f" WHERE visit IN ({', '.join('?' * len(some))}) AND (number IS NOT NULL OR text IS NOT NULL)"
            f"{wanted}",
            [*some, *only],
        ):
            said = (reading, depth, number, text)
            row = rows.get(said)
            if row is None:
                row = rows[said] = CellRow(reading, depth, decode(reading, number, text))
            out[visit][reading] = row
    return out


def held_visits(db: pw.Database, uids: Sequence[bytes]) -> dict[bytes, HeldVisit]:
    """Those of ``uids`` that the book has."""
    out: dict[bytes, HeldVisit] = {}
    for start in range(0, len(uids), CHUNK):
        some = list(uids[start : start + CHUNK])
        found = list(ask(db, _visits().where(VisitModel.uid.in_(one_of(some)))))
        out.update((v.row.uid, v) for v in _visit_rows(db, found))
    return out


def _visits() -> Any:
    return (
        VisitModel.select(
            VisitModel.id,
            VisitModel.uid,
            KeeperModel.name,
            RoundModel.day,
            RoundModel.name,
            _ENCLOSURE.code,
            VisitModel.seq,
            VisitModel.at_ms,
            _PLACE.bay,
            _PLACE.shelf,
            _PLACE.slot,
            RoundModel.uid,
        )
        .join(RoundModel)
        .join(KeeperModel)
        .switch(VisitModel)
        .join(_ENCLOSURE)
        .switch(VisitModel)
        .join(_PLACE, pw.JOIN.LEFT_OUTER)
    )


def every_visit(db: pw.Database) -> Iterator[VisitRow]:
    """Every visit in the order it was written, a batch at a time."""
    after = -1
    while True:
        found = list(ask(db, _visits().where(VisitModel.id > after).order_by(VisitModel.id).limit(CHUNK)))
        if not found:
            return
        for visit in _visit_rows(db, found):
            yield visit.row
        after = found[-1][0]


def _visit_rows(db: pw.Database, found: Sequence[Sequence[Any]]) -> Iterator[HeldVisit]:
    cells = held_cells(db, [r[0] for r in found], only=(SKIPPED, NOTE))
    for id_, uid_, keeper, day, name, code, seq, at_ms, bay, shelf, slot, walk in found:
        skipped, note = (str(cells[id_][k].value) if k in cells[id_] else "" for k in (SKIPPED, NOTE))
        place = None if bay is None else (bay, shelf, slot)
        row = VisitRow(bytes(uid_), keeper, day, name, code, seq, at_ms, place, skipped, note, bytes(walk))
        yield HeldVisit(id_, row)


def every_cell(db: pw.Database) -> Iterator[tuple[bytes, CellRow]]:
    """Every cell that is not a note or a skip, with its visit's uid, visit by visit."""
    after = -1
    while True:
        later = VisitModel.select(VisitModel.id, VisitModel.uid).where(VisitModel.id > after)
        found = list(ask(db, later.order_by(VisitModel.id).limit(CHUNK)))
        if not found:
            return
        cells = held_cells(db, [i for i, _ in found])
        for i, uid_ in found:
            for reading, cell in cells[i].items():
                if reading not in (NOTE, SKIPPED):
                    yield bytes(uid_), cell
        after = found[-1][0]


def last_seq(db: pw.Database) -> dict[bytes, int]:
    """The highest sequence number in each round, by the round's uid."""
    newest = (
        VisitModel.select(RoundModel.uid, pw.fn.MAX(VisitModel.seq))
        .join(RoundModel)
        .group_by(RoundModel.id, RoundModel.uid)
    )
    return {bytes(uid_): seq for uid_, seq in ask(db, newest)}
