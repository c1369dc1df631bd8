"""One pair looked at closely: F and where it comes from, the common ancestors, who else there is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from rounds.due import planned_pairings
from rounds.records.naming import animal_name
from rounds.records.tables import PlannedPairing
from rounds.views import fact_sentences as labels
from rounds.views import match_page, page_sentences, page_words
from rounds.views import match_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Archive, Slow, Sources

if TYPE_CHECKING:
    from rounds.analysis.pairing.book_pairings import Listed, PairDetails, Ranking
    from rounds.analysis.pairing.reasons import Pair
    from rounds.analysis.pedigree.kinship import Shared

FROM = (
    ListColumn("common ancestor", 24, 1),
    ListColumn("generations", 12, right=True),
    ListColumn("adds to F", 10, right=True),
)
OTHERS = (
    ListColumn("with", 14, named=True),
    ListColumn("F", 11, right=True),
    ListColumn("at most", 8, right=True),
    ListColumn("why", 40, 1),
)


def build(opened: OpenPage, sources: Sources) -> Page:
    ledger = sources.ledger
    female, male = (int(x) for x in str(opened.link.id).split("x"))
    names = animal_name(ledger, female), animal_name(ledger, male)
    title = sentences.pair(page_words.animal(ledger, female), page_words.animal(ledger, male))
    these = (PlannedPairing.female.is_(female), PlannedPairing.male.is_(male))
    planned = next(planned_pairings.open_plans(ledger, *these), None)
    if planned is not None:
        return _planned(sources, title, planned)
    slow = match_page.ranking(sources)
    if slow.value is None:
        return Page(
            title, wait=page_sentences.working_on(sentences.PAIRS, slow.words), about=sentences.ABOUT_PAIR
        )
    if isinstance(slow.value, str):
        return Page(title, hint=slow.value, about=sentences.ABOUT_PAIR)
    close = _look(sources, slow.value, *names)
    if close.value is None:
        return Page(title, wait=close.words, about=sentences.ABOUT_PAIR)
    if isinstance(close.value, str):
        return Page(title, hint=close.value, about=sentences.ABOUT_PAIR)
    details: PairDetails = close.value
    act = match_page.plan_act(sources, details.listed, match_page.ids(ledger))
    choose = ListRow((sentences.PLAN_HERE if act is not None else sentences.IN_NO_ENCLOSURE,), act=act)
    parts = (
        PageSection(sentences.CHOOSE, (ListColumn("", 40, 1),), (choose,)),
        PageSection(sentences.WHY, (ListColumn("", 60, 1),), [*_whys(details.listed.pair)]),
        PageSection(
            sentences.OTHERS_FOR_HER,
            OTHERS,
            [_other(sources, p, p.male) for p in details.for_her],
            sentences.NO_OTHER_MALE,
        ),
        PageSection(
            sentences.OTHERS_FOR_HIM,
            OTHERS,
            [_other(sources, p, p.female) for p in details.for_him],
            sentences.NO_OTHER_FEMALE,
        ),
        PageSection(
            sentences.ANCESTORS,
            (ListColumn("", 60, 1),),
            [ListRow((line,)) for line in details.tree],
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.LOW_F_FROM,
            FROM,
            [*_from(details.kinship.low_from)],
            sentences.NO_COMMON_ANCESTOR,
        ),
        PageSection(
            sentences.USUAL_F_FROM,
            FROM,
            [*_from(details.kinship.usual_from)],
            sentences.NO_SINGLE_ANCESTOR,
        ),
    )
    return Page(
        title,
        tuple(_facts(details)),
        parts=parts,
        enclosure=None if act is None else act.enclosure,
        about=sentences.ABOUT_PAIR,
    )


def _planned(sources: Sources, title: str, plan: PlannedPairing) -> Page:
    """A pair that was chosen already: where the round offers it."""
    ledger = sources.ledger
    at = planned_pairings.met_at(plan, planned_pairings.homes(ledger))
    where = (
        sentences.NEITHER_IN_ENCLOSURE if at is None else sentences.offered_at(page_words.code(ledger, at))
    )
    facts = [(labels.PLANNED, sentences.planned(plan.name, where))]
    if plan.why:
        facts.append((labels.WHY, plan.why))
    rows = (
        [ListRow((sentences.GO_TO_ENCLOSURE,), Link("enclosure", at), enclosure=at)] if at is not None else []
    )
    return Page(
        title,
        tuple(facts),
        parts=(PageSection("", (ListColumn("", 40, 1),), rows),),
        enclosure=at,
        about=sentences.ABOUT_PAIR,
    )


def _look(sources: Sources, found: Ranking, female: str, male: str) -> Slow:
    def work(_: Archive, tell: Callable[[str], bool]) -> PairDetails | str | None:
        from rounds.analysis.pairing.book_pairings import look
        from rounds.analysis.pairing.cost_table import GivenUp

        at = place_of(found, female, male)
        if at is None:
            return sentences.CLOSED
        try:
            return look(found, at, tell=tell)
        except GivenUp:
            return None

    return sources.slow(f"pair {female} {male}", "", work)


def place_of(found: Ranking, female: str, male: str) -> int | None:
    """Where a pair stands in a ranking, None when it is not among those that can be made."""
    at = 0
    for group in found.groups:
        males = {c.animal: i for i, c in enumerate(group.table.males)}
        females = {c.animal: j for j, c in enumerate(group.table.females)}
        if male in males and female in females:
            cell = (males[male], females[female])
            return at + group.cells.index(cell) if cell in group.cells else None
        at += len(group.cells)
    return None


def _facts(details: PairDetails) -> Iterator[tuple[str, str]]:
    listed: Listed = details.listed
    pair = listed.pair
    yield labels.F, sentences.f_explained(*pair.f[:3], exact=pair.f.exact)
    in_time = listed.late or sentences.AWAKE_NOT_KNOWN
    yield (
        labels.IN_TIME,
        in_time if listed.until is None else page_sentences.until(page_words.day(listed.until)),
    )


def _whys(pair: Pair) -> Iterator[ListRow]:
    for why in pair.why:
        yield ListRow((why,))
    for warning in pair.warnings:
        yield ListRow((page_sentences.mind(warning),), style="today")
    for second, whose in ((pair.runner_up, "her"), (pair.for_him, "his")):
        if second is not None:
            f = sentences.f_in_words(*second.f[:3])
            yield ListRow((sentences.next_best(whose, second.animal, f, second.more, taken=second.taken),))


def _other(sources: Sources, pair: Pair, who: str) -> ListRow:
    why = match_page.reasons(pair)
    return ListRow(
        (who, sentences.f_range(pair.f.low, pair.f.usual), sentences.f_at_most(pair.f.high), why),
        match_page.couple(sources.ledger, pair.female, pair.male),
    )


def _from(shared: Sequence[Shared]) -> Iterator[ListRow]:
    said = {
        "unknown": sentences.PARENTS_NOT_RECORDED,
        "group": sentences.THE_GROUP,
        "declared": sentences.SAID_RELATED,
    }
    for s in shared:
        up = sentences.generations_up(*s.steps) if s.kind != "further back" else ""
        yield ListRow((f"{said.get(s.kind, '')}{s.name}", up, f"{s.adds:.6g}"))
