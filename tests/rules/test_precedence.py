"""What comes first: foul, hot and flooded before every lock, and surfaced larvae until these are ruled out."""

from __future__ import annotations

import pytest

from rounds.config import read
from rounds.husbandry.locks import ActiveLock, in_force
from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.records.observations import Flag
from rounds.rules.evaluate import RuleSet, applies, evaluate
from rounds.settings.layers import layers
from rounds.walk.rule_monitor import Watch
from tests.rules.boxes import TODAY, box, group, scene, seen

CONFIG = read(layers(None)[:1])
RULES = RuleSet(CONFIG.rules)
ALL = ActiveLock(FORBIDS, None, "nothing may be done")
EMERGENCY = {
    "foul-smell": {"smell": "sour"},
    "hot-substrate": {"warmth": "hot"},
    "standing-water": {"moisture": "water"},
    "larvae-surfaced": {"surfaced": 2},
}


def flags(stage: str, *visits: dict[str, object]) -> dict[str, Flag]:
    """What stands at the last of some daily visits, worst first, in a box in which nothing may be done."""
    past = [seen(len(visits) - n, **v) for n, v in enumerate(visits)]
    there = scene(*past, at=box(stage, contents=(group(unsexed=6, instar="L3"),)))
    found = evaluate(RULES, there, in_force(stage, [ALL], TODAY))
    return {f.rule.id: f.flag for f in found if f.flag is not None}


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("rule", EMERGENCY)
def test_an_emergency_is_never_withheld_and_stands_first(rule: str, stage: str) -> None:
    mine = next(r for r in CONFIG.rules if r.id == rule)
    found = flags(stage, {**EMERGENCY[rule], "mites": "many", "mould": "many"})
    if not applies(mine, stage, ""):
        assert rule not in found
        return
    assert next(iter(found)) == rule
    assert found[rule].level == "now"
    assert found[rule].withheld == ""
    # The control: work that can wait is kept back by the same lock, and comes after.
    later = [f for id_, f in found.items() if id_ != rule]
    assert {f.level for f in later} == {"today"}
    if stage in ("laying", "larvae", "holding"):
        assert all("nothing may be done" in f.withheld for f in later)


@pytest.mark.parametrize("rule", EMERGENCY)
def test_an_emergency_lets_the_walk_look_closer_and_nothing_less_does(rule: str) -> None:
    watch = Watch(CONFIG.rules, TODAY, "", lambda box, rule: b"1" * 16, {})
    locks = in_force("larvae", [ALL], TODAY)

    def overridden(**read_: object) -> bool:
        visit = seen(0, **read_)
        watch.judge(scene(visit, at=box("larvae")), locks, visit.uid, visit.at_ms, "")
        return watch.overrides(1)

    assert not overridden(warmth="warm", mites="many", mould="many", surfaced=1)
    assert overridden(**EMERGENCY[rule])


@pytest.mark.parametrize("cause", ["foul-smell", "hot-substrate", "standing-water"])
@pytest.mark.parametrize("surfaced", [1, 3])
def test_surfaced_larvae_come_after_their_cause(cause: str, surfaced: int) -> None:
    """Nobody is sent to make a cell for one larva while the box is foul: what is read first is the cause."""
    found = list(flags("larvae", {**EMERGENCY[cause], "surfaced": surfaced}))
    larva = "larva-surfaced" if surfaced == 1 else "larvae-surfaced"
    assert larva in found
    assert cause in found
    assert found.index(cause) < found.index(larva)


@pytest.mark.parametrize("stage", ["laying", "larvae", "eggs", "wandering", "colony"])
def test_surfaced_larvae_mean_gas_until_smell_heat_and_water_are_ruled_out(stage: str) -> None:
    text = flags(stage, {"surfaced": 4})["larvae-surfaced"].todo
    for word in (
        "Smell it in moving air",
        "feel the base",
        "look for water",
        "If any is wrong",
        "If none is",
    ):
        assert word in text
    assert ("move only that one out" in text) is (stage != "wandering")


def test_one_that_wanders_is_expected_where_larvae_wander() -> None:
    assert "larva-surfaced" in flags("larvae", {"surfaced": 1})
    assert flags("wandering", {"surfaced": 1}) == {}
