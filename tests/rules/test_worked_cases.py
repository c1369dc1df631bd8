"""Worked cases: how they are read, run, and what is said when one fails."""

from __future__ import annotations

import pytest

from rounds.problems import Problem
from rounds.rules.worked_cases import Case, lacking, parse_cases, run
from tests.rules.boxes import VOCABULARY, doc, one

WET = one(
    "id: wet\nwhen: {reading: moisture, is: wet}\nlasting: {visits: 2}\ndo: {otherwise: {text: Open it., needs: [open]}}"
)


def read(body: str) -> tuple[list[Case], list[Problem]]:
    return parse_cases(
        [doc("cases:\n  - rule: wet\n    stage: laying\n" + body, "c.yaml")], ["wet"], VOCABULARY
    )


def good(body: str) -> list[Case]:
    cases, problems = read(body)
    assert problems == []
    return cases


def test_a_case_that_holds() -> None:
    cases = good(
        "    visits: [{moisture: wet}, _, {skipped: time}, {as_expected: {moisture: right}}, {moisture: wet}]\n"
        "    expect: [no, _, unknown, unknown, yes]\n"
    )
    assert run(cases, [WET]) == []
    assert cases[0].fires
    assert not cases[0].silent


def test_a_case_that_fails_says_where_what_and_why() -> None:
    cases = good("    name: twice\n    visits: [{moisture: wet}, {moisture: wet}]\n    expect: [yes, no]\n")
    assert [str(p) for p in run(cases, [WET])] == [
        "c.yaml:6:14  rule `wet`, twice, visit 1: expected yes, got no. (moisture is wet: wet yes)",
        "c.yaml:6:19  rule `wet`, twice, visit 2: expected no, got yes. (moisture is wet: wet yes)",
    ]


def test_a_lock_withholds() -> None:
    cases = good(
        "    locks: [open]\n    visits: [{moisture: wet}, {moisture: wet}]\n    expect: [no, withheld]\n"
    )
    assert run(cases, [WET]) == []
    assert cases[0].fires


def test_a_rule_that_does_not_apply_is_silent() -> None:
    rule = WET._replace(stages=frozenset({"cell"}))
    cases = good("    visits: [{moisture: wet}]\n    expect: [yes]\n")
    assert "does not apply" in run(cases, [rule])[0].hint


def test_the_clock_moves_by_hours() -> None:
    gap = one("id: wet\nwhen: {measure: hours_since_visit, at_least: 12}\n")
    cases = good(
        "    visits: [{moisture: wet}, {hours: 11.5, moisture: wet}, {hours: 12, moisture: wet}]\n    expect: [unknown, no, yes]\n"
    )
    assert run(cases, [gap]) == []


def test_each_rule_needs_a_case_that_fires_and_one_that_stays_silent() -> None:
    fires = good("    visits: [{moisture: wet}, {moisture: wet}]\n    expect: [no, yes]\n")
    silent = good("    visits: [{moisture: right}]\n    expect: [no]\n")
    unknown = good("    visits: [{on_back: true}]\n    expect: [unknown]\n")
    said = [str(p) for p in lacking([*fires, *unknown], [WET])]
    assert said == ["0.yaml:2  rule `wet` has no silent case. Add one under `cases:`."]
    assert [p.message for p in lacking([], [WET])] == ["rule `wet` has no firing and no silent case."]
    assert lacking([*fires, *silent], [WET]) == []


@pytest.mark.parametrize(
    ("body", "problem"),
    [
        (
            "    visits: [{moistur: wet}]\n    expect: [no]",
            "4:15 case of rule `wet`, visit 1: unknown field `moistur`.",
        ),
        ("    visits: [{moisture: wett}]\n    expect: [no]", "`moisture` cannot be `wett`."),
        ("    visits: [{jelly_gone: 10}]\n    expect: [no]", "`jelly_gone` must be 0 to 9."),
        ("    visits: [{on_back: 1}]\n    expect: [no]", "`on_back` must be true or false"),
        ("    visits: [{as_expected: {jelly_gone: 2}}]\n    expect: [no]", "`jelly_gone` must be a list"),
        (
            "    visits: [{as_expected: {jelly_gone: [3, 2]}}]\n    expect: [no]",
            "a confirmed count is a range",
        ),
        ("    visits: [{hours: 0}]\n    expect: [no]", "`hours` must be over 0."),
        ("    visits: [{skipped: lazy}]\n    expect: [no]", "`skipped` cannot be `lazy`."),
        ("    visits: [{moisture: wet}, _]\n    expect: [no, _]", "`visits` must end with a visit."),
        (
            "    visits: [{moisture: wet}]\n    expect: [maybe]",
            "`expect` must be yes, no, unknown, withheld for visit 1.",
        ),
        (
            "    visits: [_, {moisture: wet}]\n    expect: [no, no]",
            "`expect` must be `_`, for nobody came for visit 1.",
        ),
        ("    visits: [{moisture: wet}]\n    expect: [no, no]", "1 visits, but `expect` has 2."),
        ("    expect: [no]", "the field `visits` is missing."),
        ("    visit: []", "unknown field `visit`. Did you mean `visits`?"),
        (
            "    larvae: {instar: L4}\n    visits: [{moisture: wet}]\n    expect: [no]",
            "`instar` cannot be `L4`.",
        ),
    ],
)
def test_bad_cases(body: str, problem: str) -> None:
    found = [f"{p.line}:{p.column} {p.message} {p.hint}" for p in read(body + "\n")[1]]
    assert any(problem in p for p in found), found


def test_a_case_of_a_rule_that_is_not_there() -> None:
    _, problems = parse_cases(
        [doc("cases: [{rule: wett, stage: laying, visits: [], expect: []}]")], ["wet"], VOCABULARY
    )
    assert "Did you mean `wet`?" in problems[0].hint
