"""Texts with gaps: ``{reading}``, ``{measure}``, ``{measure of reading}`` or ``{date of measure}`` are filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from rounds.rules import explain_sentences as sentences
from rounds.rules.rule import Slot
from rounds.rules.scene import UsualRange
from rounds.text.cleaning import day_words

_SLOT = re.compile(r"\{([^{}]*)\}")
Pieces = tuple[str | Slot, ...]


def split(text: str) -> tuple[list[str], list[str]]:
    """The plain parts and the slot names between them. Raises ValueError on a stray brace."""
    parts = _SLOT.split(text)
    plain, names = parts[0::2], [n.strip() for n in parts[1::2]]
    if any("{" in p or "}" in p for p in plain):
        raise ValueError(sentences.STRAY_BRACE)
    return plain, names


def fill(pieces: Pieces, values: Mapping[str, Any], day: int) -> str:
    """The text with every slot's value as of ``day``; one that is not known reads ``?``."""
    return "".join(p if isinstance(p, str) else _filled(p, values[p.key], day) for p in pieces)


def _filled(slot: Slot, value: Any, day: int) -> str:
    return day_words(day - value) if slot.dated and value is not None else shown(value, slot.titles)


def shown(value: Any, titles: Mapping[str, str] | None = None) -> str:
    """A value in words: whole numbers bare, others to one decimal, choices by title."""
    if value is None:
        return sentences.NOT_KNOWN
    if isinstance(value, bool):
        return sentences.YES if value else sentences.NO
    if isinstance(value, UsualRange):
        if value.high == float("inf"):
            return sentences.at_least(shown(value.low))
        return (
            shown(value.low)
            if value.low == value.high
            else sentences.between(shown(value.low), shown(value.high))
        )
    if isinstance(value, (int, float)):
        return f"{value:.1f}".removesuffix(".0")
    return (titles or {}).get(value, str(value))
