"""Headlines and lines to act by: how long they may be, and how one is taken from a longer text.

A headline says what is wrong at a box, a line what to do about it now; the whole text is behind a key.
"""

from __future__ import annotations

import re

HEADLINE = 40
"""Characters of a headline at the most."""
ONE_LINE = 72
"""Characters of what to do at the most: a line of 80 columns with its margin."""

_SENTENCES = re.compile(r"(?<=[.!?])\s+")
_CLAUSE_END = re.compile(r"[,;:](?=\s)")


def first_sentence(text: str) -> str:
    """``text`` up to the first full stop, or question or exclamation mark, that a blank follows."""
    return _SENTENCES.split(" ".join(text.split()), maxsplit=1)[0]


def first_clause(text: str, limit: int) -> str:
    """The first sentence of ``text``, or as many of its clauses as ``limit`` characters hold.

    A sentence without a clause that short is cut after a word, with ``…``. Never longer than ``limit``.
    """
    sentence = first_sentence(text)
    if len(sentence) <= limit:
        return sentence
    ends = [m.start() for m in _CLAUSE_END.finditer(sentence) if m.start() <= limit]
    if ends:
        return sentence[: ends[-1]]
    start = sentence[: limit - 1]
    return f"{start.rpartition(' ')[0] or start}…"
