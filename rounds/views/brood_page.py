"""One brood: whose it is, what was counted, what became of them, and where they are."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import running_trials
from rounds.records import parentage
from rounds.records.column import Row as Kept
from rounds.records.tables import FEWER
from rounds.views import family_queries, weighings, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.pairing_page import animal_row, parents_words, searched
from rounds.views.sources import Sources

HOW = {
    "numbered": "got a number", "dead": "found dead", "given away": "given away", "missing": "missing",
    "counted again": "counted anew",
}  # fmt: skip
"""What became of some of a group."""


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    row = family_queries.the(sources, "brood", id_)
    litter = family_queries.family(sources, [id_])
    living = [r for b in litter for r in family_queries.groups(sources, "brood", b)]
    fewer = [r for b in litter for _, r in family_queries.of(sources, "fewer", "brood", b)]
    weighed = weighings.of_brood(sources, litter)
    numbered = sorted(i for b in litter for i, _ in family_queries.of(sources, "animal", "brood", b))
    parts = (
        PageSection("whose", (ListColumn("", 10), ListColumn("who", 24, 1), ListColumn("how sure", 30)), [*_whose(sources, id_, row)], family_queries.NOT_RECORDED, False),
        PageSection("where they live", (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
             [family_queries.group_row(sources, r) for r in living], "in no group any more"),
        PageSection("what became of the others", (ListColumn("how", 16), ListColumn("how many", 16), ListColumn("when", 24), ListColumn("", 18, 1)),
             [fewer_row(sources, r) for r in fewer], "none has left the groups"),
        PageSection("split from it", (ListColumn("brood", 16, 1), ListColumn("counted then", 24), ListColumn("found", 26)), [
            ListRow((r["name"], f"{family_queries.total(family_queries.counted([r]))} {r['instar']}".strip(), words.span(r["found"], family_queries.NOT_RECORDED)), Link("brood", i))
            for b in litter if b != id_ for i, r in ((b, sources.ledger.row("brood", b)),)
        ], "no brood of its own"),
        PageSection("with a number", (ListColumn("who", 22, 1), ListColumn("state", 10), ListColumn("where", 20)),
             family_queries.Made(numbered, lambda i: animal_row(sources, i)), "none yet"),
        weighings.brood_part(sources, weighed),
        PageSection("was in", (ListColumn("what", 22, 1), ListColumn("enclosure", 18), ListColumn("from – to", 34)),
             [*_places(sources, litter)], "nowhere else"),
    )  # fmt: skip
    return Page(
        f"brood {row['name']}", tuple(_facts(sources, id_, row, living, fewer)),
        weighings.drawn(weighed, (weighings.ONE_OF,)), parts,
        enclosure=int(living[0]["enclosure"]) if living else None,
        about="One brood. What was counted, less what became of them, is what should still be there.",
    )  # fmt: skip


def _facts(
    sources: Sources, id_: int, row: Kept, living: list[Kept], fewer: list[Kept]
) -> Iterator[tuple[str, str]]:
    ledger = sources.ledger
    if row["line"] is not None:
        yield "line", f"{words.line(ledger, row['line'])}, {ledger.row('line', row['line'])['species']}"
    yield (
        "counted",
        f"{words.counts(row)} {row['instar']}".strip()
        + f" (males.females.unsexed), {words.span(row['found'], 'day not recorded')}",
    )
    yield "hatched", words.span(row["hatch"], family_queries.NOT_RECORDED)
    pairing = family_queries.pairing_of(sources, id_)
    if pairing is not None and running_trials.hidden(ledger, pairing):
        yield "trial", f"of a running trial; its arm and F are {running_trials.HIDDEN}"
    yield "parents", parents_words(sources, parentage.of_brood(ledger, id_))
    yield "there now", family_queries.total(family_queries.counted(living)) if living else "none in a group"
    gone = {how: sum(family_queries.counted([r]).fewest for r in _exact(fewer, how)) for how in FEWER}
    said = ", ".join(f"{n} {HOW[how]}" for how, n in gone.items() if n)
    if said:
        yield "the others", said
    yield from _unexplained(row, living, fewer)
    if row["doubt"]:
        yield "doubtful", row["doubt"]
    if row["note"]:
        yield "note", row["note"]


def _exact(fewer: list[Kept], how: str) -> list[Kept]:
    return [{**r, "at_least": False} for r in fewer if r["how"] == how]


def _unexplained(row: Kept, living: list[Kept], fewer: list[Kept]) -> Iterator[tuple[str, str]]:
    """Those of the count that are in no group and in no loss: nobody wrote down what became of them."""
    if row["parent"] is not None or row["at_least"] or any(r["at_least"] for r in living):
        return
    left = (
        family_queries.counted([row]).fewest
        - family_queries.counted(living).fewest
        - family_queries.counted([{**r, "at_least": False} for r in fewer]).fewest
    )
    if left > 0:
        yield "not told", f"what became of {left} more is not recorded"


def _whose(sources: Sources, id_: int, row: Kept) -> Iterator[ListRow]:
    ledger = sources.ledger
    known = parentage.of_brood(ledger, id_)
    if known.dam is not None:
        yield ListRow(("mother", words.animal(ledger, known.dam), "of the pairing"), Link("animal", known.dam),
                  enclosure=family_queries.box_of(sources, known.dam))  # fmt: skip
    for sire in sorted(known.sires):
        how = (
            "certain"
            if known.sure
            else f"one of {len(known.sires)} males"
            if len(known.sires) > 1
            else "likely; an earlier male cannot be ruled out"
        )
        what = "may be" if len(known.sires) > 1 else "father"
        yield ListRow((what, words.animal(ledger, sire), how), Link("animal", sire),
                  enclosure=family_queries.box_of(sources, sire))  # fmt: skip
    pairing = family_queries.pairing_of(sources, id_)
    if pairing is not None:
        r = ledger.row("pairing", pairing)
        yield ListRow(
            ("pairing", r["name"], family_queries.between(r["since"], r["until"])), Link("pairing", pairing)
        )
    if row["search"] is not None:
        s = ledger.row("search", row["search"])
        how = "complete search" if s["complete"] else "partial search"
        link = Link("enclosure", s["enclosure"]) if s["enclosure"] is not None else None
        yield ListRow(
            ("found in", family_queries.at(sources, s["enclosure"]), f"{how}: {searched(s)}"),
            link,
            enclosure=s["enclosure"],
        )
    if row["parent"] is not None:
        yield ListRow(
            ("split from", words.name(ledger, "brood", row["parent"]), ""), Link("brood", row["parent"])
        )
    if row["line"] is not None:
        yield ListRow(("line", words.line(ledger, row["line"]), ""), Link("line", row["line"]))


def fewer_row(sources: Sources, r: Kept) -> ListRow:
    who = words.animal(sources.ledger, r["animal"]) if r["animal"] is not None else r["cause"]
    if r["last_seen"] is not None and r["how"] != "numbered":
        who = f"{who}; last seen {words.day(r['last_seen'])}".lstrip("; ")
    counts = f"{r['males']}.{r['females']}.{r['unsexed']} {r['instar'] or 'adults'}"
    link = Link("animal", r["animal"]) if r["animal"] is not None else None
    return ListRow((HOW[r["how"]], counts, words.span(r["made"], family_queries.NOT_RECORDED), who), link)


def _places(sources: Sources, litter: list[int]) -> Iterator[ListRow]:
    for b in litter:
        for _, r in reversed(family_queries.of(sources, "content", "brood", b)):
            if r["animal"] is None and r["until"] is not None:
                box = int(r["enclosure"])
                some = family_queries.counted([r]).fewest or r["at_least"]
                said = f"{words.counts(r)} {r['instar'] or 'adults'}" if some else r["instar"] or "adults"
                yield ListRow((said, family_queries.at(sources, box),
                           family_queries.between(r["since"], r["until"])), Link("enclosure", box), enclosure=box)  # fmt: skip
