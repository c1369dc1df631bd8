"""The part of the books that the due work of a few enclosures follows from.

Going through a house of a thousand enclosures takes longer than a key may; what an act
changed at one of them follows from a few rows, and gives the same work there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

from rounds.due.planned_pairings import open_plans
from rounds.records.column import Row
from rounds.records.ledger import Ledger


def near(ledger: Ledger, boxes: Collection[int]) -> Ledger:
    """The books with nothing in them that the work at these enclosures does not follow from.

    :func:`rounds.due.work.at` gives the same for them from these books as from the
    whole. Tables that work does not come from stay as they are.
    """
    wanted = set(boxes)
    here = {i: r for i, r in ledger.rows("content", until=None) if r["enclosure"] in wanted}
    animals = {r["animal"] for r in here.values() if r["animal"] is not None}

    def some(table: str, belongs: Callable[[Row], bool]) -> dict[int, Any]:
        return {i: r for i, r in ledger.rows(table) if belongs(r)}

    pairings = some("pairing", lambda r: r["enclosure"] in wanted or r["female"] in animals)
    plans = {
        i: r
        for i, r in open_plans(ledger)
        if r["enclosure"] in wanted or r["female"] in animals or r["male"] in animals
    }
    planned = {a for r in plans.values() for a in (r["female"], r["male"])}
    if planned:  # whether the two are free, wherever they are
        busy = {r["pairing"] for _, r in ledger.rows("pairing_male", until=None) if r["male"] in planned}
        pairings |= some("pairing", lambda r: r["female"] in planned)
        pairings |= {i: ledger.row("pairing", i) for i in busy}
        pairings = dict(sorted(pairings.items()))
    others = ({r["female"] for r in pairings.values()} | planned) - animals
    # A pairing is where its female is, which may be elsewhere by now.
    contents = here | (
        {i: r for i, r in ledger.rows("content", until=None) if r["animal"] in others} if others else {}
    )
    every = wanted | {
        r["enclosure"]
        for r in (*contents.values(), *pairings.values(), *plans.values())
        if r["enclosure"] is not None
    }
    kept_by = every if planned else wanted
    keeping = animals | planned

    def holds(row: Row) -> bool:
        return row["enclosure"] in kept_by or (row["animal"] is not None and row["animal"] in keeping)

    def on(row: Row) -> bool:
        return row["enclosure"] in wanted or (row["animal"] is not None and row["animal"] in animals)

    return ledger.narrowed(
        {
            "enclosure": {i: ledger.row("enclosure", i) for i in sorted(every)},
            "content": dict(sorted(contents.items())),
            "pairing": pairings,
            "due": some("due", on),
            "lock": some("lock", holds),
            "loan": some("loan", lambda r: r["animal"] in keeping),
            "plan": plans,
            "weight": some("weight", lambda r: r["animal"] in animals or r["content"] in here),
            **{
                table: some(table, lambda r: r["enclosure"] in wanted)
                for table in ("search", "batch_use", "protein")
            },
        }
    )
