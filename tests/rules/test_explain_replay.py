"""Explanations and replays."""

from __future__ import annotations

from rounds.husbandry.locks import ActiveLock
from rounds.reports.as_text import as_text
from rounds.reports.rule_reports import replayed_report
from rounds.rules.evaluate import RuleSet
from rounds.rules.explain import as_data, explain, lines
from rounds.rules.replay import KEPT, Stay, replay
from tests.rules.boxes import TODAY, box, one, scene, seen
from tests.rules.judged import counted, judged

RULE = """
id: wet-and-warm
title: Wet and warm
when:
  all:
    - {reading: moisture, any_of: [wet, water]}
    - not: {measure: days_in_stage, under: 3}
    - {reading: jelly_gone, at_least: 1}
because: "{moisture}"
do: {otherwise: {text: Open it., needs: [open]}}
"""


def test_each_clause_with_its_value_and_verdict() -> None:
    there = scene(seen(0, moisture="wet", jelly_gone=2), at=box("holding", days=5))
    (found,) = explain(RuleSet([one(RULE)]), there, [ActiveLock(("open",), None, "rest")])
    said = lines(found)
    assert said[0].startswith("wet-and-warm: yes  (Wet and warm; level today; 0.yaml:2)")
    assert "    yes      moisture any of water or wet  [wet]" in said
    assert "    yes      not" in said
    assert "      no       days_in_stage under 3  [5]" in said
    assert "  because: wet" in said
    assert "  do: Open it." in said
    assert said[-1].startswith("  has to wait: ")
    assert as_data(found)["clauses"][0] == {"depth": 0, "text": "all", "value": "", "verdict": "yes"}


def test_a_running_test_tells_what_it_counted_and_what_it_skipped() -> None:
    rule = one("id: a\nwhen: {reading: moisture, is: wet}\nlasting: {visits: 3}")
    past = [seen(4, moisture="wet"), seen(3, skipped="time"), seen(2, confirmed={"moisture": "right"})]
    (found,) = explain(RuleSet([rule]), scene(*past, seen(0, moisture="wet")))
    assert found.finding.verdict is False
    assert (
        found.history
        == "It has held for 2 visits over 4 days; it must hold for 3 visits. 1 skipped visit does not count."
    )
    (unread,) = explain(RuleSet([rule]), scene(*past))
    assert "cannot be told on this visit" in unread.history
    assert lines(unread)[0].startswith("a: unknown")


def test_explaining_and_judging_agree() -> None:
    rules = RuleSet([one(RULE), one("id: b\nwhen: {reading: on_back, is: true}")])
    for visit in (seen(0, moisture="wet"), seen(0, on_back=True), seen(0, moisture="dry", jelly_gone=0)):
        for found in explain(rules, scene(visit, at=box("holding", days=5))):
            assert found.clauses[0].verdict is found.finding.verdict


def test_replay_counts_rises_not_days() -> None:
    rule = one("id: wet\nwhen: {reading: moisture, is: wet}\n")
    carry = one("id: more\nlevel: carry\nbring: {water: 1}\nwhen: {reading: moisture, is: wet}")
    marks = ("wet", "wet", "right", None, "wet", None, "wet", "right")
    visits = [
        seen(len(marks) - i, moisture=m) if m else seen(len(marks) - i, on_back=False)
        for i, m in enumerate(marks)
    ]
    visits.insert(3, seen(5.5, skipped="time"))
    found = replay(RuleSet([rule, carry]), [Stay(box(), visits, TODAY - 7, TODAY)])
    counts = {c.rule: c for c in found.counts}
    wet = counts["wet"]
    assert found.visits == 7  # the first is before the days asked for, the skipped one no look
    assert (wet.visits, wet.stood, wet.raised, wet.unknown, wet.enclosures) == (7, 3, 2, 2, 1)
    assert wet.per_100 == 200 / 7
    assert found.flags_per_100 == 200 / 7  # carry-list items are no flags
    assert as_text(replayed_report(found)).splitlines()[-1] == "7 visits, 28.6 flags raised per 100 visits"


def test_replay_judges_each_look_with_what_was_known_then() -> None:
    rule = one("id: gap\nwhen: {measure: days_since_visit, at_least: 3}")
    visits = [seen(9), seen(5, moisture="wet"), seen(4, moisture="wet"), seen(0, moisture="wet")]
    visits[0] = seen(9, moisture="wet")
    found = replay(RuleSet([rule]), [Stay(box(), visits, TODAY - 20, TODAY)])
    assert (found.counts[0].raised, found.counts[0].unknown) == (2, 1)
    assert replay(RuleSet([rule]), []).flags_per_100 == 0


DEAD = "id: dead\nwhen: {reading: jelly_gone, at_least: 5}"


def test_what_nobody_read_again_is_kept_for_a_week_and_then_is_another_one() -> None:
    rules = RuleSet([one(DEAD)])
    for gap, raised in ((KEPT, 1), (KEPT + 1, 2)):
        visits = [seen(30, jelly_gone=5), seen(30 - gap, moisture="wet"), seen(29 - gap, jelly_gone=5)]
        (count,) = replay(rules, [Stay(box(), visits, TODAY - 40, TODAY)]).counts
        assert (count.raised, count.stood) == (raised, 2), gap


def test_a_flag_that_goes_on_into_the_next_stay_is_not_raised_again() -> None:
    rules = RuleSet([one("id: wet\nwhen: {reading: moisture, is: wet}")])
    visits = [seen(9 - n, moisture="wet") for n in range(6)]
    first, second = (Stay(box(), visits, TODAY - a, TODAY - b) for a, b in ((9, 7), (6, 4)))
    assert replay(rules, [first, second]).counts[0].raised == 1
    other = second._replace(enclosure=box()._replace(id=2))  # the control: another enclosure is another flag
    assert replay(rules, [first, other]).counts[0].raised == 2
    assert [x.fresh for x in judged(rules, [first, second])] == [{"wet"}, *[frozenset()] * 5]


def test_what_answers_alone_do_not_decide_is_judged_at_each_look() -> None:
    """The same answers, confirmed and read, on days that differ in what came before: runs, what lingers, ages."""
    rules = RuleSet(
        [
            one("id: wet\nends_after: {visits: 2}\nwhen: {reading: moisture, is: wet}"),
            one("id: long\nlasting: {visits: 2}\nwhen: {reading: moisture, is: wet}"),
            one("id: again\nwhen: {measure: same_for_visits, of: moisture, at_least: 2}"),
            one("id: gap\nwhen: {any: [{reading: on_back, is: true}, {measure: days_since_visit, over: 1}]}"),
            one(
                "id: eaten\nwhen: {all: [{reading: jelly_gone, known: true}, {measure: gone_per_day, over: 1}]}"
            ),
        ]
    )
    wet, right, none = {"moisture": "wet", "jelly_gone": 2}, {"moisture": "right"}, {"jelly_gone": 1}
    visits = [
        seen(20 - ago, confirmed={"moisture": "wet"} if confirmed else None, **read)
        for ago, (read, confirmed) in enumerate(
            [(wet, 0), (none, 1), (wet, 0), (right, 0), (none, 0), (right, 1), (wet, 0), (wet, 1)] * 2
        )
        if ago not in (4, 9)
    ]
    stay = Stay(box("larvae"), visits, TODAY - 18, TODAY)
    found = replay(rules, [stay], 6)
    assert found.counts == counted(rules, judged(rules, [stay], 6))
    assert all(c.stood and c.visits > c.stood for c in found.counts), found.counts


def test_a_look_knows_no_more_visits_than_it_may() -> None:
    rules = RuleSet([one("id: cup\nwhen: {measure: cup_age_days, at_least: 5}")])
    visits = [seen(9, jelly_in=4), *(seen(9 - n, jelly_gone=1) for n in range(1, 8))]
    stay = Stay(box(), visits, TODAY - 9, TODAY)
    (whole,), (short,) = replay(rules, [stay]).counts, replay(rules, [stay], 5).counts
    assert (whole.stood, whole.unknown) == (3, 0)
    assert (short.stood, short.unknown) == (
        1,
        2,
    )  # five days on it is the oldest one known, then it is forgotten
