"""What someone has to do in the whole house: open actions by harm, then in shelf order."""

from __future__ import annotations

from rounds.records.observations import Action
from rounds.records.round_summary import MARKS, harm
from rounds.text.cleaning import day_words
from rounds.views import words
from rounds.views.page import NO_BOX, Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

ABOUT = (
    "Every open action of the house: !!! now, !! today, ! watch it, each with its reason and what to do. Done and put off"
    " are about the action of the row. It stays until somebody says so, also when its cause is no longer seen."
)
NONE = "Nothing is open. Actions come from rules, while you walk; `rounds rules explain BOX` says what is watched at a box."
COLUMNS = (
    ListColumn("", 3),
    ListColumn("where", 6),
    ListColumn("box", 8),
    ListColumn("what and why", 44, 1),
    ListColumn("since", 6),
)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    order = {s.enclosure.id: i for i, s in enumerate(sources.stops())}
    boxes = sorted(
        (id_ for id_, _ in sources.ledger.rows("enclosure")), key=lambda e: order.get(e, len(order))
    )
    found = [(box, a) for box in boxes for a in sources.actions(box)]
    found.sort(key=lambda f: harm(f[1].level))  # stable: shelf order within a level
    rows = [_row(sources, box, a) for box, a in found]
    return Page(
        "to do",
        parts=(PageSection("open actions", COLUMNS, rows, "none"),),
        about=ABOUT,
        hint="" if rows else NONE if sources.stops() else NO_BOX,
    )


def _row(sources: Sources, box: int, a: Action) -> ListRow:
    gone = " (no longer seen)" if a.cause_gone else ""
    said = f"{a.reason}{gone} → {a.todo} {a.withheld}".rstrip()
    cells = (
        MARKS.get(a.level, "!"),
        words.place(sources.ledger, box),
        words.code(sources.ledger, box),
        said,
        day_words(a.opened),
    )
    return ListRow(cells, Link("enclosure", box), a.level, box, action=a.uid)
