"""Values that were replaced or taken back: what stood there, what stands there, who, when and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice

from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.records.label_doubts import open_swaps
from rounds.records.naming import name_of
from rounds.records.observations import ReadingChange
from rounds.records.reading_words import usual_words, value_words
from rounds.records.tables import TABLES, Animal, Enclosure, LabelSwap
from rounds.text.cleaning import day_words
from rounds.values.spans import told
from rounds.views import find_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection, RowAct
from rounds.views.sources import ActRecord, Archive, Correction, Sources

MOST = 500
COLUMNS = (
    ListColumn("corrected", 17),
    ListColumn("box", 7),
    ListColumn("seen", 6),
    ListColumn("what", 11),
    ListColumn("was → is", 17, 1),
    ListColumn("who, and why", 12, 1),
)
DOUBTS = (ListColumn("box", 8), ListColumn("with", 8), ListColumn("mixed up", 30, 1))
ACTS = (
    ListColumn("told", 6),
    ListColumn("what", 20),
    ListColumn("of", 11),
    ListColumn("as", 20, 1),
    ListColumn("who", 10),
)
WHO_IS_WHO = ("parents", "brood-parents", "swapped-labels", "labels-settled")
"""Acts that say that somebody, or some brood, is another's than was recorded."""
OWN = {NOTE: sentences.NOTE, SKIPPED: sentences.SKIPPED, AS_EXPECTED: sentences.AS_EXPECTED}


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    slow = sources.slow("corrections", "", lambda archive, tell: archive.corrections(MOST), of_visits=True)  # noqa: ARG005
    if slow.value is None:
        wait = page_sentences.working_on(sentences.CORRECTIONS, slow.words)
        return Page(sentences.CORRECTIONS, about=sentences.ABOUT_CORRECTIONS, wait=wait)
    found = folded(slow.value)
    rows = [_row(sources, c) for c in found[:MOST]]
    title = sentences.newest(MOST) if len(found) > MOST else sentences.CORRECTIONS
    doubts = [_doubt(sources, swap) for swap in open_swaps(sources.ledger)]
    acts = sources.slow("who is who", "", lambda archive, tell: _acts(archive), of_visits=True)  # noqa: ARG005
    told = [_act(sources, one) for one in acts.value or ()]
    parts = (
        *([PageSection(sentences.LABELS_IN_DOUBT, DOUBTS, doubts)] if doubts else []),
        PageSection(title, COLUMNS, rows, page_sentences.NONE),
        *([PageSection(sentences.WHO_IS_WHO, ACTS, told)] if told else []),
    )
    return Page(
        sentences.CORRECTIONS,
        facts=tuple(sentences.HOW_TO_CORRECT.items()),
        parts=parts,
        about=sentences.ABOUT_CORRECTIONS,
        hint="" if rows or told or doubts else sentences.NO_CORRECTIONS,
    )


def _doubt(sources: Sources, swap: LabelSwap) -> ListRow:
    """Labels of which it is still to be said whether they were mixed up; the record key says it."""
    box, other = (page_words.code(sources.ledger, id_) for id_ in (swap.enclosure, swap.other))
    first, last = ("" if when is None else told(when) for when in (swap.since, swap.until))
    return ListRow(
        (box, other, sentences.from_to(first, last)),
        Link("enclosure", swap.enclosure),
        enclosure=swap.enclosure,
        act=RowAct(swap.enclosure, "labels-settled", box, (("with", other),)),
    )


def _acts(archive: Archive) -> list[ActRecord]:
    found = (deed for deed in archive.deeds() if deed.name in WHO_IS_WHO)
    return list(islice(found, MOST))


def _act(sources: Sources, told: ActRecord) -> ListRow:
    ledger = sources.ledger
    of = TABLES[told.table]
    whom = name_of(ledger, ledger.row(Animal, told.subject)) if of is Animal else ""
    if of is not Animal:
        whom = str(ledger.row(of, told.subject).value(of.column(of.key[0])))
    said = ", ".join(f"{name} {value}" for name, value in told.given.items())
    return ListRow(
        (
            day_words(told.day),
            told.title,
            whom,
            sentences.taken_back(said) if told.undone else said,
            told.keeper,
        ),
        Link(told.table, told.subject),
        enclosure=told.subject if of is Enclosure else None,
    )


def folded(every: Iterable[Correction]) -> list[Correction]:
    """Corrections with the newest first; a note that was typed key by key is one, or none.

    Each key of a note replaces its text. What counts is a text that was cut back and then
    became another: from each longest text to the next that does not begin with it.
    """
    out: list[Correction] = []
    typing: dict[bytes, list[Correction]] = {}
    for c in every:
        if c.change.kind == NOTE:
            typing.setdefault(c.change.visit, []).append(c)
        else:
            out.append(c)
    for some in typing.values():
        out += _notes(sorted(some, key=lambda c: c.change.at_ms))
    return sorted(out, key=lambda c: c.change.at_ms, reverse=True)


def _notes(rising: Sequence[Correction]) -> Iterator[Correction]:
    states: list[tuple[str, Correction]] = []
    for c in rising:
        old = _as_text(c.change.old)
        if not states or states[-1][0] != old:  # nothing stood there in between: that left no row
            states.append((old, c))
        states.append((_as_text(c.change.new), c))
    longest = states[0][0]
    for i, (typed, c) in enumerate(states[1:], 1):
        following = states[i + 1][0] if i + 1 < len(states) else None
        if following is not None and (following.startswith(typed) or longest.startswith(typed)):
            continue  # it is still being typed, or cut back
        if not typed.startswith(longest):
            yield c._replace(change=c.change._replace(old=longest or None, new=typed or None))
        longest = typed


def _as_text(value: object) -> str:
    return "" if value is None else str(value)


def _row(sources: Sources, c: Correction) -> ListRow:
    change = c.change
    kind = sources.kinds.get(change.kind)
    what = OWN.get(change.kind) or (kind.title if kind else change.kind)
    return ListRow(
        (
            sources.moment(change.at_ms),
            page_words.code(sources.ledger, c.enclosure),
            day_words(c.day),
            what,
            sentences.was_is(_value(sources, change, change.old), _value(sources, change, change.new)),
            sentences.who_and_why(change.keeper, change.why),
        ),
        Link("enclosure", c.enclosure),
        enclosure=c.enclosure,
    )


def _value(sources: Sources, change: ReadingChange, value: object) -> str:
    """A value as it would be read on the walk; nothing for none."""
    if value is None:
        return sentences.NOTHING_STOOD
    kind = sources.kinds.get(change.kind)
    if isinstance(value, Mapping):  # what one key confirmed
        said = (
            f"{sources.kinds[k].title} {usual_words(sources.kinds[k], v)}" if k in sources.kinds else str(k)
            for k, v in value.items()
        )
        return ", ".join(said) or sentences.SEEN
    if kind is not None and isinstance(value, (int, float, str)):
        return value_words(kind, value)
    return str(value)
