"""What due work needs carried to the rack: how much as a span, and what each amount rests on.

Nothing is made up: an amount follows from what the enclosure holds, from what went in the
last time, or from the species file; where none of these is known the thing is named and
its amount is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rounds.due import work_sentences
from rounds.due.due_index import DueIndex
from rounds.due.kinds import DueWork
from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.round_summary import Need
from rounds.records.tables import Batch, BatchUse, Content, Enclosure
from rounds.values.spans import Span, told

DAYS = 1
"""Work planned for so many days from today is carried for: the next round is tomorrow's."""


class Wanted(NamedTuple):
    """A thing that a kind of work needs. ``share`` is how much of what the enclosure holds (None: unknown)."""

    what: str
    share: float | None
    why: str


_FOUND = (
    Wanted("tubs", None, work_sentences.TUBS_FOR_WHAT_IS_FOUND),
    Wanted("substrate", None, work_sentences.SUBSTRATE_FOR_THE_TUBS),
)
WANTED: Mapping[str, tuple[Wanted, ...]] = {
    "substrate": (Wanted("substrate", 2 / 3, work_sentences.TWO_THIRDS),),
    "re-bed": (Wanted("substrate", 1.0, work_sentences.ALL),),
    "first-search": _FOUND,
    "next-search": _FOUND,
    "left-over-eggs": _FOUND,
}
"""What each kind of due work needs; other kinds need nothing, or their set-up's checklist says it."""


def needs(
    ledger: Ledger, presets: Mapping[str, Species], works: Iterable[DueWork], today: int
) -> dict[int, tuple[Need, ...]]:
    """What to carry for overdue work, today's and tomorrow's, by enclosure id.

    What is done, put off past then or withheld by a lock needs nothing.
    """
    index: DueIndex | None = None
    out: dict[int, dict[str, Need]] = {}
    for work in works:
        wanted = WANTED.get(work.kind)
        if wanted is None or work.enclosure is None or work.done is not None or work.withheld:
            continue
        if work.planned(today) > today + DAYS:
            continue
        index = index or DueIndex(ledger, presets, today)
        for one in wanted:
            mine = out.setdefault(work.enclosure, {})
            mine.setdefault(one.what, _need(index, work.enclosure, one))  # two searches take their tubs once
    return {box: tuple(some.values()) for box, some in out.items()}


def _need(index: DueIndex, id_: int, wanted: Wanted) -> Need:
    used = _used(index, id_)
    when, last = used[-1] if used else (None, None)
    if wanted.share is None:  # nor is what it was bedded with what the tubs are filled with
        return Need(wanted.what, 0, None, "", wanted.why)
    mix = _recipe(index, last)
    box = index.ledger.row(Enclosure, id_)
    holds = box.litres
    went = last.litres if last is not None else None
    amounts: list[float] = []
    said: list[str] = []
    if holds is not None:
        amounts.append(wanted.share * holds)
        said.append(work_sentences.share_of_what_it_holds(wanted.why, holds))
    if when is not None and went is not None:
        amounts.append(went)
        said.append(work_sentences.went_in(went, told(when)))
    if amounts:
        low = min(amounts) if went is not None else 0.0
        how = work_sentences.BY_WHAT_WENT_IN if went is not None else work_sentences.BY_WHAT_IT_HOLDS
        return Need(wanted.what, low, max(amounts), mix, "; ".join(said), how)
    return _by_species(index, box, wanted, mix)


def _by_species(index: DueIndex, box: Enclosure, wanted: Wanted, mix: str) -> Need:
    """The room that the larvae in it need, by the species file: nobody wrote down what it holds."""
    contents = index.contents.get(box.id, [])
    species, count = index.species(box, contents), _larvae(contents)
    instars = {content.instar for content in contents}
    by = (instars.pop() if len(instars) == 1 else "", "larvae")
    room = species.range("larva_litres", *by) if species is not None else None
    if room is None or not count or wanted.share is None:
        return Need(wanted.what, 0, None, mix, work_sentences.NOBODY_WROTE_IT_DOWN)
    share = wanted.share * count
    why = work_sentences.room_for_larvae(wanted.why, str(room), count, room.source)
    return Need(wanted.what, share * room.low, share * room.high, mix, why, work_sentences.BY_ITS_LARVAE)


def _larvae(contents: Sequence[Content]) -> int:
    """How many are in it; 0 where that is "at least" or unknown."""
    total = 0
    for content in contents:
        count = 1 if content.animal is not None else content.total
        if content.at_least or not count:
            return 0
        total += count
    return total


def _used(index: DueIndex, id_: int) -> list[tuple[Span, BatchUse]]:
    """Substrate that went in and when, the newest last."""
    dated = [(use.given, use) for use in index.bedding.get(id_, []) if use.given is not None]
    return sorted(dated, key=lambda one: (one[0].latest, one[0].earliest))


def _recipe(index: DueIndex, last: BatchUse | None) -> str:
    return index.ledger.row(Batch, last.batch).recipe if last is not None else ""
