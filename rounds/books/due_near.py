"""The part of the books that the due work of a few enclosures follows from.

Going through a house of a thousand enclosures takes longer than a key may; what an act
changed at one of them follows from a few rows, and gives the same work there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from rounds.books.ledger import Ledger, Row


def near(ledger: Ledger, boxes: Collection[int]) -> Ledger:
    """The books with nothing in them that the work at these enclosures does not follow from.

    :func:`rounds.books.due.at` gives the same for them from these books as from the
    whole. Tables that work does not come from stay as they are.
    """
    wanted = set(boxes)
    here = {i: r for i, r in ledger.rows("content", until=None) if r["enclosure"] in wanted}
    animals = {r["animal"] for r in here.values() if r["animal"] is not None}

    def some(table: str, belongs: Callable[[Row], bool]) -> dict[int, Row]:
        return {i: r for i, r in ledger.rows(table) if belongs(r)}

    pairings = some("pairing", lambda r: r["enclosure"] in wanted or r["female"] in animals)
    females = {r["female"] for r in pairings.values()} - animals
    # A pairing is where its female is, which may be elsewhere by now.
    contents = here | (
        {i: r for i, r in ledger.rows("content", until=None) if r["animal"] in females} if females else {}
    )
    every = wanted | {
        r["enclosure"] for r in (*contents.values(), *pairings.values()) if r["enclosure"] is not None
    }

    def on(row: Row) -> bool:
        return row["enclosure"] in wanted or (row["animal"] is not None and row["animal"] in animals)

    return ledger.narrowed(
        {
            "enclosure": {i: ledger.row("enclosure", i) for i in sorted(every)},
            "content": dict(sorted(contents.items())),
            "pairing": pairings,
            "due": some("due", on),
            "lock": some("lock", on),
            "loan": some("loan", lambda r: r["animal"] in animals),
            "weight": some("weight", lambda r: r["animal"] in animals or r["content"] in here),
            **{
                table: some(table, lambda r: r["enclosure"] in wanted)
                for table in ("search", "batch_use", "protein")
            },
        }
    )
