"""Visits that are to be added to a book, with their cells: checked already, kept in columns because there may be millions.

A visit is called by its number among the new ones, from 0. What many cells say is kept once;
notes, which are hardly ever the same, lie as bytes behind each other.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterator

from rounds.records.entries import NOTE, SKIPPED, Cell
from rounds.store.cell_codec import REMARK, encode
from rounds.store.snapshot import Address, VisitRow


class NewVisits:
    """``codes``, ``walks`` and ``places`` number what visits refer to; a column holds those numbers."""

    def __init__(self) -> None:
        self.uids: list[bytes] = []
        self.codes: dict[str, int] = {}
        self.walks: dict[bytes, int] = {}
        self.places: dict[Address | None, int] = {}
        self.enclosure, self.walk, self.seq, self.place = array("I"), array("I"), array("I"), array("I")
        self.at_ms = array("q")
        self.cells = NewCells()
        self._skips: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self.uids)

    def add(self, visit: VisitRow) -> None:
        """Raises Unsavable for a note with NUL or lone surrogates."""
        enclosure = self.codes.setdefault(visit.enclosure, len(self.codes))
        walk = self.walks.setdefault(visit.walk, len(self.walks))
        place = self.places.setdefault(visit.place, len(self.places))
        self.put(visit.uid, enclosure, walk, visit.seq, visit.at_ms, place, visit.skipped, visit.note)

    def put(
        self,
        uid: bytes,
        enclosure: int,
        walk: int,
        seq: int,
        at_ms: int,
        place: int,
        skipped: str,
        note: str,
    ) -> None:
        """:meth:`add` of a visit whose enclosure, walk and place have their numbers."""
        if skipped:
            if skipped not in self._skips:
                self._skips[skipped] = self.cells.number_of(SKIPPED, 0, skipped)
            self.cells.put(len(self.uids), (self._skips[skipped],))
        if note:
            self.cells.put_text(len(self.uids), NOTE, 0, note)
        self.uids.append(uid)
        self.enclosure.append(enclosure)
        self.walk.append(walk)
        self.seq.append(seq)
        self.at_ms.append(at_ms)
        self.place.append(place)


class NewCells:
    """``visit`` and ``cell`` say side by side which cell stands in which visit.

    Of each cell ``kind`` is the number of its kind in ``kinds`` (reading, depth, form), and
    ``number`` its number, or for a phrase the number of its text in ``texts``. Texts of one cell
    alone are in :meth:`remarks`.
    """

    def __init__(self) -> None:
        self.visit, self.cell = array("I"), array("I")
        self.kind, self.number = array("H"), array("d")
        self.kinds: dict[tuple[str, int, int], int] = {}
        self.texts: dict[str, int] = {}
        self._remark_visit, self._remark_kind, self._remark_bytes = array("I"), array("H"), array("I")
        self._remarks = bytearray()

    def __len__(self) -> int:
        return len(self.visit) + len(self._remark_visit)

    def number_of(self, reading: str, depth: int, value: Cell) -> int:
        """The number of a new cell. Raises Unsavable for what no book can hold, or for a text of one cell alone."""
        form, number, text = encode(reading, value)
        assert form != REMARK
        if text is not None:
            number = self.texts.setdefault(text, len(self.texts))
        assert number is not None
        self.kind.append(self._kind(reading, depth, form))
        self.number.append(number)
        return len(self.kind) - 1

    def put(self, visit: int, cells: tuple[int, ...]) -> None:
        self.visit.extend((visit,) * len(cells))
        self.cell.extend(cells)

    def drop(self, which: Callable[[int, int], bool]) -> None:
        """Take out the cells, given by visit and number, that ``which`` is true of."""
        visits, cells = self.visit, self.cell
        self.visit, self.cell = array("I"), array("I")
        for visit, cell in zip(visits, cells, strict=True):
            if not which(visit, cell):
                self.put(visit, (cell,))

    def put_text(self, visit: int, reading: str, depth: int, value: Cell) -> None:
        """A text of this cell alone."""
        form, _, text = encode(reading, value)
        assert form == REMARK
        assert text is not None
        written = text.encode()
        self._remark_visit.append(visit)
        self._remark_kind.append(self._kind(reading, depth, form))
        self._remark_bytes.append(len(written))
        self._remarks += written

    def _kind(self, reading: str, depth: int, form: int) -> int:
        return self.kinds.setdefault((reading, depth, form), len(self.kinds))

    def remarks(self) -> Iterator[tuple[int, int, str]]:
        """Visit, number of the kind, and text."""
        at = 0
        for visit, kind, length in zip(
            self._remark_visit, self._remark_kind, self._remark_bytes, strict=True
        ):
            yield visit, kind, self._remarks[at : at + length].decode()
            at += length
