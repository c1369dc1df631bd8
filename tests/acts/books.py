"""A small ledger of the invented house, and short ways to record acts in it, for tests of acts.

The house on :data:`TODAY`::

    T-01 holding   UMBER/1 m              T-08 resting     TALLOW/8 f
    T-02 holding   UMBER/2 f              T-09 colony      BRAMBLE 4.6.0
    T-03 pairing   KESTREL/1 m, /2 f      T-10 quarantine  RUSH/1 m, lot Moss Gate spring
         (pairing P-01, open)             T-11 prepared
    T-04 laying    UMBER/4 f (P-02 over,  T-12 empty
         its male UMBER/3 is dead)        T-13 eggs        UMBER-01, at least 10 eggs
    T-05 larvae    LOCH-01, 12+ L2        T-14 larvae      UMBER/5, a single L3, unsexed
    T-06 larvae    LOCH-01, 2.3.4 L3      T-15 empty
    T-07 cell      TALLOW/7

Each box stands in the slot of its number (T-01 in A1-1, T-05 in A2-1, ...), T-10 apart from them
in D2-1. LOCH-01 was found as at least 0.0.21.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired
from rounds.acts.fields import FieldError
from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import (
    TABLES,
    Animal,
    Brood,
    Content,
    Due,
    Enclosure,
    Line,
    Lock,
    Lot,
    Pairing,
    PairingMale,
    Place,
    Trial,
    TrialFemale,
)
from rounds.values.span_parser import parse_span
from rounds.values.spans import Span

TODAY = date(2026, 5, 18).toordinal()
APART = 53  # D2-1


def span(text: str) -> Span:
    """What a keeper would have typed, as a span."""
    return parse_span(text)


def day(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def ref(ledger: Ledger, table: str, name: str) -> int:
    """The id of the row of this name: ``ref(books, "animal", "UMBER/1")``."""
    from rounds.acts import fields as act_fields

    return act_fields.ref(table, name, ledger)


def row(ledger: Ledger, table: str, name: str) -> Any:
    """The record of this name; its class is that of the table."""
    return ledger.row(TABLES[table], ref(ledger, table, name))


def inside(ledger: Ledger, box: str) -> list[str]:
    """Who is in a box now, as words: ``["UMBER/1"]`` or ``["LOCH-01 2.3.4 L3"]``."""
    out = []
    for content in ledger.rows(Content, Content.enclosure.is_(ref(ledger, "enclosure", box))):
        if content.until is not None:
            continue
        if content.animal is not None:
            out.append(animal_name(ledger, content.animal))
            continue
        name = ledger.row(Brood, content.brood).name if content.brood is not None else None
        if name is None:
            name = ledger.row(Line, content.line).name if content.line is not None else "?"
        counts = f"{content.males}.{content.females}.{content.unsexed}" + ("+" if content.at_least else "")
        out.append(" ".join(filter(None, (name, counts, content.instar))))
    return out


def _typed(fields: dict[str, str]) -> dict[str, str]:
    """Keyword arguments as typed fields; ``with_`` stands for ``with``."""
    return {name.rstrip("_"): text for name, text in fields.items()}


def plan(
    ledger: Ledger, act: str, subject: str = "", /, *, today: int = TODAY, sure: bool = False, **f: str
) -> registry.PlannedAct:
    return registry.plan(act, subject, _typed(f), ledger, today, "Ferrow", sure=sure)


def record(
    ledger: Ledger, act: str, subject: str = "", /, *, today: int = TODAY, sure: bool = False, **f: str
) -> Ledger:
    """The books after an act; also checks that taking it back gives the books as they were."""
    made = plan(ledger, act, subject, today=today, sure=sure, **f)
    after = ledger.after(made.changes)
    assert made.changes, f"{act} changed nothing"
    assert after != ledger
    assert after.after(registry.reversal(made.changes)) == ledger
    return after


def refused(ledger: Ledger, act: str, subject: str = "", /, **f: str) -> dict[str, FieldError]:
    """The slips an act is refused with, by field."""
    with pytest.raises(registry.BadAct) as e:
        plan(ledger, act, subject, **f)
    return {s.field: s for s in e.value.slips}


def asked(ledger: Ledger, act: str, subject: str = "", /, **f: str) -> ConfirmationRequired:
    """The question an act asks back; also checks that saying yes settles it."""
    with pytest.raises(ConfirmationRequired) as e:
        plan(ledger, act, subject, **f)
    assert plan(ledger, act, subject, sure=True, **f).changes
    return e.value


def house() -> Ledger:
    """The books described above."""
    d = Draft(Ledger())
    long_ago = span("2025-08-18")
    places = {
        n: d.add(Place(bay=bay, shelf=shelf, slot=slot))
        for n, (bay, shelf, slot) in enumerate(
            ((b, s, k) for b in "ABCD" for s in range(1, 5) for k in range(1, 5)), 1
        )
    }
    torquata, derbyana = "Mecynorhina torquata", "Dicronorhina derbyana"
    smithi, marginata = "Eudicella smithi", "Pachnoda marginata"
    lot = d.add(
        Lot(
            name="Moss Gate spring",
            species=smithi,
            arrived=span("2026-05-06"),
            from_whom="Moss Gate",
            papers="MG-114",
            origin="second generation, said to be from a hill farm",
            quarantine_until=day("2026-06-05"),
            males=1,
        )
    )
    line = {
        name: d.add(Line(name=name, species=species, opened=long_ago, lot=lot if name == "RUSH" else None))
        for name, species in (
            ("UMBER", torquata),
            ("KESTREL", torquata),
            ("LOCH", derbyana),
            ("SORREL", derbyana),
            ("TALLOW", smithi),
            ("RUSH", smithi),
            ("BRAMBLE", marginata),
        )
    }
    stages = {
        1: ("holding", torquata),
        2: ("holding", torquata),
        3: ("pairing", torquata),
        4: ("laying", torquata),
        5: ("larvae", derbyana),
        6: ("larvae", derbyana),
        7: ("cell", smithi),
        8: ("resting", smithi),
        9: ("colony", marginata),
        10: ("quarantine", smithi),
        11: ("prepared", ""),
        12: ("empty", ""),
        13: ("eggs", torquata),
        14: ("larvae", torquata),
        15: ("empty", ""),
    }
    box = {
        n: d.add(
            Enclosure(
                code=f"T-{n:02}",
                number=n,
                stage=stage,
                stage_since=span("2026-04-17"),
                place=places[APART] if stage == "quarantine" else places[n],
                species=species,
                litres=10.0,
            )
        )
        for n, (stage, species) in stages.items()
    }

    def animal(name: str, sex: str, at: int, since: str = "2026-03-18", **more: Value) -> int:
        of, number = name.split("/")
        made = d.add(Animal(line=line[of], number=number, sex=sex, **more))
        if at:
            d.add(Content(enclosure=box[at], animal=made, line=line[of], since=span(since)))
        return made

    first = {"emerged": span("2026-01-18"), "first_feed": span("2026-02-06"), "mature": span("2026-02-19")}
    umber1 = animal("UMBER/1", "m", 1, **first)
    animal("UMBER/2", "f", 2, **first)
    umber3 = animal("UMBER/3", "m", 0, state="dead", died=span("2026-04-26"))
    umber4 = animal("UMBER/4", "f", 4, "2026-04-20", sire=umber1, **first)
    kestrel1, kestrel2 = animal("KESTREL/1", "m", 3), animal("KESTREL/2", "f", 3)
    animal("UMBER/5", "unknown", 14)
    animal("TALLOW/7", "unknown", 7, wandering=span("2026-04-06"), cell=span("about 2026-04-17"))
    animal("TALLOW/8", "f", 8, eclosed=span("May 2026"))
    animal("RUSH/1", "m", 10, "2026-05-06", lot=lot)
    d.add(
        Lock(
            enclosure=box[10],
            forbids="move",
            from_day=day("2026-05-06"),
            until=span("2026-06-05"),
            reason="quarantine",
        )
    )
    d.add(
        Due(
            enclosure=box[10],
            what="end of quarantine",
            earliest=day("2026-06-05"),
            likely=day("2026-06-05"),
            latest=day("2026-06-05"),
            why="Moss Gate spring came on 6 May 2026",
        )
    )

    one = d.add(Pairing(name="P-01", female=kestrel2, enclosure=box[3], since=span("2026-05-08")))
    d.add(PairingMale(pairing=one, male=kestrel1, since=span("2026-05-08")))
    two = d.add(
        Pairing(
            name="P-02",
            female=umber4,
            enclosure=box[3],
            paternity="certain",
            since=span("2026-03-27"),
            until=span("2026-04-20"),
            mated=span("2026-04-04"),
        )
    )
    d.add(PairingMale(pairing=two, male=umber3, since=span("2026-03-27"), until=span("2026-04-20")))
    d.add(
        Lock(
            enclosure=box[4],
            forbids="dig",
            from_day=day("2026-04-20"),
            until=span("2026-05-21"),
            reason="until the first search",
        )
    )

    loch = d.add(
        Brood(
            name="LOCH-01",
            line=line["LOCH"],
            found=span("2026-01-27"),
            instar="L1",
            unsexed=21,
            at_least=True,
        )
    )
    umber = d.add(
        Brood(
            name="UMBER-01",
            line=line["UMBER"],
            pairing=two,
            found=span("2026-05-11"),
            instar="eggs",
            unsexed=10,
            at_least=True,
        )
    )

    def group(at: int, of: str, males: int, females: int, unsexed: int, **more: Value) -> None:
        d.add(
            Content(
                enclosure=box[at],
                line=line[of],
                males=males,
                females=females,
                unsexed=unsexed,
                since=span("2026-04-17"),
                **more,
            )
        )

    group(5, "LOCH", 0, 0, 12, brood=loch, at_least=True, instar="L2")
    group(6, "LOCH", 2, 3, 4, brood=loch, instar="L3")
    group(9, "BRAMBLE", 4, 6, 0)
    group(13, "UMBER", 0, 0, 10, brood=umber, at_least=True, instar="eggs")
    return d.ledger


def counted_house() -> Ledger:
    """The house with a brood and a colony that were counted to the last one, so that totals must be met."""
    draft = Draft(house())
    line = ref(draft.ledger, "line", "SORREL")
    box, colony = (
        draft.add(Enclosure(code=f"T-{n}", number=n, stage=stage, place=n, species="Dicronorhina derbyana"))
        for n, stage in ((16, "larvae"), (17, "colony"))
    )
    brood = draft.add(Brood(name="SORREL-01", line=line, found=span("2026-03-18"), instar="L1", unsexed=9))
    lot = draft.add(Lot(name="Nine Alders", arrived=span("2026-02-15"), males=2, females=3))
    draft.add(
        Content(
            enclosure=box,
            line=line,
            brood=brood,
            males=1,
            females=2,
            unsexed=6,
            instar="L3",
            since=span("2026-04-17"),
        )
    )
    draft.add(Content(enclosure=colony, line=line, lot=lot, males=2, females=3, since=span("2026-04-17")))
    return draft.ledger


def with_trial(house: Ledger) -> Ledger:
    """A trial that runs, a pairing that may join it, and animals enough for another one."""
    draft = Draft(house)
    line = ref(draft.ledger, "line", "UMBER")
    box = draft.add(Enclosure(code="T-18", number=18, stage="holding", species="Mecynorhina torquata"))
    trial = draft.add(Trial(name="TR-01", endpoint="adult", stops=TODAY + 90, opened=TODAY - 30))
    made = []
    for n in range(20, 28):
        animal = draft.add(Animal(line=line, number=str(n), sex="mf"[n % 2]))
        draft.add(Content(enclosure=box, animal=animal, line=line, since=span("2026-04-17")))
        made.append(animal)
    for arm, at in (("sibs", 0), ("cross", 2)):
        draft.add(TrialFemale(trial=trial, arm=arm, male=made[at], female=made[at + 1]))
    pairing = draft.add(
        Pairing(
            name="P-03",
            female=made[5],
            purpose="sibs",
            since=span("2026-04-17"),
            until=span("2026-05-01"),
        )
    )
    draft.add(PairingMale(pairing=pairing, male=made[4], since=span("2026-04-17"), until=span("2026-05-01")))
    return draft.ledger
