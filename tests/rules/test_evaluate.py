"""Which rules stand: running tests, what ends them, locks, the carry list."""

from __future__ import annotations

import textwrap
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.locks import ActiveLock
from rounds.records.observations import Visit
from rounds.rules.evaluate import Finding, RuleSet, evaluate
from rounds.rules.rule import Rule
from rounds.rules.scene import Scene
from rounds.text.cleaning import day_words
from tests.rules.boxes import TODAY, box, group, one, parsed, scene, seen

WET = "id: wet\nwhen: {reading: moisture, is: wet}\nbecause: '{moisture} {held_visits}/{held_days}'\n"
SIGNS = {"w": "wet", "r": "right"}


def history(marks: str) -> list[Visit]:
    """One visit a day: w wet, r right, c confirmed as right, u not read, s skipped, - nobody came."""
    out = []
    for i, mark in enumerate(marks):
        ago = len(marks) - 1 - i
        if mark in SIGNS:
            out.append(seen(ago, moisture=SIGNS[mark]))
        elif mark != "-":
            out.append(
                seen(ago, confirmed={"moisture": "right"})
                if mark == "c"
                else seen(ago, skipped="time")
                if mark == "s"
                else seen(ago, on_back=False)
            )
    return out


def verdict(rule: Rule, marks: str, **more: Any) -> bool | None:
    (found,) = evaluate(RuleSet([rule]), scene(*history(marks), **more))
    return found.verdict


def only(rule: Rule, there: Scene, *locks: ActiveLock) -> Finding:
    (found,) = evaluate(RuleSet([rule]), there, locks)
    return found


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("w", False),
        ("ww", False),
        ("www", True),
        ("rwww", True),
        ("wwrw", False),
        ("wwr", False),
        ("wwsw", True),
        ("ww-w", True),
        ("wwuw", True),
        ("wwcw", True),
        ("wws", None),
        ("wwu", None),
        ("wwwu", None),
        ("wwc", None),
        ("wcuswcw", True),
        ("ccc", None),
    ],
)
def test_lasting_some_looks(marks: str, expected: bool | None) -> None:
    assert verdict(one(WET + "lasting: {visits: 3}"), marks) is expected


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("w", False),
        ("www", False),
        ("wwww", True),
        ("w--w", True),
        ("wrww", False),
        ("wcsw", True),
        ("--w", False),
    ],
)
def test_lasting_some_days(marks: str, expected: bool) -> None:
    assert verdict(one(WET + "lasting: {days: 3}"), marks) is expected


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("wr", True),
        ("wrr", False),
        ("wrc", None),
        ("wrsr", False),
        ("wcr", True),
        ("wu", None),
        ("rr", False),
        ("wrw", True),
        ("wrrw", True),
        ("wuur", True),
    ],
)
def test_a_flag_that_ends_after_two_looks_without(marks: str, expected: bool | None) -> None:
    assert verdict(one(WET + "ends_after: {visits: 2}"), marks) is expected


def test_lingering_through_a_short_run_of_its_own() -> None:
    rule = one(WET + "lasting: {visits: 2}\nends_after: {visits: 2}")
    assert verdict(rule, "wwrw") is True
    assert verdict(rule, "wwrrw") is False
    assert verdict(rule, "wr") is False


def test_what_lingers_says_so_and_gives_the_reason_it_rose_for() -> None:
    found = only(one(WET + "ends_after: {visits: 3}"), scene(*history("wwrr")))
    assert found.flag is not None
    assert found.flag.reason == "wet 2/1 Not so on this visit; it ends after 3 such visits."


def test_visits_before_the_stage_do_not_count() -> None:
    rule = one(WET + "lasting: {visits: 3}")
    assert verdict(rule, "www", at=box("laying", days=1)) is False
    assert verdict(rule, "www", at=box("laying", days=2)) is True


def test_a_plain_rule_takes_a_confirmed_choice_but_a_running_test_does_not() -> None:
    right = "id: right\nwhen: {reading: moisture, is: right}\n"
    assert verdict(one(right), "c") is True
    assert verdict(one(right + "lasting: {visits: 1}"), "c") is True
    assert verdict(one(right + "lasting: {visits: 2}"), "rc") is None


@given(st.text("wrcus-", min_size=1, max_size=14), st.integers(2, 4))
def test_confirmed_unread_and_skipped_looks_neither_lengthen_nor_end_a_run(marks: str, n: int) -> None:
    """The model: only observed looks, newest backwards."""
    marks += "w"
    observed = [m for m in marks if m in SIGNS]
    run = len(observed) - len("".join(observed).rstrip("w"))
    assert verdict(one(WET + f"lasting: {{visits: {n}}}"), marks) is (run >= n)


def test_a_model_that_lets_confirmed_looks_end_a_run_is_caught() -> None:
    """Control: the property above tells the two apart."""
    counted = [m for m in "wwcw" if m in "wrc"]
    naive = len(counted) - len("".join(counted).rstrip("w"))
    assert (naive >= 3) is not verdict(one(WET + "lasting: {visits: 3}"), "wwcw")


def test_rules_are_judged_by_stage_and_species_in_the_order_of_harm() -> None:
    rules = [
        one("id: c\nlevel: look\nwhen: {reading: on_back, is: true}"),
        one("id: a\nlevel: now\nwhen: {reading: on_back, is: true}\napplies: {stages: [holding]}"),
        one("id: b\nwhen: {reading: on_back, is: true}\napplies: {stages: [laying]}"),
        one("id: d\nwhen: {reading: on_back, is: true}\napplies: {species: [Eudicella smithi]}"),
        one("id: e\nwhen: {reading: on_back, is: true}\napplies: {not_species: [Eudicella smithi]}"),
    ]
    there = scene(seen(0, on_back=True), at=box(species="Eudicella smithi"))
    assert [f.rule.id for f in evaluate(rules, there)] == ["a", "d", "c"]
    assert [f.rule.id for f in evaluate(rules, there._replace(enclosure=box("laying")))] == ["b", "e", "c"]


TODO = WET + "do: {laying: {text: 'Open: {moisture}.', needs: [open, wet]}, otherwise: Look.}\n"


def test_a_lock_withholds_what_needs_it_and_says_so() -> None:
    there = scene(seen(0, moisture="wet"), at=box("laying"))
    lock = ActiveLock(("open", "dig"), None, "first search not yet")
    found = only(one(TODO), there, lock, ActiveLock(("move",), None, "quarantine"))
    assert found.flag is not None
    assert found.flag.todo == "Open: wet."
    assert "first search not yet" in found.flag.withheld
    assert "quarantine" not in found.flag.withheld
    free = only(one(TODO), there, ActiveLock(("move",), None, "quarantine"))
    assert free.flag is not None
    assert free.flag.withheld == ""


def test_what_is_over_locks_is_never_withheld() -> None:
    there = scene(seen(0, moisture="wet"), at=box("laying"))
    found = only(one(TODO + "over_locks: true"), there, ActiveLock(("open",), None, "cell"))
    assert found.flag is not None
    assert found.flag.withheld == ""


def test_the_carry_list_is_no_flag() -> None:
    rule = one(WET + "level: carry\nbring: {cups: adults, water: 0.5}")
    there = scene(seen(0, moisture="wet"), at=box(contents=(group(1, 2),)))
    found = only(rule, there)
    assert found.verdict is True
    assert found.flag is None
    assert found.bring == {"cups": 3.0, "water": 0.5}
    assert found.reason == "wet 1/0"
    assert only(rule, scene(seen(0, moisture="right"))).bring == {}


def test_numbers_in_a_reason_are_those_the_rule_saw() -> None:
    rule = one(
        "id: a\nwhen: {measure: gone_per_day, over: 1}\nbecause: '{gone_per_day} {usual_gone_per_day} {jelly_gone}'"
    )
    found = only(rule, scene(seen(2, jelly_gone=1), seen(0, jelly_gone=3)))
    assert found.reason == "1.5 ? 3"


def test_a_reason_that_names_the_day_reads_the_same_however_long_it_stays_open() -> None:
    rule = one(
        "id: a\nwhen: {reading: moisture, is: wet}\nlasting: {visits: 2}\n"
        "because: 'wet since {date of held_days}, {date of same_for_days of moisture}; dead {date of days_since of on_back}'"
    )
    for marks, began in (("rww", TODAY - 1), ("rwww", TODAY - 2)):
        day = day_words(began)
        assert only(rule, scene(*history(marks))).reason == f"wet since {day}, {day}; dead ?"


def test_nobody_is_there_yet() -> None:
    rule = one("id: a\nwhen: {measure: days_since_visit, at_least: 3}\nbecause: '{days_since_visit} days'")
    assert only(rule, scene(seen(4, moisture="wet"), present=False)).reason == "4 days"
    assert only(one(WET + "lasting: {visits: 2}"), scene(*history("ww"), present=False)).verdict is None
    assert only(rule, scene()).verdict is None


# -- several flags at one box ------------------------------------------------------------------

URGENT = """
id: {id}
title: {title}
level: now
order: {order}
covers: {covers}
when: {{reading: moisture, is: wet}}
do: {{otherwise: "do {id}"}}
"""


def urgent(id_: str, order: int, covers: str = "{}") -> Rule:
    others = {"first", "third"} - {id_}
    rules, problems = parsed(
        "rules:\n  - "
        + textwrap.indent(
            URGENT.format(id=id_, title=id_.title(), order=order, covers=covers), "    "
        ).strip()
        + "".join(f"\n  - {{id: {other}, when: {{reading: on_back, is: true}}}}" for other in others)
    )
    assert problems == []
    return rules[0]


def told(*rules: Rule, stage: str = "laying") -> list[str]:
    found = evaluate(RuleSet(rules), scene(seen(0, moisture="wet"), at=box(stage)))
    return [f.flag.todo for f in found if f.flag is not None]


def test_urgent_flags_at_one_box_are_one_instruction_in_the_right_order() -> None:
    first = urgent("air", 1, "{third: [laying]}")
    second, third = urgent("water", 4), urgent("third", 6)
    assert told(third, second, first) == ["do air", "do water", '"Air" covers this too.']
    # Where the first does not do it as well, and without the first, it is told in full.
    assert told(third, second, first, stage="cell") == ["do air", "do water", "do third"]
    assert told(third, second) == ["do water", "do third"]


def test_two_rules_that_cover_each_other_are_not_both_silent() -> None:
    a, b = urgent("first", 1, "{third: []}"), urgent("third", 2, "{first: []}")
    assert told(a, b) == ["do first", '"First" covers this too.']


def test_water_to_bring_follows_the_size_of_the_box() -> None:
    rule = one(WET + "level: carry\nbring: {water: {per_litre: 0.03, unknown_size: 0.3}}")
    wet = seen(0, moisture="wet")
    assert only(rule, scene(wet, at=box("larvae", litres=10))).bring == {"water": 0.3}
    assert only(rule, scene(wet, at=box("larvae", litres=0.7))).bring == {"water": 0.02}
    assert only(rule, scene(wet, at=box("larvae"))).bring == {"water": 0.3}
