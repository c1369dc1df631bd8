"""Every row of the table of life is needed: a directed life shows what is wrong without it.

What is expected after each life is written out here from what a keeper would say of the boxes
(common practice, no source). With the table whole all of it holds.
"""

from __future__ import annotations

import pytest

from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired
from rounds.acts.life_conditions import CONDITIONS
from rounds.due.kinds import DUE_KINDS, kind_of
from rounds.due.work import works
from rounds.husbandry import life_table, locks
from rounds.husbandry.life_table import ANIMAL, ANY, APART, EVERY, HERE, INTO, LEFT, LIFE, LIFE_OF_STAGES
from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.records import enclosure_view
from rounds.records.ledger import Ledger
from rounds.records.tables import Due
from rounds.values.spans import LAST
from tests.acts.books import TODAY, house, ref, row
from tests.acts.life_invariants import SPECIES, contradictions

SETTINGS = registry.Settings(species=SPECIES)
CELL = "a cell is built, or about to be"

Told = tuple[str, ...]
"""An act as typed: its name, whom it is done to, and ``field=value``."""
Expected = tuple[str, str, str]
"""What is expected: ``stage``, ``due``, ``done``, ``no due``, ``lock``, ``no lock``; a box; and which."""

ARRIVAL: Told = ("arrival", "", "species=Mecynorhina torquata", "count=3", "into=T-12")
PAIR: Told = ("pair", "T-12", "female=UMBER/2", "males=UMBER/1")
LAYS: Told = ("to-laying", "T-02", "to=T-11", "on=2026-04-18")
LOCKED: Told = ("wandering", "T-14", "then=lock")
LEFT_T01: Told = ("move", "UMBER/1", "to=T-11", "stage=holding")

TWO_PAIRS: tuple[Told, ...] = (("pair", "T-03", "female=UMBER/2", "males=UMBER/1"),)

LIVES: dict[str, tuple[tuple[Told, ...], tuple[Expected, ...]]] = {
    "newcomers stand apart": (
        (ARRIVAL,),
        (("stage", "T-12", "quarantine"), ("due", "T-12", "quarantine-end"), ("lock", "T-12", "quarantine")),
    ),
    "quarantine is over": (
        (("quarantine-over", "T-10", "stage=holding"),),
        (("done", "T-10", "quarantine-end"), ("no lock", "T-10", "quarantine")),
    ),
    "put together": ((PAIR,), (("stage", "T-12", "pairing"), ("due", "T-12", "pairing-over"))),
    "apart again": (
        (PAIR, ("parted", "P-03", "males_to=T-15")),
        (("done", "T-12", "pairing-over"),),
    ),
    "those of one sex stay behind": (
        (("dead", "KESTREL/1", "rest=keep"),),
        (("stage", "T-03", "holding"),),
    ),
    "the male is free": ((("male-out", "P-01", "to=T-15"),), (("stage", "T-15", "holding"),)),
    "she lays": (
        (("to-laying", "T-02", "to=T-11"),),
        (
            ("stage", "T-11", "laying"),
            ("due", "T-11", "first-search"),
            ("lock", "T-11", "eggs are left alone until the first search"),
        ),
    ),
    "she may have laid where she was": (
        (("to-laying", "T-03", "to=T-11"),),
        (("due", "T-03", "left-over-eggs"),),
    ),
    "she may have laid where she was left without a male": (
        (("dead", "KESTREL/1", "rest=keep"), ("to-laying", "T-03", "to=T-11")),
        (("stage", "T-11", "laying"), ("due", "T-03", "left-over-eggs")),
    ),
    "searched": (
        (LAYS, ("search", "T-11", "how=complete")),
        (("done", "T-11", "first-search"), ("no lock", "T-11", "eggs are left alone until the first search")),
    ),
    "to be searched again": (
        (LAYS, ("search", "T-11", "how=complete")),
        (("row", "T-11", "next-search"),),
    ),
    "it was searched after the last that lays had left": (
        (
            ("to-laying", "T-02", "to=T-11", "on=2026-04-26"),
            ("search", "T-11", "how=complete", "on=2026-05-16"),
            ("dead", "UMBER/2", "rest=keep", "on=2026-05-14"),
        ),
        (("no row", "T-11", "next-search"),),
    ),
    "eggs in a box that was free": (
        (("split", "UMBER-01", "into=T-11", "per=4"),),
        (("stage", "T-11", "eggs"),),
    ),
    "larvae in a box that was free": (
        (("split", "LOCH-01", "from=T-06", "take=males", "into=T-12"),),
        (("stage", "T-12", "larvae"),),
    ),
    "larvae among the eggs": ((("hatched", "UMBER-01", "count=2"),), (("stage", "T-13", "larvae"),)),
    "eggs counted as larvae": (
        (("counted", "T-13", "count=10", "instar=L1"),),
        (("stage", "T-13", "larvae"),),
    ),
    "all substrate changed": (
        (("due-off", "T-05", "work=substrate", "until=+5", "because=no time"), ("rebed", "T-05")),
        (("done", "T-05", "substrate"),),
    ),
    "weighed": (
        (
            ("weigh-one", "T-06", "grams=20", "on=2026-05-06"),
            ("due-off", "T-06", "work=weigh-in", "until=+5", "because=no time"),
            ("weigh-one", "T-06", "grams=21"),
        ),
        (("done", "T-06", "weigh-in"),),
    ),
    "protein is in": ((("protein", "T-05", "what=a pellet"),), (("row", "T-05", "leftovers"),)),
    "leftovers are out": (
        (("protein", "T-05", "what=a pellet"), ("protein-out", "T-05")),
        (("done", "T-05", "leftovers"),),
    ),
    "it wanders": ((("wandering", "T-14"),), (("stage", "T-14", "wandering"),)),
    "it wanders, and only a lock is set": ((LOCKED,), (("lock", "T-14", CELL),)),
    "it has its cell": ((("cell", "T-14"),), (("stage", "T-14", "cell"),)),
    "its cell is left alone until a day": (
        (("cell", "T-14", "until=2026-07-18"),),
        (("lock", "T-14", CELL),),
    ),
    "it rests in its cell": ((("eclosed", "TALLOW/7"),), (("stage", "T-07", "resting"),)),
    "it has left its cell": (
        (LOCKED, ("move-some", "T-06", "count=1.0.0", "to=T-14"), ("emerged", "UMBER/5")),
        (("stage", "T-14", "larvae"), ("no lock", "T-14", CELL)),
    ),
    "all have left their cells": ((("emerged", "TALLOW/7"),), (("stage", "T-07", "holding"),)),
    "adults in a box whose cells are empty": (
        (("missing", "TALLOW/7", "rest=keep"), ("move", "UMBER/1", "to=T-07")),
        (("stage", "T-07", "holding"),),
    ),
    "adults stay where the last cell was": (
        (("move", "UMBER/1", "to=T-07"), ("missing", "TALLOW/7")),
        (("stage", "T-07", "holding"),),
    ),
    "it is ready to breed": (
        (
            ("first-feed", "TALLOW/8"),
            ("due-off", "T-08", "work=ready to breed", "until=+5", "because=no time"),
            ("mature", "TALLOW/8"),
        ),
        (("no due", "T-08", "mature"),),
    ),
    "who died has to be said": ((("dead-here", "T-03", "count=1"),), (("due", "T-03", "who-died"),)),
    "it was said who died": (
        (("dead-here", "T-03", "count=1"), ("dead", "KESTREL/1")),
        (("done", "T-03", "who-died"), ("no due", "T-03", "who-died")),
    ),
    "who is missing has to be said": (
        (("missing-here", "T-03", "count=1"),),
        (("due", "T-03", "who-is-missing"),),
    ),
    "it was said who is missing": (
        (("missing-here", "T-03", "count=1"), ("missing", "KESTREL/1")),
        (("done", "T-03", "who-is-missing"), ("no due", "T-03", "who-is-missing")),
    ),
    "which pair has to be said": (
        (*TWO_PAIRS, ("mated-here", "T-03")),
        (("due", "T-03", "which-pair"),),
    ),
    "it was said which pair": (
        (*TWO_PAIRS, ("mated-here", "T-03"), ("mating-seen", "T-03", "pairing=P-01")),
        (("done", "T-03", "which-pair"), ("no due", "T-03", "which-pair")),
    ),
    "it is gone": (
        (LOCKED, ("move-some", "T-06", "count=1.0.0", "to=T-14"), ("dead", "UMBER/5")),
        (("no lock", "T-14", CELL),),
    ),
    "the last one is out": (
        (("cell", "T-14", "until=2026-07-18"), ("missing", "UMBER/5", "rest=keep")),
        (("no lock", "T-14", CELL), ("no due", "T-14", "emergence")),
    ),
    "what becomes of the box": ((LEFT_T01,), (("row", "T-01", "vacant"),)),
    "it is lived in again": (
        (LEFT_T01, ("move", "UMBER/2", "to=T-01")),
        (("no due", "T-01", "vacant"),),
    ),
    "emptied": (
        (LEFT_T01, ("emptied", "T-01", "looked=yes")),
        (("stage", "T-01", "empty"), ("no due", "T-01", "vacant")),
    ),
    "made ready": (
        (LEFT_T01, ("emptied", "T-01", "looked=yes", "then=prepared")),
        (("stage", "T-01", "prepared"), ("no due", "T-01", "vacant")),
    ),
}
"""A directed life for each row, by its name: acts, and what is to be seen after them."""

STAGE_LIVES: dict[str, tuple[tuple[Told, ...], tuple[Expected, ...]]] = {
    "quarantine": LIVES["newcomers stand apart"],
    "holding": LIVES["she may have laid where she was"],
    "pairing": LIVES["put together"],
    "laying": LIVES["she lays"],
    "eggs": ((), (("lock", "T-13", "eggs are left where they lie"),)),
    "larvae": ((), (("due", "T-05", "substrate"),)),
    "wandering": ((("wandering", "T-14"),), (("lock", "T-14", "it is choosing where to build its cell"),)),
    "cell": ((), (("lock", "T-07", "a broken cell is not built twice"),)),
    "resting": ((), (("lock", "T-08", "it leaves its cell by itself"),)),
    "colony": (
        (LAYS, ("search", "T-11", "how=complete"), ("stage", "T-11", "stage=colony")),
        (("row", "T-11", "next-search"),),
    ),
    "prepared": (
        (LEFT_T01, ("emptied", "T-01", "looked=yes", "then=prepared")),
        (("due", "T-01", "prepared"),),
    ),
}
"""The same for each stage; ``empty`` has nothing that could be left out."""


def lived(acts: tuple[Told, ...]) -> Ledger:
    ledger = house()
    for name, whom, *fields in acts:
        told = dict(f.split("=", 1) for f in fields)
        try:
            plan = registry.plan(name, whom, told, ledger, TODAY, settings=SETTINGS)
        except ConfirmationRequired:
            plan = registry.plan(name, whom, told, ledger, TODAY, sure=True, settings=SETTINGS)
        ledger = ledger.after(plan.changes)
    return ledger


def wrong(ledger: Ledger, expected: tuple[Expected, ...]) -> list[object]:
    """What is not as expected, and every contradiction of the record."""
    return [*(e for e in expected if not _so(ledger, *e)), *contradictions(ledger)]


def _so(ledger: Ledger, what: str, code: str, which: str) -> bool:
    box = ref(ledger, "enclosure", code)
    rows = [d for d in ledger.rows(Due) if kind_of(d.what) == which]
    here = [d for d in rows if d.enclosure == box or d.animal is not None]
    open_ = any(
        w.enclosure == box and w.kind == which for w in works(ledger, SPECIES, TODAY) if w.done is None
    )
    match what:
        case "stage":
            return bool(row(ledger, "enclosure", code).stage == which)
        case "due":
            return open_
        case "no due":
            return not open_
        case "row":
            return any(d.done is None and d.off_until != LAST for d in here)
        case "no row":
            return not any(d.done is None and d.off_until != LAST for d in here)
        case "done":
            return bool(here) and any(d.done is not None for d in here)
    state = enclosure_view.enclosure(ledger, box)
    mine = enclosure_view.locks(ledger, box, TODAY)
    held = locks.in_force(state.stage, mine, TODAY, vacated=state.vacated)
    return any(lock.reason == which for lock in held) == (what == "lock")


@pytest.mark.parametrize("name", LIVES)
def test_a_life_with_the_whole_table_and_without_one_row(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    acts, expected = LIVES[name]
    assert wrong(lived(acts), expected) == []
    monkeypatch.setattr(life_table, "LIFE", tuple(r for r in LIFE if r.name != name))
    assert wrong(lived(acts), expected) != [], f"nothing is wrong without {name}"


def test_where_she_was_paired_nothing_is_looked_for_once_it_was_searched() -> None:
    """Nor where another's pairing was, or none of hers."""
    widowed: Told = ("dead", "KESTREL/1", "rest=keep", "on=2026-05-10")
    searched: Told = ("search", "T-03", "how=complete", "on=2026-05-14")
    ledger = lived((widowed, searched, ("to-laying", "T-03", "to=T-11")))
    assert wrong(ledger, (("stage", "T-11", "laying"), ("no due", "T-03", "left-over-eggs"))) == []
    ledger = lived((("to-laying", "T-02", "to=T-11"),))
    assert wrong(ledger, (("stage", "T-11", "laying"), ("no due", "T-02", "left-over-eggs"))) == []


@pytest.mark.parametrize("stage", STAGE_LIVES)
def test_a_life_without_what_stands_in_a_stage(stage: str, monkeypatch: pytest.MonkeyPatch) -> None:
    acts, expected = STAGE_LIVES[stage]
    assert wrong(lived(acts), expected) == []
    monkeypatch.setitem(LIFE_OF_STAGES, stage, life_table.StageLife(stage))
    if stage in locks.BY_STAGE:
        monkeypatch.delitem(locks.BY_STAGE, stage)
    assert wrong(lived(acts), expected) != []


def test_every_row_has_its_life_and_names_what_there_is() -> None:
    assert [r.name for r in LIFE] == list(LIVES)
    assert list(LIFE_OF_STAGES) == list(STAGES)
    assert set(STAGES) - set(STAGE_LIVES) == {"empty"}
    assert LIFE_OF_STAGES["empty"] == life_table.StageLife("empty")
    acts = {
        *registry.all_acts(),
        *ANY,
        "wandering: lock",
        "cell: until",
        "emptied: empty",
        "emptied: prepared",
    }
    for r in LIFE:
        assert set(r.acts) <= acts, r.name
        assert r.at in (HERE, INTO, LEFT, APART, ANIMAL), r.name
        assert {*r.stages, r.stage} <= {*STAGES, ""}, r.name
        assert r.only_when in ("", *CONDITIONS), r.name
        assert {*r.does, *r.ends} <= {*DUE_KINDS, *EVERY}, r.name
        assert {*r.ends_locks, r.begins_lock} <= {*life_table.LOCKS, *EVERY, ""}, r.name
    assert {r.only_when for r in LIFE} - {""} == set(CONDITIONS), "a condition that no row names"
    standing = {kind for r in LIFE_OF_STAGES.values() for kind in (*r.work, *r.asked)}
    assert standing | set(life_table.WHATEVER_THE_STAGE) == set(DUE_KINDS)
    assert not standing & set(life_table.WHATEVER_THE_STAGE)
    for stage in LIFE_OF_STAGES.values():
        assert set(stage.forbids) <= set(FORBIDS)
        assert set(stage.locks) <= set(life_table.LOCKS)
