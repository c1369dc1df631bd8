"""Ids that a walk makes itself: UUIDs of version 7 (RFC 9562, section 5.7), 16 bytes.

The first 48 bits are a time in milliseconds, so ids sort as they were made and an index
over them grows at its end. Two ids of one maker never share a time: it is the clock's, or
one more than the last, whichever is later, so a clock set back cannot reorder them.
"""

from __future__ import annotations

import hashlib
import os
import threading
import time
from collections.abc import Callable

EPOCH_DAY = 719_163
"""1 January 1970 as ``date.toordinal()``."""


def named(at_ms: int, *names: bytes) -> bytes:
    """The id of what these names name: whoever makes it, at whichever terminal, makes the same.

    A UUID of version 8 (RFC 9562, section 5.8): a time of 48 bits, then bits of a hash over the
    names. So that two terminals never make two of what there can be only one of.
    """
    digest = hashlib.blake2b(digest_size=10)
    for name in names:
        digest.update(len(name).to_bytes(4, "big") + name)
    noise = bytearray(digest.digest())
    noise[0] = noise[0] & 0x0F | 0x80  # version 8
    noise[2] = noise[2] & 0x3F | 0x80  # variant
    return at_ms.to_bytes(6, "big") + bytes(noise)


def round_id(book: bytes, keeper: str, day: int, name: str) -> bytes:
    """Of a keeper's round of a day: one, on however many terminals it is walked. ``book`` is the book's identity."""
    at_ms = max(0, (day - EPOCH_DAY) * 86_400_000)
    return named(
        at_ms, b"round", book, keeper.encode("utf-8", "surrogatepass"), name.encode("utf-8", "surrogatepass")
    )


def visit_id(round_: bytes, enclosure: int) -> bytes:
    """Of an enclosure's visit in a round: there is one."""
    return named(int.from_bytes(round_[:6], "big"), b"visit", round_, str(enclosure).encode())


def action_id(enclosure: int, rule: str, day: int) -> bytes:
    """Of the action that a rule raises at an enclosure on a day, whoever looked there."""
    return named(max(0, (day - EPOCH_DAY) * 86_400_000), b"action", str(enclosure).encode(), rule.encode())


def call_id(walk: bytes, enclosure: int, seq: int) -> bytes:
    """Of a call for help at an enclosure, the step ``seq`` of one start of the program."""
    return named(int.from_bytes(walk[:6], "big"), b"call", walk, str(enclosure).encode(), str(seq).encode())


def now_ms() -> int:
    """UTC epoch milliseconds by the machine's clock."""
    return time.time_ns() // 1_000_000


class Ids:
    """A maker of ids, safe to share between threads. ``clock`` gives UTC epoch milliseconds."""

    def __init__(
        self, clock: Callable[[], int] = now_ms, random: Callable[[int], bytes] = os.urandom, last: int = 0
    ) -> None:
        self._clock, self._random, self._last = clock, random, last
        self._lock = threading.Lock()

    def new(self) -> bytes:
        """A new id. Raises ValueError for a clock outside the 48 bits (before 1970, after 10889)."""
        with self._lock:
            at = max(self._clock(), self._last + 1)
            if not 0 <= at < 1 << 48:
                raise ValueError(f"the clock says {at} ms, which no id can hold")
            self._last = at
        noise = bytearray(self._random(10))
        noise[0] = noise[0] & 0x0F | 0x70  # version 7
        noise[2] = noise[2] & 0x3F | 0x80  # variant
        return at.to_bytes(6, "big") + bytes(noise)
