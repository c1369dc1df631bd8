"""Going through the visits of a book beside the keys: words in notes, corrections."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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
        self.book = book

    def find(self, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        wanted = [folded(w) for w in words]
        kinds = self._note_kinds()
        out: list[Found] = []
        if not kinds or not wanted:
            return out
        texts = self._texts(wanted, tell)
        last = int((self.book.row("SELECT max(id) FROM visit") or (0,))[0] or 0)
        left = set(texts)  # a note has its text to itself: when none is left, no visit has to be gone through
        for top in range(last, 0, -STRIDE):
            if not left or len(out) >= most:
                break
            rows = self.book.rows(
                "SELECT g.visit, g.number FROM reading g WHERE g.visit > ? AND g.visit <= ?"
                f" AND g.kind IN ({_marks(kinds)}) AND g.number IS NOT NULL",
                (top - STRIDE, top, *kinds),
            )
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
        last = int((self.book.row("SELECT max(id) FROM remark") or (0,))[0] or 0)
        for top in range(last, 0, -STRIDE):
            rows = self.book.rows("SELECT id, text FROM remark WHERE id > ? AND id <= ?", (top - STRIDE, top))
            for id_, text in rows:
                said = folded(text)
                if all(w in said for w in wanted):
                    found[id_] = text
            if not tell(f"looked through {last - max(0, top - STRIDE):,} of {last:,} texts"):
                return {}
        return found

    def _note_kinds(self) -> list[int]:
        return [id_ for (id_,) in self.book.rows("SELECT id FROM kind WHERE reading = ?", (NOTE,))]

    def deeds(self) -> Iterator[ActRecord]:
        from rounds.acts.registry import all_acts

        titles = {name: act.title for name, act in all_acts().items()}
        last = int((self.book.row("SELECT max(id) FROM act") or (0,))[0] or 0)
        for top in range(last, 0, -STRIDE):
            changed: dict[int, list[tuple[str, int]]] = {}
            for act, table, row in self.book.rows(
                'SELECT DISTINCT act, "table", "row" FROM act_change WHERE act > ? AND act <= ?',
                (top - STRIDE, top),
            ):
                changed.setdefault(act, []).append((table, row))
            for id_, name, table, subject, given, day, keeper, undone in self.book.rows(
                "SELECT a.id, a.name, a.subject_table, a.subject, a.given, a.day, k.name, a.undone_by FROM act a"
                " LEFT JOIN keeper k ON k.id = a.keeper WHERE a.id > ? AND a.id <= ? AND a.name <> ? ORDER BY a.id DESC",
                (top - STRIDE, top, UNDO),
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
        texts = dict(
            self.book.rows(
                "SELECT v.id, m.text FROM visit v CROSS JOIN reading g CROSS JOIN remark m"
                f" WHERE v.enclosure = ? AND g.visit = v.id AND g.kind IN ({_marks(kinds)})"
                " AND m.id = g.number",
                (enclosure, *kinds),
            )
        )
        seen = visits_by_id(self.book, list(texts))  # oldest first
        return [Found(s, texts[s.id]) for s in reversed(seen)]

    def corrections(self, most: int) -> list[Correction]:
        notes = self._note_kinds() or [0]
        select = (
            "SELECT v.enclosure, r.day, v.uid, k.reading, k.depth, c.old, c.new, c.at_ms, p.name, c.why"
            ' FROM change c CROSS JOIN visit v CROSS JOIN "round" r CROSS JOIN kind k LEFT JOIN keeper p ON p.id = c.keeper'
            f" WHERE v.id = c.visit AND r.id = v.round AND k.id = c.kind AND c.kind {{}} IN ({_marks(notes)})"
            " ORDER BY c.id DESC LIMIT ?"
        )
        rows = self.book.rows(select.format("NOT"), (*notes, most))
        rows += self.book.rows(select.format(""), (*notes, KEYS_OF_NOTES * most))
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


def _marks(values: Sequence[int]) -> str:
    return ", ".join("?" * len(values))
