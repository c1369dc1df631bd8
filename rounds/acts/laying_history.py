"""What a search is read against: who may have laid there, since when, and what had been left in place."""

from __future__ import annotations

from rounds.acts import laying_sentences
from rounds.husbandry.hatching import FOUND
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import males_of
from rounds.records.tables import Animal, Brood, Content, Pairing, Search
from rounds.values.spans import FIRST, LAST, Span


class Site(NamedTuple):
    """An enclosure as it stood when it was searched.

    ``mothers`` are the females that may have laid what was found, ``colonies`` groups of adults
    that may have; ``since`` is when the first of them came in, or the last complete search if
    that is later (None: nobody knows). ``pairing`` is whose eggs these are, as far as that
    can be told. ``left`` are groups of eggs and larvae counted there before.
    """

    mothers: tuple[int, ...]
    colonies: tuple[Content, ...]
    since: Span | None
    pairing: int | None
    left: tuple[Content, ...]
    left_hatch: Span | None

    @property
    def left_total(self) -> tuple[int, bool]:
        """How many had been left in place, and whether that was "at least"."""
        return sum(group.total for group in self.left), any(group.at_least for group in self.left)


def site(ledger: Ledger, box: int, made: Span, pairing: int | None = None) -> Site:
    """What the books know of an enclosure for a search ``made`` then; ``pairing`` when it was said whose."""
    last = _last_complete(ledger, box, made)
    after = last.earliest if last is not None else FIRST
    starts: list[int] = []
    mothers: list[int] = []
    colonies: list[Content] = []
    left: list[Content] = []
    for content in ledger.rows(Content, Content.enclosure.is_(box)):
        start = content.since.earliest if content.since is not None else FIRST
        end = content.until.latest if content.until is not None else LAST
        if start > made.latest:
            continue
        if content.instar in FOUND and content.animal is None:
            if content.until is None:
                left.append(content)
            continue
        if end < after or not _may_lay(ledger, content):
            continue
        starts.append(max(start, after))
        if content.animal is None:
            colonies.append(content)
        elif content.animal not in mothers:
            mothers.append(content.animal)
    since = Span(min(starts), made.latest) if starts else last
    if pairing is None and len(mothers) == 1 and not colonies:
        pairing = _newest(ledger, mothers[0], made)
    hatches = [ledger.row(Brood, g.brood).hatch if g.brood else None for g in left]
    left_hatch = Span(min(h.earliest if h else FIRST for h in hatches), made.latest) if left else None
    return Site(tuple(mothers), tuple(colonies), since, pairing, tuple(left), left_hatch)


def _last_complete(ledger: Ledger, box: int, made: Span) -> Span | None:
    """The latest complete search that was certainly not after ``made``."""
    before = [
        search.made
        for search in ledger.rows(Search, Search.enclosure.is_(box), Search.complete.is_(True))
        if search.made is not None and search.made.latest <= made.earliest
    ]
    return max(before, key=lambda s: (s.earliest, s.latest), default=None)


def _may_lay(ledger: Ledger, content: Content) -> bool:
    if content.animal is None:
        return not content.instar and bool(content.females or content.unsexed)
    animal = ledger.row(Animal, content.animal)
    return animal.sex == "f" or (animal.sex == "unknown" and animal.grown)


def _newest(ledger: Ledger, female: int, made: Span) -> int | None:
    """Her latest pairing that began before the search was over."""
    hers = [
        (pairing.since.earliest if pairing.since is not None else FIRST, pairing.id)
        for pairing in ledger.rows(Pairing, Pairing.female.is_(female))
        if pairing.since is None or pairing.since.earliest <= made.latest
    ]
    return max(hers)[1] if hers else None


def line_of(ledger: Ledger, where: Site, made: Span) -> int | None:
    """The line of what was found: that of all its possible parents, or None for a cross or nobody known."""
    parents: list[int | None] = list(where.mothers)
    if where.pairing is not None:
        parents = [ledger.row(Pairing, where.pairing).female, *males_of(ledger, where.pairing, made)]
    lines: set[int | None] = {ledger.row(Animal, a).line for a in parents if a is not None}
    lines |= {g.line for g in where.colonies}
    if not lines:
        lines = {g.line for g in where.left}
    return lines.pop() if len(lines) == 1 else None


def doubt_of(ledger: Ledger, where: Site) -> str:
    """Why nobody can tell the mother ("" when it can be told, or there is none to name)."""
    if where.pairing is not None or len(where.mothers) + len(where.colonies) < 2:
        return ""
    return laying_sentences.mother_is_one_of(
        [animal_name(ledger, m) for m in where.mothers], or_a_group=bool(where.colonies)
    )


def sole_mother(where: Site) -> int | None:
    """The one female that can have laid it, or None."""
    return where.mothers[0] if len(where.mothers) == 1 and not where.colonies else None
