"""An enclosure: what it is, who is and was in it, what holds there, and every look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rounds.acts import running_trials
from rounds.husbandry.spans import Span
from rounds.records import enclosure_view
from rounds.records.column import Row as Kept
from rounds.records.observations import Visit
from rounds.records.reading_words import usual_words, value_words
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import day_words
from rounds.views import due_page, family_queries, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

VISITS = 200
"""Looks that are listed; a book may hold thousands of an enclosure."""


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    box = family_queries.the(sources, "enclosure", id_)
    seen = list(reversed(sources.seen(id_, VISITS)))
    here = [r for _, r in sources.index("content", "enclosure").get(id_, ())]
    parts = (
        PageSection("", (ListColumn("", 30, 1),), (ListRow(("go there on the walk",), Link("stop", id_), enclosure=id_),)),
        _open(sources, id_),
        PageSection("in it", (ListColumn("who", 26, 1), ListColumn("since", 20)), [*_contents(sources, here, False)], "nobody recorded"),
        PageSection("looks", (ListColumn("day", 8), ListColumn("what was seen", 40, 1), ListColumn("by", 8)), [*_looks(sources, id_, seen)],
             "nobody has looked yet"),
        PageSection("was in it", (ListColumn("who", 26, 1), ListColumn("from – to", 24)), [*_contents(sources, here, True)], "nobody before"),
        PageSection("stages before", (ListColumn("stage", 14), ListColumn("from – to", 24, 1)), [
            ListRow((r["stage"], _between(r["since"], r["until"])), enclosure=id_)
            for _, r in reversed(sources.index("stage_past", "enclosure").get(id_, ()))
        ], "none"),
    )  # fmt: skip
    return Page(
        f"enclosure {box['code']}", tuple(_facts(sources, id_, seen)), parts=parts, enclosure=id_,
        about="One enclosure with its whole past. A row about an animal, a group's line or a brood opens its page."
        " Done and put off are about the action or the due work of the row.",
    )  # fmt: skip


def _facts(sources: Sources, id_: int, seen: Sequence[Visit]) -> Iterator[tuple[str, str]]:
    box = sources.ledger.row("enclosure", id_)
    since = words.span(box["stage_since"], "since when is not recorded")
    yield (
        "stage",
        f"{box['stage']}, {since}" if box["stage_since"] is None else f"{box['stage']} since {since}",
    )
    where = words.place(sources.ledger, id_) or "no place"
    litres = f", {box['litres']:g} litres" if box["litres"] else ""
    yield "stands at", f"{where}, no. {box['number']}{litres}"
    if box["species"]:
        yield "species", box["species"]
    for name, whom in running_trials.at(sources.ledger, id_):
        yield "trial", f"{name}: {whom}"
    for lock in enclosure_view.locks(sources.ledger, id_, sources.day):
        until = "until it is lifted" if lock.until is None else f"until {words.day(lock.until.latest)}"
        yield "do not", f"{', '.join(lock.forbids)} {until}: {lock.reason}"
    looked = next((v for v in seen if v.looked), None)
    if looked is not None:
        ago = sources.day - looked.day
        yield "last look", "today" if not ago else f"{words.day(looked.day)}, {ago} day{'s' * (ago > 1)} ago"
    if box["note"]:
        yield "note", box["note"]


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


def _contents(sources: Sources, rows: Sequence[Kept], gone: bool) -> Iterator[ListRow]:
    ledger = sources.ledger
    for r in rows if not gone else reversed(rows):
        if (r["until"] is not None) is not gone:
            continue
        when = _between(r["since"], r["until"]) if gone else words.span(r["since"], "not recorded")
        if r["animal"] is not None:
            yield ListRow((words.animal(ledger, r["animal"]), when), Link("animal", r["animal"]))
            continue
        brood = words.name(ledger, "brood", r["brood"])
        who = " ".join(x for x in (words.line(ledger, r["line"]), words.counts(r), r["instar"], brood) if x)
        link = Link("brood", r["brood"]) if r["brood"] is not None else None
        if link is None and r["line"] is not None:
            link = Link("line", r["line"])
        yield ListRow((who, when), link)


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


def _between(since: Span | None, until: Span | None) -> str:
    return f"{words.span(since, 'not recorded')} – {words.span(until, 'now')}"
