"""One pair looked at closely: F and where it comes from, the common ancestors, who else there is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from rounds.due import planned_pairings
from rounds.records.naming import animal_name
from rounds.records.tables import PlannedPairing
from rounds.views import match_page, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Archive, Slow, Sources

if TYPE_CHECKING:
    from rounds.analysis.pairing.book_pairings import Listed, PairDetails, Ranking
    from rounds.analysis.pairing.reasons import Pair, RunnerUp
    from rounds.analysis.pedigree.kinship import Shared

ABOUT = (
    "One pair that can be made. F is the chance that both copies of a gene in their offspring come from one copy in a common"
    " ancestor: 0.25 for full sibs without older inbreeding. The ancestors of both are marked *. Recording on the first row"
    " plans the pair: nobody moves, and from then on the round offers it at her box."
)
CLOSED = (
    "This pair cannot be made any more, or never could: see who is offered, and why not, under whom to pair."
)
FROM = (ListColumn("common ancestor", 24, 1), ListColumn("generations", 12), ListColumn("adds to F", 10))
OTHERS = (ListColumn("with", 14), ListColumn("F", 13), ListColumn("why, and what to mind", 40, 1))


def build(opened: OpenPage, sources: Sources) -> Page:
    ledger = sources.ledger
    female, male = (int(x) for x in str(opened.link.id).split("x"))
    names = animal_name(ledger, female), animal_name(ledger, male)
    title = f"{words.animal(ledger, female)} × {words.animal(ledger, male)}"
    these = (PlannedPairing.female.is_(female), PlannedPairing.male.is_(male))
    planned = next(planned_pairings.open_plans(ledger, *these), None)
    if planned is not None:
        return _planned(sources, title, planned)
    slow = match_page.ranking(sources)
    if slow.value is None:
        return Page(title, wait=f"pairs: {slow.words}", about=ABOUT)
    if isinstance(slow.value, str):
        return Page(title, hint=slow.value, about=ABOUT)
    close = _look(sources, slow.value, *names)
    if close.value is None:
        return Page(title, wait=close.words, about=ABOUT)
    if isinstance(close.value, str):
        return Page(title, hint=close.value, about=ABOUT)
    look: PairDetails = close.value
    act = match_page.plan_act(sources, look.listed, match_page.ids(ledger))
    said = "recording here plans this pair; nobody moves until it is made"
    choose = ListRow(
        (said if act is not None else "she is in no enclosure: nothing can be planned",), act=act
    )
    parts = (
        PageSection("choose", (ListColumn("", 40, 1),), (choose,)),
        PageSection("why, and what to mind", (ListColumn("", 60, 1),), [*_whys(look.listed.pair)]),
        PageSection(
            "others for her", OTHERS, [_other(sources, p, p.male) for p in look.for_her], "no other male"
        ),
        PageSection(
            "others for him", OTHERS, [_other(sources, p, p.female) for p in look.for_him], "no other female"
        ),
        PageSection(
            "ancestors of both",
            (ListColumn("", 60, 1),),
            [ListRow((line,)) for line in look.tree],
            "none recorded",
        ),
        PageSection(
            "where the low F comes from",
            FROM,
            [*_from(look.kinship.low_from)],
            "no common ancestor is recorded",
        ),
        PageSection(
            "where the high F comes from",
            FROM,
            [*_from(look.kinship.high_from)],
            "nothing, or an outer bound that no single ancestor adds up to",
        ),
    )
    return Page(
        title, tuple(_facts(look)), parts=parts, enclosure=None if act is None else act.enclosure, about=ABOUT
    )


def _planned(sources: Sources, title: str, plan: PlannedPairing) -> Page:
    """A pair that was chosen already: where the round offers it."""
    ledger = sources.ledger
    at = planned_pairings.met_at(plan, planned_pairings.homes(ledger))
    where = f"offered at {words.code(ledger, at)}" if at is not None else "neither of them is in an enclosure"
    facts = [("planned", f"{plan.name}, {where}; nobody moves until it is made there")]
    if plan.why:
        facts.append(("why", plan.why))
    rows = [ListRow(("go to the enclosure",), Link("enclosure", at), enclosure=at)] if at is not None else []
    return Page(
        title,
        tuple(facts),
        parts=(PageSection("", (ListColumn("", 40, 1),), rows),),
        enclosure=at,
        about=ABOUT,
    )


def _look(sources: Sources, found: Ranking, female: str, male: str) -> Slow:
    def work(_: Archive, tell: Callable[[str], bool]) -> PairDetails | str | None:
        from rounds.analysis.pairing.book_pairings import look
        from rounds.analysis.pairing.cost_table import GivenUp

        at = place_of(found, female, male)
        if at is None:
            return CLOSED
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


def _facts(look: PairDetails) -> Iterator[tuple[str, str]]:
    listed: Listed = look.listed
    pair = listed.pair
    said = match_page.f_words(pair.f.low, pair.f.high)
    if pair.f.high - pair.f.low >= 5e-4:
        said += " (unknown parents taken as unrelated, or as full sibs of their line's founders)"
    yield "F", said if pair.f.exact else f"{said}; outer bounds: too many possible fathers to try every one"
    yield (
        "in time",
        listed.late or "cannot tell how long both are awake"
        if listed.until is None
        else f"until {words.day(listed.until)}",
    )


def _whys(pair: Pair) -> Iterator[ListRow]:
    for why in pair.why:
        yield ListRow((why,))
    for warning in pair.warnings:
        yield ListRow((f"mind: {warning}",), look="today")
    for second, whose in ((pair.runner_up, "her"), (pair.for_him, "his")):
        if second is not None:
            yield ListRow((f"{whose} next best: {_next(second)}",))


def _next(second: RunnerUp) -> str:
    taken = ", who is used elsewhere" if second.taken else ""
    return f"{second.animal}{taken}: F {match_page.f_words(second.f.low, second.f.high)}, cost {second.more:+.4f}"


def _other(sources: Sources, pair: Pair, who: str) -> ListRow:
    why = match_page.reasons(pair)
    return ListRow(
        (who, match_page.f_words(pair.f.low, pair.f.high), why),
        match_page.couple(sources.ledger, pair.female, pair.male),
    )


def _from(shared: Sequence[Shared]) -> Iterator[ListRow]:
    said = {"unknown": "parents not recorded, ", "group": "the group ", "declared": "said to be related: "}
    for s in shared:
        up = f"{s.steps[0]} and {s.steps[1]} up" if s.kind != "further back" else ""
        yield ListRow((f"{said.get(s.kind, '')}{s.name}", up, f"{s.adds:.6g}"))
