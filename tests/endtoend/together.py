"""Two walks in two terminals and acts recorded beside them, on one book: when each sees what the others committed."""

from __future__ import annotations

import os
import random
import re
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from tests.endtoend import rack
from tests.endtoend.terminal import PROGRAM, ROOT, Terminal

WIDE, HIGH = 220, 30
"""Room for three pieces of news in one line."""


class Seen(NamedTuple):
    """What was committed (a mark that is there once), who saw it, and after how many seconds (None: not at all).

    ``own``: it is who noted it, whose own screen tells how busy the machine is.
    """

    mark: str
    by: str
    seconds: float | None

    @property
    def own(self) -> bool:
        return self.mark[0] == self.by


class Hand:
    """One terminal: it goes to a box, notes a mark there, and goes on after a while."""

    def __init__(
        self, name: str, terminal: Terminal, boxes: Sequence[tuple[str, int]], draw: random.Random
    ) -> None:
        self.name, self.terminal, self._draw = name, terminal, draw
        self._boxes = iter(boxes)
        self.marks: list[str] = []
        self.next_at = 0.0

    def type(self, now: float) -> str | None:
        """Visit the next box; the mark that was noted there."""
        found = next(self._boxes, None)
        if found is None:
            return None
        code, number = found
        mark = f"{self.name[0]}{len(self.marks)}x{code.replace('-', '')}"
        self.terminal.press("g", *str(number), "enter", "n", *mark, "enter")
        self.next_at = now + self._draw.uniform(0.7, 1.6)
        self.marks.append(mark)
        return mark


def boxes(book: Path) -> list[tuple[str, int]]:
    """Codes and numbers of the boxes that are no empty ones, in the order of the walk."""
    walk = rack.opened(book, rack.config())
    found = [(s.enclosure.code, s.enclosure.number) for s in walk.route.stops if s.enclosure.stage != "empty"]
    walk.close(10)
    return found


def recording(book: Path, code: str, reason: str) -> subprocess.Popen[bytes]:
    """``rounds record`` in a process of its own: a lock on a box."""
    told = ("forbids=move", "until=2026-05-01", f"reason={reason}", "--keeper", "Tamsel", "--sure")
    return subprocess.Popen(
        [*PROGRAM, "--book", str(book), "--today", rack.DAY, "record", "lock", code, *told],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def run(
    book: Path,
    begin: Callable[[str], Terminal],
    keepers: tuple[str, str],
    seconds: float,
    *,
    acts: bool = True,
    patience: float = 20.0,
    seed: int = 1,
) -> tuple[list[Seen], list[str], list[str]]:
    """Walk for so many seconds. Returns what was seen of each other, the marks noted and the reasons recorded.

    After the last key everything is waited for, for ``patience`` seconds.
    """
    draw = random.Random(seed)
    every = boxes(book)
    half = len(every) // 2
    hands = [
        Hand("AB"[i], begin(keeper), every[i * half : (i + 1) * half], draw)
        for i, keeper in enumerate(keepers)
    ]
    for hand in hands:
        hand.terminal.wait_for(r"\d+ of \d+")
    for hand in hands:
        hand.terminal.quiet(0.5)
    open_: dict[tuple[str, str], float] = {}  # (mark, who is to see it): since when
    found: list[Seen] = []
    reasons: list[str] = []
    act: tuple[str, subprocess.Popen[bytes]] | None = None
    names = iter([code for code, _ in every] * 9)
    ends = time.monotonic() + seconds
    next_act = time.monotonic() + 0.5
    while True:
        now = time.monotonic()
        for hand, other in zip(hands, reversed(hands), strict=True):
            if now < ends and now >= hand.next_at and (mark := hand.type(now)):
                open_[mark, other.name] = open_[mark, hand.name] = now
        if acts and act is None and now < ends and now >= next_act:
            reasons.append(f"R{len(reasons)}q")
            act = (reasons[-1], recording(book, next(names), reasons[-1]))
        if act is not None and (code := act[1].poll()) is not None:
            assert code == 0, act[1].communicate()[1].decode()
            for hand in hands:
                open_[act[0], hand.name] = now
            act, next_act = None, now + draw.uniform(1.5, 3.0)
        for hand in hands:
            found += _looked(hand, open_)
        if now > ends and act is None and (not open_ or now > ends + patience):
            break
    found += [Seen(mark, who, None) for mark, who in open_]
    return found, [m for hand in hands for m in hand.marks], reasons


def _looked(hand: Hand, open_: dict[tuple[str, str], float]) -> Iterator[Seen]:
    hand.terminal.read(0.01)
    text = hand.terminal.text
    now = time.monotonic()
    for mark, who in list(open_):
        if who == hand.name and re.search(rf"\b{mark}\b", text):
            yield Seen(mark, who, now - open_.pop((mark, who)))


def totals(book: Path) -> tuple[list[str], list[str], int, int]:
    """Notes of the day, reasons of locks, visits that are there twice, rounds of the day."""
    with closing(sqlite3.connect(book)) as db:
        notes = [
            str(text)
            for (text,) in db.execute(
                "SELECT c.text FROM cell c JOIN visit v ON v.id = c.visit JOIN round r ON r.id = v.round"
                " WHERE r.day = ? AND c.reading = 'note' AND c.text IS NOT NULL",
                (rack.TODAY,),
            )
        ]
        reasons = [str(r) for (r,) in db.execute("SELECT reason FROM lock WHERE reason GLOB 'R[0-9]*q'")]
        twice = len(
            db.execute("SELECT 1 FROM visit GROUP BY round, enclosure HAVING count(*) > 1").fetchall()
        )
        rounds = db.execute("SELECT count(*) FROM round WHERE day = ?", (rack.TODAY,)).fetchone()[0]
    return sorted(notes), sorted(reasons), twice, int(rounds)
