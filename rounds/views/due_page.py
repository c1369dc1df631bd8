"""Due work: overdue, today, this week, later, each by day and shelf; done and put off from its row."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rounds.acts import due_acts
from rounds.due import nearness, work_sentences
from rounds.due import work as due_
from rounds.due.kinds import DueWork
from rounds.due.work_groups import by_job, window
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.stops import DUE_AHEAD
from rounds.text.cleaning import long_day
from rounds.values.spans import LAST, span_words
from rounds.views import box_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection, RowAct
from rounds.views.sources import Sources

AHEAD = 30
"""Days to come that are listed; `rounds due --until` lists more."""
ALWAYS = (nearness.TODAY, nearness.WEEK)
"""What is said to be empty when it is: the two questions of a morning."""
COLUMNS = (
    ListColumn("planned", 12),
    ListColumn("where", 6),
    ListColumn("box", 8),
    ListColumn("what", 26, 1),
    ListColumn("from – to", 16),
)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    ledger, day = sources.ledger, sources.day
    slow = sources.works()
    if slow.value is None:
        wait = page_sentences.working_on(sentences.next_days(AHEAD), slow.words)
        return Page(sentences.DUE, parts=(_begun(sources),), about=sentences.ABOUT_DUE, wait=wait)
    every: Sequence[DueWork] = [w for w in slow.value if w.shown]
    order = {s.enclosure.id: i for i, s in enumerate(sources.stops())}
    coming = nearness.listed((w for w in every if not w.put_off(day)), day, day + AHEAD, order)
    off = nearness.listed((w for w in every if w.put_off(day)), day, LAST, order)
    if not (coming.groups or coming.more or off.groups):
        hint = sentences.nothing_due(AHEAD) if sources.stops() else page_sentences.NO_BOX
        return Page(sentences.DUE, about=sentences.ABOUT_DUE, hint=hint)
    works_ = {g.name: g.works for g in (*coming.groups, *off.groups)}
    named = _labels(ledger, every)
    parts = [
        PageSection(
            _title(name, day), COLUMNS, [*_rows(sources, works_.get(name, ()), named)], page_sentences.NOTHING
        )
        for name in nearness.NEAR
        if name in works_ or name in ALWAYS
    ]
    if coming.more:
        parts.append(PageSection(sentences.FURTHER_ON, empty=_further(coming, day)))
    return Page(sentences.DUE, parts=tuple(parts), about=sentences.ABOUT_DUE)


def _title(name: str, day: int) -> str:
    """Short enough to be whole on a narrow screen: the year stands above it."""
    return nearness.title(name, day, day + AHEAD).removesuffix(long_day(day)[-5:])


def _further(coming: nearness.Listed, day: int) -> str:
    return sentences.later(coming.more, long_day(coming.ends), coming.ends - day)


def at(sources: Sources, box: int, animal: int | None = None) -> Iterator[ListRow]:
    """What is due at one box within a week, in columns (sign, what, from – to).

    With an animal, what is due for others there is left out.
    """
    value = sources.works().value
    if value is None:
        full = None if animal is None else animal_name(sources.ledger, animal)
        for e, d in sources.dues():
            if e == box and (full is None or d.animal in ("", full)):
                what = sentences.work(d.what, d.animal, d.withheld, d.why)
                when = span_words(d.window.earliest, d.window.latest)
                yield ListRow((sentences.DUE, what, when), enclosure=box, acts=_not_yet(sentences.WAIT))
        return
    mine = [w for w in value if w.enclosure == box and w.done is None]
    named = _labels(sources.ledger, mine)
    for w in due_.at(mine, box, sources.day + DUE_AHEAD):
        if not w.put_off(sources.day) and (animal is None or w.animal in (None, animal)):
            who = "" if w.animal is None else page_words.animal(sources.ledger, w.animal)
            what = sentences.work(w.what, who, w.withheld, w.why)
            when = span_words(w.window.earliest, w.window.latest)
            yield ListRow(
                (sentences.DUE, what, when),
                style="today" if w.overdue(sources.day) else "",
                enclosure=box,
                acts=_acts(sources, w, named),
            )


def _begun(sources: Sources) -> PageSection:
    """What the walk itself shows, until all of it is worked out."""
    rows = [
        ListRow(
            (
                nearness.day_of(max(d.planned(), sources.day), sources.day),
                page_words.place(sources.ledger, box),
                page_words.code(sources.ledger, box),
                sentences.work(d.what, d.animal, d.withheld, d.why),
                span_words(d.window.earliest, d.window.latest),
            ),
            Link("enclosure", box),
            enclosure=box,
            acts=_not_yet(sentences.WAIT),
        )
        for box, d in sources.dues()
    ]
    return PageSection(sentences.NEAREST_DUE, COLUMNS, rows, sentences.NOTHING_YET)


def _rows(sources: Sources, works: Iterable[DueWork], named: Mapping[str, str]) -> Iterator[ListRow]:
    for bunch in by_job(works, sources.day):
        yield _row(sources, bunch[0], named) if len(bunch) == 1 else _job_row(sources, bunch)


def _job_row(sources: Sources, works: Sequence[DueWork]) -> ListRow:
    """The same job at several boxes, which are listed after it; each is ticked off at its box."""
    ledger, day, w = sources.ledger, sources.day, works[0]
    boxes = [work.enclosure for work in works if work.enclosure is not None]
    span = window(works)
    what = sentences.work(work_sentences.at_several(len(works), w.what), "", w.withheld, w.why)
    codes = " ".join(page_words.code(ledger, box) for box in boxes)
    return ListRow(
        (
            nearness.when(w, day),
            page_words.place(ledger, boxes[0]),
            sentences.and_more(page_words.code(ledger, boxes[0]), len(boxes) - 1),
            sentences.at_boxes(what, codes),
            span_words(span.earliest, span.latest),
        ),
        Link("brood", w.brood) if w.brood is not None else Link("enclosure", boxes[0]),
        "today" if w.overdue(day) else "",
        boxes[0],
        acts=_not_yet(sentences.SEVERAL_BOXES),
    )


def _row(sources: Sources, w: DueWork, named: Mapping[str, str]) -> ListRow:
    ledger, day, box = sources.ledger, sources.day, w.enclosure
    who = "" if w.animal is None else page_words.animal(ledger, w.animal)
    why = sentences.put_off(w.off_why, w.why) if w.put_off(day) and w.off_why else w.why
    return ListRow(
        (
            nearness.when(w, day),
            "" if box is None else page_words.place(ledger, box),
            "" if box is None else page_words.code(ledger, box),
            sentences.work(w.what, who, w.withheld, why),
            span_words(w.window.earliest, w.window.latest),
        ),
        None if box is None else Link("enclosure", box),
        "today" if w.overdue(day) else "",
        box,
        acts=_acts(sources, w, named),
    )


def _labels(ledger: Ledger, works: Iterable[DueWork]) -> dict[str, str]:
    """What each work is called at its enclosure, by its key: the words its acts are told."""
    boxes: dict[int, list[DueWork]] = {}
    for w in works:
        if w.enclosure is not None and w.done is None:
            boxes.setdefault(w.enclosure, []).append(w)
    out: dict[str, str] = {}
    for some in boxes.values():
        some.sort(key=lambda w: (w.window.latest, w.window.earliest, w.key))
        out |= {w.key: name for name, w in due_acts.labels(ledger, some).items()}
    return out


def _not_yet(why: str) -> tuple[tuple[str, RowAct | str], ...]:
    return (("done", why), ("put_off", why))


def _acts(sources: Sources, w: DueWork, named: Mapping[str, str]) -> tuple[tuple[str, RowAct | str], ...]:
    """The acts of done and put off for just this work, or why there are none."""
    if w.enclosure is None:
        return _not_yet(sentences.NO_BOX_OF_WORK)
    if w.begins() > sources.day + DUE_AHEAD:
        return _not_yet(sentences.begins_later(page_words.day(w.begins())))
    typed = (("work", named[w.key]),)
    code = page_words.code(sources.ledger, w.enclosure)
    return (
        ("done", RowAct(w.enclosure, due_acts.DONE, code, typed)),
        ("put_off", RowAct(w.enclosure, due_acts.OFF, code, typed)),
    )
