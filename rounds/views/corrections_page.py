"""Values that were replaced or taken back: what stood there, what stands there, who, when and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import ReadingChange
from rounds.records.reading_words import usual_words, value_words
from rounds.text.cleaning import day_words
from rounds.views import find_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Correction, Sources

MOST = 500
COLUMNS = (
    ListColumn("corrected", 17),
    ListColumn("box", 7),
    ListColumn("seen", 6),
    ListColumn("what", 11),
    ListColumn("was → is", 17, 1),
    ListColumn("who, and why", 12, 1),
)
OWN = {NOTE: sentences.NOTE, SKIPPED: sentences.SKIPPED, AS_EXPECTED: sentences.AS_EXPECTED}


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    slow = sources.slow("corrections", "", lambda archive, tell: archive.corrections(MOST), of_visits=True)  # noqa: ARG005
    if slow.value is None:
        wait = page_sentences.working_on(sentences.CORRECTIONS, slow.words)
        return Page(sentences.CORRECTIONS, about=sentences.ABOUT_CORRECTIONS, wait=wait)
    found = folded(slow.value)
    rows = [_row(sources, c) for c in found[:MOST]]
    title = sentences.newest(MOST) if len(found) > MOST else sentences.CORRECTIONS
    return Page(
        sentences.CORRECTIONS,
        parts=(PageSection(title, COLUMNS, rows, page_sentences.NONE),),
        about=sentences.ABOUT_CORRECTIONS,
        hint="" if rows else sentences.NO_CORRECTIONS,
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
        old = _text(c.change.old)
        if not states or states[-1][0] != old:  # nothing stood there in between: that left no row
            states.append((old, c))
        states.append((_text(c.change.new), c))
    longest = states[0][0]
    for i, (text, c) in enumerate(states[1:], 1):
        following = states[i + 1][0] if i + 1 < len(states) else None
        if following is not None and (following.startswith(text) or longest.startswith(text)):
            continue  # it is still being typed, or cut back
        if not text.startswith(longest):
            yield c._replace(change=c.change._replace(old=longest or None, new=text or None))
        longest = text


def _text(value: object) -> str:
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
