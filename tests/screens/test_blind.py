"""While a sib trial runs, no screen, page, list, label or calendar tells an arm; once it is closed they do."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.records.naming import name_of
from rounds.records.record import Record
from rounds.records.tables import Animal, Brood, Enclosure, Line, Pairing, TrialFemale
from rounds.store.book import open_book
from rounds.store.ledger_store import load
from rounds.views.page import Link, OpenPage, Page
from rounds.views.page_registry import PAGE_KINDS
from rounds.walk.core import Walk
from rounds.walk.machine.mode import Walking
from tests.acts.books import day
from tests.acts.trial_house import PLACES, families
from tests.screens import house
from tests.store.houses import with_books

TODAY = "2026-07-18"
TELLS = re.compile(
    r"\b(sibs?|siblings?|full[ -]sibs?|cross|crosses|outcross|brothers?|inbred)\b", re.IGNORECASE
)
"""Words that tell an arm or what a pairing was made for."""

NUMBER = re.compile(r"\b0\.(25|375|5)\d*\b")
"""F of full sibs' young in the first generations."""


def call(book: Path, *argv: str, today: str = TODAY) -> None:
    assert run(["--book", str(book), "--today", today, *argv]) == 0, argv


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory, capfd_module: pytest.CaptureFixture[str]) -> Path:
    """A trial of four and four, one family of each arm paired, laid, searched and split into a tub."""
    path = tmp_path_factory.mktemp("blind") / "book.sqlite"
    with_books(path, families()).close()
    call(
        path,
        "trial",
        "plan",
        "spring",
        "--endpoint",
        "adult",
        "--ends",
        "2026-12-17",
        "--females",
        "4",
        "--seed",
        "7",
        "--positions",
        ",".join(PLACES),
        "--record",
        "--sure",
        today="2026-05-21",
    )
    with open_book(path, readonly=True) as opened:
        ledger = load(opened)
    named = {animal.id: name_of(ledger, animal) for animal in ledger.rows(Animal)}
    males = {named[seat.female]: named[seat.male] for seat in ledger.rows(TrialFemale)}
    boxes = {box.place: box.code for box in ledger.rows(Enclosure)}
    at = {named[seat.female]: boxes[seat.place] for seat in ledger.rows(TrialFemale)}
    vacant = iter(sorted(b for f, b in at.items() if f not in ("TALLOW/11", "RUSH/11")))
    for n, female in enumerate(("TALLOW/11", "RUSH/11"), 1):
        box = at[female]
        call(
            path,
            "record",
            "pair",
            box,
            f"female={female}",
            f"males={males[female]}",
            "--sure",
            today="2026-05-19",
        )
        call(path, "record", "to-laying", box, f"to={box}", "with_male=yes", "--sure", today="2026-05-27")
        call(path, "record", "search", box, "how=complete", "l1=9", "--sure", today="2026-06-26")
        call(
            path,
            "record",
            "split",
            f"P-0{n}-01",
            f"into={next(vacant)}",
            "per=9",
            "--sure",
            today="2026-06-27",
        )
    call(path, "record", "trial-out", "TALLOW/12", "because=she died", today="2026-06-28")
    return path


@pytest.fixture(scope="module")
def capfd_module() -> None:
    """Nothing: the fixture above prints, and pytest keeps that to itself."""


@pytest.fixture(scope="module")
def closed(book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = house.copied(book, tmp_path_factory.mktemp("closed"))
    call(path, "record", "trial-close", "spring", "because=enough", "--sure")
    return path


def told(page: Page) -> Iterator[str]:
    """Every text of a page."""
    yield from (page.title, page.wait, *page.drawn)
    for label, text in page.facts:
        yield f"{label}: {text}"
    for part in page.parts:
        for row in part.rows:
            yield from row.cells
    for shelf in page.shelves:
        for tile in shelf.tiles:
            yield from (*tile.texts, *tile.signs, *tile.said)


FAMILY = re.compile(
    r"^sibs: .*|\b(full|half|full or half) sibs\b|sibs of (the founders|(the|their) line's founders)"
)
"""How pages say whose full sib an animal is: that is who it is, not what it was paired for."""

OPENED: dict[str, type[Record]] = {
    "enclosure": Enclosure,
    "animal": Animal,
    "line": Line,
    "pairing": Pairing,
    "brood": Brood,
}
QUERIES = ("TALLOW", "trial", "pair", "RUSH/11", "sibs", "spring")


def pages(walk: Walk) -> Iterator[tuple[str, list[str]]]:
    """Every page with its texts, once what is worked out beside the keys is there."""
    ledger = walk.pages.lookup.ledger
    links = [OpenPage(Link(k)) for k in PAGE_KINDS if k not in OPENED and k not in ("lot", "find", "couple")]
    if "couple" in PAGE_KINDS:
        # Who dropped out may be paired anew, and whom with is then asked for openly.
        drawn = (f"{seat.female}x{seat.male}" for seat in ledger.rows(TrialFemale, TrialFemale.out.is_(None)))
        links += [OpenPage(Link("couple", pair)) for pair in drawn]
    links += [OpenPage(Link(k, r.id)) for k, of in OPENED.items() for r in ledger.rows(of)]
    links += [OpenPage(Link("find"), query=q) for q in QUERIES]
    for opened in links:
        walk.pages.lookup.page(opened)
        assert walk.pages.lookup.behind.wait(30)
        walk.take_found()
        yield (
            f"{opened.link.kind} {opened.link.id} {opened.query}",
            list(told(walk.pages.lookup.page(opened))),
        )


def leaks(walk: Walk) -> dict[str, list[str]]:
    """Texts that tell an arm, by page; F of the young where pages speak of a trial's young."""
    found: dict[str, list[str]] = {}
    for name, texts in pages(walk):
        # Acts whose name or list of words has one of them would be found by what was typed: not here.
        wrong = [t for t in texts if TELLS.search(FAMILY.sub("", t))]
        if name.startswith(("pairing ", "brood ", "couple ")):
            wrong += [t for t in texts if NUMBER.search(t)]
        if wrong:
            found[name] = wrong
    return found


def test_no_page_of_the_books_tells_an_arm(book: Path, tmp_path: Path) -> None:
    with house.walking(house.copied(book, tmp_path), day=day(TODAY)) as walk:
        assert leaks(walk) == {}


def test_control_once_it_is_closed_pages_tell_what_pairings_were_for(closed: Path, tmp_path: Path) -> None:
    with house.walking(house.copied(closed, tmp_path), day=day(TODAY)) as walk:
        found = leaks(walk)
    assert any("sibs" in t for t in found["pairing 1 "])
    assert any("cross" in t for t in found["pairing 2 "])


KEYS = ((), ("?",), ("y",), ("v",), ("v", "?"), (".",), ("l", "l"), ("c",))


def screens(path: Path) -> Iterator[tuple[int, tuple[str, ...], str]]:
    with house.walking(path, day=day(TODAY)) as walk:
        walk.look_up_dues()
        assert walk.dues.finder is not None
        assert walk.dues.finder.wait(30)
        walk.take_dues()
        for number in range(1, len(walk.route.stops) + 1):
            house.go(walk, number)
            for keys in KEYS:
                house.press(walk, *keys)
                yield number, keys, "\n".join(house.screen(walk, 120, 60))
                walk.state = walk.state._replace(mode=Walking(), earlier=None)


def test_no_screen_of_the_walk_tells_an_arm(book: Path, tmp_path: Path) -> None:
    seen = list(screens(house.copied(book, tmp_path)))
    assert sum("planned pairing" in text for *_, text in seen) >= 5, (
        "the rack offers the pairings of the trial"
    )
    assert any("TALLOW" in text for *_, text in seen), "who is in a box is not hidden"
    assert [(n, keys, TELLS.findall(text)) for n, keys, text in seen if TELLS.search(text)] == []


LISTS = (
    ("summary",),
    ("summary", "--as", "json"),
    ("summary", "--as", "html"),
    ("summary", "--as", "csv"),
    ("summary", "--season", "2026"),
    ("pairings", "--plans"),
    ("due", "--until", "2026-12-17"),
    ("due", "--until", "2026-12-17", "--as", "json"),
    ("due", "--until", "2026-12-17", "--as", "csv"),
    ("record", "history"),
    ("record", "history", "--changes"),
    ("record", "history", "TALLOW/11", "--changes", "--as", "json"),
    ("record", "history", "L-1", "--changes"),
    ("trial", "list"),
    ("trial", "show", "spring"),
    ("trial", "show", "spring", "--as", "json"),
    ("trial", "tally", "spring"),
    ("trial", "verdict", "spring"),
    ("trial", "tally", "spring", "--as", "csv"),
)


def said(capsys: pytest.CaptureFixture[str], path: Path, argv: tuple[str, ...]) -> str:
    capsys.readouterr()
    call(path, *argv)
    both = capsys.readouterr()
    return both.out + both.err


@pytest.mark.parametrize("argv", LISTS, ids=" ".join)
def test_no_list_tells_an_arm(book: Path, capsys: pytest.CaptureFixture[str], argv: tuple[str, ...]) -> None:
    assert TELLS.findall(said(capsys, book, argv)) == []


def test_control_histories_and_trials_tell_it_once_closed(
    closed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for argv in (
        ("record", "history", "--changes"),
        ("trial", "show", "spring"),
        ("trial", "tally", "spring"),
    ):
        assert TELLS.search(said(capsys, closed, argv)), argv
    told_ = json.loads(said(capsys, closed, ("trial", "show", "spring", "--as", "json")))["rows"]
    assert {r["arm"] for r in told_} == {"sib", "outcross"}


def test_calendar_and_labels_tell_no_arm(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ics = said(capsys, book, ("due", "--until", "2026-12-17", "--as", "ics"))
    assert "planned pairing" in ics.replace("\r\n ", "")
    assert not TELLS.search(ics.replace("\r\n ", ""))
    pdfium = pytest.importorskip("pypdfium2")
    call(book, "labels", "--out", str(tmp_path / "l.pdf"))
    pages_ = pdfium.PdfDocument(str(tmp_path / "l.pdf"))
    text = "\n".join(page.get_textpage().get_text_range() for page in pages_)
    assert "TALLOW" in text
    assert not TELLS.search(text)


def test_the_walk_in_lines_tells_no_arm(book: Path, tmp_path: Path) -> None:
    argv = [
        sys.executable,
        "-m",
        "rounds",
        "--book",
        str(house.copied(book, tmp_path)),
        "--today",
        TODAY,
        "--plain",
    ]
    typed = "record\n\n" + "\n" * 80 + "quit\n"
    done = subprocess.run(argv, input=typed, capture_output=True, text=True, timeout=120, check=True)
    assert "TALLOW 11" in done.stdout
    assert "planned pairing" in done.stdout
    assert [line for line in (done.stdout + done.stderr).splitlines() if TELLS.search(line)] == []
