"""Whom an act may concern at an enclosure: those in it, and for some acts those who are not there.

Each is (what would be typed, what is shown), the ones here first. None means that there is
nobody to record the act for, so that it is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from rounds.acts.act import Act
from rounds.due import planned_pairings
from rounds.records.column import Row
from rounds.records.ledger import Ledger

Whom = tuple[tuple[str, str], ...]
HOUSE: Whom = (("", "the house"),)


class Box(NamedTuple):
    """An enclosure with who is in it now (their content rows), looked up once for all acts."""

    ledger: Ledger
    id: int
    here: list[Row]

    def animals(self) -> list[int]:
        return [r["animal"] for r in self.here if r["animal"] is not None]


def box(ledger: Ledger, enclosure: int) -> Box:
    return Box(ledger, enclosure, [r for _, r in ledger.rows("content", enclosure=enclosure, until=None)])


def whom(at: Box, act: Act) -> Whom:
    """Those an act may concern when it is recorded at an enclosure."""
    found = PICKED.get(act.id) or BY_TABLE.get(act.on)
    return found(at) if found is not None else ()


def _itself(at: Box) -> Whom:
    code = str(at.ledger.row("enclosure", at.id)["code"])
    return ((code, code),)


def _animals(at: Box) -> Whom:
    return tuple(animal(at.ledger, a) for a in at.animals())


def _broods(at: Box) -> Whom:
    """Broods with a counted group here."""
    found = (r["brood"] for r in at.here if r["animal"] is None)
    return tuple(_named(at.ledger, "brood", b) for b in dict.fromkeys(found) if b is not None)


def _lines(at: Box) -> Whom:
    """The lines of those here, then all others."""
    here = [r["line"] for r in at.here if r["line"] is not None]
    return _each(at.ledger, "line", [*here, *(i for i, _ in at.ledger.rows("line"))])


def _lines_here(at: Box) -> Whom:
    """The lines of those here; where nobody is told apart by line, every line."""
    here = [r["line"] for r in at.here if r["line"] is not None]
    return _each(at.ledger, "line", here) if here else _lines(at)


def _pairings(at: Box) -> Whom:
    return _each(at.ledger, "pairing", [i for i, _ in at.ledger.rows("pairing", enclosure=at.id, until=None)])


def _plans(at: Box) -> Whom:
    return tuple(
        (str(r["name"]), planned_pairings.both(at.ledger, r)) for r in planned_pairings.here(at.ledger, at.id)
    )


def _batches(at: Box) -> Whom:
    """The newest first."""
    return _each(at.ledger, "batch", [i for i, _ in reversed(list(at.ledger.rows("batch")))])


def _trials(at: Box) -> Whom:
    """Running ones: nothing of the others is changed."""
    return _each(at.ledger, "trial", [i for i, _ in at.ledger.rows("trial", closed=None)])


def _house(at: Box) -> Whom:  # noqa: ARG001
    return HOUSE


BY_TABLE: dict[str, Callable[[Box], Whom]] = {
    "enclosure": _itself, "animal": _animals, "brood": _broods, "line": _lines_here, "pairing": _pairings,
    "plan": _plans, "batch": _batches, "trial": _trials, "": _house,
}  # fmt: skip
"""By the table an act is done to."""


# Acts that concern only some of those, or somebody who is not here


def _missing(at: Box) -> Whom:
    return tuple(animal(at.ledger, i) for i, _ in at.ledger.rows("animal", state="missing"))


def _lent(at: Box) -> Whom:
    return tuple(animal(at.ledger, r["animal"]) for _, r in at.ledger.rows("loan", way="out", back=None))


def _borrowed(at: Box) -> Whom:
    ours = {r["animal"] for _, r in at.ledger.rows("loan", way="in", back=None)}
    return tuple(animal(at.ledger, r["animal"]) for r in at.here if r["animal"] in ours)


def _with(column: str, without: str = "") -> Callable[[Box], Whom]:
    """Animals here that have something in a column, and nothing in another."""

    def some(at: Box) -> Whom:
        rows = {a: at.ledger.row("animal", a) for a in at.animals()}
        return tuple(
            animal(at.ledger, a) for a, r in rows.items() if r[column] and not (without and r[without])
        )

    return some


def _group(at: Box) -> Whom:
    """The enclosure, when a counted group is in it."""
    grouped = any(r["animal"] is None for r in at.here)
    return _itself(at) if grouped else ()


def _locked(at: Box) -> Whom:
    """The enclosure, when a lock of its own can be lifted."""
    own = any(True for _ in at.ledger.rows("lock", enclosure=at.id, lifted=None))
    return _itself(at) if own else ()


PICKED: dict[str, Callable[[Box], Whom]] = {
    "found": _missing, "came-back": _lent, "went-back": _borrowed, "mark-lost": _with("mark", "mark_lost"),
    "promise-over": _with("promised"), "lift": _locked, "loan-in": _lines,
    **dict.fromkeys(("sexed-some", "move-some", "dead-some", "given-away-some", "missing-some"), _group),
}  # fmt: skip


# Names


def animal(ledger: Ledger, id_: int) -> tuple[str, str]:
    row = ledger.row("animal", id_)
    line = str(ledger.row("line", row["line"])["name"])
    sex = {"m": " m", "f": " f"}.get(row["sex"], "")
    return f"{line}/{row['number']}", f"{line} {row['number']}{sex}"


def _named(ledger: Ledger, table: str, id_: int) -> tuple[str, str]:
    name = str(ledger.row(table, id_)["name"])
    return name, name


def _each(ledger: Ledger, table: str, ids: Iterable[int]) -> Whom:
    return tuple(_named(ledger, table, i) for i in dict.fromkeys(ids))
