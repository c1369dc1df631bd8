"""Leaving the round, by whatever door: all is saved, the terminal is given back, the next start stands there."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from rounds.screens.run import left_words
from tests.endtoend import rack
from tests.endtoend.terminal import RESTORED, ROOT, Terminal
from tests.sampled import sampled

pytestmark = pytest.mark.pty

DOORS: dict[str, tuple[Callable[[Terminal], None], int]] = {
    "quit": (lambda t: t.press("q"), 0),
    "ctrl-c": (lambda t: t.press("ctrl+c"), 130),
    "SIGTERM": (lambda t: t.signal(signal.SIGTERM), 128 + signal.SIGTERM),
    "SIGHUP": (lambda t: t.signal(signal.SIGHUP), 128 + signal.SIGHUP),
    "SIGINT": (lambda t: t.signal(signal.SIGINT), 130),
}


QUICK = [(door, 0.0) for door in DOORS][: sampled(1, len(DOORS))]


@pytest.mark.parametrize(("door", "slow"), [*((door, 0.1) for door in DOORS), *QUICK])
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


@pytest.mark.parametrize("more", [(), ("--plain",)])
def test_a_terminal_that_is_gone_without_a_signal_ends_it(
    more: tuple[str, ...], book: Path, own: Path
) -> None:
    """A terminal that is nobody's controlling one sends no SIGHUP when it goes; SIGHUP is ignored besides."""
    outer, inner = os.openpty()
    process = subprocess.Popen(
        rack.walk_of(book, *more),
        stdin=inner,
        stdout=inner,
        stderr=inner,
        cwd=ROOT,
        env={**os.environ, "ROUNDS_CONFIG": str(own), "TERM": "xterm-256color"},
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN) and None,
    )
    os.close(inner)
    try:
        seen = b""
        os.write(outer, b"2\r")
        while ("✓" if not more else "saved: jelly eaten").encode() not in seen:
            seen += os.read(outer, 65536)
        os.close(outer)
        assert process.wait(60) == 128 + signal.SIGHUP
    finally:
        process.kill()
        process.wait()
    assert rack.cells_today(book)["TL-007", "jelly_gone"] == 2
    assert not list(book.parent.glob("*.unsaved-*"))


def test_stopped_and_gone_on_with_it_hears_and_shows_all(book: Path, begin: Callable[..., Terminal]) -> None:
    """The terminal is given back while it is stopped (SIGTSTP), and taken again (SIGCONT); so it is twice."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    for digit in "12":
        terminal.press("j", digit)
        terminal.wait_for(rf"jelly eaten .* {digit} +✓")
        at = len(terminal.output)
        terminal.signal(signal.SIGTSTP)
        terminal.quiet(0.3)
        state = Path(f"/proc/{terminal.pid}/stat").read_text().rpartition(")")[2].split()[0]
        assert state == "T"
        assert all(mark in terminal.output[at:] for mark in RESTORED)
        at = len(terminal.output)
        terminal.signal(signal.SIGCONT)
        terminal.wait_for(lambda _, at=at: b"\x1b[?1049h" in terminal.output[at:])
        terminal.wait_for("1 of 60")
    terminal.press("q")
    assert terminal.ended() == 0
    assert b"Traceback" not in terminal.output
    assert rack.cells_today(book)["TL-007", "jelly_gone"] == 2


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


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("", "nothing was recorded"),
        ("n", "nothing was recorded"),
        ("1", "saved: 1 reading or act of this round; the next start goes on at {code}"),
        ("1 space 1 space", "saved: 3 readings and acts of this round; the next start goes on at {code}"),
        ("1 u", "nothing was recorded; the next start goes on at {code}"),
        ("1 v", "saved: 1 reading or act of this round; the next start shows its summary, {left} not seen"),
    ],
)
def test_the_words_after_leaving_say_what_is_in_the_book(book: Path, keys: str, said: str) -> None:
    walk = rack.typed_slowly(book, keys.split(), rack.config())
    code = walk.route.stops[0 if walk.over else walk.state.at].enclosure.code
    assert left_words(walk) == said.format(code=code, left=len(walk.round.unseen()))


def test_a_round_that_saw_all_is_finished(book: Path) -> None:
    walk = rack.opened(book, rack.config())
    for _ in range(10 * len(walk.route.stops)):
        if walk.over:
            break
        walk.press("space")
    assert walk.close(30.0) is None
    assert left_words(walk).endswith("; the round is finished")
    assert "next start" not in left_words(walk, kept=False)


def test_q_says_what_was_saved_once_the_screen_is_gone(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("1", "q")
    assert terminal.ended() == 0
    after = terminal.output[terminal.output.rindex(b"\x1b[?1049l") :]
    assert b"saved: 1 reading or act of this round; the next start goes on at " in after
    assert after.endswith(b"\n")
