"""Fingers and keys in one burst at a real terminal end in the book that the keys alone make."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from rounds.presenters import touch_lines
from tests.endtoend import rack
from tests.endtoend.keys import LEAVE, some_keys
from tests.endtoend.terminal import Terminal, typed
from tests.sampled import sampled

pytestmark = [pytest.mark.pty, pytest.mark.long]

SIZE = (100, 36)
COUNT = 150


def tapped(x: int, y: int) -> bytes:
    """A button down and up at a cell, as terminals report it (SGR, counted from one)."""
    return b"\x1b[<0;%d;%dM\x1b[<0;%d;%dm" % (x + 1, y + 1, x + 1, y + 1)


def with_fingers(book: Path, keys: list[str], random: Random) -> tuple[bytes, int]:
    """The bytes of the keys, many of them as a tap where a large key for it stands; how many."""
    walk = rack.opened(book, rack.config())
    out, taps = b"", 0
    for key in keys:
        places = [k for k in touch_lines.block(walk, *SIZE).keys if k.key == key]
        if places and random.random() < 0.7 and walk.state.mode.name != "left":
            big = places[0]
            out += tapped(big.x + random.randrange(big.width), big.y + random.randrange(big.height))
            taps += 1
        else:
            out += typed([key])
        walk.press(key)
        assert walk.drain(30.0)
    assert walk.close(30.0) is None
    return out, taps


@pytest.mark.parametrize("seed", range(sampled(1, 4)))
def test_a_burst_of_taps_and_keys(
    seed: int, demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    keys = [*some_keys(Random(seed), COUNT - len(LEAVE)), *LEAVE]
    slow = Path(shutil.copy(demo_book, tmp_path / "slow.sqlite"))
    fast = Path(shutil.copy(demo_book, tmp_path / "fast.sqlite"))
    burst, taps = with_fingers(slow, keys, Random(seed))
    assert taps > COUNT / 8
    terminal = begin(rack.worse(fast, "--touch", clock=rack.MORNING), columns=SIZE[0], lines=SIZE[1])
    terminal.wait_for("1 of 60")
    terminal.send(burst)
    assert terminal.ended() == 0
    found = rack.differences(rack.content(slow), rack.content(fast))
    assert not found, found
    assert rack.cells_today(fast)
