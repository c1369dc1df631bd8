"""How a summary begins: in one sentence what is left to do and what to carry; and what its groups are called."""

from __future__ import annotations

from rounds.text.plurals import many

LEVELS = {"now": "now", "today": "today", "look": "watch it"}
"""How soon harm is done, in the words of its group."""
NOTHING_LEFT = "Nothing needs you: every box was seen, and no work is left for today"
NO_BOX_NEEDS_YOU = "No box needs you"


def opening(boxes: int, works: int, unseen: int, empty: int, carried: tuple[str, ...]) -> str:
    """``boxes`` need something done, ``works`` are due and not done, ``empty`` boxes are not asked about."""
    if boxes or works or unseen:
        parts = [f"{many(boxes, 'box', 'boxes')} {'needs' if boxes == 1 else 'need'} you"] if boxes else []
        parts = parts or [NO_BOX_NEEDS_YOU]
        parts += [f"{many(works, 'job')} {'is' if works == 1 else 'are'} due"] if works else []
        parts += [f"{unseen} not seen"] if unseen else []
        parts += [f"{empty} empty, not asked"] if empty else []
        told = ", ".join(parts)
    else:
        told = NOTHING_LEFT
    return f"{told}; carry {', '.join(carried)}." if carried else f"{told}."


def and_more(amount: str) -> str:
    """Of some boxes nobody knows how much they need on top."""
    return f"{amount} and more"


def group(mark: str, level: str, rows: int) -> str:
    """``level`` is one of :data:`LEVELS`; others are called as they are."""
    return f"{mark} {LEVELS.get(level, level)}: {rows}"


def not_seen(boxes: int) -> str:
    return f"not seen: {boxes}"
