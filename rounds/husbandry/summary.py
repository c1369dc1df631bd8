"""What a round leaves to do: actions by harm and shelf order, what to carry, what was not seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from rounds.husbandry.records import Action, Due, Enclosure

LEVELS = ("now", "today", "look")
"""Harm, worst first: an animal or brood may be lost today; soon; watch it."""

MARKS = {"now": "!!!", "today": "!!", "look": "!"}

BRING = {
    "cups": "jelly cups",
    "fruit": "pieces of fruit",
    "water": "litres of water",
    "tubs": "empty tubs",
    "substrate": "litres of fresh substrate",
}
"""What can be carried to the rack, by the word a rule uses."""


class Row(NamedTuple):
    """One enclosure needing action."""

    enclosure: Enclosure
    action: Action
    old: bool  # open from before this day


class Carry(NamedTuple):
    """Something to bring to the rack, and where it goes."""

    what: str
    amount: float
    codes: tuple[str, ...]


class Summary(NamedTuple):
    """One house on one day; every list is in the order it should be worked off."""

    day: int
    rows: tuple[Row, ...]
    carry: tuple[Carry, ...]
    unseen: tuple[tuple[Enclosure, str], ...]  # with the reason of a skip, or ""
    due: tuple[tuple[Enclosure, Due], ...]
    seen: int


def harm(level: str) -> int:
    return LEVELS.index(level) if level in LEVELS else len(LEVELS)


def summary(
    day: int,
    enclosures: Sequence[Enclosure],
    actions: Mapping[int, Sequence[Action]],
    looked: Mapping[int, bool],
    skipped: Mapping[int, str],
    carry: Mapping[int, Mapping[str, float]],
    dues: Mapping[int, Sequence[Due]],
) -> Summary:
    """Put a day together. ``enclosures`` come in shelf order; the mappings are by enclosure id.

    An enclosure in stage empty is neither missed nor carried for.
    """
    rows = [Row(e, a, a.opened < day) for e in enclosures for a in actions.get(e.id, ()) if a.state == "open"]
    rows.sort(key=lambda r: harm(r.action.level))  # stable: shelf order within one level
    unseen = tuple(
        (e, skipped.get(e.id, "")) for e in enclosures if e.stage != "empty" and not looked.get(e.id, False)
    )
    return Summary(
        day=day,
        rows=tuple(rows),
        carry=carried(enclosures, carry),
        unseen=unseen,
        due=tuple((e, d) for e in enclosures for d in dues.get(e.id, ()) if d.planned() <= day),
        seen=sum(1 for e in enclosures if looked.get(e.id, False)),
    )


def carried(enclosures: Sequence[Enclosure], wanted: Mapping[int, Mapping[str, float]]) -> tuple[Carry, ...]:
    """What every enclosure wants brought, added up by thing."""
    things: dict[str, tuple[float, tuple[str, ...]]] = {}
    for e in enclosures:
        for what, amount in wanted.get(e.id, {}).items():
            so_far, codes = things.get(what, (0.0, ()))
            things[what] = (so_far + amount, (*codes, e.code))
    return tuple(Carry(what, amount, codes) for what, (amount, codes) in sorted(things.items()))


def carry_words(carry: Carry) -> str:
    """``11 jelly cups for TL-003, TL-007, ...``."""
    return f"{carry.amount:g} {BRING.get(carry.what, carry.what)} for {', '.join(carry.codes)}"
