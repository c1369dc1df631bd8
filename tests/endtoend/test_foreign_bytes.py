"""Bytes that nobody typed: a terminal's replies, and bytes that are not UTF-8, at the real program."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from rounds.keys.terminal_replies import PATIENCE
from tests.endtoend import rack
from tests.endtoend.keys import LEAVE
from tests.endtoend.terminal import Terminal, typed
from tests.keys.noise import bursts
from tests.keys.test_terminal_replies import REPLIES
from tests.sampled import sampled

pytestmark = pytest.mark.pty


def test_replies_and_broken_bytes_between_keys_are_no_readings_and_end_nothing(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    noise = [r.encode() for r in REPLIES.values()] + [b"\xff", b"\xe4\xf6", b"\x80\xc3"]
    keys = [*typed(("g", *"14", "enter", "i", *"12", "enter", "n", *"ok", "enter"))]
    burst = b"".join(bytes([key]) + noise[i % len(noise)] for i, key in enumerate(keys[:-6]))
    terminal.send(burst)
    terminal.send(bytes(keys[-6:]))
    terminal.wait_for("note: ok")
    for reply in (b"\x1b]11;rgb:1e1e/", b"1e1e/1e1e\x1b", b"\\", b"\x1b[?6", b"2;22c"):
        terminal.send(reply)
        terminal.quiet(0.05)
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {("TL-014", "jelly_in"): 12, ("TL-014", "note"): "ok"}


def test_noise_at_random_leaves_the_book_that_the_keys_alone_leave(
    book: Path, begin: Callable[..., Terminal], tmp_path: Path
) -> None:
    mine = Path(shutil.copy(book, tmp_path / "mine.sqlite"))
    terminal = begin(rack.worse(book, clock=rack.MORNING))
    terminal.wait_for("1 of 60")
    keys: list[str] = []
    torn = 0
    for burst in bursts(Random(5), sampled(4000, 100_000), idle=True):
        if burst.silence and torn == sampled(3, 40):
            continue
        terminal.send(burst.data)
        terminal.read(0)
        keys += burst.keys
        if burst.silence:
            torn += 1
            terminal.quiet(2 * PATIENCE)
    terminal.press(*LEAVE)
    assert terminal.ended() == 0
    rack.typed_slowly(mine, [*keys, *LEAVE], rack.config())
    assert rack.differences(rack.content(mine), rack.content(book)) == []
    assert len(rack.cells_today(book)) > 5
