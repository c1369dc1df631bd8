"""Whom an act may concern at an enclosure: those in it, and for some acts those who are not there.

Each is (what would be typed, what is shown), the ones here first. None means that there is
nobody to record the act for, so that it is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rounds.books import plans
from rounds.books.acts import Act
from rounds.books.ledger import Ledger, Row

Whom = tuple[tuple[str, str], ...]
HOUSE: Whom = (("", "the house"),)


def whom(ledger: Ledger, act: Act, enclosure: int) -> Whom:
    """Those an act may concern when it is recorded at an enclosure."""
    if act.id in PICKED:
        return PICKED[act.id](ledger, enclosure)
    found = BY_TABLE.get(act.on)
    return found(ledger, enclosure) if found is not None else ()


def _itself(ledger: Ledger, enclosure: int) -> Whom:
    code = str(ledger.row("enclosure", enclosure)["code"])
    return ((code, code),)


def _here(ledger: Ledger, enclosure: int) -> list[Row]:
    return [r for _, r in ledger.rows("content", enclosure=enclosure, until=None)]


def _animals(ledger: Ledger, enclosure: int) -> Whom:
    return tuple(animal(ledger, r["animal"]) for r in _here(ledger, enclosure) if r["animal"] is not None)


def _broods(ledger: Ledger, enclosure: int) -> Whom:
    """Broods with a counted group here."""
    found = (r["brood"] for r in _here(ledger, enclosure) if r["animal"] is None)
    return tuple(_named(ledger, "brood", b) for b in dict.fromkeys(found) if b is not None)


def _lines(ledger: Ledger, enclosure: int) -> Whom:
    """The lines of those here, then all others."""
    here = [r["line"] for r in _here(ledger, enclosure) if r["line"] is not None]
    return _each(ledger, "line", [*here, *(i for i, _ in ledger.rows("line"))])


def _lines_here(ledger: Ledger, enclosure: int) -> Whom:
    """The lines of those here; where nobody is told apart by line, every line."""
    here = [r["line"] for r in _here(ledger, enclosure) if r["line"] is not None]
    return _each(ledger, "line", here) if here else _lines(ledger, enclosure)


def _pairings(ledger: Ledger, enclosure: int) -> Whom:
    return _each(ledger, "pairing", [i for i, _ in ledger.rows("pairing", enclosure=enclosure, until=None)])


def _plans(ledger: Ledger, enclosure: int) -> Whom:
    return tuple((str(r["name"]), plans.both(ledger, r)) for r in plans.here(ledger, enclosure))


def _batches(ledger: Ledger, enclosure: int) -> Whom:  # noqa: ARG001
    """The newest first."""
    return _each(ledger, "batch", [i for i, _ in reversed(list(ledger.rows("batch")))])


def _trials(ledger: Ledger, enclosure: int) -> Whom:  # noqa: ARG001
    """Running ones: nothing of the others is changed."""
    return _each(ledger, "trial", [i for i, _ in ledger.rows("trial", closed=None)])


def _house(ledger: Ledger, enclosure: int) -> Whom:  # noqa: ARG001
    return HOUSE


BY_TABLE: dict[str, Callable[[Ledger, int], Whom]] = {
    "enclosure": _itself, "animal": _animals, "brood": _broods, "line": _lines_here, "pairing": _pairings,
    "plan": _plans, "batch": _batches, "trial": _trials, "": _house,
}  # fmt: skip
"""By the table an act is done to."""


# Acts that concern only some of those, or somebody who is not here


def _missing(ledger: Ledger, enclosure: int) -> Whom:  # noqa: ARG001
    return tuple(animal(ledger, i) for i, _ in ledger.rows("animal", state="missing"))


def _lent(ledger: Ledger, enclosure: int) -> Whom:  # noqa: ARG001
    return tuple(animal(ledger, r["animal"]) for _, r in ledger.rows("loan", way="out", back=None))


def _borrowed(ledger: Ledger, enclosure: int) -> Whom:
    ours = {r["animal"] for _, r in ledger.rows("loan", way="in", back=None)}
    return tuple(animal(ledger, r["animal"]) for r in _here(ledger, enclosure) if r["animal"] in ours)


def _with(column: str, without: str = "") -> Callable[[Ledger, int], Whom]:
    """Animals here that have something in a column, and nothing in another."""

    def some(ledger: Ledger, enclosure: int) -> Whom:
        here = [r["animal"] for r in _here(ledger, enclosure) if r["animal"] is not None]
        rows = {a: ledger.row("animal", a) for a in here}
        return tuple(animal(ledger, a) for a, r in rows.items() if r[column] and not (without and r[without]))

    return some


def _group(ledger: Ledger, enclosure: int) -> Whom:
    """The enclosure, when a counted group is in it."""
    grouped = any(r["animal"] is None for r in _here(ledger, enclosure))
    return _itself(ledger, enclosure) if grouped else ()


def _locked(ledger: Ledger, enclosure: int) -> Whom:
    """The enclosure, when a lock of its own can be lifted."""
    own = any(True for _ in ledger.rows("lock", enclosure=enclosure, lifted=None))
    return _itself(ledger, enclosure) if own else ()


PICKED: dict[str, Callable[[Ledger, int], Whom]] = {
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
