"""Whom to pair now: every pair that can be made, best first, with the reasons; choosing plans it.

Worked out beside the keys. Nothing moves by choosing: the plan is offered at the rack.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, overload

from rounds.analysis.pairing import pair_sentences
from rounds.due import plan_sentences, planned_pairings
from rounds.problems import RoundsError
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import Animal
from rounds.views import match_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection, RowAct
from rounds.views.sources import Archive, Slow, Sources

if TYPE_CHECKING:
    from rounds.analysis.pairing.book_pairings import Listed, Ranking
    from rounds.analysis.pairing.reasons import Pair

PLAN = "plan-pair"


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    slow = ranking(sources)
    parts: list[PageSection] = []
    planned = list(_planned(sources))
    if planned:
        parts.append(_planned_part(planned))
    if slow.value is None:
        return Page(
            sentences.WHOM_TO_PAIR,
            parts=tuple(parts),
            wait=page_sentences.working_on(sentences.PAIRS, slow.words),
            about=sentences.ABOUT_PAIRS,
        )
    if planned and not isinstance(slow.value, str):
        parts[0] = _planned_part(_planned_again(sources, slow.value, planned))
    if isinstance(slow.value, str):
        return Page(sentences.WHOM_TO_PAIR, parts=tuple(parts), hint=slow.value, about=sentences.ABOUT_PAIRS)
    found: Ranking = slow.value
    columns = (
        ListColumn("", 4, right=True),
        ListColumn("female", 12, named=True),
        ListColumn("male", 12, named=True),
        ListColumn("F", 11, right=True),
        ListColumn("at most", 8, right=True),
        ListColumn("why", 18, 1),
    )
    parts.append(PageSection(sentences.CAN_BE_MADE, columns, Pairs(found, sources), sentences.NOBODY))
    out = [ListRow((who, why), to_animal(sources, who)) for g in found.groups for who, why in g.left_out]
    parts.append(
        PageSection(
            sentences.NOT_OFFERED,
            (ListColumn("animal", 16, named=True), ListColumn("why", 40, 1)),
            out,
            sentences.ALL_OFFERED,
        )
    )
    lines = tuple(sorted({line for g in found.groups for line in g.of_unknown_origin}))
    minded = [pair_sentences.origins_not_recorded(lines)] if lines else []
    minded += [w for g in found.groups for w in g.warnings]
    mind = tuple((sentences.MIND if not i else "", w) for i, w in enumerate(minded[:4]))
    return Page(
        sentences.WHOM_TO_PAIR,
        facts=mind,
        parts=tuple(parts),
        about=sentences.ABOUT_PAIRS,
        hint="" if len(found) or planned else sentences.NOBODY,
    )


def _planned_part(rows: list[ListRow]) -> PageSection:
    columns = (
        ListColumn("plan", 8),
        ListColumn("female × male", 30, 1),
        ListColumn("offered at", 10),
        ListColumn("from – to", 18),
    )
    return PageSection(sentences.PLANNED, columns, rows)


def _planned_again(sources: Sources, found: Ranking, rows: Sequence[ListRow]) -> list[ListRow]:
    """The ``rows`` of planned pairs; below each whose F is another by now, what it was and is."""
    from rounds.analysis.pairing.plans_again import changed

    plans = list(planned_pairings.open_plans(sources.ledger))
    another = changed(sources.ledger, found.pedigree, plans)
    out = []
    for plan, row in zip(plans, rows, strict=True):
        out.append(row)
        if plan.id in another:
            said = page_sentences.mind(plan_sentences.to_confirm(another[plan.id].said))
            out.append(ListRow(("", said, "", ""), row.link, style="today"))
    return out


def ranking(sources: Sources) -> Slow:
    """A Ranking of everybody, or a sentence why there is none, once it is worked out."""
    ledger, species, day = sources.ledger, sources.species, sources.day

    def work(_: Archive, tell: Callable[[str], bool]) -> Ranking | str | None:
        from rounds.analysis.pairing.book_pairings import rank
        from rounds.analysis.pairing.cost_table import GivenUp

        try:
            return rank(ledger, species, day, tell=tell)
        except GivenUp:
            return None
        except (RoundsError, ImportError) as e:
            return page_sentences.cannot_tell(str(e))

    return sources.slow("whom to pair", "", work)


def reasons(pair: Pair) -> str:
    """Why this pair and what to mind, in one sentence; the page of the pair has all of it."""
    return "; ".join(pair.brief)


def couple(ledger: Ledger, female: str, male: str) -> Link:
    """The page of a pair, by their names."""
    by_name = ids(ledger)
    return Link("couple", f"{by_name[female]}x{by_name[male]}")


def ids(ledger: Ledger) -> dict[str, int]:
    """Row id by ``LINE/NUMBER``."""
    return {name_of(ledger, animal): animal.id for animal in ledger.rows(Animal)}


def to_animal(sources: Sources, name: str) -> Link | None:
    found = ids(sources.ledger).get(name)
    return None if found is None else Link("animal", found)


def plan_act(sources: Sources, listed: Listed, by_name: dict[str, int]) -> RowAct | None:
    """Choosing a pair, recorded where the female is; None when she is in no enclosure."""
    from rounds.analysis.pairing.book_pairings import as_act

    whom, typed = as_act(listed)
    where = planned_pairings.homes(sources.ledger).get(by_name[whom])
    return None if where is None else RowAct(where, PLAN, whom, tuple(typed.items()))


class Pairs(Sequence[ListRow]):
    """The rows of a ranking; each is made when it is looked at."""

    def __init__(self, found: Ranking, sources: Sources) -> None:
        self.found, self.sources = found, sources
        self.ids = ids(sources.ledger)
        self.homes = planned_pairings.homes(sources.ledger)
        self.made: dict[int, ListRow] = {}

    def __len__(self) -> int:
        return len(self.found)

    @overload
    def __getitem__(self, at: int) -> ListRow: ...
    @overload
    def __getitem__(self, at: slice) -> list[ListRow]: ...
    def __getitem__(self, at: int | slice) -> ListRow | list[ListRow]:
        if isinstance(at, slice):
            return [self[i] for i in range(*at.indices(len(self)))]
        if at not in self.made:
            self.made[at] = self._row(self.found[at])
        return self.made[at]

    def _row(self, listed: Listed) -> ListRow:
        from rounds.analysis.pairing.book_pairings import as_act

        pair = listed.pair
        why = reasons(pair)
        whom, typed = as_act(listed)
        where = self.homes.get(self.ids[pair.female])
        return ListRow(
            (
                str(listed.number),
                pair.female,
                pair.male,
                sentences.f_range(pair.f.low, pair.f.usual),
                sentences.f_at_most(pair.f.high),
                why,
            ),
            Link("couple", f"{self.ids[pair.female]}x{self.ids[pair.male]}"),
            enclosure=where,
            act=None if where is None else RowAct(where, PLAN, whom, tuple(typed.items())),
        )


def _planned(sources: Sources) -> Iterator[ListRow]:
    ledger = sources.ledger
    where = planned_pairings.homes(ledger)
    for plan in planned_pairings.open_plans(ledger):
        at = planned_pairings.met_at(plan, where)
        pair = sentences.pair(page_words.animal(ledger, plan.female), page_words.animal(ledger, plan.male))
        until = page_words.day(plan.latest) if plan.latest is not None else sentences.NO_LAST_DAY
        since = page_words.day(plan.earliest) if plan.earliest is not None else page_sentences.NOW
        yield ListRow(
            (
                plan.name,
                pair,
                page_words.code(ledger, at) if at is not None else sentences.NOWHERE,
                page_sentences.between(since, until),
            ),
            Link("enclosure", at) if at is not None else Link("animal", plan.female),
            enclosure=at,
        )
