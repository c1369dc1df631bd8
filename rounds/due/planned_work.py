"""Planned pairings as due work: offered on the round, in their window, until made or given up."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.due import planned_pairings as plans
from rounds.due.due_index import DueIndex
from rounds.due.kinds import WorkSource
from rounds.values.spans import UNKNOWN, Span


def planned_pairings(index: DueIndex) -> Iterator[WorkSource]:
    """One for each open plan, at the enclosure where a round comes upon it.

    The window is the plan's own, set by whoever chose: nothing is forecast here.
    """
    ledger = index.ledger
    for plan in plans.open_plans(ledger):
        chosen = UNKNOWN if plan.chosen is None else Span(plan.chosen, plan.chosen)
        yield WorkSource(
            plans.KIND,
            plans.met_at(plan, index.box_of),
            plan.female,
            f"plan-{plan.name}",
            chosen,
            plans.window(plan),
            None,
            plans.said(ledger, plan),
            plan=plan.id,
        )
