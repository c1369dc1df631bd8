"""One pairing: who with whom and when, matings seen, searches, broods, and what is known of the father."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import running_trials
from rounds.records import parentage
from rounds.records.column import Row as Kept
from rounds.views import family_background, family_queries, pairings_page, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    row = family_queries.the(sources, "pairing", id_)
    ledger = sources.ledger
    roots = [(i, r) for i, r in family_queries.of(sources, "brood", "pairing", id_) if r["parent"] is None]
    parts = (
        PageSection("who", (ListColumn("", 8), ListColumn("who", 22, 1), ListColumn("from – to", 34)), [*_who(sources, id_, row)], family_queries.NOT_RECORDED),
        PageSection("matings seen", (ListColumn("day", 30, 1), ListColumn("by which male", 26)), [
            ListRow((words.span(r["seen"], family_queries.NOT_RECORDED),
                 words.animal(ledger, r["male"]) if r["male"] is not None else "not seen which"),
                Link("animal", r["male"]) if r["male"] is not None else None)
            for _, r in family_queries.of(sources, "mating", "pairing", id_)
        ], _no_mating(row)),
        PageSection("searches", (ListColumn("day", 22, 1), ListColumn("enclosure", 16), ListColumn("how", 9), ListColumn("found", 28)), [
            ListRow((words.span(r["made"], family_queries.NOT_RECORDED), family_queries.at(sources, r["enclosure"]),
                 "complete" if r["complete"] else "partial", searched(r)),
                Link("enclosure", r["enclosure"]) if r["enclosure"] is not None else None, enclosure=r["enclosure"])
            for _, r in family_queries.of(sources, "search", "pairing", id_)
        ], "not searched yet, as far as is recorded"),
        PageSection("broods", (ListColumn("brood", 14, 1), ListColumn("counted then", 22), ListColumn("found", 26)),
             [_brood(sources, i, r) for i, r in roots], "none found"),
        PageSection("young with a number", (ListColumn("who", 22, 1), ListColumn("state", 10), ListColumn("where", 20)), _young(sources, [i for i, _ in roots]),
             "none"),
    )  # fmt: skip
    return Page(
        f"pairing {row['name']}", tuple(_facts(sources, id_, row)), parts=parts, enclosure=pairings_page.box(sources, id_),
        about="One pairing. Whether the males are certainly the fathers is said with the reason.",
    )  # fmt: skip


def _facts(sources: Sources, id_: int, row: Kept) -> Iterator[tuple[str, str]]:
    yield "together", family_queries.between(row["since"], row["until"])
    where = family_queries.at(sources, row["enclosure"]) or "no enclosure is recorded"
    yield "in" if row["until"] is None else "were in", where
    kept_back = running_trials.hidden(sources.ledger, id_)
    yield "for", running_trials.purpose(sources.ledger, id_)
    slow = None if kept_back else family_background.of_pairing(sources, id_)
    found: family_background.Between | None = slow.value if slow is not None else None
    why = f": {found.why}" if found is not None and found.why else ""
    yield "father", f"{row['paternity']}{why}"
    if kept_back:
        yield "F of young", running_trials.HIDDEN
    elif slow is not None and found is None:
        yield "F of young", slow.words
    elif found is not None:
        yield from _kinship(sources, found)
    if row["mated"] is not None:
        yield "mated first", words.span(row["mated"])
    yield "young", family_queries.offspring(sources, id_)
    if row["doubt"]:
        yield "doubtful", row["doubt"]
    if row["note"]:
        yield "note", row["note"]


def _kinship(sources: Sources, found: family_background.Between) -> Iterator[tuple[str, str]]:
    if found.cannot:
        yield "F of young", f"cannot tell: {found.cannot}"
    elif not found.kinship:
        yield "F of young", "cannot tell: male or female is not recorded"
    for male, amount in found.kinship.items():
        by = f" by {words.animal(sources.ledger, male)}" if len(found.kinship) > 1 else ""
        yield "F of young", f"{amount}{by}"


def _who(sources: Sources, id_: int, row: Kept) -> Iterator[ListRow]:
    ledger = sources.ledger
    if row["female"] is not None:
        yield ListRow(("female", words.animal(ledger, row["female"]), family_queries.between(row["since"], row["until"])),
                  Link("animal", row["female"]), enclosure=family_queries.box_of(sources, row["female"]))  # fmt: skip
    else:
        yield ListRow(("female", family_queries.NOT_RECORDED, ""), look="faint")
    for _, r in family_queries.of(sources, "pairing_male", "pairing", id_):
        yield ListRow(("male", words.animal(ledger, r["male"]), family_queries.between(r["since"], r["until"])),
                  Link("animal", r["male"]), enclosure=family_queries.box_of(sources, r["male"]))  # fmt: skip


def _no_mating(row: Kept) -> str:
    """A first mating may be in the books without a row of its own."""
    if row["mated"] is None:
        return "none seen"
    return f"none but the first, {words.span(row['mated'])}"


def searched(row: Kept) -> str:
    """``at least 12 eggs, 3 L1``, with how many of them may have been counted before."""
    found = [
        f"{row[c]} {name}"
        for c, name in (("eggs", "eggs"), ("l1", "L1"), ("l2", "L2"), ("l3", "L3"))
        if row[c]
    ]
    said = ", ".join(found) or "nothing"
    if row["at_least"]:
        said = f"at least {said}"
    return f"{said}; up to {row['recount']} counted before" if row["recount"] else said


def _brood(sources: Sources, id_: int, row: Kept) -> ListRow:
    counted = f"{family_queries.total(family_queries.counted([row]))} {row['instar']}".strip()
    boxes = [
        int(r["enclosure"])
        for b in family_queries.family(sources, [id_])
        for r in family_queries.groups(sources, "brood", b)
    ]
    return ListRow((row["name"], counted, words.span(row["found"], family_queries.NOT_RECORDED)), Link("brood", id_),
               enclosure=boxes[0] if boxes else None)  # fmt: skip


def _young(sources: Sources, roots: list[int]) -> family_queries.Made:
    found = sorted(
        i
        for b in family_queries.family(sources, roots)
        for i, _ in family_queries.of(sources, "animal", "brood", b)
    )
    return family_queries.Made(found, lambda i: animal_row(sources, i))


def animal_row(sources: Sources, id_: int) -> ListRow:
    """``UMBER 3 m | alive | TL-014 (B3-1)``."""
    box = family_queries.box_of(sources, id_)
    state = family_queries.STATES[sources.ledger.row("animal", id_)["state"]]
    return ListRow(
        (words.animal(sources.ledger, id_), state, family_queries.at(sources, box)),
        Link("animal", id_),
        enclosure=box,
    )


def parents_words(sources: Sources, known: parentage.Parents) -> str:
    """``mother UMBER 4 f; father UMBER 3 m, certain``."""
    ledger = sources.ledger
    dam = words.animal(ledger, known.dam) if known.dam is not None else family_queries.NOT_RECORDED
    sires = family_queries.names(sources, sorted(known.sires))
    if not sires:
        return f"mother {dam}; father {family_queries.NOT_RECORDED}"
    if known.sure:
        return f"mother {dam}; father {sires}, certain"
    return (
        f"mother {dam}; father {sires}, likely"
        if len(known.sires) == 1
        else f"mother {dam}; father one of {sires}"
    )
