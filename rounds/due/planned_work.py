"""Planned pairings as due work: offered on the round, in their window, until made or given up."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.due import planned_pairings as plans
from rounds.due.due_index import Shelf
from rounds.due.kinds import WorkSource
from rounds.husbandry.spans import UNKNOWN, Span


def planned_pairings(shelf: Shelf) -> Iterator[WorkSource]:
    """One for each open plan, at the enclosure where a round comes upon it.

    The window is the plan's own, set by whoever chose: nothing is forecast here.
    """
    ledger = shelf.ledger
    for id_, row in plans.open_plans(ledger):
        span = plans.window(row)
        chosen = UNKNOWN if row["chosen"] is None else Span(row["chosen"], row["chosen"])
        yield WorkSource(
            plans.KIND, plans.met_at(row, shelf.box_of), row["female"], f"plan-{row['name']}", chosen, span, None,
            plans.said(ledger, row), None, id_,
        )  # fmt: skip
