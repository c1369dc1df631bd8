"""Whom an act may concern at an enclosure: those in it, and for some acts those who are not there.

Each is (what would be typed, what is shown), the ones here first. None means that there is
nobody to record the act for: it is listed without a key that records it, and :func:`nobody` says why.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rounds.acts import offer_sentences as sentences
from rounds.acts import running_trials
from rounds.acts.act import Act
from rounds.acts.groups import counted, said
from rounds.due import planned_pairings
from rounds.named_tuple import NamedTuple
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import (
    TABLES,
    Animal,
    Batch,
    Brood,
    Content,
    Enclosure,
    Line,
    Loan,
    Lock,
    Pairing,
    Trial,
)
from rounds.values.spans import Span

Whom = tuple[tuple[str, str], ...]
HOUSE: Whom = (("", "the house"),)


class Box(NamedTuple):
    """An enclosure with who is in it now (their content records), looked up once for all acts."""

    ledger: Ledger
    id: int
    here: list[Content]

    def animals(self) -> list[int]:
        return [content.animal for content in self.here if content.animal is not None]


def box(ledger: Ledger, enclosure: int) -> Box:
    return Box(
        ledger,
        enclosure,
        list(ledger.rows(Content, Content.enclosure.is_(enclosure), Content.until.is_(None))),
    )


def whom(at: Box, act: Act) -> Whom:
    """Those an act may concern when it is recorded at an enclosure."""
    found = PICKED.get(act.id) or BY_TABLE.get(act.on)
    return found(at) if found is not None else ()


def _itself(at: Box) -> Whom:
    code = str(at.ledger.row(Enclosure, at.id).code)
    return ((code, code),)


def _animals(at: Box) -> Whom:
    return tuple(animal(at.ledger, a) for a in at.animals())


def _broods(at: Box) -> Whom:
    """Broods with a counted group here, each with how many there are of what age."""
    found: dict[str, list[str]] = {}
    for content in at.here:
        if content.animal is None and content.brood is not None:
            many = sentences.group_of(said(counted(content)), content.instar)
            found.setdefault(at.ledger.row(Brood, content.brood).name, []).append(many)
    return tuple((name, sentences.brood_here(name, tuple(many))) for name, many in found.items())


def _lines(at: Box) -> Whom:
    """The lines of those here, then all others."""
    here = [content.line for content in at.here if content.line is not None]
    return _each(at.ledger, Line.name, [*here, *(line.id for line in at.ledger.rows(Line))])


def _lines_here(at: Box) -> Whom:
    """The lines of those here; where nobody is told apart by line, every line."""
    here = [content.line for content in at.here if content.line is not None]
    return _each(at.ledger, Line.name, here) if here else _lines(at)


def _pairings(at: Box) -> Whom:
    return _each(
        at.ledger,
        Pairing.name,
        [
            pairing.id
            for pairing in at.ledger.rows(Pairing, Pairing.enclosure.is_(at.id), Pairing.until.is_(None))
        ],
    )


def _plans(at: Box) -> Whom:
    return tuple(
        (planned.name, planned_pairings.both(at.ledger, planned))
        for planned in planned_pairings.here(at.ledger, at.id)
    )


def _batches(at: Box) -> Whom:
    """The newest first."""
    return _each(at.ledger, Batch.name, [batch.id for batch in reversed(list(at.ledger.rows(Batch)))])


def _trials(at: Box) -> Whom:
    """Running ones: nothing of the others is changed."""
    return _each(at.ledger, Trial.name, [trial.id for trial in at.ledger.rows(Trial, Trial.closed.is_(None))])


def _house(at: Box) -> Whom:  # noqa: ARG001
    return HOUSE


BY_TABLE: dict[str, Callable[[Box], Whom]] = {
    "enclosure": _itself,
    "animal": _animals,
    "brood": _broods,
    "line": _lines_here,
    "pairing": _pairings,
    "plan": _plans,
    "batch": _batches,
    "trial": _trials,
    "": _house,
}
"""By the table an act is done to."""


# Acts that concern only some of those, or somebody who is not here


def _missing(at: Box) -> Whom:
    return tuple(animal(at.ledger, row.id) for row in at.ledger.rows(Animal, Animal.state.is_("missing")))


def _lent(at: Box) -> Whom:
    return tuple(
        animal(at.ledger, loan.animal)
        for loan in at.ledger.rows(Loan, Loan.way.is_("out"), Loan.back.is_(None))
    )


def _borrowed(at: Box) -> Whom:
    ours = {loan.animal for loan in at.ledger.rows(Loan, Loan.way.is_("in"), Loan.back.is_(None))}
    return tuple(animal(at.ledger, a) for a in at.animals() if a in ours)


def _with(column: Column[str], without: Column[Span | None] | None = None) -> Callable[[Box], Whom]:
    """Animals here that have something in a column, and nothing in another."""

    def some(at: Box) -> Whom:
        every = (at.ledger.row(Animal, a) for a in dict.fromkeys(at.animals()))
        return tuple(
            animal(at.ledger, one.id)
            for one in every
            if one.value(column) and (without is None or one.value(without) is None)
        )

    return some


def _group(at: Box) -> Whom:
    """The enclosure, when a counted group is in it."""
    grouped = any(content.animal is None for content in at.here)
    return _itself(at) if grouped else ()


def _group_of_no_brood(at: Box) -> Whom:
    """The enclosure, when a counted group is in it that is no brood."""
    some = any(content.animal is None and content.brood is None for content in at.here)
    return _itself(at) if some else ()


def _pairing_open(at: Box) -> Whom:
    """The enclosure, when a pairing stands in it."""
    return _itself(at) if _pairings(at) else ()


def _female(at: Box) -> Whom:
    """The enclosure, when somebody here is or may be a female."""
    some = any(at.ledger.row(Animal, a).sex != "m" for a in at.animals())
    return _itself(at) if some else ()


def _not_yet(step: Column[Span | None]) -> Callable[[Box], Whom]:
    """Animals here of whom a day of their adult life is not known yet."""

    def some(at: Box) -> Whom:
        every = (at.ledger.row(Animal, a) for a in dict.fromkeys(at.animals()))
        return tuple(animal(at.ledger, one.id) for one in every if one.value(step) is None)

    return some


def _locked(at: Box) -> Whom:
    """The enclosure, when a lock of its own can be lifted."""
    own = any(True for lock in at.ledger.rows(Lock, Lock.enclosure.is_(at.id), Lock.lifted.is_(None)))
    return _itself(at) if own else ()


def _in_trial(at: Box) -> Whom:
    """Females here that sit in a running trial."""
    return tuple(animal(at.ledger, a) for a in at.animals() if running_trials.seat(at.ledger, a) is not None)


PICKED: dict[str, Callable[[Box], Whom]] = {
    "found": _missing,
    "came-back": _lent,
    "went-back": _borrowed,
    "mark-lost": _with(Animal.mark, Animal.mark_lost),
    "promise-over": _with(Animal.promised),
    "lift": _locked,
    "mating-seen": _pairing_open,
    "to-laying": _female,
    "eclosed": _not_yet(Animal.eclosed),
    "emerged": _not_yet(Animal.emerged),
    "first-feed": _not_yet(Animal.first_feed),
    "mature": _not_yet(Animal.mature),
    "weigh-one": _group,
    "split-some": _group_of_no_brood,
    "loan-in": _lines,
    "trial-out": _in_trial,
    **dict.fromkeys(("sexed-some", "move-some", "dead-some", "given-away-some", "missing-some"), _group),
}


def nobody(act: Act) -> str:
    """Why an act that concerns nobody here is not offered today."""
    return sentences.NOBODY.get(act.id) or sentences.NOBODY_IN.get(act.on, sentences.NOT_HERE)


# Names


def animal(ledger: Ledger, id_: int) -> tuple[str, str]:
    one = ledger.row(Animal, id_)
    sex = {"m": " m", "f": " f"}.get(one.sex, "")
    return name_of(ledger, one), f"{ledger.row(Line, one.line).name} {one.number}{sex}"


def _each(ledger: Ledger, column: Column[str], ids: Iterable[int]) -> Whom:
    """Records by their names, which are in this column: each once, in the order given."""
    table = TABLES[column.table]
    names = (ledger.row(table, i).value(column) for i in dict.fromkeys(ids))
    return tuple((name, name) for name in names)
