"""Going through the visits of a book beside the keys: words in notes, corrections."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rounds.husbandry.entries import NOTE
from rounds.husbandry.records import Change
from rounds.pages.sources import Correction, Found
from rounds.store.book import Book
from rounds.store.cells import unpack
from rounds.store.read_visits import visits_by_id

STRIDE = 20_000
"""Visits gone through between two words to the keeper, and two chances to be stopped."""


class BookArchive:
    """What pages may ask of the visits (rounds.pages.sources.Archive), on a connection of its own."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def find(self, words: Sequence[str], most: int, tell: Callable[[str], bool]) -> list[Found]:
        wanted = [w.casefold() for w in words]
        kinds = [id_ for (id_,) in self.book.rows("SELECT id FROM kind WHERE reading = ?", (NOTE,))]
        last = int((self.book.row("SELECT max(id) FROM visit") or (0,))[0] or 0)
        out: list[Found] = []
        if not kinds or not wanted:
            return out
        marks = ", ".join("?" * len(kinds))
        for top in range(last, 0, -STRIDE):
            rows = self.book.rows(
                "SELECT g.visit, m.text FROM reading g CROSS JOIN remark m WHERE g.visit > ? AND g.visit <= ?"
                f" AND g.kind IN ({marks}) AND m.id = g.number ORDER BY g.visit DESC",
                (top - STRIDE, top, *kinds),
            )
            texts = {v: t for v, t in rows if all(w in t.casefold() for w in wanted)}
            seen = {s.id: s for s in visits_by_id(self.book, list(texts))}
            out += [Found(seen[v], t) for v, t in texts.items()]
            if len(out) >= most or not tell(
                f"looked through {last - max(0, top - STRIDE):,} of {last:,} visits"
            ):
                break
        out.sort(key=lambda f: (f.seen.day, f.seen.at_ms), reverse=True)
        return out[:most]

    def notes(self, enclosure: int) -> list[Found]:
        kinds = [id_ for (id_,) in self.book.rows("SELECT id FROM kind WHERE reading = ?", (NOTE,))]
        if not kinds:
            return []
        texts = dict(
            self.book.rows(
                "SELECT v.id, m.text FROM visit v CROSS JOIN reading g CROSS JOIN remark m"
                f" WHERE v.enclosure = ? AND g.visit = v.id AND g.kind IN ({', '.join('?' * len(kinds))})"
                " AND m.id = g.number",
                (enclosure, *kinds),
            )
        )
        seen = visits_by_id(self.book, list(texts))  # oldest first
        return [Found(s, texts[s.id]) for s in reversed(seen)]

    def corrections(self, most: int) -> list[Correction]:
        rows = self.book.rows(
            "SELECT v.enclosure, r.day, v.uid, k.reading, k.depth, c.old, c.new, c.at_ms, p.name, c.why"
            ' FROM change c CROSS JOIN visit v CROSS JOIN "round" r CROSS JOIN kind k LEFT JOIN keeper p ON p.id = c.keeper'
            " WHERE v.id = c.visit AND r.id = v.round AND k.id = c.kind ORDER BY c.id DESC LIMIT ?",
            (most,),
        )
        return [
            Correction(
                enclosure,
                day,
                Change(bytes(uid), kind, depth, unpack(old), unpack(new), at_ms, keeper or "", why),
            )
            for enclosure, day, uid, kind, depth, old, new, at_ms, keeper, why in rows
        ]
