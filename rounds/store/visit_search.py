"""Going through the visits of a book beside the keys: words in notes, corrections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rounds.records.entries import NOTE
from rounds.records.observations import ReadingChange
from rounds.store.book import Book
from rounds.store.cell_codec import unpack
from rounds.store.read_acts import UNDO
from rounds.store.read_visits import visits_by_id
from rounds.text.normalisation import folded
from rounds.views.sources import ActRecord, Correction, Found, Tell

STRIDE = 20_000
"""Visits gone through between two words to the keeper, and two chances to be stopped."""

KEYS_OF_NOTES = 20
"""Keys of typed notes that are looked at for one correction that is asked for."""


class BookArchive:
    """What pages may ask of the visits (rounds.views.sources.Archive), on a connection of its own."""

    def __init__(self, book: Book) -> None:
        from rounds.store import archive_selects  # it brings every model along, which no start needs

        self.book, self._asked = book, archive_selects

    def find(self, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        wanted = [folded(w) for w in words]
        kinds = self._note_kinds()
        out: list[Found] = []
        if not kinds or not wanted:
            return out
        texts = self._texts(wanted, tell)
        last = self._number(self._asked.last_visit())
        left = set(texts)  # a note has its text to itself: when none is left, no visit has to be gone through
        for top in range(last, 0, -STRIDE):
            if not left or len(out) >= most:
                break
            rows = self.book.ask(self._asked.cells_between(top - STRIDE, top, kinds))
            mine = {visit: texts[int(number)] for visit, number in rows if int(number) in texts}
            left.difference_update(int(number) for _, number in rows)
            seen = visits_by_id(self.book, list(mine))
            out += sorted((Found(s, mine[s.id]) for s in seen), key=_newest, reverse=True)
            said = f"looked through {last - max(0, top - STRIDE):,} of {last:,} visits"
            if not tell(said, out[:most]):
                return out[:most]
        out.sort(key=_newest, reverse=True)
        return out[:most]

    def _texts(self, wanted: Sequence[str], tell: Tell) -> dict[int, str]:
        """Notes, of whatever visit, that hold all of these words, by the number of their text."""
        found: dict[int, str] = {}
        last = self._number(self._asked.last_remark())
        for top in range(last, 0, -STRIDE):
            for id_, text in self.book.ask(self._asked.texts_between(top - STRIDE, top)):
                said = folded(text)
                if all(w in said for w in wanted):
                    found[id_] = text
            if not tell(f"looked through {last - max(0, top - STRIDE):,} of {last:,} texts"):
                return {}
        return found

    def _note_kinds(self) -> list[int]:
        return [id_ for (id_,) in self.book.ask(self._asked.kinds_of(NOTE))]

    def _number(self, query: Any) -> int:
        ((found,),) = self.book.ask(query)
        return int(found or 0)

    def deeds(self) -> Iterator[ActRecord]:
        from rounds.acts.registry import all_acts

        titles = {name: act.title for name, act in all_acts().items()}
        last = self._number(self._asked.last_act())
        for top in range(last, 0, -STRIDE):
            changed: dict[int, list[tuple[str, int]]] = {}
            for act, table, row in self.book.ask(self._asked.changed_between(top - STRIDE, top)):
                changed.setdefault(act, []).append((table, row))
            for id_, name, table, subject, given, day, keeper, undone in self.book.ask(
                self._asked.acts_between(top - STRIDE, top, UNDO)
            ):
                yield ActRecord(
                    name,
                    titles.get(name, name),
                    table,
                    subject or 0,
                    unpack(given),
                    day,
                    keeper or "",
                    undone is not None,
                    tuple(changed.get(id_, ())),
                )

    def notes(self, enclosure: int) -> list[Found]:
        kinds = self._note_kinds()
        if not kinds:
            return []
        texts = dict(self.book.ask(self._asked.notes_of(enclosure, kinds)))
        seen = visits_by_id(self.book, list(texts))  # oldest first
        return [Found(s, texts[s.id]) for s in reversed(seen)]

    def corrections(self, most: int) -> list[Correction]:
        notes = self._note_kinds() or [0]
        rows = self.book.ask(self._asked.corrections(notes, most, of_notes=False))
        rows += self.book.ask(self._asked.corrections(notes, KEYS_OF_NOTES * most, of_notes=True))
        return [
            Correction(
                enclosure,
                day,
                ReadingChange(bytes(uid), kind, depth, unpack(old), unpack(new), at_ms, keeper or "", why),
            )
            for enclosure, day, uid, kind, depth, old, new, at_ms, keeper, why in rows
        ]


def _newest(found: Found) -> tuple[int, int]:
    return found.seen.day, found.seen.at_ms
