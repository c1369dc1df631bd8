"""Pages of kin over any books: random ledgers, hostile names, the demo; every row leads somewhere."""

from __future__ import annotations

from pathlib import Path
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.acts.registry import all_acts
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Brood, Enclosure, Line, Lot, Pairing
from rounds.views.page import Link
from rounds.views.page_registry import PAGE_KINDS
from tests.acts.random_acts import attempt
from tests.sampled import sampled
from tests.screens.hostile import TEXTS
from tests.views.on_books import OnBooks, links, text
from tests.views.test_family_pages import LISTS, ROWS, family


def all_pages(ledger: Ledger, wait: bool = False) -> int:
    """Build every page of these kinds; every row fits its columns and leads to a page. How many there are."""
    books = OnBooks(ledger, wait=wait)
    ask = [Link(kind) for kind in LISTS]
    ask += [Link(kind, i) for kind, of in ROWS.items() for i in (record.id for record in ledger.rows(of))]
    done: set[Link] = set()
    boxes = {enclosure.id for enclosure in ledger.rows(Enclosure)}
    while ask:
        link = ask.pop()
        if link in done or link.kind not in (*LISTS, *ROWS):
            assert link.kind in PAGE_KINDS
            continue
        done.add(link)
        page = books.page(link.kind, int(link.id))
        assert page.enclosure is None or page.enclosure in boxes
        for p in page.parts:
            for row in p.rows:
                assert len(row.cells) == len(p.columns), (link, p.title)
                assert all(isinstance(cell, str) for cell in row.cells), (link, p.title, row.cells)
                assert row.enclosure is None or row.enclosure in boxes
        assert all(isinstance(t, str) and isinstance(label, str) for label, t in page.facts)
        assert all(len(label) <= 11 for label, _ in page.facts), page.facts
        ask += links(page)
    return len(done)


@settings(max_examples=sampled(5, 15))
@given(st.randoms(use_true_random=False))
def test_no_ledger_makes_a_page_fail(random: Random) -> None:
    ledger = family()
    names = list(all_acts())
    for uid in range(60):
        tried = attempt(random.choice(names), ledger, lambda options: random.choice(list(options)), uid)
        if tried.recorded is not None:
            ledger = ledger.after(tried.recorded.changes)
    all_pages(ledger)
    all_pages(ledger, wait=True)


def test_hostile_names_stay_as_they_are_and_stop_nothing():
    d = Draft(family())
    for n, (_, bad) in enumerate(sorted(TEXTS.items())):
        for called in (Line.name, Lot.name, Brood.name, Pairing.name):
            named = [record.id for record in d.ledger.table(called.table).values() if not record.void]
            d.set(called, named[n % len(named)], f"{bad}{n}{called.table}")
        animals = [animal.id for animal in d.ledger.rows(Animal)]
        one = animals[n % len(animals)]
        for column in (
            Animal.number,
            Animal.mark,
            Animal.note,
            Animal.doubt,
            Animal.owner,
            Animal.cause,
            Animal.promised,
            Animal.sexed_how,
        ):
            d.set(column, one, bad)
        boxes = [enclosure.id for enclosure in d.ledger.rows(Enclosure)]
        d.set(Enclosure.code, boxes[n % len(boxes)], bad)
        assert all_pages(d.ledger) > 20
    kept = text(OnBooks(d.ledger).page("line", 1))
    assert str(d.ledger.row(Line, 1).name) in kept


def test_every_page_of_the_demo(demo_book: Path) -> None:
    from rounds.store import ledger_store as stored
    from rounds.store.book import open_book

    with open_book(demo_book, readonly=True) as book:
        ledger = stored.load(book)
    assert all_pages(ledger) > 300
