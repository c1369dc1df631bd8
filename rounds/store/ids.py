"""Ids that a walk makes itself: UUIDs of version 7 (RFC 9562, section 5.7), 16 bytes.

The first 48 bits are a time in milliseconds, so ids sort as they were made and an index
over them grows at its end. Two ids of one maker never share a time: it is the clock's, or
one more than the last, whichever is later, so a clock set back cannot reorder them.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable


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
