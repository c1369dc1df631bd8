"""A figure of which only a range is known, as people read it."""

from __future__ import annotations


def range_text(low: float, high: float) -> str:
    """``0.2500``, or ``0.0000–0.2500`` where only a range is known."""
    return f"{low:.4f}" if high - low < 5e-5 else f"{low:.4f}–{high:.4f}"
