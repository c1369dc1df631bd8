"""Animals that may not be the ones their labels say, as when the labels of two boxes were swapped."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.records.ledger import Ledger
from rounds.records.parentage import origins
from rounds.records.tables import Animal, Content, LabelSwap

LABELS = "labels"
"""The kind of due work that asks whether labels were swapped."""


def open_swaps(ledger: Ledger) -> list[LabelSwap]:
    """Labels told as swapped of which nobody has said yet whether they were."""
    return list(ledger.rows(LabelSwap, LabelSwap.settled.is_("")))


def labels_mixed_up(ledger: Ledger) -> list[str]:
    """What was said of boxes whose contents may not be what their labels say."""
    return sorted({content.doubt for content in ledger.rows(Content) if content.doubt})


def doubt_of_brood(ledger: Ledger, brood: int | None, mixed_up: Sequence[str]) -> str:
    """Why the animals of a brood may be others than the books say; "" where nobody doubts it.

    A brood's doubt may be about its count: it is about who they are where it was said of what
    stood in a box, as it is when labels were swapped.
    """
    if brood is None:
        return ""
    said = [origin.doubt for origin in origins(ledger, brood)]
    return next((doubt for doubt in mixed_up if any(doubt in words for words in said)), "")


def doubted(ledger: Ledger, mixed_up: Sequence[str] | None = None) -> dict[int, str]:
    """Animals that may not be the ones their labels say, each with why."""
    mixed_up = labels_mixed_up(ledger) if mixed_up is None else mixed_up
    stood = {c.animal: c.doubt for c in ledger.rows(Content) if c.animal is not None and c.doubt}
    out = {}
    for animal in ledger.rows(Animal):
        why = animal.doubt or stood.get(animal.id) or doubt_of_brood(ledger, animal.brood, mixed_up)
        if why:
            out[animal.id] = why
    return out
