"""The part of the books that the due work of a few enclosures follows from.

Going through a house of a thousand enclosures takes longer than a key may; what an act
changed at one of them follows from a few rows, and gives the same work there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from typing import TypeVar

from rounds.due.due_index import AtEnclosure
from rounds.due.planned_pairings import open_plans
from rounds.records.ledger import Ledger
from rounds.records.record import Record
from rounds.records.tables import (
    Animal,
    BatchUse,
    Content,
    Due,
    Enclosure,
    LabelSwap,
    Loan,
    Lock,
    Pairing,
    PairingMale,
    PlannedPairing,
    Protein,
    Search,
    Weight,
)

R = TypeVar("R", bound=Record)


def near(ledger: Ledger, boxes: Collection[int]) -> Ledger:
    """The books with nothing in them that the work at these enclosures does not follow from.

    :func:`rounds.due.work.at` gives the same for them from these books as from the
    whole. Tables that work does not come from stay as they are.
    """
    wanted = set(boxes)
    present = list(ledger.rows(Content, Content.until.is_(None)))
    here = {content.id: content for content in present if content.enclosure in wanted}
    animals = {content.animal for content in here.values() if content.animal is not None}

    def some(of: type[R], belongs: Callable[[R], bool]) -> dict[int, R]:
        return {record.id: record for record in ledger.rows(of) if belongs(record)}

    pairings = some(Pairing, lambda pairing: pairing.enclosure in wanted or pairing.female in animals)
    plans = {
        plan.id: plan
        for plan in open_plans(ledger)
        if plan.enclosure in wanted or plan.female in animals or plan.male in animals
    }
    planned = {animal for plan in plans.values() for animal in (plan.female, plan.male)}
    if planned:  # whether the two are free, wherever they are
        members = ledger.rows(PairingMale, PairingMale.until.is_(None))
        busy = {member.pairing for member in members if member.male in planned}
        pairings |= some(Pairing, lambda pairing: pairing.female in planned)
        pairings |= {id_: ledger.row(Pairing, id_) for id_ in busy}
        pairings = dict(sorted(pairings.items()))
    others = ({pairing.female for pairing in pairings.values()} | planned) - animals
    # A pairing is where its female is, which may be elsewhere by now.
    past = [c for c in ledger.rows(Content) if c.enclosure in wanted and c.until is not None]
    contents = (
        here
        | {content.id: content for content in past}
        | {content.id: content for content in present if content.animal in others}
    )
    broods = {brood for content in here.values() if (brood := _brood(ledger, content)) is not None}
    # A window is the brood's: it is learned from the sibs, wherever they are by now.
    contents |= {content.id: content for content in present if broods and _brood(ledger, content) in broods}
    every = (
        wanted | _enclosures(contents.values()) | _enclosures(pairings.values()) | _enclosures(plans.values())
    )
    kept_by = every if planned else wanted
    keeping = animals | planned

    def holds(lock: Lock) -> bool:
        return lock.enclosure in kept_by or (lock.animal is not None and lock.animal in keeping)

    def on(due: Due) -> bool:
        return due.enclosure in wanted or (due.animal is not None and due.animal in animals)

    dues, locks = some(Due, on), some(Lock, holds)
    loans = some(Loan, lambda loan: loan.animal in keeping)
    weights = some(Weight, lambda weight: weight.animal in animals or weight.content in here)
    searches = some(Search, lambda search: search.enclosure in wanted)
    bedding = some(BatchUse, lambda use: use.enclosure in wanted)
    swaps = some(LabelSwap, lambda swap: swap.enclosure in wanted)
    every = every | {swap.other for swap in swaps.values()}
    protein = some(Protein, lambda given: given.enclosure in wanted)
    return ledger.narrowed(
        {
            Enclosure.table: {id_: ledger.row(Enclosure, id_) for id_ in sorted(every)},
            Content.table: dict(sorted(contents.items())),
            Pairing.table: pairings,
            Due.table: dues,
            Lock.table: locks,
            Loan.table: loans,
            PlannedPairing.table: plans,
            Weight.table: weights,
            Search.table: searches,
            BatchUse.table: bedding,
            Protein.table: protein,
            LabelSwap.table: swaps,
        }
    )


def _brood(ledger: Ledger, content: Content) -> int | None:
    if content.brood is not None or content.animal is None:
        return content.brood
    return ledger.row(Animal, content.animal).brood


def _enclosures(records: Iterable[AtEnclosure]) -> set[int]:
    return {record.enclosure for record in records if record.enclosure is not None}
