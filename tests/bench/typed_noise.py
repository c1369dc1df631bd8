"""Run a million bytes of a terminal's noise, keys between them, through the reading of keys and a walk.

    python -m tests.bench.typed_noise BOOK [--bytes N] [--seed N]

Three counts, each to be 0: readings that were no key (the keys heard are not those typed), mistakes of
the program on any bytes at all, and keys that a walk no longer hears afterwards. BOOK is copied.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path
from random import Random

from textual import events

from rounds.keys.terminal_replies import AS_TYPED, PASTE_PATIENCE, typed_line
from rounds.screens.board import compose, key_of
from rounds.screens.typed_input import KeyParser
from rounds.walk.core import Walk
from tests.endtoend import rack
from tests.keys.noise import bursts
from tests.line_ui.lines import Typing


def heard(parser: KeyParser, data: bytes, *, silence: bool = False) -> list[str]:
    """The walk's keys in some bytes, and in what a silence after them makes of them."""
    parts = [data, *[b""] * (PASTE_PATIENCE + 1 if silence else 0)]
    found = [key_of(m) for part in parts for m in parser.keys(part) if isinstance(m, events.Key)]
    return [key for key in found if key is not None]


def walked(walk: Walk, keys: Iterable[str], size: tuple[int, int]) -> Walk:
    """Press the keys; a walk that they leave is begun again."""
    for key in keys:
        walk.press(key)
        if not walk.state.mode.takes_keys:
            assert walk.close(60.0) is None
            walk = rack.opened(walk.path, walk.config)
    compose(walk, *size)
    return walk


def noise_between_keys(random: Random, least: int) -> int:
    """How many bursts gave other keys than those typed in them."""
    parser, wrong = KeyParser(), 0
    for burst in bursts(random, least):
        found = tuple(key for key in heard(parser, burst.data, silence=burst.silence) if key.isascii())
        wrong += found != burst.keys
    return wrong


def any_bytes(random: Random, least: int, book: Path) -> Walk:
    """A walk given bytes at random and torn noise; a mistake of the program ends the script with its report."""
    parser, walk, drawn = KeyParser(), rack.opened(book, rack.config()), 0
    for at, burst in enumerate(bursts(random, least)):
        data = bytearray(burst.data + random.randbytes(random.randrange(8)))
        for _ in range(random.randrange(3)):
            data[random.randrange(len(data))] = random.randrange(256)
        walk = walked(walk, heard(parser, bytes(data), silence=random.random() < 0.01), (80, 24))
        drawn += len(data)
        if at % 2000 == 0:
            print(
                f"  {drawn} bytes, {walk.route.label(walk.state.at) if not walk.over else 'summary'}",
                flush=True,
            )
    return walk


def lines(random: Random, least: int, book: Path) -> Walk:
    """The same in lines."""
    typing, drawn = Typing(rack.opened(book, rack.config())), 0
    for burst in bursts(random, least):
        line = typed_line((burst.data + random.randbytes(random.randrange(4))).decode("utf-8", AS_TYPED))
        drawn += len(line)
        for part in line.splitlines():
            typing.type(part)
            if typing.session.over:
                assert typing.walk.close(60.0) is None
                typing = Typing(rack.opened(book, typing.walk.config))
    return typing.walk


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("book", type=Path)
    parser.add_argument("--bytes", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.book.parent))
    start = time.monotonic()
    try:
        wrong = noise_between_keys(Random(given.seed), given.bytes)
        print(
            f"{given.bytes} bytes: {wrong} bursts heard wrong ({time.monotonic() - start:.0f} s)", flush=True
        )
        for name, part in (("keys", any_bytes), ("lines", lines)):
            book = Path(shutil.copy(given.book, folder / f"{name}.sqlite"))
            walk = part(Random(given.seed), given.bytes, book)
            assert walk.close(60.0) is None
            walk = rack.opened(book, rack.config())
            walk = walked(walk, ["backspace"] * 3 + ["n", "o", "k", "enter"], (80, 24))
            assert walk.close(60.0) is None
            print(f"{name}: {given.bytes} bytes walked ({time.monotonic() - start:.0f} s)", flush=True)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
