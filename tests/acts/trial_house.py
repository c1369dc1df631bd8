"""A house in which a sib trial can begin: two families of Eudicella smithi, ready to breed and unmated.

TALLOW/11 to /14 and RUSH/11 to /14 are females in holding boxes F-1 … F-8, TALLOW/21 to /28
males in M-1 … M-8; all TALLOW have the same parents, and so have all RUSH. L-1 … L-8 stand
prepared on shelf A3 and A4.
"""

from __future__ import annotations

from functools import partial

from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Content, Enclosure, Line, Place
from tests.acts import books
from tests.acts.books import day, span

TODAY = books.TODAY + 3
"""The day on which trials are opened and changed here."""
plan, record = partial(books.plan, today=TODAY), partial(books.record, today=TODAY)
refused, asked = partial(books.refused, today=TODAY), partial(books.asked, today=TODAY)

SMITHI = "Eudicella smithi"
SIBS = ("TALLOW/11", "TALLOW/12", "TALLOW/13", "TALLOW/14")
CROSS = ("RUSH/11", "RUSH/12", "RUSH/13", "RUSH/14")
MALES = tuple(f"TALLOW/{20 + n}" for n in range(1, 9))
PLACES = ("A3-1", "A3-2", "A3-3", "A3-4", "A4-1", "A4-2", "A4-3", "A4-4")

OPEN = {
    "endpoint": "adult",
    "stops": "2026-12-17",
    "sibs": ",".join(SIBS),
    "sib_males": ",".join(MALES[:4]),
    "cross": ",".join(CROSS),
    "cross_males": ",".join(MALES[4:]),
    "seed": "7",
}
"""What is typed to open a trial of four females an arm."""
OPENING = "2026-05-15"


def families() -> Ledger:
    d = Draft(Ledger())
    places = {}
    for shelf in range(1, 5):
        for slot in range(1, 9):
            places[f"A{shelf}-{slot}"] = d.add(Place(bay="A", shelf=shelf, slot=slot))
    lines = {name: d.add(Line(name=name, species=SMITHI)) for name in ("TALLOW", "RUSH")}
    number = 0

    def box(code: str, stage: str, place: str) -> int:
        nonlocal number
        number += 1
        return d.add(Enclosure(code=code, number=number, stage=stage, species=SMITHI, place=places[place]))

    def animal(name: str, sex: str, **more: object) -> int:
        line, short = name.split("/")
        return d.add(Animal(line=lines[line], number=short, sex=sex, **more))  # type: ignore[arg-type]

    parents = {}
    for line in ("TALLOW", "RUSH"):
        parents[line] = {
            "sire": animal(f"{line}/1", "m", state="dead"),
            "dam": animal(f"{line}/2", "f", state="dead"),
        }
    grown = {
        "eclosed": span("2026-03-06"),
        "emerged": span("2026-03-27"),
        "first_feed": span("2026-04-17"),
        "mature": span("2026-05-01"),
    }
    for n, name in enumerate((*SIBS, *CROSS), 1):
        made = animal(name, "f", **grown, **parents[name.split("/")[0]])
        at = box(f"F-{n}", "holding", f"A1-{n}")
        d.add(Content(enclosure=at, animal=made, line=lines[name.split("/")[0]], since=span("2026-04-17")))
    for n, name in enumerate(MALES, 1):
        made = animal(name, "m", **grown, **parents["TALLOW"])
        at = box(f"M-{n}", "holding", f"A2-{n}")
        d.add(Content(enclosure=at, animal=made, line=lines["TALLOW"], since=span("2026-04-17")))
    for n, place in enumerate(PLACES, 1):
        box(f"L-{n}", "prepared", place)
    return d.ledger


def opened(ledger: Ledger | None = None, **more: str) -> Ledger:
    """The house with the trial TR-01 begun."""
    return record(
        families() if ledger is None else ledger, "trial-open", today=day(OPENING), **{**OPEN, **more}
    )


def paired(ledger: Ledger, female: str, male: str, box: str, name: str = "", on: str = OPENING) -> Ledger:
    """Put together in a laying box as the walk records it."""
    named = {"name": name} if name else {}
    return record(ledger, "pair", box, female=female, males=male, on=on, **named)
