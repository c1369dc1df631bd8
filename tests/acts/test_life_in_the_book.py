"""Five rows of the table of life, through the real book: recorded on the command line, read back by everything.

What each place shows is asked of that place: the locks and questions of the next walk, the list of
due work, whom to pair, the summary. Nothing here reads the table.
"""

from __future__ import annotations

import csv
import shutil
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.cli import run
from rounds.files import write
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import Animal, Content, Enclosure, Pairing, PairingMale
from rounds.store.book import open_book
from rounds.store.ledger_store import load
from rounds.walk.core import Walk
from rounds.walk.daily_summary import of_day
from tests.endtoend import rack


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_book, tmp_path / "book.sqlite"))


def ledger(book: Path) -> Ledger:
    with open_book(book, readonly=True) as opened:
        return load(opened)


def record(book: Path, *words: str, today: str = "2026-03-01") -> None:
    day = ("--today", today)
    assert run(["--book", str(book), *day, "record", *words, "--sure"]) == 0, words


@contextmanager
def walking(book: Path) -> Iterator[Walk]:
    walk = rack.opened(book, rack.config())
    try:
        yield walk
    finally:
        walk.close(5.0)


def alone_in(books: Ledger, *stages: str) -> tuple[str, str]:
    """A box in such a stage with one animal and nobody else: its code and the animal's name."""
    for box in books.rows(Enclosure):
        here = list(books.rows(Content, Content.enclosure.is_(box.id), Content.until.is_(None)))
        if box.stage in stages and len(here) == 1 and here[0].animal is not None:
            return box.code, name_of(books, books.row(Animal, here[0].animal))
    raise LookupError(stages)


def stop_of(walk: Walk, code: str) -> int:
    return next(i for i, s in enumerate(walk.route.stops) if s.enclosure.code == code)


def asked(walk: Walk, code: str) -> set[str]:
    stop = stop_of(walk, code)
    return {a.kind.id for a in walk.desk.asks(stop, walk.desk.starts_at(stop))}


def due(walk: Walk, code: str) -> set[str]:
    return {
        w.kind
        for w in walk.desk.acts.works(walk.route.stops[stop_of(walk, code)].enclosure.id)
        if w.done is None
    }


def test_emerged_ends_the_locks_of_the_cell_and_its_waiting(book: Path) -> None:
    code, who = alone_in(ledger(book), "cell", "resting", "wandering")
    with walking(book) as walk:
        assert walk.route.stops[stop_of(walk, code)].locks
        assert "emergence" in due(walk, code)
        feeding = asked(walk, code)
    record(book, "emerged", who, "sex=f")
    with walking(book) as walk:
        stop = walk.route.stops[stop_of(walk, code)]
        assert (stop.enclosure.stage, stop.locks) == ("holding", ())
        assert "emergence" not in due(walk, code)
        assert asked(walk, code) != feeding


def test_first_feed_makes_a_feeding_adult_everywhere(book: Path) -> None:
    code, who = alone_in(ledger(book), "cell", "resting", "wandering")
    record(book, "sexed", who, "sex=f", "how=adult")
    record(book, "first-feed", who, "on=2026-02-01")
    record(book, "mature", who)
    books = ledger(book)
    with walking(book) as walk:
        assert walk.route.stops[stop_of(walk, code)].enclosure.stage == "holding"
        assert "jelly_gone" in asked(walk, code)
        assert due(walk, code).isdisjoint({"emergence", "wandering", "mature"})
    assert who in {one.animal for one in candidates(books, rack.config().species, rack.TODAY)}


def test_the_last_one_out_asks_what_becomes_of_the_box(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, who = alone_in(ledger(book), "holding")
    assert run(["--book", str(book), "--today", "2026-03-01", "record", "dead", who]) != 0
    assert "empty now" in capsys.readouterr().err
    record(book, "dead", who, "rest=later")
    with walking(book) as walk:
        assert "vacant" in due(walk, code)
        assert "jelly_gone" not in asked(walk, code)
    record(book, "emptied", code, "looked=yes")
    with walking(book) as walk:
        assert "vacant" not in due(walk, code)
        assert walk.route.stops[stop_of(walk, code)].enclosure.stage == "empty"


def test_a_death_on_the_command_line_closes_the_actions_it_leaves_without_a_cause(book: Path) -> None:
    with walking(book) as walk:
        stop, action = next(
            (i, a)
            for i, s in enumerate(walk.route.stops)
            for a in walk.desk.actions(i)
            if a.rule == "not-eating" and len(s.enclosure.contents) == 1
        )
        code = walk.route.stops[stop].enclosure.code
    books = ledger(book)
    box = next(b for b in books.rows(Enclosure) if b.code == code)
    [here] = books.rows(Content, Content.enclosure.is_(box.id), Content.until.is_(None))
    record(book, "dead", name_of(books, books.row(Animal, here.animal)), "rest=keep", "on=2026-02-25")
    with walking(book) as walk:
        assert action.uid not in {a.uid for a in walk.desk.actions(stop)}
    with open_book(book, readonly=True) as opened:
        summary = of_day(opened, rack.config(), rack.TODAY)
    assert "not-eating" not in {row.action.rule for row in summary.rows if row.enclosure.code == code}


def test_a_pair_that_is_parted_leaves_the_work_of_pairing_behind(book: Path) -> None:
    books = ledger(book)
    box = next(b for b in books.rows(Enclosure) if b.stage == "pairing")
    here = [c.animal for c in books.rows(Content, Content.enclosure.is_(box.id), Content.until.is_(None))]
    female = next(a for a in here if books.row(Animal, a).sex == "f")
    free = next(b for b in books.rows(Enclosure) if b.stage == "prepared")
    with walking(book) as walk:
        assert "pairing-over" in due(walk, box.code)
    record(
        book, "to-laying", box.code, f"to={free.code}", f"female={name_of(books, books.row(Animal, female))}"
    )
    with walking(book) as walk:
        assert "pairing-over" not in due(walk, box.code)
        assert "left-over-eggs" in due(walk, box.code)
        assert {"first-search"} <= due(walk, free.code)
        assert walk.route.stops[stop_of(walk, box.code)].enclosure.stage == "holding"
        assert any("dig" in lock.forbids for lock in walk.route.stops[stop_of(walk, free.code)].locks)


TRACE = ("acts.csv", "act_changes.csv", "rounds.csv")
"""What says when something was entered, in which order, and under which number."""


def written(book: Path, to: Path) -> dict[str, Counter[tuple[tuple[str, str], ...]]]:
    """The tables of ``rounds write``, each as its rows in any order."""
    assert run(["--book", str(book), "write", str(to)]) == 0
    out = {}
    for file in sorted(to.glob("*.csv")):
        if file.name not in TRACE:
            with file.open(encoding="utf-8-sig", newline="") as rows:
                out[file.name] = Counter(tuple(row.items()) for row in csv.DictReader(rows))
    return out


def test_a_death_told_a_week_late_is_written_as_one_told_in_time(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for table in ("_visits", "_reading_lines"):  # no act writes one, and they take nearly all of the time
        monkeypatch.setattr(write, table, lambda *_: ())
    late = Path(shutil.copy(book, tmp_path / "late.sqlite"))
    books = ledger(book)
    pairing = next(p for p in books.rows(Pairing) if p.until is None and p.female is not None)
    box = books.row(Enclosure, pairing.enclosure).code
    male = next(
        p.male for p in books.rows(PairingMale, PairingMale.pairing.is_(pairing.id)) if p.until is None
    )
    dead = ("dead", name_of(books, books.row(Animal, male)), "cause=age", "on=2026-02-22")
    since: tuple[tuple[str, ...], ...] = (
        ("protein", box, "what=a pellet", "on=2026-02-24"),
        ("weigh", name_of(books, books.row(Animal, pairing.female)), "grams=21.5", "on=2026-02-25"),
        ("lock", box, "forbids=wet", "reason=too wet", "on=2026-02-25"),
    )
    record(book, *dead, today="2026-02-22")
    for act in since:
        record(book, *act)
    for act in since:
        record(late, *act)
    untold = written(late, tmp_path / "untold")
    record(late, *dead)
    told = written(late, tmp_path / "told")
    assert written(book, tmp_path / "in time") == told
    assert untold != told, "the comparison sees a death"
