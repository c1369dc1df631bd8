"""The rules that come with the program: right, tested, careful, and quiet on ordinary days."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from rounds.husbandry import cautions
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.husbandry.species import Species
from rounds.husbandry.species_file import species
from rounds.husbandry.stages import STAGES
from rounds.records.observations import Visit
from rounds.rules import forbidden_advice
from rounds.rules.evaluate import RuleSet, evaluate
from rounds.rules.measures import MEASURES
from rounds.rules.replay import Replayed, Stay, replay
from rounds.rules.rule import CARRY, RULE_LEVELS, Rule, Slot, Todo, leaves
from rounds.rules.rule_parser import parse
from rounds.rules.rule_schema import schema
from rounds.rules.worked_cases import Case, lacking, parse_cases, run
from rounds.settings import where, yamlfile
from rounds.settings.document import Document
from tests.rules.boxes import TODAY, box, group, scene, seen

CONFIG = where.shipped("config")
FILES = sorted((CONFIG / "rules").glob("*.yaml"))


def documents(folder: Path) -> list[Document]:
    return [
        yamlfile.read(p, f"config/{p.relative_to(CONFIG).as_posix()}") for p in sorted(folder.glob("*.yaml"))
    ]


@pytest.fixture(scope="module")
def words() -> Vocabulary:
    return vocabulary([yamlfile.read(CONFIG / "readings.yaml")])


@pytest.fixture(scope="module")
def rules(words: Vocabulary) -> list[Rule]:
    found, problems = parse([documents(CONFIG / "rules")], words)
    assert problems == []
    return found


@pytest.fixture(scope="module")
def cases(words: Vocabulary, rules: list[Rule]) -> list[Case]:
    found, problems = parse_cases(documents(CONFIG / "rules" / "tests"), [r.id for r in rules], words)
    assert problems == []
    return found


@cache
def presets() -> Mapping[str, Species]:
    """The shipped species files."""
    return species([documents(CONFIG / "species")])


def test_every_case_holds_and_no_rule_lacks_one(cases: list[Case], rules: list[Rule]) -> None:
    assert [str(p) for p in run(cases, rules, presets)] == []
    assert [str(p) for p in lacking(cases, rules)] == []


def test_the_cases_would_notice_if_a_rule_stopped_working(cases: list[Case], rules: list[Rule]) -> None:
    """Control: each rule turned into one that never holds, or always, fails a case of its own."""
    for rule in rules:
        own = [c for c in cases if c.rule == rule.id]
        leaf = leaves(rule.when)[0]
        never = rule._replace(when=leaf._replace(key="=adults", op="under", value=-1))
        always = rule._replace(
            when=leaf._replace(key="=adults", op="at_least", value=-1), lasting_visits=1, lasting_days=0
        )
        assert run(own, [never], presets), rule.id
        assert run(own, [always], presets), rule.id


def test_the_schema_file_is_the_one_the_tables_make() -> None:
    """Made by `rounds rules schema rules > config/schema/rules.json`."""
    assert json.loads((CONFIG / "schema" / "rules.json").read_text(encoding="utf-8")) == schema()


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_shipped_files_satisfy_the_schema(path: Path) -> None:
    made = schema()
    jsonschema.Draft202012Validator.check_schema(made)
    jsonschema.validate(yamlfile.read(path).data, made, jsonschema.Draft202012Validator)


@pytest.mark.parametrize(
    "rule",
    [
        {"id": "a"},
        {"id": "a", "when": {"reading": "moisture"}},
        {"id": "a", "when": {"reading": "moisture", "iss": "wet"}},
        {"id": "a", "when": {"measure": "moisture", "is": "wet"}},
        {"id": "a", "when": {"measure": "same_for_visits", "over": 2}},
        {"id": "a", "when": {"all": []}},
        {"id": "a", "when": {"reading": "m", "is": 1}, "level": "urgent"},
        {"id": "a", "when": {"reading": "m", "is": 1}, "lasting": {"visits": 2, "days": 2}},
        {"id": "a", "when": {"reading": "m", "is": 1}, "do": {"larva": "x"}},
        {"id": "A b", "when": {"reading": "m", "is": 1}},
    ],
)
def test_the_schema_refuses_what_the_parser_refuses(rule: dict[str, Any], words: Vocabulary) -> None:
    data = {"rules": [rule]}
    assert list(jsonschema.Draft202012Validator(schema()).iter_errors(data))
    assert parse([[Document("f", data, {})]], words)[1]


def test_there_are_enough_and_every_level_is_used(rules: list[Rule]) -> None:
    assert len(rules) >= 16
    assert {r.level for r in rules} == set(RULE_LEVELS)
    assert {"standing-water", "unused-food"} <= {r.id for r in rules}


def _plain(todo: Todo | None) -> str:
    return "" if todo is None else "".join(p for p in todo.text if isinstance(p, str))


def test_each_stage_a_rule_serves_is_told_what_to_do_and_nothing_harmful(rules: list[Rule]) -> None:
    for rule in rules:
        if rule.level == CARRY:
            continue
        for stage in rule.stages or STAGES:
            text = _plain(rule.todo(stage))
            assert text, f"{rule.id} says nothing for {stage}"
            assert forbidden_advice.breaks(stage, text) == "", f"{rule.id}, {stage}"


def test_no_reason_of_an_action_holds_a_count_of_days_that_is_untrue_tomorrow(rules: list[Rule]) -> None:
    """An open action keeps its text: how long something lasted is said as the day it began."""
    for rule in rules:
        slots = [part for part in rule.because if isinstance(part, Slot)]
        dated = {slot.key for slot in slots if slot.dated}
        counted = {s.key for s in slots if s.key == "+held_days" or unit_of(s.key) in ("days", "h")}
        assert counted <= dated, rule.id  # beside the day it began, a count says until when it was counted
        visits = {s.key for s in slots if s.key == "+held_visits" or unit_of(s.key) == "visits"}
        assert not visits, rule.id


def unit_of(key: str) -> str:
    return MEASURES[key[1:].partition(" of ")[0]].unit if key[0] == "=" else ""


def test_only_foul_hot_or_flooded_overrides_locks(rules: list[Rule]) -> None:
    assert {r.id for r in rules if r.over_locks} == {
        "standing-water",
        "foul-smell",
        "hot-substrate",
        "larvae-surfaced",
    }


def test_where_gas_or_spores_can_hurt_the_text_says_how_to_work(rules: list[Rule]) -> None:
    by_id = {r.id: r for r in rules}
    for stage in STAGES:
        assert "moving air" in _plain(by_id["foul-smell"].todo(stage))
    assert "spores" in _plain(by_id["mould"].todo("larvae"))


def ordinary_days(rng: random.Random, days: int = 60) -> list[Stay]:
    """Sixty boxes on unremarkable days: what a keeper types and confirms when nothing is wrong."""
    stays = []
    plan = [
        ("holding", 6),
        ("pairing", 5),
        ("laying", 8),
        ("eggs", 4),
        ("larvae", 23),
        ("cell", 6),
        ("resting", 4),
    ]
    for number, stage in enumerate(s for s, n in plan for _ in range(n)):
        feeding = stage in ("holding", "pairing", "laying")
        rate = rng.uniform(0.4, 2.0)
        visits: list[Visit] = []
        for ago in range(days, -1, -1):
            if rng.random() < 0.03:
                visits.append(seen(ago, skipped="time"))
                continue
            read: dict[str, Any] = {}
            confirmed: dict[str, Any] | None = {"moisture": "right", "lid": True}
            if feeding:
                read["jelly_gone"] = min(9, max(0, round(rng.gauss(rate, 0.6))))
                read["activity"] = rng.choice(("out", "below", "still", "unseen"))
                if ago % 3 == number % 3:
                    read["jelly_in"] = 4
            if rng.random() < 0.02:
                read["moisture"] = rng.choice(("dry", "wet"))
            if stage == "larvae" and rng.random() < 0.004:
                read["surfaced"] = 1
            visits.append(seen(ago, confirmed=confirmed, **read))
        contents = (group(1, 1),) if feeding else (group(unsexed=1, instar="L3"),)
        stays.append(
            Stay(box(stage, contents=contents)._replace(id=number), visits, TODAY - days + 14, TODAY)
        )
    return stays


def replayed(rules: list[Rule]) -> Replayed:
    return replay(RuleSet(rules), ordinary_days(random.Random(20260301)))


def test_they_are_quiet_on_ordinary_days(rules: list[Rule]) -> None:
    found = replayed(rules)
    assert found.visits > 2000
    assert found.flags_per_100 < 6


def test_quietness_would_be_noticed_if_lost(rules: list[Rule]) -> None:
    """Control: rules that jump at the first day of little food are noise."""
    eager = {"eating-less": 0.9, "not-eating": 1, "female-long-below": 1}
    noisy = [
        r._replace(lasting_visits=1, when=leaves(r.when)[0]._replace(value=eager[r.id]))
        if r.id in eager
        else r
        for r in rules
    ]
    assert replayed(noisy).flags_per_100 > 6


# -- what the texts may and must say ---------------------------------------------------------------

SENT_TO_ELECTRICITY = re.compile(
    r"heat(er|ing|ers)\b|thermostat|plug|cables?\b|shelf.s temperature|draw the water|[Mm]ist |[Mm]oisten|drops"
)


def texts(rule: Rule) -> str:
    return " ".join(part for todo in rule.do.values() for part in todo.text if isinstance(part, str))


def test_whoever_is_sent_to_water_or_heaters_is_told_of_electricity(rules: list[Rule]) -> None:
    sent = {r.id for r in rules if SENT_TO_ELECTRICITY.search(texts(r))} | {"bring-water"}
    assert len(sent) >= 8
    assert {id_ for id_ in sent if "electric" not in cautions.RULE_CAUTIONS.get(id_, ())} == set()
    caution = cautions.CAUTIONS["electric"].text
    for word in ("residual-current device", "independent cut-out", "qualified person"):
        assert word in caution


SENT_TO = {
    "dust": r"(fresh|old|upper|dry|damp) (substrate|mix)\b|[Bb]in |thirds|mouldy|[Oo]ld food|old mix|soaked",
    "foul": r"away from your face(?! for the spores)|smell",
    "lifting": r"[Cc]arry the box|lower shelf|tilt the box|[Pp]ut the box apart",
    "claws": r"\b(female|animals|beetle|larvae) out\b|the animals into|every animal|\bcup\b|food (out|and)|grip|Right it"
    r"|who is still there|every cup",
    "freezer": r"\bbody\b",
    "escape": r"lid closes|Fasten it",
}
"""What a text sends hands to, by the caution that has to stand beside it."""
LOOKS_ONLY = {"claws": {"long-unseen", "gone-beyond"}}
"""Texts that name animals or cups and send nobody's hands to them."""


@pytest.mark.parametrize("caution", SENT_TO)
def test_whoever_is_sent_to_something_is_told_what_to_mind(rules: list[Rule], caution: str) -> None:
    sent = {r.id for r in rules if re.search(SENT_TO[caution], texts(r))} - LOOKS_ONLY.get(caution, set())
    assert len(sent) >= 2
    assert {id_ for id_ in sent if caution not in cautions.RULE_CAUTIONS.get(id_, ())} == set()


def test_every_caution_is_of_a_rule_that_there_is(rules: list[Rule]) -> None:
    assert set(cautions.RULE_CAUTIONS) <= {r.id for r in rules}


def test_what_smells_or_is_hot_is_opened_away_from_the_face_in_every_stage(rules: list[Rule]) -> None:
    by = {r.id: r for r in rules}
    for id_ in ("foul-smell", "hot-substrate"):
        for todo in by[id_].do.values():
            text = "".join(part for part in todo.text if isinstance(part, str)).casefold()
            assert "moving air" in text, (id_, text)
            assert "away from your face" in text, (id_, text)


def test_nothing_is_poured_and_no_wall_is_darkened(rules: list[Rule]) -> None:
    """Water that runs down the wall stands at the base: eggs are lost first (common practice, no source)."""
    for rule in rules:
        for word in ("pour", "base darkens", "along the wall"):
            assert word not in texts(rule).casefold(), rule.id


def test_a_foul_hot_flooded_box_with_larvae_on_top_gets_one_instruction(rules: list[Rule]) -> None:
    worst = seen(0, smell="sour", warmth="hot", moisture="water", surfaced=3, lid=False)
    for stage, full in (
        ("larvae", ["hot-substrate", "lid-open"]),
        ("cell", ["hot-substrate", "standing-water", "lid-open"]),
    ):
        found = evaluate(RuleSet(rules), scene(worst, at=box(stage)))
        urgent = [f for f in found if f.flag is not None and f.flag.level == "now"]
        assert [f.rule.id for f in urgent if not f.flag.todo.endswith("covers this too.")] == full, stage  # type: ignore[union-attr]
        assert urgent[0].rule.id == "hot-substrate"


def test_what_a_species_likes_differently_in_the_readings_is_in_its_file_too(words: Vocabulary) -> None:
    """`usual_for` in readings.yaml and `moisture` in the species file say the same."""
    compared = 0
    for stage in words.stages.values():
        for name, fine in stage.fine_for.items():
            for word in fine.get("moisture", ()):
                assert word in presets()[name].words("moisture", stage.stage), (name, stage.stage)
                compared += 1
    assert compared >= 3
