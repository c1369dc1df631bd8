"""What only some tables of the books must keep: pedigrees, numbers, places, windows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

from rounds.files import parent_checks
from rounds.files import row_sentences as sentences
from rounds.files.cells_in import CellError, animal
from rounds.files.cells_out import iso
from rounds.files.row_comparison import Checker, named, said
from rounds.files.typed_tables import Sheet, TypedRow
from rounds.store.snapshot import Address, HouseRow
from rounds.values.spans import Span, told


def house_differs(sheet: Sheet, row: TypedRow, has: HouseRow, says: HouseRow) -> None:
    for column, a, b in zip(HouseRow._fields, has, says, strict=True):
        if a != b:
            sheet.problem(row, column, *sentences.book_has(said(a), said(b)))


# Row by row: each may fill in what the row leaves to be worked out


def _own_name(column: str) -> Callable[[Checker, Sheet, TypedRow, dict[str, Any]], None]:
    def fits(check: Checker, sheet: Sheet, row: TypedRow, _made: dict[str, Any]) -> None:
        key = check.key(sheet, row)
        if row[column] is not None and key is not None and row[column] != key:
            own, name = named(sheet.table.name, key), named(sheet.table.name, row[column])
            sheet.problem(row, column, *sentences.not_its_own_name(name, own))

    return fits


def _content(check: Checker, sheet: Sheet, row: TypedRow, made: dict[str, Any]) -> None:
    _inmate(check, sheet, row, made)
    _rough(check, sheet, row, made)
    counts = [made[c] for c in ("males", "females", "unsexed")]
    if made["void"]:
        return
    if made["animal"] is not None or row["animal"] is not None or "animal" in row.bad:
        if any(counts) or made["at_least"]:
            sheet.problem(row, "males", *sentences.COUNTS_OF_AN_ANIMAL)
    elif made["line"] is None and made["lot"] is None and made["brood"] is None:
        if not row.bad & {"line", "lot", "brood"}:
            sheet.problem(row, "line", *sentences.WHOSE_ARE_THEY)
    elif made["until"] is None and not any(counts) and not made["at_least"] and not row.bad:
        sheet.problem(row, "animal", *sentences.NOBODY_THERE)


def _who(check: Checker, row: TypedRow) -> parent_checks.Kin | None:
    """The animal of a row of contents: LINE/NUMBER, or its own number beside its line."""
    text, line = row["animal"], row["line"]
    if text is None:
        return None
    try:
        whole: parent_checks.Kin | None = animal(text)
    except CellError:
        whole = None
    if line is None or (whole is not None and whole in check.known("animals")):
        return whole
    return (line, text)


def _inmate(check: Checker, sheet: Sheet, row: TypedRow, made: dict[str, Any]) -> None:
    made["animal"] = who = _who(check, row)
    if who is not None:
        if who[0] in check.known("lines") or row["line"] is None:
            check.refers(sheet, row, "animal", who)
    elif row["animal"] is not None:
        sheet.problem(row, "animal", *sentences.no_inmate(row["animal"]))


def _lock(_check: Checker, sheet: Sheet, row: TypedRow, _made: dict[str, Any]) -> None:
    if not row.bad and (row["enclosure"] is None) == (row["animal"] is None):
        both = row["enclosure"] is not None
        sheet.problem(row, "enclosure", *sentences.lock_on_one_of_both(names_both=both))
    until: Span | None = row["until"]
    if until is not None and row["from"] is not None and until.latest < row["from"]:
        sheet.problem(row, "until", *sentences.before_the_lock(str(until)))


def _due(_check: Checker, sheet: Sheet, row: TypedRow, _made: dict[str, Any]) -> None:
    if not row.bad and row["enclosure"] is None and row["animal"] is None:
        sheet.problem(row, "enclosure", *sentences.NEITHER_OF_BOTH)
    days = [(c, row[c]) for c in ("earliest", "likely", "latest") if row[c] is not None]
    for (a, low), (b, high) in pairwise(days):
        if high < low:
            sheet.problem(row, b, *sentences.out_of_order(a, iso(low), "earliest, likely, latest"))


def _plan(_check: Checker, sheet: Sheet, row: TypedRow, _made: dict[str, Any]) -> None:
    if row["female"] is not None and row["female"] == row["male"]:
        sheet.problem(row, "male", *sentences.paired_with_itself(parent_checks.name(row["male"])))
    first, last = row["earliest"], row["latest"]
    if first is not None and last is not None and last < first:
        sheet.problem(row, "latest", *sentences.out_of_order("earliest", iso(first), "earliest, latest"))
    if row["pairing"] is not None and row["dropped"] is not None:
        sheet.problem(row, "dropped", *sentences.MADE_ALREADY)


def _rough(_check: Checker, sheet: Sheet, row: TypedRow, made: dict[str, Any]) -> None:
    """A rough count: what is counted is the fewest, the most is more, and "at least" is said."""
    high = made["high"]
    if row.bad or high is None:
        return
    counted = made["unsexed"] if "unsexed" in made else sum(made[c] or 0 for c in ("eggs", "l1", "l2", "l3"))
    if high <= counted:
        sheet.problem(row, "high", *sentences.most_not_above_counted(high, counted))
    elif not made["at_least"]:
        sheet.problem(row, "at_least", *sentences.ROUGH_AND_EXACT)


BY_ROW: dict[str, Callable[[Checker, Sheet, TypedRow, dict[str, Any]], None]] = {
    "animals": _own_name("who"),
    "places": _own_name("address"),
    "lots": _rough,
    "contents": _content,
    "searches": _rough,
    "broods": _rough,
    "locks": _lock,
    "due": _due,
    "plans": _plan,
}


class Orders:
    """The order of enclosures in a slot: as given, else as the book has it, else as they stand in the file."""

    def __init__(self, check: Checker) -> None:
        self.held = check.held.tables["enclosure"]
        self.last: dict[Address, int] = {}

    def of(self, row: TypedRow) -> int:
        place, held = row["place"], self.held.get(row["code"])
        if row["order"] is not None:
            order = int(row["order"])
        elif held is not None and held["place"] == place:
            order = int(held["slot_order"])
        else:
            order = self.last.get(place, 0) + 1 if place else 0
        if place is not None:
            self.last[place] = max(self.last.get(place, 0), order)
        return order


class Numbers:
    """The short numbers of enclosures: as given, else as the book has them, else the lowest nobody has."""

    def __init__(self, check: Checker) -> None:
        self.held = check.held.tables["enclosure"]
        self.taken = {e["number"] for e in self.held.values()}
        self.taken |= {r["number"] for r in check.sheets["enclosures"].rows}
        self.next = 1

    def of(self, row: TypedRow) -> int:
        held = self.held.get(row["code"])
        if row["number"] is not None:
            return int(row["number"])
        if held is not None:
            return int(held["number"])
        while self.next in self.taken:
            self.next += 1
        self.taken.add(self.next)
        return self.next


# Table by table


def _pedigree(check: Checker) -> None:
    sheet, held = check.sheets["animals"], check.held.tables["animal"]
    known = {k: (a["sex"], a["born"]) for k, a in held.items()}
    for row in sheet.rows:
        if (key := check.key(sheet, row)) is not None:
            known[key] = (row["sex"] or "unknown", row["born"])
    parents = {k: tuple(p for p in (a["sire"], a["dam"]) if p) for k, a in held.items()}
    parent_checks.check(sheet, known, parents)


def _numbers(check: Checker) -> None:
    sheet = check.sheets["enclosures"]
    numbers = {
        e["number"]: sentences.where_in_the_book(c)
        for c, e in check.held.tables["enclosure"].items()
        if not e["void"]
    }
    for row in sheet.rows:
        code, number = row["code"], row["number"]
        if code is None or number is None or row["void"]:
            continue
        mine = sentences.where_in_line(code, row.line)
        other = numbers.setdefault(number, mine)
        if other not in (mine, sentences.where_in_the_book(code)):
            sheet.problem(row, "number", *sentences.number_taken(number, other))


def _whereabouts(check: Checker) -> None:
    """Nobody is in two places, and only who is alive is anywhere."""
    held, sheet, animals = check.held.tables, check.sheets["contents"], check.sheets["animals"]
    where: dict[Any, tuple[Any, str]] = {
        c["animal"]: (c["enclosure"], sentences.IN_THE_BOOK)
        for c in held["content"].values()
        if c["animal"] and c["until"] is None and not c["void"]
    }
    states = {k: a["state"] for k, a in held["animal"].items()}
    states |= {check.key(animals, r): r["state"] or "alive" for r in animals.rows}
    for row in sheet.rows:
        me = _who(check, row)
        if me is None or row["until"] is not None or row["void"] or "until" in row.bad:
            continue
        code = row["enclosure"]
        before = where.setdefault(me, (code, sentences.in_line(row.line)))
        if before[0] != code and code is not None:
            told = sentences.in_two_places(parent_checks.name(me), before[0], before[1])
            sheet.problem(row, "enclosure", *told)
        if states.get(me) in ("dead", "gone", "missing"):
            told = sentences.cannot_be_here(parent_checks.name(me), states[me])
            sheet.problem(row, "animal", *told)


def _plans(check: Checker) -> None:
    """A female has one open plan at a time."""
    sheet = check.sheets["plans"]
    open_: dict[Any, tuple[Any, str]] = {
        p["female"]: (name, sentences.IN_THE_BOOK)
        for name, p in check.held.tables["plan"].items()
        if p["pairing"] is None and p["dropped"] is None and not p["void"]
    }
    for row in sheet.rows:
        if row["pairing"] is not None or row["dropped"] is not None or row["void"] or row["female"] is None:
            continue
        name = row["plan"]
        before = open_.setdefault(row["female"], (name, sentences.in_line(row.line)))
        if before[0] != name and name is not None:
            told = sentences.has_an_open_plan(parent_checks.name(row["female"]), before[0], before[1])
            sheet.problem(row, "female", *told)


WHOLE: tuple[Callable[[Checker], None], ...] = (_pedigree, _numbers, _whereabouts, _plans)


def remarks(new: Mapping[str, Mapping[Any, Mapping[str, Any]]]) -> list[str]:
    """What is right in new rows (by the book's table and key) and yet should be told.

    Moving a female to lay sets a lock; one that came laying from a table may have none.
    Where a search is in the tables too, the wait for the first one is over.
    """
    paired = {r["enclosure"] for r in new["pairing"].values() if not r["void"] and r["until"] is None}
    single = [
        sentences.pairing_not_recorded(str(code))
        for code, e in new["enclosure"].items()
        if e["stage"] == "pairing" and not e["void"] and code not in paired
    ]
    kept = {r["enclosure"] for t in ("lock", "search") for r in new[t].values() if not r["void"]}
    return single + [
        sentences.laying_without_a_lock(str(code), told(e["stage_since"]))
        for code, e in new["enclosure"].items()
        if e["stage"] == "laying" and e["stage_since"] is not None and not e["void"] and code not in kept
    ]
