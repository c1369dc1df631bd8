"""Acts on the walk: the books as they stand, what may be recorded in them, what may be taken back.

The ledger is read when the first act is offered, not before: a walk that records none pays
nothing for it. What the walk records is seen here at once and written by the writer.
"""

from __future__ import annotations

from rounds.husbandry import acts, locks, view
from rounds.husbandry.act_fields import Slip
from rounds.husbandry.entry_state import Drafted, Offer, OfferField
from rounds.husbandry.ledger import Add, Change, Ledger
from rounds.husbandry.offers import asked, offers
from rounds.husbandry.stops import DUE_AHEAD, Stop
from rounds.store import ledger as stored
from rounds.store.book import Book


class ActDesk:
    """The books for one walk."""

    def __init__(self, book: Book, day: int) -> None:
        self.book, self.day = book, day
        self._ledger: Ledger | None = None
        self._recorded: list[acts.Recorded] | None = None
        self._offers: dict[int, tuple[Offer, ...]] = {}

    @property
    def recorded(self) -> list[acts.Recorded]:
        """Acts of the book that were not taken back, oldest first."""
        if self._recorded is None:
            self._recorded = list(stored.recorded(self.book))
        return self._recorded

    @property
    def ledger(self) -> Ledger:
        if self._ledger is None:
            self._ledger = stored.load(self.book)
        return self._ledger

    def offers(self, enclosure: int) -> tuple[Offer, ...]:
        known = self._offers.get(enclosure)
        if known is None:
            known = self._offers[enclosure] = offers(self.ledger, enclosure)
        return known

    def plan(self, act: str, whom: str, typed: dict[str, str], sure: bool) -> acts.Plan:
        """Raises BadAct or Question."""
        return acts.plan(act, whom, typed, self.ledger, self.day, sure=sure)

    def draft(self, act: str, whom: str, typed: dict[str, str], sure: bool) -> Drafted:
        try:
            planned = self.plan(act, whom, typed, sure)
        except acts.Question as e:
            return Drafted(question=e.text)
        except acts.BadAct as e:
            return Drafted(refused="; ".join(map(str, e.slips)), asks=_lacking(act, typed, e.slips))
        return Drafted(said=f"{planned.act.title} ({whom})")

    def record(self, uid: bytes, act: str, whom: str, typed: dict[str, str], sure: bool) -> set[int]:
        """Take an act into the books as they stand here; which enclosures it concerns."""
        planned = self.plan(act, whom, typed, sure)
        self.recorded.append(acts.Recorded(uid, act, planned.changes))
        return self._take(planned.changes)

    def concerns(self, uid: bytes) -> set[int]:
        """The enclosures an act of the book concerned (none when it was taken back)."""
        return {e for a in self.recorded if a.uid == uid for e in view.touched(self.ledger, a.changes)}

    def keeps(self, uid: bytes) -> str:
        """Why an act cannot be taken back yet: acts that rest on it ("" when it can)."""
        at = next(i for i, a in enumerate(self.recorded) if a.uid == uid)
        resting = acts.depending(self.recorded[at], self.recorded[at + 1 :])
        names = ", ".join(dict.fromkeys(acts.known(a.name).title for a in resting))
        return f"other acts rest on it; take back first: {names}" if resting else ""

    def take_back(self, uid: bytes) -> set[int]:
        """Take an act out of the books again; which enclosures it concerned."""
        act = next(a for a in self.recorded if a.uid == uid)
        self.recorded.remove(act)
        return self._take(acts.reversal(act.changes))

    def stop(self, enclosure: int, before: Stop) -> Stop:
        """The stop as the books have it now; its place in the walk stays."""
        box = view.enclosure(self.ledger, enclosure)
        held = locks.in_force(box.stage, view.locks(self.ledger, enclosure, self.day), self.day)
        return before._replace(
            enclosure=box, locks=held, dues=view.dues(self.ledger, enclosure, self.day + DUE_AHEAD)
        )

    def _take(self, changes: tuple[Change, ...]) -> set[int]:
        before = view.touched(self.ledger, [c for c in changes if not isinstance(c, Add)])
        self._ledger = self.ledger.after(changes)
        self._offers.clear()
        return before | view.touched(self._ledger, changes)


def _lacking(act: str, typed: dict[str, str], slips: tuple[Slip, ...]) -> OfferField | None:
    """The one field that is missing as things are (what becomes of a box left vacant, say)."""
    names = {s.field for s in slips if s.message.startswith("is missing")}
    if len(slips) != 1 or not names:
        return None
    fields = {f.name: f for f in acts.known(act).fields}
    name = names.pop()
    return asked(fields[name]) if name in fields and name not in typed else None
