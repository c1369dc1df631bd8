"""Everything in the books that has a name, and the best matches for a few words, in any order.

The words of all names, and those of all that is said beside them, each know who holds them:
ten thousand animals have a few thousand different words, and those are gone through.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from rounds.acts import running_trials
from rounds.records.column import Row
from rounds.text.normalisation import folded
from rounds.views import words
from rounds.views.page import Link
from rounds.views.sources import Sources

REMEMBERED = 120
"""Words whose holders are remembered: what was typed before the last letter is looked for again."""
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


class NameIndex:
    """An index of named things in the order in which equally good matches are listed."""

    def __init__(self, every: Sequence[Named]) -> None:
        self.every = every
        self._names = _Words([_plain(f"{e.name} {e.keys}") for e in every])
        self._texts = _Words([_plain(f"{e.kind} {e.about} {e.note} {e.more}") for e in every])
        self._known: dict[tuple[str, int], set[int]] = {}

    def find(self, wanted: Sequence[str], most: int = MOST) -> list[Named]:
        """At most ``most`` things that hold all of these words, the best first.

        A whole word is better than the beginning of one, that than a part of one; and any of
        them in a name better than in what is said beside it. A thing is as good as the worst
        of its words.
        """
        found: dict[int, None] = {}
        if not wanted:
            return []
        for ways in range(1, 7):
            held = set.intersection(*(self._within(w, ways) for w in wanted))
            found |= dict.fromkeys(sorted(held.difference(found)))
            if len(found) >= most:
                break
        return [self.every[i] for i in list(found)[:most]]

    def _within(self, word: str, ways: int) -> set[int]:
        """What holds the word in one of the best so many ways; the last words asked for are remembered."""
        if not ways:
            return set()
        known = self._known.get((word, ways))
        if known is None:
            words, way = (self._names, ways) if ways <= 3 else (self._texts, ways - 3)
            mine = (words.whole, words.beginning, words.part)[way - 1](word)
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            known = self._known[word, ways] = self._within(word, ways - 1) | mine
        return known


class _Words:
    """Which texts hold a word, by the words of all of them: those are few, however many texts there are."""

    def __init__(self, texts: Sequence[str]) -> None:
        self._holding: dict[str, list[int]] = {}
        for i, text in enumerate(texts):
            for word in set(text.split()):
                self._holding.setdefault(word, []).append(i)

    def whole(self, word: str) -> set[int]:
        return set(self._holding.get(word, ()))

    def beginning(self, word: str) -> set[int]:
        return set().union(*(some for w, some in self._holding.items() if w.startswith(word)))

    def part(self, word: str) -> set[int]:
        return set().union(*(some for w, some in self._holding.items() if word in w))


def wanted(query: str) -> list[str]:
    """The words of what was typed, as the index has them."""
    return _plain(query).split()


def _plain(text: str) -> str:
    """Case, accents and the sign between line and number do not matter; a line's end would end an entry."""
    return " ".join(folded(text).replace("/", " ").split())


def names(sources: Sources) -> NameIndex:
    """The index of the books as they are now."""
    return sources.once("names", lambda: NameIndex([e for table in TABLES for e in table(sources)]))


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
    living_first = sorted(ledger.rows("animal"), key=lambda kept: kept[1]["state"] != "alive")
    for id_, row in living_first:
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
        why = "" if running_trials.hidden_pair(ledger, row["female"], row["male"]) else row["why"]
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


def by_link(index: NameIndex) -> Mapping[Link, str]:
    """What each thing is called and known by, for whatever refers to it."""
    out: dict[Link, Any] = {}
    for e in index.every:
        if e.link is not None:
            also = f": {e.keys}" if e.kind == "pairing" else f", no. {e.keys}" if e.kind == "box" else ""
            out.setdefault(e.link, f"{e.name}{also}")
    return out
