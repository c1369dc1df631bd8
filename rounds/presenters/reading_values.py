"""Readings as words: observed, confirmed in brackets, expected, and of earlier visits."""

from __future__ import annotations

from collections.abc import Mapping

from rich.cells import cell_len

from rounds.husbandry.readings import ReadingKind
from rounds.presenters import care_line_sentences
from rounds.records.entries import Cell
from rounds.records.observations import Occupant
from rounds.records.reading_words import past_words, usual_words, value_words
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine.questions import ONCE_A_SHELF, Ask, presses

__all__ = [
    "confirmed_words",
    "contents_within",
    "contents_words",
    "expected_words",
    "past_words",
    "presses",
    "saved_mark",
    "value_words",
]


def saved_mark(walk: Walk, kind: str) -> str:
    """``✓`` once committed, ``…`` while it waits."""
    return "✓" if walk.saving.is_saved((walk.state.at, walk.state.earlier, kind)) else "…"


def confirmed_words(kind: ReadingKind, confirmed: Cell) -> str:
    """What one key confirmed, in brackets: it was not read by itself."""
    if not isinstance(confirmed, Mapping) or kind.id not in confirmed:
        return ""
    return f"({usual_words(kind, confirmed[kind.id])})"


def expected_words(ask: Ask) -> str:
    """The usual value or range; ``!`` before what has to be read this time."""
    usual = "" if ask.confirms is None else usual_words(ask.kind, ask.confirms)
    if ask.must == ONCE_A_SHELF:
        return ask.must
    return f"! {usual}" if presses(ask) else usual


def contents_words(contents: tuple[Occupant, ...], limit: int = 200) -> str:
    """``UMBER 3 m, UMBER 5 f`` or ``LOCH at least 0.0.12 L2`` (males.females.unsexed)."""
    return clean(", ".join(_each(contents)), limit) or care_line_sentences.NOBODY


def contents_within(contents: tuple[Occupant, ...], width: int) -> str:
    """The same in at most ``width`` cells: as many as fit whole, and how many more there are.

    The number of an animal is never cut: another animal may have what is left of it.
    """
    said = _each(contents)
    for shown in range(len(said), 0, -1):
        more = care_line_sentences.and_more(len(said) - shown) if shown < len(said) else ""
        text = clean(", ".join(said[:shown]), 1200) + more
        if cell_len(text) <= width:
            return text
    return care_line_sentences.so_many(len(said)) if said else care_line_sentences.NOBODY


def _each(contents: tuple[Occupant, ...]) -> list[str]:
    said = []
    for c in contents:
        if c.animal:
            sex = {"m": " m", "f": " f"}.get(c.sex, "")
            said.append(f"{clean(c.line, 24)} {clean(c.animal, 24)}{sex}")
        else:
            count = f"{c.males}.{c.females}.{c.unsexed}"
            least = care_line_sentences.AT_LEAST if c.at_least else ""
            said.append(f"{clean(c.line, 24)} {least}{count}{' ' + c.instar if c.instar else ''}")
    return said
