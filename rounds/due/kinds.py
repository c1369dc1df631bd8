"""Kinds of due work, and one piece of it: the shape of what is due."""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.records.tables import Due
from rounds.values.spans import FIRST, Span


class DueKind(NamedTuple):
    """One kind of work.

    ``what`` is how it is said, ``also`` are other words by which the books may hold it.
    ``needs`` is what has to be allowed (dig, open, move, wet) to do it. Work that
    ``passes`` is over when its window is; other work stays until it is done. ``harm`` orders a
    list: 0 where waiting costs lives, 1 where something is missed, 2 for what can wait.
    """

    id: str
    what: str
    also: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    passes: bool = False
    harm: int = 2

    def words(self) -> tuple[str, ...]:
        """All the words by which the books may hold it, those that are written now first."""
        return (self.what, *self.also)


DUE_KINDS: dict[str, DueKind] = {
    k.id: k
    for k in (
        DueKind("first-search", "first search", (), ("dig",), harm=0),
        DueKind("next-search", "next search", ("search", "search again"), ("dig",), harm=1),
        DueKind("left-over-eggs", "look for eggs before clearing", (), ("dig",), harm=0),
        DueKind("re-bed", "change all substrate", ("re-bed", "bed it afresh"), ("open", "dig")),
        DueKind(
            "substrate",
            "change two thirds of the substrate",
            ("change the substrate", "substrate change"),
            ("open", "dig"),
        ),
        DueKind("weigh-in", "weigh-in", ("weigh", "weigh in"), ("open", "dig")),
        DueKind(
            "leftovers", "leftovers out", ("take leftovers out", "take out leftovers"), ("open",), harm=0
        ),
        DueKind("quarantine-end", "end of quarantine", harm=0),
        DueKind("hatch", "look for hatched larvae", ("hatch expected",), harm=1),
        DueKind("wandering", "look for wandering", ("wandering expected",), harm=1),
        DueKind("emergence", "expect it to come up", ("emergence expected",), harm=1),
        DueKind("mature", "ready to breed", passes=True),
        DueKind(
            "pairing-over",
            "move the female to a laying box",
            ("pairing period over", "move the female to a laying enclosure"),
            ("open",),
            harm=0,
        ),
        DueKind("planned-pairing", "planned pairing", (), ("open",)),
        DueKind("loan-back", "loan back", harm=1),
        DueKind("lock-end", "lock ends", passes=True),
        DueKind("prepared", "look for heat and souring", passes=True, harm=0),
        DueKind("who-died", "say who was found dead", harm=1),
        DueKind("who-is-missing", "say who is missing", harm=1),
        DueKind("which-pair", "say which pair was mating", harm=1),
        DueKind("labels", "say whether the labels were mixed up", harm=1),
        DueKind("vacant", "nobody left: keep, clear or prepare?"),
        DueKind("own", "what a keeper asked for", harm=1),
    )
}
"""Every kind, by id. Acts that write due rows use these words for ``what``."""

REMEMBERED = 60
"""Days for which work that is done stays in the list, so that a calendar can be told."""

_BY_WORDS = {words: k.id for k in DUE_KINDS.values() for words in k.words()}


def kind_of(what: str) -> str:
    """The kind a due row belongs to by its words; "own" when they are a keeper's."""
    return _BY_WORDS.get(" ".join(what.casefold().split()), "own")


class WorkSource(NamedTuple):
    """Something in the books that work follows from.

    ``anchor`` names it apart from others of its kind at that enclosure; together they are
    the work's key. ``since`` is what is counted from. ``what`` says it otherwise than its kind
    does ("" otherwise); ``brood`` is whose window it is; ``shown`` is False while it is far off. ``window`` is None where the books or
    the species file do not say how long: then nothing is forecast, but work that the books
    hold is still known to belong to this. ``plan`` is the planned pairing it is.
    """

    kind: str
    enclosure: int | None
    animal: int | None
    anchor: str
    since: Span
    window: Span | None
    likely: int | None
    why: str
    done: int | None = None
    plan: int | None = None
    what: str = ""
    brood: int | None = None
    shown: bool = True


class DueWork(NamedTuple):
    """Work with a window.

    ``key`` stays the same as long as it is the same work, whatever becomes of its dates.
    ``row`` is the due row that holds it, None when it follows from the books alone.
    ``withheld`` says which lock forbids it on the day it is planned for, and of a planned
    pairing (``plan`` is its row) whatever else stands in its way; it is ``unconfirmed`` where that
    is something the keeper may know and mean it all the same. ``brood`` is the brood whose
    window it is; work that is not ``shown`` is so far off that nobody is asked to look yet.
    ``no_digging`` is the day from which larvae of its enclosure may be wandering or in their cells.
    """

    key: str
    kind: str
    what: str
    enclosure: int | None
    animal: int | None
    window: Span
    likely: int | None
    why: str
    row: int | None = None
    asked: bool = False
    withheld: str = ""
    off_until: int | None = None
    off_why: str = ""
    done: int | None = None
    plan: int | None = None
    brood: int | None = None
    shown: bool = True
    unconfirmed: bool = False
    no_digging: int | None = None

    def overdue(self, today: int) -> bool:
        """Its window is over, it was not done and is not put off."""
        return self.done is None and not self.put_off(today) and self.window.latest < today

    def put_off(self, today: int) -> bool:
        return self.off_until is not None and self.off_until > today

    def begins(self) -> int:
        """The first day on which it can be done; :data:`FIRST` when that is open."""
        return max(self.window.earliest, self.off_until or FIRST)

    def planned(self, today: int) -> int:
        """The day it stands under: the likely one, or the first; never before today."""
        best = self.window.earliest if self.likely is None else self.likely
        return max(best, self.off_until or FIRST, today)


def window_of(row: Due) -> Span:
    """The window of a due row; one that would end before it begins is its first day."""
    return Span(row.earliest, max(row.earliest, row.latest), row.words)
