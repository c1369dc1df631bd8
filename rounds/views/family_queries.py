"""What the pages of animals and their kin share: where somebody is, whose young they are, how long ago."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import Any, overload

from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records import parentage
from rounds.records.column import Row as Kept
from rounds.records.ledger import Ledger
from rounds.records.parentage import OffspringTotal
from rounds.views import words
from rounds.views.page import Link, ListRow
from rounds.views.sources import Gone, Sources

NOT_RECORDED = "not recorded"
LIFE = {
    "born": "hatched", "wandering": "wandering", "cell": "in cell", "eclosed": "eclosed", "emerged": "emerged",
    "first_feed": "feeding", "mature": "mature",
}  # fmt: skip
"""Steps of a life in their order, with short words for the last one that was recorded."""


STATES = {"alive": "alive", "dead": "dead", "gone": "left", "missing": "missing"}
"""States of an animal in one word; who has left may live elsewhere."""


class Made(Sequence[ListRow]):
    """Rows of many ids, each made when it is asked for."""

    def __init__(self, ids: Sequence[int], make: Callable[[int], ListRow]) -> None:
        self.ids, self._make = ids, make

    def __len__(self) -> int:
        return len(self.ids)

    @overload
    def __getitem__(self, at: int) -> ListRow: ...
    @overload
    def __getitem__(self, at: slice) -> Made: ...
    def __getitem__(self, at: int | slice) -> ListRow | Made:
        if isinstance(at, slice):
            return Made(self.ids[at], self._make)
        return self._make(self.ids[at])


def the(sources: Sources, table: str, id_: int | str) -> Kept:
    """A row that counts. Gone when there is none, or the act that added it was taken back."""
    try:
        row = sources.ledger.row(table, int(id_))
    except KeyError:
        raise Gone(f"{table} {id_}") from None
    if row.get("void"):
        raise Gone(f"{table} {id_}")
    return row


def of(sources: Sources, table: str, column: str, value: object) -> Sequence[tuple[int, Kept]]:
    """Rows that count with this value in a column, oldest first."""
    return sources.index(table, column).get(value, ())


def here(sources: Sources, animal: int) -> Kept | None:
    """The content row of the enclosure an animal is in now."""
    return next((r for _, r in of(sources, "content", "animal", animal) if r["until"] is None), None)


def box_of(sources: Sources, animal: int) -> int | None:
    there = here(sources, animal)
    return None if there is None else int(there["enclosure"])


def at(sources: Sources, enclosure: int | None) -> str:
    """``TL-014 (B3-1)``; nothing for none."""
    if enclosure is None:
        return ""
    place = words.place(sources.ledger, enclosure)
    code = words.code(sources.ledger, enclosure)
    return f"{code} ({place})" if place else code


def between(since: Span | None, until: Span | None, running: str = "now") -> str:
    """``3 Mar 2026 – now``."""
    return f"{words.span(since, NOT_RECORDED)} – {words.span(until, running)}"


def ago(day: int, span: Span) -> str:
    """Days from a span to ``day``: ``12 d``, ``12–40 d``, ``12+ d``, ``up to 40 d``, or nothing."""
    fewest = None if span.latest >= LAST else max(0, day - span.latest)
    most = None if span.earliest <= FIRST else max(0, day - span.earliest)
    if fewest is None:
        return "" if most is None else f"up to {most} d"
    if most is None:
        return f"{fewest}+ d"
    return f"{fewest} d" if fewest == most else f"{fewest}–{most} d"


def life(row: Kept, day: int) -> str:
    """The last step of an animal's life that was recorded, and the days since: ``mature 45 d``."""
    for column in reversed(LIFE):
        if row[column] is not None:
            return f"{LIFE[column]} {ago(day, row[column])}".strip()
    return NOT_RECORDED


def sex(row: Kept) -> str:
    """``male, by its spot, likely``."""
    known = words.SEXES.get(row["sex"])
    if known is None:
        return "not known"
    how = HOW.get(row["sexed_how"], row["sexed_how"]) or "how is not recorded"
    return ", ".join(x for x in (known, how, row["sexed_sure"]) if x)


HOW = {"spot": "by its spot", "weight": "by its weight", "pupa": "as a pupa", "adult": "as an adult"}


def natural(text: str) -> tuple[Any, ...]:
    """A key under which 2 comes before 10; digits before letters."""
    return tuple(
        (0, int(part), "") if part.isdigit() else (1, 0, part)
        for part in re.split("([0-9]{1,18})", text.casefold())
        if part
    )


def counted(rows: Iterable[Kept]) -> OffspringTotal:
    """How many these rows count together; ``most`` is None where one is "at least"."""
    n, more = 0, False
    for r in rows:
        n += r["males"] + r["females"] + r["unsexed"]
        more = more or bool(r["at_least"])
    return OffspringTotal(n, None if more else n)


def total(value: OffspringTotal) -> str:
    """``12``, ``10 to 12`` or ``at least 10``."""
    if value.most is None:
        return f"at least {value.fewest}"
    return str(value.fewest) if value.fewest == value.most else f"{value.fewest} to {value.most}"


def many(n: int, one: str, more: str = "") -> str:
    """``1 brood``, ``3 broods``."""
    return f"{n} {one if n == 1 else more or one + 's'}"


# Families


def root(sources: Sources, brood: int) -> int:
    """The brood that was found, of one that was split from it."""
    seen = {brood}
    while (parent := sources.ledger.row("brood", brood)["parent"]) is not None and parent not in seen:
        seen.add(parent)
        brood = int(parent)
    return brood


def pairing_of(sources: Sources, brood: int | None) -> int | None:
    """The pairing a brood came of, through the broods it was split from."""
    seen: set[int] = set()
    while brood is not None and brood not in seen:
        seen.add(brood)
        row = sources.ledger.row("brood", brood)
        if row["pairing"] is not None:
            return int(row["pairing"])
        brood = row["parent"]
    return None


def family(sources: Sources, broods: Iterable[int]) -> list[int]:
    """Broods and all that were split from them."""
    out: list[int] = []
    ask, seen = [*broods], set()
    while ask:
        brood = ask.pop(0)
        if brood not in seen:
            seen.add(brood)
            out.append(brood)
            ask += [i for i, _ in of(sources, "brood", "parent", brood)]
    return out


def pairings(sources: Sources, animal: int) -> list[int]:
    """Pairings of an animal, as female or as male, oldest first."""
    out = [i for i, _ in of(sources, "pairing", "female", animal)]
    out += [r["pairing"] for _, r in of(sources, "pairing_male", "male", animal)]
    return sorted({p for p in out if not sources.ledger.row("pairing", p).get("void")})


def broods_of(sources: Sources, animal: int) -> list[int]:
    """Broods of an animal's pairings, with those split from them: it may be a parent of each."""
    roots = [i for p in pairings(sources, animal) for i, _ in of(sources, "brood", "pairing", p)]
    return family(sources, roots)


def young(sources: Sources, animal: int) -> list[int]:
    """Animals of which it may be a parent."""
    found = [i for c in ("sire", "dam") for i, _ in of(sources, "animal", c, animal)]
    found += [i for b in broods_of(sources, animal) for i, _ in of(sources, "animal", "brood", b)]
    ledger = narrow(sources, found)
    out = []
    for child in dict.fromkeys(found):
        known = parentage.parents(ledger, child)
        if animal == known.dam or animal in known.sires:
            out.append(child)
    return sorted(out)


def sibs(sources: Sources, animal: int) -> dict[int, str]:
    """Animals that have, or may have, a parent in common with one, and how they are related."""
    known = parentage.parents(sources.ledger, animal)
    found = {
        i for p in (*known.sires, *([] if known.dam is None else [known.dam])) for i in young(sources, p)
    }
    brood = sources.ledger.row("animal", animal)["brood"]
    if brood is not None:
        litter = family(sources, [root(sources, brood)])
        found |= {i for b in litter for i, _ in of(sources, "animal", "brood", b)}
    found.discard(animal)
    ledger = narrow(sources, [animal, *found])
    related = {i: parentage.relation(ledger, animal, i) for i in sorted(found)}
    return {i: how for i, how in related.items() if how and "child" not in how}


def narrow(sources: Sources, animals: Iterable[int]) -> Ledger:
    """The books with only the males of the pairings these animals came of: parents are found at once."""
    ledger = sources.ledger
    males: dict[int, Any] = {}
    for brood in {ledger.row("animal", a)["brood"] for a in animals} - {None}:
        pairing = pairing_of(sources, brood)
        if pairing is not None:
            males.update(of(sources, "pairing_male", "pairing", pairing))
    return ledger.narrowed({"pairing_male": males})


def offspring(sources: Sources, pairing: int) -> str:
    """What was found of a pairing, in words."""
    broods = dict(of(sources, "brood", "pairing", pairing))
    found = parentage.offspring(sources.ledger.narrowed({"brood": broods}), pairing)
    if found == OffspringTotal(0, 0):
        return "none found" if of(sources, "search", "pairing", pairing) else "not searched yet"
    return f"{total(found)} found"


def matings(sources: Sources, pairing: int) -> str:
    """``3 seen``; a first mating may be in the books without a row of its own."""
    n = len(of(sources, "mating", "pairing", pairing))
    first = sources.ledger.row("pairing", pairing)["mated"]
    return f"{max(n, 1)} seen" if n or first is not None else "none seen"


def short(span: Span | None, today: int, unknown: str = "") -> str:
    """Days without their year where that is this year: ``3 Mar``, ``3 Mar to 9 Mar``, ``3 Mar 2025``."""
    if span is None:
        return unknown
    said = words.span(span, unknown)
    return said.removesuffix(f" {date.fromordinal(today).year}")


def stretch(since: Span | None, until: Span | None, today: int) -> str:
    """From when to when in few words: ``3 Mar – 9 Mar 2025``, ``3 Mar – now``."""
    start, end = short(since, today, "?"), short(until, today, "now")
    year = end[-5:]
    if re.fullmatch(" [0-9]{4}", year) and start.endswith(year):
        start = start.removesuffix(year)
    return f"{start} – {end}"


def males(sources: Sources, pairing: int) -> list[int]:
    """The males of a pairing in the order they came."""
    return list(dict.fromkeys(r["male"] for _, r in of(sources, "pairing_male", "pairing", pairing)))


def names(sources: Sources, animals: Iterable[int]) -> str:
    return ", ".join(words.animal(sources.ledger, a) for a in animals)


def groups(sources: Sources, column: str, value: int) -> Iterator[Kept]:
    """Counted groups of a line, a brood or a lot that are somewhere now, and are not empty."""
    for _, r in of(sources, "content", column, value):
        if r["animal"] is None and r["until"] is None and (counted([r]).fewest or r["at_least"]):
            yield r


def group_row(sources: Sources, r: Kept) -> ListRow:
    """``0.0.12 L2 | TL-014 (B3-1) | since …``, leading to the enclosure."""
    who = f"{words.counts(r)} {r['instar'] or 'adults'}"
    box = int(r["enclosure"])
    return ListRow(
        (who, at(sources, box), words.span(r["since"], NOT_RECORDED)), Link("enclosure", box), enclosure=box
    )
