"""A house with a sib trial in its books: TALLOW × TALLOW sibs against TALLOW × RUSH, Eudicella smithi.

Each pairing of :data:`PLAN` found 20 eggs in one complete search and the larvae were put in
tubs; the third number of a pairing came to be adults, the rest died as L2.
"""

from __future__ import annotations

from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import TABLES, BatchUse, Enclosure, Fewer, PairingMale, Search
from tests.acts.books import day, span

SMITHI = "Eudicella smithi"
PLAN = {
    "S-01": ("sibs", "TALLOW/11", 6),
    "S-02": ("sibs", "TALLOW/12", 8),
    "S-03": ("sibs", "TALLOW/13", 5),
    "S-04": ("sibs", "TALLOW/14", 7),
    "X-01": ("cross", "RUSH/11", 14),
    "X-02": ("cross", "RUSH/12", 15),
    "X-03": ("cross", "RUSH/13", 12),
    "X-04": ("cross", "RUSH/14", 13),
}
"""Pairing: what for, its female, how many of 20 became adult. Its male is TALLOW/2 followed by its own number."""
TODAY = day("2026-08-18")


class Books(Draft):
    """The draft, with the ids of what was made by name."""

    def __init__(self) -> None:
        super().__init__(Ledger())
        self.ids: dict[str, int] = {}

    def make(self, name: str, table: str, /, **values: Value) -> int:
        made = self.ids[name] = self.add(TABLES[table](**values))
        return made

    def animal(self, name: str, sex: str, **more: Value) -> int:
        line, number = name.split("/")
        first = {
            "emerged": span("2025-12-27"),
            "first_feed": span("2026-01-18"),
            "mature": span("2026-01-31"),
        }
        return self.make(name, "animal", line=self.ids[line], number=number, sex=sex, **{**first, **more})

    def box(self, code: str, stage: str) -> int:
        n = len(list(self.ledger.rows(Enclosure))) + 1
        return self.make(code, "enclosure", code=code, number=n, stage=stage, species=SMITHI)


def trial_books() -> Books:
    b = Books()
    for line in ("TALLOW", "RUSH"):
        b.make(line, "line", name=line, species=SMITHI)
        b.animal(f"{line}/1", "m", state="dead", mature=None, first_feed=None)
        b.animal(f"{line}/2", "f", state="dead", mature=None, first_feed=None)
    mix = b.make("mix 7", "batch", name="mix 7", made=span("2026-02-06"))
    for n, (pairing, (purpose, female, adults)) in enumerate(PLAN.items(), 1):
        line = female.split("/")[0]
        hers = b.animal(female, "f", sire=b.ids[f"{line}/1"], dam=b.ids[f"{line}/2"], state="dead")
        male = b.animal(f"TALLOW/{20 + n}", "m", sire=b.ids["TALLOW/1"], dam=b.ids["TALLOW/2"], state="dead")
        box, tub = b.box(f"L-{n}", "laying"), b.box(f"T-{n}", "holding")
        b.add(BatchUse(batch=mix, enclosure=box, given=span("2026-02-15")))
        made = b.make(
            pairing,
            "pairing",
            name=pairing,
            female=hers,
            enclosure=box,
            purpose=purpose,
            paternity="certain",
            since=span("2026-02-17"),
            until=span("2026-03-06"),
        )
        b.add(PairingMale(pairing=made, male=male, since=span("2026-02-17"), until=span("2026-03-06")))
        search = b.add(Search(enclosure=box, pairing=made, made=span("2026-04-01"), complete=True, eggs=20))
        brood = b.make(
            f"{pairing}-b",
            "brood",
            name=f"{pairing}-b",
            pairing=made,
            search=search,
            found=span("2026-04-01"),
            instar="eggs",
            unsexed=20,
            paternity="certain",
        )
        group = b.make(
            f"{pairing}-g", "content", enclosure=tub, brood=brood, unsexed=adults, since=span("2026-04-17")
        )
        b.add(
            Fewer(
                content=group,
                brood=brood,
                how="dead",
                unsexed=20 - adults,
                instar="L2",
                made=span("2026-05-18"),
            )
        )
    return b
