"""An enclosure: what it is, who is and was in it, what holds there, and every look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rounds.acts import running_trials
from rounds.records import enclosure_view
from rounds.records.observations import Visit
from rounds.records.reading_words import usual_words, value_words
from rounds.records.round_summary import MARKS
from rounds.records.tables import Content, Enclosure, StagePast
from rounds.text.cleaning import day_words
from rounds.views import due_page, family_queries, words
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
            (ListRow(("go there on the walk",), Link("stop", id_), enclosure=id_),),
        ),
        _open(sources, id_),
        PageSection(
            "in it",
            (ListColumn("who", 26, 1), ListColumn("since", 20)),
            [*_contents(sources, contents, gone=False)],
            "nobody recorded",
        ),
        PageSection(
            "looks",
            (ListColumn("day", 8), ListColumn("what was seen", 40, 1), ListColumn("by", 8)),
            [*_looks(sources, id_, seen)],
            "nobody has looked yet",
        ),
        PageSection(
            "was in it",
            (ListColumn("who", 26, 1), ListColumn("from – to", 24)),
            [*_contents(sources, contents, gone=True)],
            "nobody before",
        ),
        PageSection(
            "stages before",
            (ListColumn("stage", 14), ListColumn("from – to", 24, 1)),
            [
                ListRow((past.stage, family_queries.between(past.since, past.until)), enclosure=id_)
                for past in reversed(family_queries.of(sources, StagePast, StagePast.enclosure, id_))
            ],
            "none",
        ),
    )
    return Page(
        f"enclosure {box.code}",
        tuple(_facts(sources, box, seen)),
        parts=parts,
        enclosure=id_,
        about="One enclosure with its whole past. A row about an animal, a group's line or a brood opens its page."
        " Done and put off are about the action or the due work of the row.",
    )


def _facts(sources: Sources, box: Enclosure, seen: Sequence[Visit]) -> Iterator[tuple[str, str]]:
    since = words.span(box.stage_since, "since when is not recorded")
    yield (
        "stage",
        f"{box.stage}, {since}" if box.stage_since is None else f"{box.stage} since {since}",
    )
    where = words.place(sources.ledger, box.id) or "no place"
    litres = f", {box.litres:g} litres" if box.litres else ""
    yield "stands at", f"{where}, no. {box.number}{litres}"
    if box.species:
        yield "species", box.species
    for name, whom in running_trials.at(sources.ledger, box.id):
        yield "trial", f"{name}: {whom}"
    for lock in enclosure_view.locks(sources.ledger, box.id, sources.day):
        until = "until it is lifted" if lock.until is None else f"until {words.day(lock.until.latest)}"
        yield "do not", f"{', '.join(lock.forbids)} {until}: {lock.reason}"
    looked = next((v for v in seen if v.looked), None)
    if looked is not None:
        ago = sources.day - looked.day
        yield "last look", "today" if not ago else f"{words.day(looked.day)}, {ago} day{'s' * (ago > 1)} ago"
    if box.note:
        yield "note", box.note


def _open(sources: Sources, id_: int) -> PageSection:
    """Actions, worst first, then due work; done and put off on a row are about just that."""
    rows = [
        ListRow(
            (MARKS.get(a.level, "!"), f"{a.reason} → {a.todo}", day_words(a.opened)),
            look=a.level,
            enclosure=id_,
            action=a.uid,
        )
        for a in sources.actions(id_)
    ]
    return PageSection(
        "to do here",
        (ListColumn("", 3), ListColumn("what", 40, 1), ListColumn("when", 16)),
        [*rows, *due_page.at(sources, id_)],
        "nothing",
    )


def _contents(sources: Sources, contents: Sequence[Content], *, gone: bool) -> Iterator[ListRow]:
    ledger = sources.ledger
    for content in contents if not gone else reversed(contents):
        if (content.until is not None) is not gone:
            continue
        since = words.span(content.since, family_queries.NOT_RECORDED)
        when = family_queries.between(content.since, content.until) if gone else since
        if content.animal is not None:
            yield ListRow((words.animal(ledger, content.animal), when), Link("animal", content.animal))
            continue
        link = None
        if content.brood is not None:
            link = Link("brood", content.brood)
        elif content.line is not None:
            link = Link("line", content.line)
        yield ListRow((family_queries.group_words(ledger, content), when), link)


def _looks(sources: Sources, id_: int, seen: Sequence[Visit]) -> Iterator[ListRow]:
    for v in seen:
        said = f"skipped: {v.skipped}" if v.skipped else "; ".join(_readings(sources, v))
        if v.note:
            said = f"{said}; note: {v.note}" if said else f"note: {v.note}"
        yield ListRow((day_words(v.day), said or "taken back", v.keeper), enclosure=id_)


def _readings(sources: Sources, v: Visit) -> Iterator[str]:
    for kind_id, value in v.read.items():
        kind = sources.kinds.get(kind_id)
        yield f"{kind.title} {value_words(kind, value)}" if kind else f"{kind_id} {value}"
    if v.confirmed:
        as_usual = [
            f"{sources.kinds[k].title} {usual_words(sources.kinds[k], value)}" if k in sources.kinds else k
            for k, value in v.confirmed.items()
        ]
        yield f"(as expected: {', '.join(as_usual)})"
