"""What can go wrong around a round: said in one line, keys still echo, nothing pretended, nothing lost."""

from __future__ import annotations

import os
import re
import sqlite3
import stat
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import RESTORED, ROOT, Terminal, as_an_ordinary_user
from tests.sampled import sampled

pytestmark = pytest.mark.pty

LOCKED = sampled(2, 30)
"""Seconds for which another program holds the book."""


def one_line(terminal: Terminal, code: int, *said: str) -> None:
    """The program ended with ``code`` and one sentence, no traceback, and never took the screen."""
    assert terminal.ended() == code, terminal.text
    text = terminal.output.decode()
    assert "Traceback" not in text
    assert "\x1b[?1049h" not in text
    lines = [line for line in text.splitlines() if line.strip()]
    assert len(lines) == 1, lines
    for word in said:
        assert word in text, text


# The disk and the lock


def test_a_slow_disk_does_not_slow_the_keys(
    book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    """While one flush lasts, keys are painted and marked as waiting; they are saved once it ends."""
    done = tmp_path / "done"
    terminal = begin(rack.worse(book, hold=str(done)))
    terminal.wait_for("nothing typed yet")
    terminal.press("1")
    terminal.wait_for(r"jelly eaten.* 1 +…")
    assert " 1 saved" not in terminal.text
    terminal.press("down")
    terminal.press("n", *"slow")
    shown = terminal.wait_for("note: slow_ …")
    assert not re.search(r"✓|\d saved", shown), "the first flush still runs"
    assert rack.cells_today(book) == {}
    terminal.press("enter")
    done.touch()
    terminal.wait_for(r"note: slow ✓")
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book)[_first(book), "note"] == "slow"


def test_a_slow_disk_and_quit_at_once(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.worse(book, slow=0.1))
    terminal.wait_for("1 of 60")
    terminal.press(*["1", "space", "space"] * 40, "q")
    assert terminal.ended() == 0
    walk = rack.opened(book, rack.config())
    assert len(walk.state.steps) > 40
    walk.close(5.0)


def test_a_book_that_another_program_holds(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("nothing typed yet")
    other = sqlite3.connect(book, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    until = time.monotonic() + LOCKED
    try:
        terminal.press("1")
        terminal.wait_for(r"NOT SAVED \(1 waiting\)")
        terminal.wait_for(r"jelly eaten.* 1 +…")
        assert "another program is writing" in terminal.words
        while time.monotonic() < until:
            terminal.press("u", "1")
            terminal.wait_for(r"jelly eaten.* 1 +…")
            terminal.quiet(0.2)
            assert "NOT SAVED" in terminal.text
            assert "✓" not in terminal.text
        assert rack.cells_today(book) == {}, "nothing was pretended"
    finally:
        other.execute("ROLLBACK")
        other.close()
    terminal.wait_for(r"jelly eaten.* 1 +✓")
    terminal.wait_for(lambda text: "NOT SAVED" not in text)
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {(_first(book), "jelly_gone"): 1.0}


def test_a_full_disk_and_room_made_again(book: Path, tmp_path: Path, begin: Callable[..., Terminal]) -> None:
    room = tmp_path / "room"
    terminal = begin(rack.worse(book, pages=_pages(book), room=str(room)))
    terminal.wait_for("nothing typed yet")
    terminal.press("n", *("x" * 300), "enter")
    terminal.wait_for("NOT SAVED.*no space is left")
    terminal.press("1")
    terminal.wait_for(r"jelly eaten.* 1 +…")
    room.touch()
    terminal.wait_for(r"jelly eaten.* 1 +✓")
    terminal.wait_for(lambda text: "NOT SAVED" not in text)
    terminal.press("q")
    assert terminal.ended() == 0
    cells = rack.cells_today(book)
    assert cells[_first(book), "note"] == "x" * 300
    assert cells[_first(book), "jelly_gone"] == 1.0


@pytest.mark.parametrize("door", ["q", "ctrl+c"])
def test_leaving_while_nothing_can_be_saved(door: str, book: Path, begin: Callable[..., Terminal]) -> None:
    """The first quit says so and stays; the second keeps what waits in a file, and the next start takes it in."""
    terminal = begin(rack.worse(book, pages=_pages(book)))
    terminal.wait_for("nothing typed yet")
    terminal.press("1")
    terminal.wait_for("1 saved|NOT SAVED")
    terminal.press("n", *("y" * 300), "enter")
    terminal.wait_for("NOT SAVED")
    terminal.press("q")
    terminal.wait_for("NOT SAVED.*no space is left.*q again leaves")
    terminal.quiet(0.4)
    assert terminal.process.isalive(), "nobody leaves unheard with work unsaved"
    terminal.press(door)
    assert terminal.ended() == 3
    assert all(mark in terminal.output for mark in RESTORED)
    said = terminal.output.decode().rsplit("\x1b[?1049l", 1)[1]
    assert "NOT everything is in the book" in said
    rescued = list(book.parent.glob("book.sqlite.unsaved-*.jsonl"))
    assert len(rescued) == 1
    assert rescued[0].name in said.replace("\r\n", "")
    assert stat.S_IMODE(rescued[0].stat().st_mode) == 0o600

    again = begin(rack.walk_of(book))
    again.wait_for("1 of 60 · 1 seen")
    again.press("q")
    assert again.ended() == 0
    cells = rack.cells_today(book)
    assert cells[_first(book), "note"] == "y" * 300
    assert cells[_first(book), "jelly_gone"] == 1.0
    assert not list(book.parent.glob("book.sqlite.unsaved-*.jsonl"))


@pytest.mark.parametrize("how", ["SIGTERM", "closed window"])
def test_ended_from_outside_while_nothing_can_be_saved(
    how: str, book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(rack.worse(book, pages=_pages(book)))
    terminal.wait_for("nothing typed yet")
    terminal.press("n", *("z" * 300), "enter", "?")
    terminal.wait_for("NOT SAVED")
    terminal.wait_for("one reading up")  # help is up: every key before it was handled
    if how == "SIGTERM":
        terminal.signal(15)
        assert terminal.ended() == 3
    else:
        terminal.hang_up()
        assert terminal.reap() == 3
    assert len(list(book.parent.glob("book.sqlite.unsaved-*.jsonl"))) == 1
    again = begin(rack.walk_of(book))
    again.wait_for("1 of 60")
    again.press("q")
    assert again.ended() == 0
    assert rack.cells_today(book)[_first(book), "note"] == "z" * 300


def test_the_book_vanishes_in_mid_round(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("nothing typed yet")
    terminal.press("1")
    terminal.wait_for("1 saved")
    away = book.with_name("away.sqlite")
    book.rename(away)
    terminal.press("down", "n", "a")
    terminal.wait_for("NOT SAVED")
    away.rename(book)
    terminal.wait_for(lambda text: "NOT SAVED" not in text)
    terminal.press("enter", "q")
    assert terminal.ended() == 0
    assert rack.cells_today(book)[_first(book), "note"] == "a"


# Books that cannot be used


@pytest.mark.parametrize("what", ["book", "folder"])
def test_a_read_only_book(what: str, book: Path, begin: Callable[..., Terminal]) -> None:
    book.chmod(0o444 if what == "book" else 0o600)
    book.parent.chmod(0o700 if what == "book" else 0o555)
    try:
        terminal = begin(rack.walk_of(book), preexec=as_an_ordinary_user, columns=400)
        one_line(terminal, 3, str(book), "read-only")
    finally:
        book.parent.chmod(0o700)
        book.chmod(0o600)
    control = begin(rack.walk_of(book), preexec=as_an_ordinary_user)
    control.wait_for("1 of 60")  # the same user may walk a book that may be written


def _broken(book: Path, what: str) -> None:
    match what:
        case "missing":
            book.unlink()
        case "not a book":
            book.write_text("jelly, 4 cups\n" * 500)
        case "another program's":
            book.unlink()
            db = sqlite3.connect(book)
            db.execute("CREATE TABLE t (x)")
            db.close()
        case "newer":
            db = sqlite3.connect(book)
            db.execute("UPDATE meta SET schema = 900, needs = '9.9'")
            db.commit()
            db.close()
        case "empty file":
            book.write_bytes(b"")
        case "cut short":
            data = book.read_bytes()
            book.write_bytes(data[: 4096 * 3 + 100])
        case "a folder":
            book.unlink()
            book.mkdir()


BROKEN = {
    "missing": (3, "there is no book"),
    "not a book": (3, "not a book"),
    "another program's": (3, "another program"),
    "newer": (3, "newer program"),
    "empty file": (3, "not a book"),
    "a folder": (3, "this is a folder"),
    "cut short": (3, "damaged"),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_book_that_is_none(what: str, book: Path, begin: Callable[..., Terminal]) -> None:
    code, said = BROKEN[what]
    _broken(book, what)
    before = book.read_bytes() if book.is_file() else None
    one_line(begin(rack.walk_of(book), columns=400), code, str(book), said)
    assert (book.read_bytes() if book.is_file() else None) == before, "it was left as it is"


# Terminals


def test_a_small_terminal(book: Path, begin: Callable[..., Terminal]) -> None:
    """40 x 10: code, question and keys are there, and a round can be walked."""
    terminal = begin(rack.walk_of(book), columns=40, lines=10)
    screen = terminal.wait_for("> jelly eaten")
    assert re.match("TL-007 holding .*1/60", screen)
    terminal.press("1")
    terminal.wait_for(r"jelly eaten 1 ✓")
    terminal.press("space", "space")
    terminal.wait_for("2/60")
    terminal.press("v")
    terminal.wait_for("so far")
    assert all(len(line) <= 40 for line in terminal.text.splitlines())
    terminal.press("q")
    assert terminal.ended() == 0


@pytest.mark.parametrize("size", [(1, 1), (2, 30), (20, 3), (79, 23), (200, 60)])
def test_terminals_of_any_size(size: tuple[int, int], book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book), columns=size[0], lines=size[1])
    terminal.wait_for(lambda text: text.strip() != "")
    terminal.press("1", "space", "space", "space", "?", "down", "b", "v", "up", "b", "q")
    assert terminal.ended() == 0
    assert rack.cells_today(book)[_first(book), "jelly_gone"] == 1.0
    assert b"Traceback" not in terminal.output


def test_a_terminal_resized_in_mid_round(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("1")
    for size in ((120, 40), (40, 10), (100, 30), (30, 5), (80, 24)):
        terminal.resize(*size)
        terminal.quiet(0.15)
        terminal.press("up", "down")
    terminal.wait_for("1 of 60 · 1 seen")
    screen = terminal.wait_for(r"jelly eaten.* 1 +✓")
    assert len(screen.splitlines()) <= 24
    for i in range(30):
        terminal.resize(60 + i, 20 + i % 5)
        terminal.press("space")
    terminal.resize(80, 24)
    terminal.quiet(0.3)
    terminal.press("q")
    assert terminal.ended() == 0
    assert b"Traceback" not in terminal.output


@pytest.mark.parametrize("which", ["stdin", "stdout", "stderr"])
def test_without_a_terminal(which: str, book: Path) -> None:
    """With one of the three redirected the walk says so and ends; it does not wait for keys that cannot come."""
    ours, theirs = os.openpty()
    streams = {name: subprocess.PIPE if name == which else theirs for name in ("stdin", "stdout", "stderr")}
    try:
        process = subprocess.Popen(rack.walk_of(book), cwd=ROOT, **streams)  # type: ignore[call-overload]
        piped = process.communicate(b"" if which == "stdin" else None, timeout=30)
    finally:
        os.close(theirs)
    said = (piped[1] or b"") + os.read(ours, 4096) if which != "stderr" else piped[1]
    os.close(ours)
    assert process.returncode == 2
    assert not piped[0], "nothing but words, and those not on stdout"
    assert said.count(b"\n") == 1
    assert b"needs a terminal" in said


# Config


BAD = {
    "rules/mine.yaml": (
        "rules:\n  - id: mine\n    when: {all: [{reading: jelly_gnoe, is: 1}]}\n",
        "jelly_gnoe",
    ),
    "keys/letters.yaml": ("layout: letters\ncommands:\n\tnext: [space]\n", "letters.yaml:3"),
    "readings.yaml": ("readings: &a [*a]\n", "readings.yaml:1"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_config_leaves_the_last_good_one_in_force(
    name: str, book: Path, own: Path, begin: Callable[..., Terminal]
) -> None:
    """A file of the keeper's is broken: the walk opens as it did the day before, and says so."""
    good = own / "keys" / "mine.yaml"
    good.parent.mkdir()
    shipped = (ROOT / "config" / "keys" / "letters.yaml").read_text()
    good.write_text(shipped.replace("quit: [q]", "quit: [Q]").replace("note: [n]", "note: [N]"))
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.wait_for("N note")
    terminal.press("Q")
    assert terminal.ended() == 0

    text, said = BAD[name]
    bad = own / name
    bad.parent.mkdir(exist_ok=True)
    bad.write_text(text)
    terminal = begin(rack.walk_of(book), columns=200)
    terminal.wait_for("last good config stays in force")
    terminal.wait_for(said)
    terminal.wait_for("N note")  # the keeper's own keys are still in force
    terminal.press("Q")
    assert terminal.ended() == 0


def _first(book: Path) -> str:
    walk = rack.opened(book, rack.config())
    try:
        return walk.route.label(0)
    finally:
        walk.close(5.0)


def _pages(book: Path) -> int:
    """As many pages as the book has: it cannot grow."""
    db = sqlite3.connect(book)
    try:
        db.execute("PRAGMA journal_mode")
        return int(db.execute("PRAGMA page_count").fetchone()[0])
    finally:
        db.close()
