"""Leaving the round, by whatever door: all is saved, the terminal is given back, the next start stands there."""

from __future__ import annotations

import signal
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import RESTORED, Terminal

pytestmark = pytest.mark.pty

DOORS: dict[str, tuple[Callable[[Terminal], None], int]] = {
    "quit": (lambda t: t.press("q"), 0),
    "ctrl-c": (lambda t: t.press("ctrl+c"), 130),
    "SIGTERM": (lambda t: t.signal(signal.SIGTERM), 128 + signal.SIGTERM),
    "SIGHUP": (lambda t: t.signal(signal.SIGHUP), 128 + signal.SIGHUP),
    "SIGINT": (lambda t: t.signal(signal.SIGINT), 130),
}


@pytest.mark.parametrize("door", DOORS)
@pytest.mark.parametrize("slow", [0.0, 0.1])
def test_every_door(door: str, slow: float, book: Path, begin: Callable[..., Terminal]) -> None:
    leave, code = DOORS[door]
    terminal = begin(rack.worse(book, slow=slow))
    terminal.wait_for("1 of 60")
    terminal.press("1", "space", "space", *["space"] * 3, "n", *"wet hands", "enter")
    shown = terminal.wait_for("note: wet hands")
    leave(terminal)
    assert terminal.ended() == code
    assert all(mark in terminal.output for mark in RESTORED), terminal.output[-300:]
    assert b"Traceback" not in terminal.output
    assert terminal.output.rindex(b"\x1b[?1049l") > terminal.output.rindex(b"\x1b[?1049h")

    place = shown.split(" of 60")[0].strip()
    again = begin(rack.walk_of(book))
    again.wait_for("note: wet hands")
    assert again.text.startswith(f" {place} of 60")
    again.press("q")
    assert again.ended() == 0


def test_the_window_is_closed(book: Path, begin: Callable[..., Terminal]) -> None:
    """No terminal is left to restore or to speak to; what was typed is saved all the same."""
    terminal = begin(rack.worse(book, slow=0.05))
    terminal.wait_for("1 of 60")
    terminal.press("1", "space", "space", *["space"] * 3, "n", *"gone", "enter")
    shown = terminal.wait_for("note: gone")
    terminal.hang_up()
    assert terminal.reap() == 128 + signal.SIGHUP
    place = shown.split(" of 60")[0].strip()
    again = begin(rack.walk_of(book))
    again.wait_for("note: gone")
    assert again.text.startswith(f" {place} of 60")
    assert not list(book.parent.glob("*.unsaved-*")), "it was saved, not rescued"


def test_a_quit_round_stays_open_and_a_finished_one_is_closed_by_the_next(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("1", "q")
    assert terminal.ended() == 0
    tomorrow = [word if word != rack.DAY else "2026-03-03" for word in rack.walk_of(book)]
    terminal = begin(tomorrow)
    terminal.wait_for("1 of 60 · 0 seen")
    terminal.press("0", "q")
    assert terminal.ended() == 0
    db = sqlite3.connect(book)
    unseen = db.execute(
        'SELECT count(*) FROM not_seen n JOIN "round" r ON r.id = n.round WHERE r.day = ? AND r.closed_ms IS NOT NULL',
        (rack.TODAY,),
    ).fetchone()[0]
    db.close()
    assert unseen >= 55
