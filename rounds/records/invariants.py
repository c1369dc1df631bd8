"""What must be true of any books: who is where, who descends from whom, counts that add up.

Acts keep this by their preconditions; taking an act back is checked against it, and so are
the tests that record acts at random.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rounds.husbandry.spans import Span
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import TABLES


def parents(ledger: Ledger, animal: int) -> set[int]:
    """Father and mother as far as they are certain: recorded for it, or its brood's mother.

    The males of a pairing are only possible fathers and are not among them.
    """
    row = ledger.row("animal", animal)
    known = {row["sire"], row["dam"]}
    brood = row["brood"]
    if brood is not None:
        pairing = ledger.row("brood", brood)["pairing"]
        if pairing is not None:
            known.add(ledger.row("pairing", pairing)["female"])
    return {p for p in known if p is not None}


def ancestors(ledger: Ledger, animal: int) -> set[int]:
    """Everyone an animal certainly descends from (itself only if the books are wrong)."""
    found: set[int] = set()
    ask = [animal]
    while ask:
        new = parents(ledger, ask.pop()) - found
        found |= new
        ask.extend(new)
    return found


def faults(ledger: Ledger) -> list[str]:
    """Every way in which these books cannot be right, as sentences without a full stop."""
    return [fault for check in CHECKS for fault in check(ledger)]


def _places(ledger: Ledger) -> Iterator[str]:
    """Alive: in exactly one place. Missing, gone or dead: in none."""
    here: dict[int, int] = {}
    for _, row in ledger.rows("content", until=None):
        if row["animal"] is not None:
            here[row["animal"]] = here.get(row["animal"], 0) + 1
    for i, row in ledger.rows("animal"):
        places = here.get(i, 0)
        if places > 1:
            yield f"{animal_name(ledger, i)} is in {places} places at once"
        if not places and row["state"] == "alive":
            yield f"{animal_name(ledger, i)} is alive and in no enclosure"
        if places and row["state"] != "alive":
            yield f"{animal_name(ledger, i)} is {row['state']} and still in an enclosure"


def _ancestry(ledger: Ledger) -> Iterator[str]:
    for i, row in ledger.rows("animal"):
        if (row["sire"] or row["dam"] or row["brood"]) and i in ancestors(ledger, i):
            yield f"{animal_name(ledger, i)} would be its own ancestor"


def sexes(ledger: Ledger) -> Iterator[str]:
    """A father or male of a pairing is not female, a mother or female of a pairing not male."""

    def wrong(animal: int | None, sex: str) -> bool:
        return animal is not None and ledger.row("animal", animal)["sex"] not in (sex, "unknown")

    for i, row in ledger.rows("animal"):
        for column, sex, word in (("sire", "m", "father"), ("dam", "f", "mother")):
            if wrong(row[column], sex):
                yield f"the {word} of {animal_name(ledger, i)}, {animal_name(ledger, row[column])}, would not be {sex}"
    for _, row in ledger.rows("pairing"):
        if wrong(row["female"], "f"):
            yield f"{animal_name(ledger, row['female'])}, the female of {row['name']}, would be male"
    for _, row in ledger.rows("pairing_male"):
        if wrong(row["male"], "m"):
            yield f"{animal_name(ledger, row['male'])}, a male of a pairing, would be female"


def _total(row: Row) -> int:
    return int(row["males"] + row["females"] + row["unsexed"])


def _totals(ledger: Ledger) -> Iterator[str]:
    """What was found of a brood or an arrival is what is there now and what became of the rest."""
    there: dict[tuple[str, int], list[int]] = {}
    for _, row in ledger.rows("content", animal=None):
        if _total(row) < 0 or min(row["males"], row["females"], row["unsexed"]) < 0:
            yield "a group would hold fewer than none"
        for of in ("brood", "lot"):
            if row[of] is not None and row["until"] is None:
                sums = there.setdefault((of, row[of]), [0, 0])
                sums[0] += _total(row)
                sums[1] |= row["at_least"]
    for _, row in ledger.rows("fewer"):
        for of in ("brood", "lot"):
            if row[of] is not None:
                there.setdefault((of, row[of]), [0, 0])[0] += _total(row)
    for (of, i), (sum_, more) in there.items():
        found = ledger.row(of, i)
        most = _total(found)
        if sum_ > most and not found["at_least"]:
            yield f"{of} {found['name']} would have {sum_} where {most} were found"
        if sum_ < most and not more:
            yield f"{of} {found['name']} would have {sum_} left where {most} were found"


def _references(ledger: Ledger) -> Iterator[str]:
    """No row that counts refers to one that does not."""
    counts = {table: {i for i, _ in ledger.rows(table)} for table in TABLES}
    for table in TABLES.values():
        refs = [(c.name, c.of) for c in table.columns if c.type == "ref"]
        for i, row in ledger.rows(table.table):
            for column, of in refs:
                if row[column] is not None and row[column] not in counts[of]:
                    yield f"{table.table} {i} would refer to a {of} that was taken back"


def _days(ledger: Ledger) -> Iterator[str]:
    """No span runs backwards, and nobody leaves certainly before they came."""
    for table in TABLES.values():
        spans = [c.name for c in table.columns if c.type == "span"]
        for i, row in ledger.rows(table.table):
            for column in spans:
                value: Span | None = row[column]
                if value is not None and value.earliest > value.latest:
                    yield f"{column} of {table.table} {i} would run backwards"
    for i, row in ledger.rows("content"):
        if (
            row["since"] is not None
            and row["until"] is not None
            and row["until"].latest < row["since"].earliest
        ):
            yield f"content {i} would end before it began"


def _plans(ledger: Ledger) -> Iterator[str]:
    """A plan is open, made or given up, never two of them; what was made of it is its two animals' pairing."""
    open_: dict[int, str] = {}
    for _, row in ledger.rows("plan"):
        name = row["name"]
        if row["female"] == row["male"]:
            yield f"{name} would pair {animal_name(ledger, row['female'])} with itself"
        if row["earliest"] is not None and row["latest"] is not None and row["latest"] < row["earliest"]:
            yield f"the days of {name} would run backwards"
        if row["pairing"] is not None and row["dropped"] is not None:
            yield f"{name} would be both made and given up"
        elif row["pairing"] is None and row["dropped"] is None:
            if row["female"] in open_:
                yield f"{animal_name(ledger, row['female'])} would have two open plans, {open_[row['female']]} and {name}"
            open_[row["female"]] = name
        if row["pairing"] is not None and not _made_of(ledger, row):
            yield f"{name} would be made as a pairing of others"


def _made_of(ledger: Ledger, plan: Row) -> bool:
    males = {r["male"] for _, r in ledger.rows("pairing_male", pairing=plan["pairing"])}
    return ledger.row("pairing", plan["pairing"])["female"] == plan["female"] and plan["male"] in males


def _trials(ledger: Ledger) -> Iterator[str]:
    """A trial ends after it began; the pairing of a female in it is hers."""
    for _, row in ledger.rows("trial"):
        for column, word in (("stops", "end"), ("closed", "be closed")):
            if row["opened"] is not None and row[column] is not None and row[column] < row["opened"]:
                yield f"the trial {row['name']} would {word} before it began"
    for _, row in ledger.rows("trial_female"):
        if row["pairing"] is not None and ledger.row("pairing", row["pairing"])["female"] != row["female"]:
            yield f"{animal_name(ledger, row['female'])} would be in a trial with the pairing of another"


CHECKS: tuple[Callable[[Ledger], Iterator[str]], ...] = (
    _places, _ancestry, sexes, _totals, _references, _days, _plans, _trials,
)  # fmt: skip
"""Every check of :func:`faults`; a new one is added here."""
