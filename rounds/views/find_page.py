"""Find as one types: names at once, and below them acts and the notes of visits as they are found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from rounds.acts import running_trials
from rounds.records.ledger import Ledger
from rounds.records.tables import Enclosure
from rounds.views import words
from rounds.views.named_records import by_link, names
from rounds.views.page import NO_BOX, TOPICS, Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.search_index import MOST, Named, wanted
from rounds.views.sources import ActRecord, Archive, Found, Sources, Tell

LEAST = 2
"""Letters from which on acts and notes are looked through."""
MOST_LATER = 200
HINT = (
    "Type a part of a box's code, number or place, of an animal, a line, a pairing, a brood, an arrival or a batch,"
    " or words of a note. Several words may come in any order. Two animals list their pairing and every mating seen."
)
ABOUT = (
    "Whatever holds all the words typed: names first, the best matches on top; then acts that were recorded; then notes"
    " of visits, the newest first. Case and accents do not matter, and UMBER/3 is the same as umber 3."
)
FEWER = "nothing holds every word; try fewer"
SHORT = "from two letters on"
NAMED = (ListColumn("what", 8), ListColumn("name", 24, 1), ListColumn("", 30, 3))
DEEDS = (ListColumn("day", 11), ListColumn("act", 24, 1), ListColumn("of whom, and what was told", 30, 3))
NOTES = (ListColumn("day", 11), ListColumn("box", 10), ListColumn("note", 40, 1))
PAGES = {
    "enclosure": "enclosure",
    "animal": "animal",
    "line": "line",
    "lot": "lot",
    "pairing": "pairing",
    "brood": "brood",
}
"""The page behind each table that acts are done to."""


class Later(NamedTuple):
    """What the looking beside the keys has come to."""

    deeds: Sequence[ActRecord] = ()
    notes: Sequence[Found] = ()


def build(opened: OpenPage, sources: Sources) -> Page:
    asked, ledger = wanted(opened.query), sources.ledger
    pages = _pages(asked)
    if not asked:
        empty = not any(True for _ in ledger.rows(Enclosure))
        return Page("find", parts=pages, typed=True, about=ABOUT, hint=NO_BOX if empty else HINT)
    index = names(sources)
    found = index.find(asked)
    more = f"the first {MOST}; another letter narrows it" if len(found) >= MOST else "names"
    parts = [PageSection(more, NAMED, [_row(n) for n in found], "no name with all of this in it")]
    wait = ""
    if sum(map(len, asked)) < LEAST:
        parts.append(PageSection("acts, and notes of visits", empty=SHORT))
    if sum(map(len, asked)) >= LEAST:
        called = sources.once("called", lambda: by_link(index))
        slow = sources.slow(
            "find",
            " ".join(asked),
            lambda archive, tell: _later(archive, asked, called, ledger, tell),
            of_visits=True,
        )
        later: Later = slow.value or Later()
        wait = f"acts and notes: {slow.words}" if slow.words else ""
        parts += [
            PageSection(
                "acts", DEEDS, [*_deeds(later.deeds, called, ledger)], "still looking" if wait else "no act"
            ),
            PageSection(
                "notes of visits", NOTES, [*_notes(later.notes, sources)], "still looking" if wait else "none"
            ),
        ]
        if len(asked) > 1 and not wait and not any(part.rows for part in parts):
            parts = [PageSection("nothing found", empty=FEWER)]
    return Page("find", parts=(*pages, *parts), typed=True, about=ABOUT, wait=wait)


def _pages(asked: Sequence[str]) -> tuple[PageSection, ...]:
    """Pages that no digit opens: all of them while nothing is typed, then those with every word in their title."""
    found = [t for t in TOPICS if not t.key and all(word in " ".join(wanted(t.title)) for word in asked)]
    found.sort(key=lambda t: wanted(t.title) != list(asked))  # the title typed in full stands first
    rows = [ListRow((t.title,), t.link) for t in found]
    return (PageSection("other pages", (ListColumn("page", 24, 1),), rows),) if rows else ()


def _row(n: Named) -> ListRow:
    said = f"{n.about}; {n.note}" if n.note and n.about else n.about or n.note
    return ListRow((n.kind, n.name, said), n.link, enclosure=n.enclosure)


def _later(
    archive: Archive, asked: Sequence[str], called: Mapping[Link, str], ledger: Ledger, tell: Tell
) -> Later:
    """Acts first, then notes: what came in stays where it is when more comes.

    What tells the arms of a running trial is neither shown nor looked through.
    """
    deeds: list[ActRecord] = []
    for whole in archive.deeds():
        deed = whole._replace(
            given=running_trials.told(whole.name, whole.table, whole.subject, whole.given, ledger)
        )
        if _holds(deed, asked, called, ledger):
            deeds.append(deed)
            if len(deeds) >= MOST_LATER or not tell("looking through the acts", Later(deeds)):
                break
    if not tell("looking through the notes", Later(deeds)):
        return Later(deeds)
    return Later(
        deeds, archive.find(asked, MOST_LATER, lambda said, so_far=(): tell(said, Later(deeds, so_far)))
    )


def _holds(deed: ActRecord, asked: Sequence[str], called: Mapping[Link, str], ledger: Ledger) -> bool:
    whom = " ".join(called.get(link, "") for link in _mentioned(deed, ledger))
    text = " ".join(wanted(f"{deed.name} {deed.title} {whom} {' '.join(map(str, deed.given.values()))}"))
    return all(w in text for w in asked)


def _mentioned(deed: ActRecord, ledger: Ledger) -> dict[Link, None]:
    """Whom an act was done to, what it changed, and what rows without a name of their own belong to.

    Rows of trials and plans are left out: who was drawn for whom would tell an arm.
    """
    rows = [(deed.table, deed.subject), *deed.rows] if deed.subject else deed.rows
    out: dict[Link, None] = {}
    for table, id_ in rows:
        if table in PAGES:
            out[Link(PAGES[table], id_)] = None
            continue
        if table in ("trial_female", "plan"):
            continue
        try:
            record = ledger.table(table)[id_]
        except KeyError:  # recorded since these books were read
            continue
        for column in record.columns:
            if column.of in PAGES and (about := record.value(column)) is not None:
                out[Link(PAGES[column.of], about)] = None
    return out


def _deeds(deeds: Sequence[ActRecord], called: Mapping[Link, str], ledger: Ledger) -> Iterator[ListRow]:
    """Each leads to the pairing it was about, else to whom it was done to."""
    for d in deeds:
        told = ", ".join(f"{k} {v}" for k, v in d.given.items())
        about = list(_mentioned(d, ledger))
        pairing = next((link for link in about if link.kind == "pairing"), None)
        link = pairing or next(iter(about), None)
        first = Link(PAGES[d.table], d.subject) if d.table in PAGES and d.subject else link
        who = called.get(first, "") if first is not None else ""
        pair = (
            f" ({called[pairing]})" if pairing is not None and pairing in called and pairing != first else ""
        )
        back = "taken back: " if d.undone else ""
        by = f", by {d.keeper}" if d.keeper else ""
        box = d.subject if d.table == "enclosure" else None
        said = f"{back}{who}{pair}{': ' if told else ''}{told}{by}"
        yield ListRow((words.day(d.day), d.title, said), link, enclosure=box)


def _notes(notes: Sequence[Found], sources: Sources) -> Iterator[ListRow]:
    for f in notes:
        where = words.code(sources.ledger, f.seen.enclosure)
        yield ListRow(
            (words.day(f.seen.day), where, f.text),
            Link("enclosure", f.seen.enclosure),
            enclosure=f.seen.enclosure,
        )
