"""What a keeper is told while another config is in force than the one written."""

from __future__ import annotations

LAST_GOOD = "the last good config stays in force"
SHIPPED = "the shipped config is in force, without your own"


def trouble(first: str, more: int) -> str:
    """``first``: the first problem; ``more``: how many there are besides."""
    return f"{first} (and {more} more)" if more else first


def instead(trouble_words: str, in_force: str) -> str:
    return f"{trouble_words} Until that is corrected {in_force}."
