"""One animal: who it is, where it is, its kin, its young, where it has been, its life and its weights."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from rounds.acts import running_trials
from rounds.husbandry import locks
from rounds.records import parentage
from rounds.records.column import Row as Kept
from rounds.views import due_page, family_background, family_queries, pairings_page, weighings, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

STATES = {
    "alive": "alive",
    "missing": "whereabouts unknown",
    "gone": "left the house",
}
STEPS = {
    "born": "hatched", "wandering": "wandering seen", "cell": "in its cell", "eclosed": "eclosed", "emerged": "emerged",
    "first_feed": "first feed", "mature": "ready to breed", "mark_lost": "mark lost", "died": "died",
}  # fmt: skip


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    row = family_queries.the(sources, "animal", id_)
    notes = family_background.notes(sources, id_)
    weighed = weighings.of_animal(sources, id_)
    related = family_queries.sibs(sources, id_)
    parts = (
        PageSection("now", (ListColumn("", 14), ListColumn("what", 30, 1), ListColumn("when", 24)), [*_now(sources, id_)], "in no enclosure", False),
        PageSection("parents", (ListColumn("", 10), ListColumn("who", 22, 1), ListColumn("how sure", 38)), [*_parents(sources, id_, row)], family_queries.NOT_RECORDED, False),
        PageSection("pairings", (ListColumn("pairing", 10), ListColumn("with", 20, 1), ListColumn("from – to", 24), ListColumn("matings", 8)),
             [*_pairings(sources, id_)], "none recorded"),
        PageSection("young", (ListColumn("brood or animal", 22, 1), ListColumn("how many, or how sure", 26), ListColumn("other parent", 20)),
             [*_young(sources, id_)], "none recorded"),
        PageSection("sibs", (ListColumn("who", 22, 1), ListColumn("how", 20), ListColumn("state", 12)), _sibs(sources, related), "none recorded"),
        PageSection("places", (ListColumn("enclosure", 22, 1), ListColumn("from – to", 40)), [*_places(sources, id_)], family_queries.NOT_RECORDED),
        PageSection("life", (ListColumn("", 18), ListColumn("when", 30, 1), ListColumn("as typed", 24)), [*_life(row)], family_queries.NOT_RECORDED, False),
        weighings.animal_part(weighed),
        PageSection("looks that name it", (ListColumn("day", 12), ListColumn("note", 40, 1), ListColumn("where", 10)), notes.rows, notes.empty),
    )  # fmt: skip
    return Page(
        f"animal {words.animal(sources.ledger, id_)}", tuple(_facts(sources, id_, row, related)),
        weighings.drawn(weighed), parts, enclosure=family_queries.box_of(sources, id_),
        about="One animal with its kin and its past. Parents and sibs are as sure as is said beside them.",
    )  # fmt: skip


def _facts(sources: Sources, id_: int, row: Kept, related: Mapping[int, str]) -> Iterator[tuple[str, str]]:
    ledger = sources.ledger
    species = ledger.row("line", row["line"])["species"] or "species not recorded"
    yield "line", f"{words.line(ledger, row['line'])}, {species}"
    yield "sex", family_queries.sex(row)
    box = family_queries.box_of(sources, id_)
    there = (
        ""
        if box is None
        else f", in {family_queries.at(sources, box)}, {ledger.row('enclosure', box)['stage']}"
    )
    yield "state", _state(row) + there
    seat = running_trials.seat(ledger, id_)
    drawn = running_trials.males(ledger).get(id_)
    if seat is not None or drawn is not None:
        name = seat.about["name"] if seat is not None else drawn
        yield "trial", f"in trial {name}; its arm is {running_trials.HIDDEN}"
    yield "F", family_background.inbreeding(sources, id_)
    how = Counter(related.values())
    if how:
        yield (
            "sibs",
            ", ".join(
                family_queries.many(n, said.removesuffix("s"), said) for said, n in sorted(how.items())
            ),
        )
    for label, column in (("mark", "mark"), ("belongs to", "owner"), ("promised", "promised"), ("doubtful", "doubt"), ("note", "note")):  # fmt: skip
        if row[column]:
            yield label, row[column]


def _state(row: Kept) -> str:
    if row["state"] == "dead":
        cause = f"; suspected cause: {row['cause']}" if row["cause"] else "; cause not recorded"
        return f"dead, {words.span(row['died'], 'when is not recorded')}{cause}"
    said = STATES[row["state"]]
    if row["state"] != "alive" and row["last_seen"] is not None:
        said += f"; last seen {words.day(row['last_seen'])}"
    return said


def _now(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger, box = sources.ledger, family_queries.box_of(sources, id_)
    own = None
    if box is not None:
        own = locks.BY_STAGE.get(ledger.row("enclosure", box)["stage"])
        since = family_queries.here(sources, id_)
        where = f"{family_queries.at(sources, box)}, {ledger.row('enclosure', box)['stage']}"
        when = words.span(since["since"], family_queries.NOT_RECORDED) if since else ""
        yield ListRow(("is in", where, when), Link("enclosure", box), enclosure=box)
        yield from due_page.at(sources, box, id_)
    held = [*family_queries.of(sources, "lock", "animal", id_)]
    held += family_queries.of(sources, "lock", "enclosure", box) if box is not None else ()
    for _, r in held:
        if locks.holds(sources.day, r["until"], r["from_day"], r["lifted"]):
            end = "until it is lifted" if r["until"] is None else f"until {words.day(r['until'].latest)}"
            forbids = ", ".join(str(r["forbids"]).split())
            yield ListRow((f"do not {forbids}", r["reason"], end), enclosure=box)
    if own is not None:
        yield ListRow((f"do not {', '.join(own.forbids)}", own.reason, "while in this stage"), enclosure=box)
    for _, loan in reversed(family_queries.of(sources, "loan", "animal", id_)):
        said = f"to {loan['owner']}" if loan["way"] == "out" else f"from {loan['owner']}"
        if loan["terms"]:
            said += f": {loan['terms']}"
        if loan["back"] is None:
            said += f"; back by {words.span(loan['due_back'], 'a day not agreed')}"
        label = {"out": "lent", "in": "on loan here"}[loan["way"]]
        label += "" if loan["back"] is None else ", over"
        yield ListRow((label, said, family_queries.between(loan["since"], loan["back"])), enclosure=box)


def _parents(sources: Sources, id_: int, row: Kept) -> Iterator[ListRow]:
    ledger = sources.ledger
    known = parentage.parents(ledger, id_)
    pairing = family_queries.pairing_of(sources, row["brood"])
    through = f"from {words.name(ledger, 'pairing', pairing)}" if pairing is not None else "from its brood"
    if known.dam is not None:
        how = "recorded" if row["dam"] is not None else through
        yield ListRow(("mother", words.animal(ledger, known.dam), how), Link("animal", known.dam))
    else:
        yield ListRow(("mother", family_queries.NOT_RECORDED, ""), look="faint")
    for sire in sorted(known.sires):
        if row["sire"] is not None:
            what, how = "father", "recorded"
        elif known.sure:
            what, how = "father", f"certain, {through}"
        else:
            n = len(known.sires)
            one = f"one of {n} males" if n > 1 else "likely; an earlier male cannot be ruled out"
            what, how = "may be" if n > 1 else "father", f"{one}, {through}"
        yield ListRow((what, words.animal(ledger, sire), how), Link("animal", sire))
    if not known.sires:
        yield ListRow(("father", family_queries.NOT_RECORDED, ""), look="faint")
    if pairing is not None:
        yield ListRow(("pairing", words.name(ledger, "pairing", pairing), ""), Link("pairing", pairing))
    if row["brood"] is not None:
        found = ledger.row("brood", row["brood"])
        yield ListRow(
            ("brood", found["name"], f"found {words.span(found['found'], family_queries.NOT_RECORDED)}"),
            Link("brood", row["brood"]),
        )
    if row["lot"] is not None:
        lot = ledger.row("lot", row["lot"])
        yield ListRow(
            ("came with", lot["name"], words.span(lot["arrived"], family_queries.NOT_RECORDED)),
            Link("lot", row["lot"]),
        )
    yield ListRow(
        ("line", words.line(ledger, row["line"]), ledger.row("line", row["line"])["generation"]),
        Link("line", row["line"]),
    )


def _pairings(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger = sources.ledger
    for p in pairings_page.newest(sources, family_queries.pairings(sources, id_)):
        row = ledger.row("pairing", p)
        others = family_queries.males(sources, p) if row["female"] == id_ else [row["female"]]
        box = row["enclosure"] if row["until"] is None else None
        yield ListRow(
            (row["name"], family_queries.names(sources, [o for o in others if o is not None]), family_queries.stretch(row["since"], row["until"], sources.day),
             family_queries.matings(sources, p)),
            Link("pairing", p), enclosure=box,
        )  # fmt: skip


def _young(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger = sources.ledger
    for brood in family_queries.broods_of(sources, id_):
        row = ledger.row("brood", brood)
        known = parentage.of_brood(ledger, brood)
        if row["parent"] is None and (id_ == known.dam or id_ in known.sires):
            others = known.sires if id_ == known.dam else {known.dam}
            found = family_queries.total(family_queries.counted([row]))
            yield ListRow(
                (row["name"], f"{found} {row['instar']}, {words.span(row['found'], family_queries.NOT_RECORDED)}{_maybe(known, id_)}",
                 family_queries.names(sources, sorted(o for o in others if o is not None)) or family_queries.NOT_RECORDED),
                Link("brood", brood),
            )  # fmt: skip
    found_ = family_queries.young(sources, id_)
    books = family_queries.narrow(sources, found_)
    for child in found_:
        known = parentage.parents(books, child)
        others = known.sires if id_ == known.dam else {known.dam}
        yield ListRow(
            (words.animal(ledger, child), family_queries.STATES[ledger.row("animal", child)["state"]] + _maybe(known, id_),
             family_queries.names(sources, sorted(o for o in others if o is not None)) or family_queries.NOT_RECORDED),
            Link("animal", child), enclosure=family_queries.box_of(sources, child),
        )  # fmt: skip


def _maybe(known: parentage.Parents, parent: int) -> str:
    """Whether it is certainly a parent."""
    if parent == known.dam or known.sure:
        return ""
    return f"; possibly its: {len(known.sires)} males" if len(known.sires) > 1 else "; likely its"


def _sibs(sources: Sources, related: Mapping[int, str]) -> family_queries.Made:
    numbers = {i: str(sources.ledger.row("animal", i)["number"]) for i in related}
    order = sorted(related, key=lambda i: (related[i], family_queries.natural(numbers[i]), i))
    return family_queries.Made(order, lambda i: ListRow(
        (words.animal(sources.ledger, i), related[i], family_queries.STATES[sources.ledger.row("animal", i)["state"]]),
        Link("animal", i), enclosure=family_queries.box_of(sources, i),
    ))  # fmt: skip


def _places(sources: Sources, id_: int) -> Iterator[ListRow]:
    for _, r in reversed(family_queries.of(sources, "content", "animal", id_)):
        doubt = f"; doubtful: {r['doubt']}" if r["doubt"] else ""
        yield ListRow(
            (family_queries.at(sources, r["enclosure"]) + doubt, family_queries.between(r["since"], r["until"])),
            Link("enclosure", r["enclosure"]), enclosure=r["enclosure"],
        )  # fmt: skip


def _life(row: Kept) -> Iterator[ListRow]:
    for column, said in STEPS.items():
        if row[column] is not None:
            yield ListRow((said, words.span(row[column]), row[column].words))
    wanting = [
        said for column, said in STEPS.items() if row[column] is None and column not in ("mark_lost", "died")
    ]
    if wanting:
        yield ListRow((family_queries.NOT_RECORDED, ", ".join(wanting), ""), look="faint")
