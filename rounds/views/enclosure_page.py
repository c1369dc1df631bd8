"""An enclosure: what it is, who is and was in it, what holds there, and every look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rounds.acts import running_trials
from rounds.husbandry import locks
from rounds.records import enclosure_view
from rounds.records.observations import Visit
from rounds.records.reading_words import usual_words, value_words
from rounds.records.round_summary import MARKS
from rounds.records.tables import Content, Enclosure, StagePast
from rounds.text.cleaning import day_words
from rounds.views import box_sentences as sentences
from rounds.views import due_page, family_queries, page_sentences, page_words
from rounds.views import fact_sentences as labels
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

VISITS = 200
"""Looks that are listed; a book may hold thousands of an enclosure."""


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    box = family_queries.the(sources, Enclosure, id_)
    seen = list(reversed(sources.seen(id_, VISITS)))
    contents = family_queries.of(sources, Content, Content.enclosure, id_)
    parts = (
        PageSection(
            "",
            (ListColumn("", 30, 1),),
            (ListRow((sentences.GO_THERE,), Link("stop", id_), enclosure=id_),),
        ),
        _open(sources, id_),
        PageSection(
            sentences.IN_IT,
            (ListColumn("who", 26, 1, named=True), ListColumn("since", 20)),
            [*_contents(sources, contents, gone=False)],
            page_sentences.NOBODY_RECORDED,
        ),
        PageSection(
            sentences.LOOKS,
            (ListColumn("day", 8), ListColumn("what was seen", 40, 1), ListColumn("by", 8)),
            [*_looks(sources, id_, seen)],
            sentences.NOBODY_LOOKED,
        ),
        PageSection(
            sentences.WAS_IN_IT,
            (ListColumn("who", 26, 1, named=True), ListColumn("from – to", 24)),
            [*_contents(sources, contents, gone=True)],
            sentences.NOBODY_BEFORE,
        ),
        PageSection(
            sentences.STAGES_BEFORE,
            (ListColumn("stage", 14), ListColumn("from – to", 24, 1)),
            [
                ListRow((past.stage, family_queries.between(past.since, past.until)), enclosure=id_)
                for past in reversed(family_queries.of(sources, StagePast, StagePast.enclosure, id_))
            ],
            page_sentences.NONE,
        ),
    )
    return Page(
        sentences.enclosure(box.code),
        tuple(_facts(sources, box, seen)),
        parts=parts,
        enclosure=id_,
        about=sentences.ABOUT_BOX,
    )


def _facts(sources: Sources, box: Enclosure, seen: Sequence[Visit]) -> Iterator[tuple[str, str]]:
    yield (
        labels.STAGE,
        sentences.stage(box.stage, None if box.stage_since is None else page_words.span(box.stage_since)),
    )
    where = page_words.place(sources.ledger, box.id) or page_sentences.NO_PLACE
    yield labels.STANDS_AT, sentences.stands_at(where, box.number, box.litres)
    if box.species:
        yield labels.SPECIES, box.species
    contents = family_queries.of(sources, Content, Content.enclosure, box.id)
    if here := [row.cells[0] for row in _contents(sources, contents, gone=False)]:
        yield sentences.IN_IT, ", ".join(here)
    for name, whom in running_trials.at(sources.ledger, box.id):
        yield labels.TRIAL, sentences.trial(name, whom)
    set_aside = sources.sets_locks_aside(box.id)
    for lock in locks.as_told(enclosure_view.locks(sources.ledger, box.id, sources.day)):
        if set_aside:
            yield sentences.LOCK, sentences.lock_set_aside(*locks.set_aside(lock, sources.day), lock.reason)
            continue
        until = page_sentences.UNTIL_LIFTED
        if lock.until is not None:
            until = page_sentences.through(page_words.day(lock.until.latest))
        yield labels.DO_NOT, sentences.forbidden(tuple(lock.forbids), until, lock.reason)
    looked = next((v for v in seen if v.looked), None)
    if looked is not None:
        ago = sources.day - looked.day
        said = page_sentences.ago(ago)
        yield labels.LAST_LOOK, sentences.last_look(page_words.day(looked.day), said) if ago else said
    if box.note:
        yield labels.NOTE, box.note


def _open(sources: Sources, id_: int) -> PageSection:
    """Actions, worst first, then due work; done and put off on a row are about just that."""
    rows = [
        ListRow(
            (
                MARKS.get(a.level, "!"),
                sentences.open_action(a.reason, a.todo, a.withheld, cause_gone=a.cause_gone),
                day_words(a.opened),
            ),
            style=a.level,
            enclosure=id_,
            action=a.uid,
        )
        for a in sources.actions(id_)
    ]
    return PageSection(
        sentences.TO_DO_HERE,
        (ListColumn("", 3), ListColumn("what", 40, 1), ListColumn("when", 16)),
        [*rows, *due_page.at(sources, id_)],
        page_sentences.NOTHING,
    )


def _contents(sources: Sources, contents: Sequence[Content], *, gone: bool) -> Iterator[ListRow]:
    ledger = sources.ledger
    for content in contents if not gone else reversed(contents):
        if (content.until is not None) is not gone:
            continue
        since = page_words.span(content.since, page_sentences.NOT_RECORDED)
        when = family_queries.between(content.since, content.until) if gone else since
        if content.animal is not None:
            yield ListRow((page_words.animal(ledger, content.animal), when), Link("animal", content.animal))
            continue
        link = None
        if content.brood is not None:
            link = Link("brood", content.brood)
        elif content.line is not None:
            link = Link("line", content.line)
        yield ListRow((family_queries.group_words(ledger, content), when), link)


def _looks(sources: Sources, id_: int, seen: Sequence[Visit]) -> Iterator[ListRow]:
    for v in seen:
        said = sentences.skipped(v.skipped) if v.skipped else "; ".join(_readings(sources, v))
        if v.note:
            said = "; ".join(filter(None, (said, sentences.note(v.note))))
        yield ListRow((day_words(v.day), said or sentences.TAKEN_BACK, v.keeper), enclosure=id_)


def _readings(sources: Sources, v: Visit) -> Iterator[str]:
    for kind_id, value in v.read.items():
        kind = sources.kinds.get(kind_id)
        yield f"{kind.title} {value_words(kind, value)}" if kind else f"{kind_id} {value}"
    if v.confirmed:
        as_usual = [
            f"{sources.kinds[k].title} {usual_words(sources.kinds[k], value)}" if k in sources.kinds else k
            for k, value in v.confirmed.items()
        ]
        yield sentences.as_expected(", ".join(as_usual))
