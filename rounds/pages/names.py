"""Everything in the books that has a name, and the best matches for a few words, in any order.

One long text holds all names, one all that is said beside them: searching those is the work of
the language's own substring search, which ten thousand animals do not slow down noticeably.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from rounds.books import trials
from rounds.books.ledger import Row
from rounds.husbandry.pages import Link
from rounds.pages import words
from rounds.pages.sources import Sources

MANY = 3000
"""Things with the rarest of several words that are all looked at; of more, the best ones."""
SOME = 4
"""Animals of one box that are named in a line."""
MOST = 200
"""Matches that are listed; whoever sees so many types another letter."""


class Named(NamedTuple):
    """One thing with a name.

    ``keys`` are further names for it; ``note`` is found and shown at the end, ``more`` is only found.
    """

    kind: str
    name: str
    about: str
    link: Link | None = None
    enclosure: int | None = None
    keys: str = ""
    note: str = ""
    more: str = ""


class Names:
    """An index of named things in the order in which equally good matches are listed."""

    def __init__(self, every: Sequence[Named]) -> None:
        self.every = every
        self._names = _Pile([_plain(f"{e.name} {e.keys}") for e in every])
        self._texts = _Pile([_plain(f"{e.kind} {e.about} {e.note} {e.more}") for e in every])

    def find(self, wanted: Sequence[str], most: int = MOST) -> list[Named]:
        """At most ``most`` things that hold all of these words, the best first.

        A whole word is better than the beginning of one, that than a part of one; and any of
        them in a name better than in what is said beside it.
        """
        rarest = wanted[0]
        if len(wanted) > 1:
            rarest = min(wanted, key=lambda w: self._names.count(w) + self._texts.count(w))
        enough = 2 * most if len(wanted) == 1 else MANY
        held = self._holding(rarest, enough)
        if len(held) >= enough:
            held = self._best(rarest, wanted, most)
        mine = list(held)
        names, texts = self._names.texts, self._texts.texts
        for w in wanted:
            mine = [i for i in mine if w in names[i] or w in texts[i]]
        worth = _Worth(wanted, names, texts)
        return [self.every[i] for i in sorted(mine, key=lambda i: (worth.of(i), i))[:most]]

    def _holding(self, word: str, enough: int) -> dict[int, None]:
        """What holds a word, until there is enough of it."""
        found: dict[int, None] = {}
        for pile in (self._names, self._texts):
            for at in pile.find(word):
                found[at] = None
                if len(found) >= enough:
                    return found
        return found

    def _best(self, word: str, wanted: Sequence[str], most: int) -> dict[int, None]:
        """Of very many, those that hold one of the words in the best way."""
        found: dict[int, None] = {}
        for pile in (self._names, self._texts):
            for pattern in (f" {word} ", f" {word}", word):
                for at in pile.find(pattern):
                    if at not in found and self._holds(at, wanted):
                        found[at] = None
                        if len(found) >= most:
                            return found
        return found

    def _holds(self, at: int, wanted: Sequence[str]) -> bool:
        return all(w in self._names.texts[at] or w in self._texts.texts[at] for w in wanted)


class _Worth:
    """How well a thing holds the words: the less the better."""

    def __init__(self, wanted: Sequence[str], names: Sequence[str], texts: Sequence[str]) -> None:
        self._patterns = [(f" {w} ", f" {w}", w) for w in wanted]
        self._names, self._texts = names, texts

    def of(self, at: int) -> int:
        name, text = self._names[at], self._texts[at]
        worth = 0
        for whole, start, part in self._patterns:
            if part in name:
                worth += 0 if whole in name else 1 if start in name else 2
            else:
                worth += 3 if whole in text else 4 if start in text else 5
        return worth


class _Pile:
    """Texts in one, each with a blank at either end."""

    def __init__(self, texts: Sequence[str]) -> None:
        self.texts = [f" {t} " for t in texts]
        self._all = "\n".join(self.texts)
        self._starts: list[int] = []
        at = 0
        for text in self.texts:
            self._starts.append(at)
            at += len(text) + 1

    def count(self, word: str) -> int:
        return self._all.count(word)

    def find(self, pattern: str) -> Iterator[int]:
        """Which texts hold the pattern, one after another."""
        at = self._all.find(pattern)
        while at >= 0:
            which = bisect_right(self._starts, at) - 1
            yield which
            after = self._starts[which] + len(self.texts[which])
            at = self._all.find(pattern, after)


def wanted(query: str) -> list[str]:
    """The words of what was typed, as the index has them."""
    return _plain(query).split()


def _plain(text: str) -> str:
    """Case and the sign between line and number do not matter; a line's end would end an entry."""
    return " ".join(text.casefold().replace("/", " ").split())


def names(sources: Sources) -> Names:
    """The index of the books as they are now."""
    return sources.once("names", lambda: Names([e for table in TABLES for e in table(sources)]))


# One function a table


def _enclosures(sources: Sources) -> Iterator[Named]:
    ledger = sources.ledger
    inside = sources.index("content", "enclosure")
    for id_, row in ledger.rows("enclosure"):
        where = words.place(ledger, id_)
        who = [_content(sources, r) for _, r in inside.get(id_, ()) if r["until"] is None]
        rest = f", {len(who) - SOME} more" if len(who) > SOME else ""
        said = ", ".join([f"no. {row['number']} at {where or 'no place'}", row["stage"], *who[:SOME]]) + rest
        yield Named(
            "box", row["code"], said, Link("enclosure", id_), id_, f"{row['number']} {where}",
            f"{row['species']} {row['note']}".strip(), " ".join(who[SOME:]),
        )  # fmt: skip


def _content(sources: Sources, row: Row) -> str:
    if row["animal"] is not None:
        return words.animal(sources.ledger, row["animal"])
    brood = words.name(sources.ledger, "brood", row["brood"])
    return " ".join(
        x for x in (words.line(sources.ledger, row["line"]), words.counts(row), row["instar"], brood) if x
    )


def _animals(sources: Sources) -> Iterator[Named]:
    ledger = sources.ledger
    stays = sources.index("content", "animal")
    lines = {id_: str(r["name"]) for id_, r in ledger.rows("line")}
    for id_, row in ledger.rows("animal"):
        box = next((r["enclosure"] for _, r in reversed(stays.get(id_, ())) if r["until"] is None), None)
        sex = words.SEXES.get(row["sex"], "not sexed")
        state = f"in {words.code(ledger, box)}" if box is not None else row["state"]
        mark = f", mark {row['mark']}" if row["mark"] else ""
        promised = f"promised: {row['promised']}" if row["promised"] else ""
        owner = f"of {row['owner']}" if row["owner"] else ""
        yield Named(
            "animal", f"{lines.get(row['line'], '')} {row['number']}".strip(), f"{sex}, {state}{mark}", Link("animal", id_), box,
            str(row["mark"]), " ".join(x for x in (owner, promised, row["doubt"], row["note"]) if x),
        )  # fmt: skip


def _lines(sources: Sources) -> Iterator[Named]:
    for id_, row in sources.ledger.rows("line"):
        said = ", ".join(
            str(x) for x in (row["species"], row["generation"], row["locality"], row["origin"]) if x
        )
        yield Named("line", row["name"], said, Link("line", id_), note=row["note"])


def _pairings(sources: Sources) -> Iterator[Named]:
    """Pairings, and each mating that was seen: the answer to whether a pair ever mated."""
    ledger = sources.ledger
    males, matings = sources.index("pairing_male", "pairing"), sources.index("mating", "pairing")
    for id_, row in ledger.rows("pairing"):
        who = [words.animal(ledger, r["male"]) for _, r in males.get(id_, ())]
        if row["female"] is not None:
            who.append(words.animal(ledger, row["female"]))
        pair = " × ".join(who)
        seen = [r for _, r in matings.get(id_, ())]
        many = f"{len(seen)} mating{'s' * (len(seen) != 1)} seen" if seen else "no mating seen"
        end = "" if row["until"] is None else f" to {words.span(row['until'])}"
        said = f"{pair}, {many}, {words.span(row['since'], 'begun on a day not recorded')}{end}"
        notes = " ".join(x for x in (row["doubt"], row["note"]) if x)
        yield Named("pairing", row["name"], said, Link("pairing", id_), row["enclosure"], pair, notes)
        for r in seen:
            by = f" by {words.animal(ledger, r['male'])}" if r["male"] is not None else ""
            when = words.span(r["seen"], "on a day not recorded")
            yield Named("mating", pair, f"seen {when}{by}, {row['name']}", Link("pairing", id_), keys="mated")


def _broods(sources: Sources) -> Iterator[Named]:
    ledger = sources.ledger
    for id_, row in ledger.rows("brood"):
        found = words.span(row["found"], "on a day not recorded")
        of = words.name(ledger, "pairing", row["pairing"])
        said = f"{words.line(ledger, row['line'])} {words.counts(row)} {row['instar']}, found {found}{', of ' if of else ''}{of}"
        yield Named(
            "brood", row["name"], said, Link("brood", id_), note=f"{row['doubt']} {row['note']}".strip()
        )


def _lots(sources: Sources) -> Iterator[Named]:
    for id_, row in sources.ledger.rows("lot"):
        told = ", ".join(str(x) for x in (row["from_whom"], row["origin"], row["papers"]) if x)
        said = f"arrived {words.span(row['arrived'], 'on a day not recorded')}, {row['species']}"
        yield Named("arrival", row["name"], said, Link("lot", id_), note=f"{told} {row['note']}".strip())


def _batches(sources: Sources) -> Iterator[Named]:
    ledger = sources.ledger
    uses = sources.index("batch_use", "batch")
    for id_, row in ledger.rows("batch"):
        used = ", ".join(dict.fromkeys(words.code(ledger, r["enclosure"]) for _, r in uses.get(id_, ())))
        said = f"substrate of {words.span(row['made'], 'a day not recorded')}: {row['recipe']}"
        yield Named("batch", row["name"], f"{said}{'; in ' if used else ''}{used}", note=row["note"])


def _plans(sources: Sources) -> Iterator[Named]:
    ledger = sources.ledger
    for _, row in ledger.rows("plan"):
        pair = " × ".join(words.animal(ledger, row[x]) for x in ("male", "female") if row[x] is not None)
        state = "given up" if row["dropped"] is not None else "made" if row["pairing"] is not None else "open"
        to = Link("pairing", row["pairing"]) if row["pairing"] is not None else None
        why = "" if trials.hidden_pair(ledger, row["female"], row["male"]) else row["why"]
        yield Named("plan", row["name"], f"{pair}, {state}", to or _of(row), row["enclosure"], pair, why)


def _of(row: Row) -> Link | None:
    return Link("animal", row["female"]) if row["female"] is not None else None


def _others(sources: Sources) -> Iterator[Named]:
    """Words of rows that have no name of their own: they lead to the box or animal they are of."""
    ledger = sources.ledger
    for table, kind, columns in (
        ("search", "search", ("note",)), ("due", "due", ("what", "why", "off_why")), ("lock", "lock", ("reason",)),
        ("loan", "loan", ("owner", "terms")), ("protein", "protein", ("what",)), ("fewer", "fewer", ("cause",)),
    ):  # fmt: skip
        for _, row in ledger.rows(table):
            said = "; ".join(str(row[c]) for c in columns if row[c])
            about = _subject(sources, row)
            if said and about is not None:
                link, name, box = about
                said += ", done" if table == "due" and row["done"] is not None else ""
                yield Named(kind, name, said, link, box)


def _subject(sources: Sources, row: Row) -> tuple[Link, str, int | None] | None:
    ledger = sources.ledger
    for table in ("animal", "enclosure", "line"):
        id_ = row.get(table)
        if id_ is not None:
            name = words.animal(ledger, id_) if table == "animal" else ""
            name = name or (words.code(ledger, id_) if table == "enclosure" else words.line(ledger, id_))
            return Link(table, id_), name, row.get("enclosure")
    return None


TABLES = (_enclosures, _animals, _pairings, _lines, _broods, _lots, _batches, _plans, _others)
"""What is listed first among equally good matches stands first."""


def by_link(index: Names) -> Mapping[Link, str]:
    """What each thing is called and known by, for whatever refers to it."""
    out: dict[Link, Any] = {}
    for e in index.every:
        if e.link is not None:
            also = f": {e.keys}" if e.kind == "pairing" else f", no. {e.keys}" if e.kind == "box" else ""
            out.setdefault(e.link, f"{e.name}{also}")
    return out
