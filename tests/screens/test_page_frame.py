"""Every page of the invented house in one frame: title, what it is about, content, keys; nothing broken, no cut unmarked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.presenters import summary_lines
from rounds.presenters.lines import shortened, shortened_name
from rounds.presenters.page_lines import NOT_BESIDE
from rounds.records.naming import name_of
from rounds.records.tables import Animal
from rounds.text.cleaning import clean
from rounds.views.page import Link, ListRow, OpenPage, Page
from rounds.views.page_registry import PAGE_KINDS
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from tests.sampled import sampled
from tests.screens import house
from tests.screens.test_pages import crawled
from tests.views.conftest import ready, settled

SIZES = ((80, 24), (100, 30), (120, 40))
ROWS = 400
PANEL = "│ "
MARK = "…"


@pytest.fixture(scope="module")
def walk(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walk]:
    with house.walking(house.copied(demo, tmp_path_factory.mktemp("frame"))) as found:
        ready(found)
        found.press("right")
        yield found


@pytest.fixture(scope="module")
def pages(walk: Walk) -> list[Link]:
    """One page of each kind and by default every fifth of the others, each worked out."""
    for link in (Link("match"), Link("due"), Link("corrections")):
        walk.state = walk.state._replace(pages=(OpenPage(link),))
        settled(walk)
    kinds: set[str] = set()
    found = []
    for number, link in enumerate(crawled(walk)):
        if link.kind not in kinds or not number % sampled(5, 1):
            found.append(link)
            walk.state = walk.state._replace(pages=(OpenPage(link),))
            if link.kind == "couple":
                settled(walk)
        kinds.add(link.kind)
    assert kinds == set(PAGE_KINDS)
    return found


def looks(walk: Walk, pages: list[Link]) -> Iterator[tuple[Page, int, tuple[int, int], list[str]]]:
    """Each page with the cursor at its first, middle and last row, at every size."""
    for link in pages:
        page = walk.pages.page(OpenPage(link))
        for cursor in sorted({0, page.size() // 2, max(0, page.size() - 1)}):
            walk.state = walk.state._replace(pages=(OpenPage(link, cursor),))
            for size in SIZES:
                yield page, cursor, size, house.screen(walk, *size)


def body(lines: list[str]) -> list[str]:
    """What stands between the title and what was said last; a panel's lines after those it stands beside."""
    kept = lines[1:-4]
    return [*(line.partition(PANEL)[0] for line in kept), *(line.partition(PANEL)[2] for line in kept)]


def told(page: Page) -> Iterator[str]:
    yield page.title
    yield from (text for fact in page.facts for text in fact)
    yield from (*page.drawn, page.wait, page.hint)
    for part in page.parts:
        yield from (part.title, part.empty or "none", str(len(part.rows)), f"{len(part.rows):,}")
        yield f"{part.title}, from above"
        for i in range(min(ROWS, len(part.rows))):
            yield from part.rows[i].cells
        for c in part.columns:
            yield from (c.head, f"{c.head}:")
    for shelf in page.shelves:
        yield shelf.name
        for tile in shelf.tiles:
            yield from (*tile.texts, *tile.said, tile.mark, tile.shade, *tile.signs)


def words(walk: Walk, page: Page, cursor: int) -> set[str]:
    """Every word the page may show, those of what stands beside its row among them."""
    texts = [*told(page), "> < go on"]
    row = page.at(cursor)
    if isinstance(row, ListRow) and row.link is not None and row.link.kind not in NOT_BESIDE:
        behind = walk.pages.page(OpenPage(row.link))
        texts += [*told(behind), *(f"{part.title}: {len(part.rows)}" for part in behind.parts)]
    found = {word for text in texts for word in clean(text, 4000).split()}
    return found | {word.rstrip(",;:(") for word in found}  # before a mark a comma falls


def numbers(walk: Walk) -> dict[str, set[str]]:
    """The numbers of the animals of each line, by its name."""
    out: dict[str, set[str]] = {}
    for animal in walk.acts.ledger.rows(Animal):
        line, _, number = name_of(walk.acts.ledger, animal).partition("/")
        out.setdefault(line, set()).add(number)
    return out


def test_the_title_stands_first_and_the_keys_last(walk: Walk, pages: list[Link]) -> None:
    for page, _, (width, height), lines in looks(walk, pages):
        assert len(lines) == height
        assert lines[0].startswith(f" {clean(page.title, 60)}"), lines[0]
        assert lines[0].rstrip().endswith("Sun 1 Mar 2026")
        last = "goes back" if page.typed else f"{steps.key_for(walk.desk, 'help')} all keys"
        assert last in lines[-1], (page.title, width)


def test_no_word_is_broken_and_each_cut_has_its_mark(walk: Walk, pages: list[Link]) -> None:
    for page, cursor, size, lines in looks(walk, pages):
        if page.shelves or page.typed:
            continue  # pictures of slots, and what is typed, are looked at below and in test_pages.py
        known = words(walk, page, cursor)
        for line in body(lines):
            for word in line.split():
                assert word in known or MARK in word or re.fullmatch(r"\+\d+", word), (page.title, size, line)


def test_no_number_of_an_animal_is_cut(walk: Walk, pages: list[Link]) -> None:
    every = numbers(walk)
    for page, _, size, lines in looks(walk, pages):
        for line in body(lines):
            for name, number in re.findall(rf"([\w-]+{MARK}?)[ /]([\w-]*){MARK}", line):
                of_line = {
                    n for known, some in every.items() for n in some if known.startswith(name.rstrip(MARK))
                }
                cut = number and any(n.startswith(number) for n in of_line)
                assert not cut, (page.title, size, line)


def test_what_the_row_at_the_cursor_says_is_whole_or_marked(walk: Walk, pages: list[Link]) -> None:
    for page, cursor, size, lines in looks(walk, pages):
        row = page.at(cursor)
        if not isinstance(row, ListRow):
            continue
        text = " ".join(" ".join(part.split()) for part in body(lines))
        for cell in row.cells:
            said = " ".join(clean(cell, 400).split())
            if said not in text:
                begun = re.escape(said[:20])
                assert re.search(rf"{begun}.*{MARK}", text), (page.title, size, said)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_summary_has_the_same_frame(walk: Walk, size: tuple[int, int]) -> None:
    walk.state = walk.state._replace(pages=(), at=walk.route.count())
    listed = walk.round.listed()
    texts = [text for line in summary_lines.chosen(walk, 4000) for text, _ in line]
    for cursor in range(0, len(listed), 9):
        walk.state = walk.state._replace(cursor=cursor)
        texts += [text for line in summary_lines.chosen(walk, 4000) for text, _ in line]
        lines = house.screen(walk, *size)
        assert lines[0].startswith(" summary")
        assert "8 boxes need you, 23 jobs are due, 60 not seen; carry 16 jelly cups" in lines[1]
        assert f"{steps.key_for(walk.desk, 'help')} all keys" in lines[-1]
        shown = " ".join(" ".join(lines).split())
        for text, _ in (run for line in summary_lines.chosen(walk, size[0]) for run in line):
            assert " ".join(text.split()) in shown, "the row at the cursor is whole"
    walk.state = walk.state._replace(pages=(OpenPage(Link("find")),), at=0, cursor=0)


def test_the_rack_is_whole_or_a_bay_at_a_time(walk: Walk) -> None:
    rack = Link("rack")
    page = walk.pages.page(OpenPage(rack))
    codes = [t.texts[0] for s in page.shelves for t in s.tiles if t.texts[0]]
    assert len(codes) == 60
    walk.state = walk.state._replace(pages=(OpenPage(rack),))
    whole = "\n".join(house.screen(walk, 120, 40))
    assert all(code in whole for code in codes)
    seen: list[str] = []
    for _ in "ABCD":
        lines = house.screen(walk, 80, 24)
        at = walk.state.pages[-1].cursor
        bay = next(s.bay for s in page.shelves if page.at(at) in s.tiles)
        assert f"[{bay}]" in lines[1], "which bay it is, and how the others fare"
        assert "!!!" in lines[1]
        here = [t.texts[0] for s in page.shelves if s.bay == bay for t in s.tiles if t.texts[0]]
        assert all(any(code in line for line in lines) for code in here)
        for sign in ("✓ seen today", "!!! act now", "due work to do", "lock do not disturb"):
            assert any(sign in line for line in lines), "every sign is explained"
        seen += here
        house.press(walk, "pagedown")
    assert seen == codes
    house.press(walk, "pageup", "pageup")
    assert walk.state.pages[-1].cursor == next(
        i for i, t in enumerate(t for s in page.shelves for t in s.tiles) if page.shelves[4].tiles[0] == t
    )


@pytest.mark.parametrize(
    ("text", "width", "said"),
    [
        ("KESTREL K15 f", 13, "KESTREL K15 f"),
        ("KESTREL K15 f", 11, "KEST… K15 f"),
        ("KESTREL/K15", 9, "KEST… K15"),
        ("UMBER 1 m, UMBER 2 m, UMBER 3 m", 14, "UMBER 1 m +2"),
        ("UMBER 1 m, UMBER 2 m", 11, "UMB… 1 m +1"),
    ],
)
def test_of_a_name_the_number_stays(text: str, width: int, said: str) -> None:
    assert shortened_name(text, width).rstrip() == said


@pytest.mark.parametrize(
    ("text", "width", "said"),
    [
        ("change two thirds of it", 23, "change two thirds of it"),
        ("change two thirds of it", 22, "change two thirds of …"),
        ("change two thirds, of it", 21, "change two thirds …"),
        ("incomprehensibilities", 10, "incompreh…"),
    ],
)
def test_a_text_is_cut_between_words(text: str, width: int, said: str) -> None:
    assert shortened(text, width).rstrip() == said
