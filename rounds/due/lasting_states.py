"""Work that ends what lasts for a time: pairings that are over, loans due back, locks that end."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.due import work_sentences
from rounds.due.due_index import DueIndex, counted, preset_range
from rounds.due.kinds import WorkSource
from rounds.records.label_doubts import LABELS, open_swaps
from rounds.records.naming import code
from rounds.records.tables import Enclosure, Lock, Pairing
from rounds.values.spans import LAST, UNKNOWN, Span, told

DAYS_TO_SETTLE = 7
"""A week: common practice, no source."""


def pairing_periods(index: DueIndex, since: int) -> Iterator[WorkSource]:
    """A pair that stays together in a laying enclosure is meant to: its period does not end."""
    for pairing in index.ledger.rows(Pairing):
        box_id = pairing.enclosure
        if pairing.until is None and pairing.female is not None:
            box_id = index.box_of.get(pairing.female, box_id)
        if box_id is None:
            continue
        if pairing.until is not None and pairing.until.latest < since and box_id not in index.dues:
            continue
        box = index.ledger.row(Enclosure, box_id)
        if pairing.until is None and box.stage in ("laying", "colony"):
            continue
        done = pairing.until.latest if pairing.until is not None else None
        days = preset_range(index.species(box, index.contents.get(box_id, [])), "together_days")
        anchor = f"pairing-{pairing.name or pairing.id}"
        yield counted("pairing-over", box_id, anchor, pairing.since, days, work_sentences.pairing_over, done)


def loans_back(index: DueIndex) -> Iterator[WorkSource]:
    for animal, loans in index.loans.items():
        name = index.animal(animal)
        for n, loan in enumerate(loans, 1):
            due = loan.due_back
            back = work_sentences.due_back_there if loan.way == "in" else work_sentences.due_back_here
            why = back(name, loan.owner, told(due)) if due is not None else ""
            yield WorkSource(
                "loan-back",
                index.box_of.get(animal),
                animal,
                f"loan-{n}",
                loan.since or UNKNOWN,
                Span(due.earliest, due.latest) if due is not None else None,
                due.latest if due is not None and due.exact else None,
                why,
                loan.back.latest if loan.back is not None else None,
            )


def lock_ends(index: DueIndex) -> Iterator[WorkSource]:
    """Locks that end by themselves; one without an end is lifted by an act."""
    seen: dict[tuple[str, int], int] = {}
    for lock in index.ledger.rows(Lock):
        on, id_ = ("animal", lock.animal) if lock.animal is not None else ("enclosure", lock.enclosure)
        if id_ is None:
            continue
        n = seen[on, id_] = seen.get((on, id_), 0) + 1
        until = lock.until
        if until is None or lock.lifted is not None or until.latest >= LAST:
            continue
        box = index.box_of.get(lock.animal, lock.enclosure) if lock.animal is not None else lock.enclosure
        yield WorkSource(
            "lock-end",
            box,
            lock.animal,
            f"lock-{n}",
            Span(lock.from_day, lock.from_day),
            Span(until.earliest, until.latest),
            until.latest if until.exact else None,
            work_sentences.lock_ends(lock.forbids.split(), told(until), lock.reason),
        )


def doubted_labels(index: DueIndex) -> Iterator[WorkSource]:
    """Whether labels were swapped is to be said within a week: the longer it waits, the more rests on it."""
    for swap in open_swaps(index.ledger):
        told = swap.until or UNKNOWN
        last = min(told.latest, index.today)
        here, other = code(index.ledger, swap.enclosure), code(index.ledger, swap.other)
        yield WorkSource(
            LABELS,
            swap.enclosure,
            None,
            f"labels-{other}",
            told,
            Span(last, last + DAYS_TO_SETTLE),
            None,
            work_sentences.labels_in_doubt(here, other),
        )
