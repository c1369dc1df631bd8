"""Bytes that nobody typed: a terminal's replies, and bytes that are not UTF-8, at the real program."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import Terminal, typed
from tests.keys.test_terminal_replies import REPLIES

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
