"""Find as one types: names at once, and below them acts and the notes of visits as they are found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rounds.acts import running_trials
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.tables import Enclosure
from rounds.views import find_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.named_records import begin, by_link, names
from rounds.views.page import TOPICS, Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.search_index import MOST, Named, wanted
from rounds.views.sources import ActRecord, Archive, Found, Sources, Tell

LEAST = 2
"""Letters from which on acts and notes are looked through."""
MOST_LATER = 200
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
        begin(sources)
        empty = not any(True for _ in ledger.rows(Enclosure))
        hint = page_sentences.NO_BOX if empty else sentences.HINT
        return Page(sentences.FIND, parts=pages, typed=True, about=sentences.ABOUT_FIND, hint=hint)
    index = names(sources)
    found = index.find(asked)
    title = sentences.first_names(MOST) if len(found) >= MOST else sentences.NAMES
    parts = [PageSection(title, NAMED, [_row(n) for n in found], sentences.NO_NAME)]
    wait = ""
    if sum(map(len, asked)) < LEAST:
        parts.append(PageSection(sentences.ACTS_AND_NOTES, empty=sentences.TWO_LETTERS))
    if sum(map(len, asked)) >= LEAST:
        called = sources.once("called", lambda: by_link(index))
        slow = sources.slow(
            "find",
            " ".join(asked),
            lambda archive, tell: _later(archive, asked, called, ledger, tell),
            of_visits=True,
        )
        later: Later = slow.value or Later()
        wait = page_sentences.working_on(sentences.LOOKING_FOR, slow.words) if slow.words else ""
        no_act, no_note = (
            sentences.STILL_LOOKING if wait else x for x in (sentences.NO_ACT, page_sentences.NONE)
        )
        parts += [
            PageSection(sentences.ACTS, DEEDS, [*_deeds(later.deeds, called, ledger)], no_act),
            PageSection(sentences.VISIT_NOTES, NOTES, [*_notes(later.notes, sources)], no_note),
        ]
        if len(asked) > 1 and not wait and not any(part.rows for part in parts):
            parts = [PageSection(sentences.NOTHING_FOUND, empty=sentences.FEWER_WORDS)]
    return Page(sentences.FIND, parts=(*pages, *parts), typed=True, about=sentences.ABOUT_FIND, wait=wait)


def _pages(asked: Sequence[str]) -> tuple[PageSection, ...]:
    """Pages that no digit opens: all of them while nothing is typed, then those with every word in their title."""
    found = [t for t in TOPICS if not t.key and all(word in " ".join(wanted(t.title)) for word in asked)]
    found.sort(key=lambda t: wanted(t.title) != list(asked))  # the title typed in full stands first
    rows = [ListRow((t.title,), t.link) for t in found]
    return (PageSection(sentences.OTHER_PAGES, (ListColumn("page", 24, 1),), rows),) if rows else ()


def _row(n: Named) -> ListRow:
    return ListRow((n.kind, n.name, sentences.about_and_note(n.about, n.note)), n.link, enclosure=n.enclosure)


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
            if len(deeds) >= MOST_LATER or not tell(sentences.THROUGH_ACTS, Later(deeds)):
                break
    if not tell(sentences.THROUGH_NOTES, Later(deeds)):
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
        pair = called.get(pairing, "") if pairing is not None and pairing != first else ""
        box = d.subject if d.table == "enclosure" else None
        said = sentences.act(who, pair, told, d.keeper, undone=d.undone)
        yield ListRow((page_words.day(d.day), d.title, said), link, enclosure=box)


def _notes(notes: Sequence[Found], sources: Sources) -> Iterator[ListRow]:
    for f in notes:
        where = page_words.code(sources.ledger, f.seen.enclosure)
        yield ListRow(
            (page_words.day(f.seen.day), where, f.text),
            Link("enclosure", f.seen.enclosure),
            enclosure=f.seen.enclosure,
        )
