"""What someone has to do in the whole house: open actions by harm, then in shelf order."""

from __future__ import annotations

from rounds.records.observations import Action
from rounds.records.round_summary import MARKS, urgency
from rounds.records.tables import Enclosure
from rounds.text.cleaning import day_words
from rounds.views import box_sentences as sentences
from rounds.views import page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

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
        (enclosure.id for enclosure in sources.ledger.rows(Enclosure)), key=lambda e: order.get(e, len(order))
    )
    found = [(box, a) for box in boxes for a in sources.actions(box)]
    found.sort(key=lambda f: urgency(f[1]))  # stable: shelf order within a level
    rows = [_row(sources, box, a) for box, a in found]
    return Page(
        sentences.TO_DO,
        parts=(PageSection(sentences.OPEN_ACTIONS, COLUMNS, rows, page_sentences.NONE),),
        about=sentences.ABOUT_ACTIONS,
        hint="" if rows else sentences.NO_ACTIONS if sources.stops() else page_sentences.NO_BOX,
    )


def _row(sources: Sources, box: int, a: Action) -> ListRow:
    said = sentences.open_action(a.reason, a.todo, a.withheld, cause_gone=a.cause_gone)
    cells = (
        MARKS.get(a.level, "!"),
        page_words.place(sources.ledger, box),
        page_words.code(sources.ledger, box),
        said,
        day_words(a.opened),
    )
    return ListRow(cells, Link("enclosure", box), a.level, box, action=a.uid)
