"""How often each rule would have fired over a history."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.observations import EnclosureState, Visit
from rounds.rules.answers_alone import VerdictsAtLooks
from rounds.rules.context import EvaluationContext
from rounds.rules.evaluate import RuleSet
from rounds.rules.rule import CARRY
from rounds.rules.scene import Scene, no_presets
from rounds.rules.three_valued import Verdict

KEPT = 7
"""Days for which a rule that stood is taken to stand while nobody reads what it asks about."""
FAR = -1_000_000


class Count(NamedTuple):
    """One rule over a history.

    ``visits`` are the looks it applied to; it ``stood`` at some, was ``raised`` at those
    where it had not stood the look before, and was ``unknown`` at others. ``enclosures``
    is how many of them it was raised in.
    """

    rule: str
    level: str
    visits: int = 0
    stood: int = 0
    raised: int = 0
    unknown: int = 0
    enclosures: int = 0

    @property
    def per_100(self) -> float:
        """Times raised per 100 visits that it applied to."""
        return 100 * self.raised / self.visits if self.visits else 0.0


class Replayed(NamedTuple):
    """``visits`` looks in all, and what each rule made of them, in the order of harm."""

    visits: int
    counts: tuple[Count, ...]

    @property
    def flags_per_100(self) -> float:
        """Flags raised per 100 visits, all rules together; carry-list items are none."""
        raised = sum(c.raised for c in self.counts if c.level != CARRY)
        return 100 * raised / self.visits if self.visits else 0.0


class Stay(NamedTuple):
    """An enclosure as it was for some days, in one stage and with the same inmates, with its visits.

    ``visits`` and ``shelf`` are oldest first; only looks from ``first`` to ``last`` (days,
    both included) are replayed, those before serve as history.
    """

    enclosure: EnclosureState
    visits: Sequence[Visit]
    first: int
    last: int
    shelf: Sequence[Visit] = ()
    presets: Callable[[], Mapping[str, Species]] = no_presets


def replay(rules: RuleSet, stays: Iterable[Stay], back: int | None = None) -> Replayed:
    """How often each rule was raised, stood and could not be told, every look judged with what was known then.

    Locks hold no flag back here. ``back`` is how many earlier visits a look may know of (None: all
    that its stay has). Stays of one enclosure must come in the order of their days: what stood at
    the last look of one is not raised again at the first look of the next.
    """
    verdicts = VerdictsAtLooks()
    looks: defaultdict[tuple[str, ...], Counter[tuple[Verdict, ...]]] = defaultdict(Counter)
    raised: Counter[str] = Counter()
    raised_in: defaultdict[str, set[int]] = defaultdict(set)
    standing: dict[int, dict[str, int]] = {}  # by enclosure: rules, and the last day each was seen to stand
    for stay in stays:
        here = rules.at(stay.enclosure.stage, stay.enclosure.species)
        ids = tuple(ready.rule.id for ready in here.rules)
        before, alike = standing.get(stay.enclosure.id, {}), looks[ids]
        for look in _looks(stay, here.blank, back):
            found = verdicts.of(here, look)
            alike[found] += 1
            if before or True in found:
                now = {id_ for id_, verdict in zip(ids, found, strict=True) if verdict}
                for id_ in now - before.keys():
                    raised[id_] += 1
                    raised_in[id_].add(stay.enclosure.id)
                # Not read today is not over. But a second body found months later is another one.
                unknown = (id_ for id_, verdict in zip(ids, found, strict=True) if verdict is None)
                kept = {id_: before[id_] for id_ in unknown if look.day - before.get(id_, FAR) <= KEPT}
                before = kept | dict.fromkeys(now, look.day)
        standing[stay.enclosure.id] = before
    told: dict[str, Counter[Verdict]] = {rule.id: Counter() for rule in rules.order}
    for ids, some in looks.items():
        for found, times in some.items():
            for id_, verdict in zip(ids, found, strict=True):
                told[id_][verdict] += times
    counts = tuple(
        Count(
            rule.id,
            rule.level,
            told[rule.id].total(),
            told[rule.id][True],
            raised[rule.id],
            told[rule.id][None],
            len(raised_in[rule.id]),
        )
        for rule in rules.order
    )
    return Replayed(sum(some.total() for some in looks.values()), counts)


def _looks(stay: Stay, blank: Mapping[str, None], back: int | None) -> Iterator[EvaluationContext]:
    looks: list[Visit] = []
    place: list[int] = []  # how many looks came before each visit
    for i, seen in enumerate(stay.visits):
        place.append(len(looks))
        if not seen.looked:
            continue
        if stay.first <= seen.day <= stay.last:
            oldest = 0 if back is None else max(0, i - back)
            known, past = stay.visits[oldest : i + 1], looks[place[oldest] :][::-1]
            yield EvaluationContext(
                Scene(stay.enclosure, known, seen.day, seen.at_ms, stay.shelf, presets=stay.presets),
                blank=blank,
                past=past,
            )
        looks.append(seen)
