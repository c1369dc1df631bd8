"""Pages as a keeper sees them: hostile names at every size, pictures at two, nothing by colour alone."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from rich.cells import cell_len

from rounds.config import Config
from rounds.files.load import load_folder
from rounds.records.observations import House
from rounds.screens.app import WalkApp
from rounds.screens.board import Board
from rounds.store.book import create
from rounds.views.page import TOPICS, Link, ListRow, OpenPage
from rounds.views.page_registry import PAGE_KINDS
from rounds.walk.core import Walk
from rounds.walk.machine.help_mode import ReadingHelp
from rounds.walk.machine.mode import Walking
from tests.files.folders import csv_text, write
from tests.sampled import sampled
from tests.screens import hostile, house, seen
from tests.screens.page_places import KIN
from tests.screens.test_screens import piloted, shown, update  # noqa: F401  # a fixture
from tests.screens.test_sweep import steering
from tests.views.conftest import ready, settled

ODD = ((79, 23), (40, 10), (20, 6), (3, 2), (1, 1), (200, 60))
MANY = 400
"""Pages that are looked at in one book at the most."""


def tables() -> dict[str, bytes]:
    """The hostile house with pairings, broods, arrivals and batches, named and noted as badly as the rest."""
    names, t = list(hostile.TEXTS), hostile.TEXTS
    line = {n: hostile.short(n).replace("/", chr(0x2044)) for n in names}
    who = {n: f"{line[n]}/{hostile.short(n)}" for n in names}
    other = {n: f"{who[n]}2" for n in names}
    kin = {
        "pairings": (
            ["pairing", "female", "enclosure", "since", "doubt", "note"],
            [[hostile.short(n), who[n], hostile.short(n), "2026-02-01", t[n], t[n]] for n in names],
        ),
        "pairing_males": (
            ["pairing", "male", "since"],
            [[hostile.short(n), other[n], "2026-02-01"] for n in names],
        ),
        "matings": (["pairing", "seen", "male"], [[hostile.short(n), "2026-02-03", other[n]] for n in names]),
        "broods": (
            ["brood", "line", "pairing", "found", "instar", "unsexed", "doubt", "note"],
            [
                [hostile.short(n), line[n], hostile.short(n), "2026-02-20", "L1", "4", t[n], t[n]]
                for n in names
            ],
        ),
        "lots": (
            ["lot", "species", "arrived", "from_whom", "papers", "origin", "note"],
            [[hostile.short(n), t[n], "2026-01-01", t[n], t[n], t[n], t[n]] for n in names],
        ),
        "batches": (
            ["batch", "made", "recipe", "note"],
            [[hostile.short(n), "2026-01-01", t[n], t[n]] for n in names],
        ),
        "batch_uses": (
            ["batch", "enclosure", "given"],
            [[hostile.short(n), hostile.short(n), "2026-01-02"] for n in names],
        ),
        "loans": (
            ["animal", "way", "owner", "since", "terms"],
            [[who[n], "in", t[n], "2026-01-02", t[n]] for n in names],
        ),
    }
    more = {n: csv_text(head, body).encode("utf-8", "surrogatepass") for n, (head, body) in kin.items()}
    return {**hostile.tables(), **more}


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Config:
    return hostile.config(tmp_path_factory.mktemp("hostile") / "config")


@pytest.fixture(scope="module")
def poisoned(tmp_path_factory: pytest.TempPathFactory, config: Config) -> Path:
    from rounds.store.apply_entries import apply
    from rounds.store.ids import Ids
    from rounds.walk.daily_summary import judge_newest

    folder = tmp_path_factory.mktemp("hostile-pages")
    path = folder / "hostile.sqlite"
    with create(path, House("", "UTC")) as made:
        load_folder(write(folder / "tables", tables()), made, config.vocabulary)
        entries = judge_newest(made, config, Ids().new)
        with made.writing():
            apply(made, entries)
    return path


def crawled(walk: Walk) -> list[Link]:
    """Every page that rows lead to, from those that digits open."""
    found = {t.link: None for t in TOPICS}
    todo = list(found)
    while todo and len(found) < MANY:
        link = todo.pop()
        page = walk.pages.page(OpenPage(link))
        links = [row.link for i in range(page.size()) if (row := page.at(i)) is not None]
        for more in links:
            if more is not None and more.kind != "stop" and more not in found:
                found[more] = None
                todo.append(more)
    return list(found)


def test_no_text_leaves_its_place_on_any_page(poisoned: Path, config: Config, tmp_path: Path) -> None:
    """One page of each kind is shown in every way; of the others each in some, the next in others."""
    with house.walking(house.copied(poisoned, tmp_path), config) as walk:
        ready(walk)
        walk.press("right")
        kinds = set()
        for number, link in enumerate(crawled(walk)):
            size = walk.pages.page(OpenPage(link)).size()
            cursors = sorted({0, size // 2, size - 1}) if size > 0 else [0]
            ways = list(itertools.product(cursors, (Walking(), ReadingHelp()), (*house.SIZES, *ODD)))
            some = sampled(5, 1) if link.kind in kinds else 1
            for cursor, mode, (width, height) in ways[number % some :: some]:
                walk.state = walk.state._replace(pages=(OpenPage(link, cursor),), mode=mode)
                held(walk, width, height, link)
            kinds.add(link.kind)
            walk.state = walk.state._replace(mode=Walking())
        assert walk.pages.lookup.behind.wait(60)
        walk.take_found()
        for link in (Link("corrections"), Link("due"), Link("rack")):
            walk.state = walk.state._replace(pages=(OpenPage(link),))
            held(walk, 80, 24, link)
        assert kinds >= {
            "animal",
            "brood",
            "enclosure",
            "line",
            "lot",
            "pairing",
            *(t.link.kind for t in TOPICS),
        }
        assert kinds <= set(PAGE_KINDS)


def held(walk: Walk, width: int, height: int, link: Link) -> None:
    lines = house.screen(walk, width, height)
    assert len(lines) == height
    for line in lines:
        assert cell_len(line) == width, (link, line)
        assert sum(map(cell_len, line)) == width, "no sign changes its neighbour's width"
        assert not steering(line), (link, line)


@pytest.mark.parametrize("name", hostile.TEXTS)
def test_hostile_words_can_be_looked_for(poisoned: Path, config: Config, tmp_path: Path, name: str) -> None:
    """What is typed is text and nothing else, and finds what holds it."""
    with house.walking(house.copied(poisoned, tmp_path), config) as walk:
        walk.press("/")
        typed = "".join(c for c in hostile.TEXTS[name] if c.isprintable())[:20]
        for letter in typed:
            walk.press("space" if letter == " " else letter)
            held(walk, 80, 24, Link("find"))
        assert walk.pages.lookup.behind.wait(60)
        walk.take_found()
        for size in house.SIZES:
            held(walk, *size, Link("find"))


# Pictures

PICTURES = {
    "enclosure": (14, ("right",)),
    "enclosure further down": (14, ("right", *["down"] * 7)),
    "rack": (14, ("right", "1")),
    "rack's help": (14, ("right", "1", "?")),
    "due": (14, ("right", "2", "down")),
    "actions": (14, ("right", "3")),
    "find": (14, ("/",)),
    "found a pair": (14, ("/", *"umber/13 umber/14")),
    "found a note": (14, ("/", *"water corner")),
    "find's help": (14, ("/", "?")),
    "corrections": (14, ("2", "up", "3", "u", "right", "9")),
}


KIN_PICTURES = {f"kin {name}": (14, keys) for name, (_, keys) in KIN.items()}
NO_PICTURE: dict[str, str] = {}
"""Kinds of pages that are in no picture, each with the reason."""


def test_every_kind_of_page_is_in_a_picture_or_has_a_reason_for_none(book: Path) -> None:
    """A new page needs a row in page_places.py (its kind is held there by tests/views/test_pages_on_walk.py)."""
    kinds = {kind for kind, _ in KIN.values()}
    with house.walking(book) as walk:
        for number, keys in PICTURES.values():
            walk.state = walk.state._replace(pages=(), mode=Walking())
            house.go(walk, number)
            house.press(walk, *keys)
            kinds.add(walk.state.pages[-1].link.kind)
    assert kinds.isdisjoint(NO_PICTURE)
    assert kinds | set(NO_PICTURE) == set(PAGE_KINDS)


SMALL = ("enclosure", "rack", "found a pair", "due")
SHOWN = [(n, s) for n in {**PICTURES, **KIN_PICTURES} for s in house.SIZES if s != (40, 10) or n in SMALL]


@pytest.mark.parametrize(("name", "size"), SHOWN, ids=str)
def test_a_page_looks_as_it_did(book: Path, update: bool, name: str, size: tuple[int, int]) -> None:  # noqa: F811
    number, keys = {**PICTURES, **KIN_PICTURES}[name]
    with house.walking(book) as walk:

        def look(app: WalkApp) -> str:
            board = app.screen.query_one(Board)
            for _ in range(4):  # what is found may lead to more
                if walk.pages.made is not None:
                    assert walk.pages.lookup.behind.wait(60)
                    walk.take_found()
                board.repaint()
            return shown(app)

        text = piloted(walk, size, ("g", *str(number), "enter", *keys), look)
    seen.compare(f"page-{name.replace(' ', '-')}-{size[0]}x{size[1]}.txt", text, update)


BETWEEN = (100, 30)


def test_every_page_looks_as_it_did_at_a_size_between(book: Path, update: bool) -> None:  # noqa: F811
    """Composed, not painted: the sizes above go through the terminal's library."""
    with house.walking(book) as walk:
        ready(walk)
        for name, (number, keys) in {**KIN_PICTURES, **PICTURES}.items():  # corrections last: it records
            walk.state = walk.state._replace(pages=(), mode=Walking(), message="")
            house.go(walk, number)
            house.press(walk, *keys)
            settled(walk)
            lines = house.screen(walk, *BETWEEN)
            text = "\n".join(line.rstrip() for line in lines) + "\n"
            seen.compare(f"page-{name.replace(' ', '-')}-{BETWEEN[0]}x{BETWEEN[1]}.txt", text, update)


# Readable without colour


def test_the_row_at_the_cursor_can_be_read_in_full(book: Path) -> None:
    """At 80 columns every word of the cursor's row is on the screen, whatever its columns cut."""
    with house.walking(book) as walk:
        ready(walk)
        for kind in ("2", "3"):
            walk.state = walk.state._replace(pages=())
            house.press(walk, "right", kind)
            page = walk.pages.page(walk.state.pages[-1])
            for at in range(page.size()):
                row = page.at(at)
                assert isinstance(row, ListRow)
                text = " ".join("\n".join(house.screen(walk, 80, 24)).split())
                for cell in row.cells:
                    shown_ = " ".join(cell.split())
                    assert shown_ in text or len(shown_) > 400, (at, shown_)
                house.press(walk, "down")


def test_facts_and_heads_never_push_the_list_away(book: Path) -> None:
    with house.walking(book) as walk:
        ready(walk)
        for link in crawled(walk):
            walk.state = walk.state._replace(pages=(OpenPage(link),))
            page = walk.pages.page(OpenPage(link))
            for size in ((80, 24), (120, 40)) if page.size() and not page.shelves else ():
                lines = house.screen(walk, *size)
                assert any(line.startswith("> ") for line in lines[: size[1] - 4]), (link, size)


def test_a_wide_screen_cuts_no_row_that_is_whole_on_a_narrow_one(book: Path) -> None:
    with house.walking(book) as walk:
        ready(walk)
        for link in {link.kind: link for link in crawled(walk)}.values():
            walk.state = walk.state._replace(pages=(OpenPage(link),))
            page = walk.pages.page(OpenPage(link))
            if page.shelves or not page.size():
                continue
            rows = [x.rstrip() for x in house.screen(walk, 80, 40)]
            for width in (120, 140):
                painted = [" ".join(x.split()) for x in house.screen(walk, width, 40)]
                for row in rows[-30:-4]:
                    whole = " ".join(row.split())
                    if row.startswith(("> ", "  ")) and "…" not in row and not row.startswith("    "):
                        assert any(x.startswith(whole) for x in painted), (link, width, row)


def test_only_lists_of_one_sort_are_counted(book: Path) -> None:
    """Mother, father and line under one title are no three parents."""
    with house.walking(book) as walk:
        ready(walk)
        house.press(walk, "right", "4", "right")
        for size in ((80, 24), (120, 40)):
            titles = [line[:60].split() for line in house.screen(walk, *size)]
            assert ["now"] in titles
            assert ["parents"] in titles
        house.press(walk, "b")
        counted = [line for line in house.screen(walk, 80, 24) if re.match(r" living  \d+ *$", line)]
        assert counted, "others are"


def test_help_of_a_page_says_what_each_key_does(book: Path) -> None:
    with house.walking(book) as walk:
        house.press(walk, "right", "?")
        pages = []
        for _ in range(3):
            pages += house.screen(walk, 80, 24)
            house.press(walk, "down")
        assert not any("as on the walk" in line for line in pages)
        for said in (
            "write a note",
            "skip it, or look closer",
            "save and leave",
            "show the summary",
            "recorded back",
        ):
            assert any(said in line for line in pages), said
