"""Every animal with a number: the living by line and number, then the missing, then those no longer here."""

from __future__ import annotations

from collections.abc import Callable

from rounds.named_tuple import NamedTuple
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Content, Enclosure, Line, Loan
from rounds.values.spans import Span
from rounds.views import animal_sentences as sentences
from rounds.views import family_queries, page_sentences, page_words
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("who", 15, 1, named=True),
    ListColumn("where", 12),
    ListColumn("stage", 10),
    ListColumn("last step", 16),
    ListColumn("next due", 18, 1),
)
GONE = (
    ListColumn("who", 16, 1, named=True),
    ListColumn("state", 8),
    ListColumn("since", 22),
    ListColumn("last step", 15),
)


class Order(NamedTuple):
    """Ids by state, each by line and number."""

    living: tuple[int, ...]
    missing: tuple[int, ...]
    gone: tuple[int, ...]


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    order = sources.once("animals", lambda: ordered(sources))
    make = living_row(sources)
    parts = (
        PageSection(sentences.LIVING, COLUMNS, Made(order.living, make), sentences.NONE_LIVING),
        PageSection(sentences.MISSING, COLUMNS, Made(order.missing, make), page_sentences.NONE),
        PageSection(
            sentences.GONE, GONE, Made(order.gone, lambda i: gone_row(sources, i)), page_sentences.NONE
        ),
    )
    hint = "" if any(order) else page_words.first_of_all(sources.ledger, sentences.NO_NUMBER_YET)
    return Page(
        sentences.ANIMALS,
        parts=parts if any(order) else (),
        hint=hint,
        about=sentences.ABOUT_ALL,
    )


def ordered(sources: Sources) -> Order:
    """Animals by line and number, 2 before 10."""
    ledger = sources.ledger
    lines = {line.id: family_queries.natural(line.name) for line in ledger.rows(Line)}
    animals = sorted(
        ledger.rows(Animal),
        key=lambda animal: (lines.get(animal.line, ()), family_queries.natural(animal.number)),
    )
    states = {"alive": 0, "missing": 1}
    lists: tuple[list[int], list[int], list[int]] = ([], [], [])
    for animal in animals:
        lists[states.get(animal.state, 2)].append(animal.id)
    return Order(*(tuple(x) for x in lists))


def living_row(sources: Sources) -> Callable[[int], ListRow]:
    """What makes the row of a living or missing animal; work that is due is gone through once."""
    soonest = _soonest(sources)

    def make(id_: int) -> ListRow:
        ledger = sources.ledger
        animal = ledger.row(Animal, id_)
        box = family_queries.box_of(sources, id_)
        where, stage, due = _away(sources, animal), "", ""
        if box is not None:
            where = f"{page_words.code(ledger, box)} {page_words.place(ledger, box)}".rstrip()
            stage = ledger.row(Enclosure, box).stage
            found = [soonest[key] for key in ((box, None), (box, id_)) if key in soonest]
            day, what = min(found, default=(0, ""))
            due = f"{family_queries.short(Span(day, day), sources.day)} {what}" if what else ""
        return ListRow(
            (page_words.animal(ledger, id_), where, stage, family_queries.life(animal, sources.day), due),
            Link("animal", id_),
            "faint" if animal.state == "missing" else "",
            box,
        )

    return make


def _soonest(sources: Sources) -> dict[tuple[int, int | None], tuple[int, str]]:
    """Day and name of the next work by box and animal (None: for all there); until it is worked out, what the walk shows."""
    found: dict[tuple[int, int | None], tuple[int, str]] = {}

    def take(box: int, animal: int | None, day: int, what: str) -> None:
        known = found.get((box, animal))
        if known is None or (day, what) < known:
            found[box, animal] = (day, what)

    works = sources.works().value
    if works is not None:
        for w in works:
            if w.enclosure is not None and w.done is None and not w.put_off(sources.day):
                take(w.enclosure, w.animal, w.planned(sources.day), w.what)
        return found
    for box, due in sources.dues():
        one = _named(sources, box, due.animal)
        if one is not None or not due.animal:
            take(box, one, max(due.planned(), sources.day), due.what)
    return found


def _named(sources: Sources, box: int, name: str) -> int | None:
    """The animal of this name that is in a box."""
    inside = family_queries.of(sources, Content, Content.enclosure, box)
    here = (content.animal for content in inside if content.until is None)
    return next((a for a in here if a is not None and animal_name(sources.ledger, a) == name), None)


def gone_row(sources: Sources, id_: int) -> ListRow:
    animal = sources.ledger.row(Animal, id_)
    left = animal.died
    if left is None:  # the last enclosure it was in
        stays = family_queries.of(sources, Content, Content.animal, id_)
        left = stays[-1].until if stays else None
    return ListRow(
        (
            page_words.animal(sources.ledger, id_),
            family_queries.STATES[animal.state],
            page_words.span(left, page_sentences.NOT_RECORDED),
            family_queries.life(animal, sources.day),
        ),
        Link("animal", id_),
    )


def _away(sources: Sources, animal: Animal) -> str:
    if animal.state == "missing":
        return page_sentences.NOT_KNOWN
    loans = family_queries.of(sources, Loan, Loan.animal, animal.id)
    loan = next((loan for loan in loans if loan.way == "out" and loan.back is None), None)
    return sentences.lent_to(loan.owner) if loan is not None else sentences.LENT_OUT_TO_NOBODY
