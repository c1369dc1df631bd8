"""How often the tests that repeat themselves do so: a sample by default, everything with ``WHOLE=1``.

A sample is of the same kind, only smaller: every property, control and fault is in each run.
"""

from __future__ import annotations

import os

WHOLE = os.environ.get("WHOLE", "0") not in ("", "0")


def sampled(some: int, whole: int) -> int:
    """How many: ``some`` by default, ``whole`` where everything is run (before a release)."""
    return whole if WHOLE else some
