"""Rules files: what is read, and what is refused, where and with which help."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.rules.rule import COMPARISONS, FIELDS, ConditionGroup, Leaf, Rule, Slot, leaves, readings
from rounds.rules.rule_parser import parse
from rounds.settings import yamlfile
from rounds.settings.document import Document
from tests.rules.boxes import VOCABULARY, one, parsed, said
from tests.sampled import sampled

FULL = """
id: wet-box
title: Too wet
applies: {stages: [laying, larvae], species: [Eudicella smithi]}
when:
  any:
    - {reading: moisture, any_of: [wet, water]}
    - all:
        - {measure: same_for_visits, of: moisture, at_least: 3}
        - not: {reading: jelly_gone, over: 1, at_most: 4}
level: look
because: "{moisture} at {same_for_visits of moisture} looks, {held_visits} held"
do:
  laying: {text: Open the vents., needs: [open]}
  otherwise: Mix dry substrate in.
lasting: {visits: 2}
ends_after: {visits: 3}
over_locks: true
"""


def rule(body: str) -> str:
    return "rules:\n  - id: a\n" + body


def test_a_full_rule() -> None:
    found = one(FULL)
    assert (found.id, found.title, found.level) == ("wet-box", "Too wet", "look")
    assert found.stages == {"laying", "larvae"}
    assert found.species == {"Eudicella smithi"}
    assert (found.lasting_visits, found.lasting_days, found.ends_after, found.over_locks) == (2, 0, 3, True)
    assert found.todo("laying") is not None
    assert found.do["laying"].needs == ("open",)
    assert found.do["otherwise"].text == ("Mix dry substrate in.",)
    assert found.because[0] == Slot("moisture", {a: a for a in ("dry", "right", "wet", "water")})
    assert isinstance(found.when, ConditionGroup)
    assert [leaf.op for leaf in leaves(found.when)] == ["any_of", "at_least", "over", "at_most"]
    assert readings(found) == {"moisture", "jelly_gone"}
    assert found.line == 2


def test_what_is_plausible_is_as_the_reading_says() -> None:
    """Both ends, and one where the limits are the other: a comparison that can never hold is none."""
    rules, problems = parsed(rule("    when: {reading: shelf_temp, plausible: false}"))
    assert problems == []
    under, over = Leaf("shelf_temp", "shelf_temp", "under", 8), Leaf("shelf_temp", "shelf_temp", "over", 38)
    assert rules[0].when == ConditionGroup("any", (under, over))
    kind = VOCABULARY.kinds["shelf_temp"]._replace(plausible=(0, 38))
    narrow = VOCABULARY._replace(kinds={**VOCABULARY.kinds, "shelf_temp": kind})
    docs = [[yamlfile.parse(rule("    when: {reading: shelf_temp, plausible: false}"), "0.yaml")]]
    assert parse(docs, narrow)[0][0].when == over
    docs = [[yamlfile.parse(rule("    when: {reading: shelf_temp, plausible: true}"), "0.yaml")]]
    assert parse(docs, narrow)[0][0].when == Leaf("shelf_temp", "shelf_temp", "at_most", 38)


def test_the_least_a_rule_needs() -> None:
    found = one("id: bare\nwhen: {reading: on_back, is: true}")
    assert (found.title, found.because, found.do) == ("Bare", ("Bare",), {})
    assert found.when == Leaf("on_back", "on_back", "is", True)


def test_a_later_layer_replaces_or_switches_off() -> None:
    shipped = rule(
        "    when: {reading: on_back, is: true}\n  - id: b\n    when: {reading: mating, is: true}\n"
    )
    rules, problems = parsed(
        shipped, "rules:\n  - {id: a, title: mine, when: {reading: on_back, is: false}}\n"
    )
    assert problems == []
    assert [(r.id, r.title) for r in rules] == [("a", "mine"), ("b", "B")]
    rules, problems = parsed(shipped, "rules: [{id: a, off: true}]")
    assert problems == []
    assert [r.id for r in rules] == ["b"]


def test_switching_off_what_is_not_there() -> None:
    shipped = rule("    when: {reading: on_back, is: true}\n")
    assert said(shipped, "rules: [{id: aa, off: true}]") == [
        "1:18 rule `aa`: there is no such rule to switch off. Did you mean `a`?"
    ]


def test_the_same_id_twice_in_one_layer_names_the_first() -> None:
    text = rule("    when: {reading: on_back, is: true}\n  - id: a\n    when: {reading: mating, is: true}\n")
    assert said(text) == ["4:5 rule `a` is defined twice; the first is at 0.yaml:2. Keep one of them."]


@pytest.mark.parametrize(
    ("body", "problem"),
    [
        (
            "    when: {reading: moistur, is: wet}",
            "3:12 rule `a`: `reading` cannot be `moistur`. Did you mean `moisture`?",
        ),
        (
            "    when: {measure: adult, over: 1}",
            "3:12 rule `a`: `measure` cannot be `adult`. Did you mean `adults`?",
        ),
        (
            "    when: {reading: gone_out_of_use, is: true}",
            "3:12 rule `a`: `reading` cannot be `gone_out_of_use`.",
        ),
        (
            "    when: {reading: moisture, is: wett}",
            "3:31 rule `a`: `is` cannot be `wett`. Did you mean `wet`?",
        ),
        (
            "    when: {reading: moisture, any_of: [wett]}",
            "rule `a`: unknown `wett` in `any_of`. Did you mean `wet`?",
        ),
        ("    when: {reading: moisture, any_of: []}", "3:31 rule `a`: `any_of` is empty."),
        (
            "    when: {reading: moisture, over: 3}",
            "3:31 rule `a`: `moisture` is a choice, so `over` cannot be used.",
        ),
        (
            "    when: {reading: jelly_gone, any_of: [1]}",
            "3:33 rule `a`: `jelly_gone` is a number, so `any_of`",
        ),
        ("    when: {reading: jelly_gone, over: '3'}", "3:33 rule `a`: `over` must be a number, not `3`."),
        ("    when: {reading: jelly_gone, over: yes}", "3:33 rule `a`: `over` must be a number, not `yes`."),
        ("    when: {reading: on_back, is: yes}", "3:30 rule `a`: `is` must be true or false, not `yes`."),
        ("    when: {reading: on_back, known: 1}", "3:30 rule `a`: `known` must be true or false, not `1`."),
        ("    when: {reading: on_back}", "3:5 rule `a`: nothing to compare with. Give one of: is, is_not"),
        ("    when: {reading: on_back, iss: true}", "3:30 rule `a`: unknown field `iss`. Did you mean `is`?"),
        ("    when: {is: true}", "3:5 rule `a`: a comparison needs either `reading` or `measure`."),
        (
            "    when: {reading: on_back, measure: adults, is: true}",
            "a comparison needs either `reading` or `measure`.",
        ),
        (
            "    when: {reading: on_back, of: moisture, is: true}",
            "`of` belongs to a measure, not to a reading.",
        ),
        (
            "    when: {measure: adults, of: moisture, over: 1}",
            "`adults` is not asked about a reading. Leave `of` out.",
        ),
        ("    when: {measure: same_for_visits, over: 1}", "the field `of` is missing."),
        (
            "    when: {measure: days_since, of: moisture, over: 1}",
            "`days_since` needs a tick or count, and `moisture` is a choice.",
        ),
        (
            "    when: {reading: jelly_gone, over: 9}",
            "3:33 rule `a`: `jelly_gone` is 0 to 9, so `over: 9` never holds.",
        ),
        (
            "    when: {reading: jelly_gone, at_least: -1}",
            "`jelly_gone` is 0 to 9, so `at_least: -1` always holds.",
        ),
        ("    when: {measure: adults, under: 0}", "`adults` is at least 0, so `under: 0` never holds."),
        (
            "    when: {reading: jelly_gone, over: 5, under: 3}",
            "3:42 rule `a`: `jelly_gone` can never be over 5 and under 3 at once.",
        ),
        (
            "    when: {reading: jelly_gone, over: 3, under: 4}",
            "`jelly_gone` can never be over 3 and under 4 at once.",
        ),
        (
            "    when: {reading: moisture, is: wet, is_not: wet}",
            "`moisture` can never be is wet and is_not wet at once.",
        ),
        (
            "    when: {reading: jelly_gone, is: 2, known: false}",
            "`jelly_gone` can never be is 2 and known no at once.",
        ),
        (
            "    when: {reading: jelly_gone, plausible: false}",
            "3:33 rule `a`: `jelly_gone` has no range of what is plausible. Give its",
        ),
        ("    when: {measure: adults, plausible: true}", "`adults` has no range of what is plausible."),
        (
            "    when: {reading: moisture, plausible: false}",
            "`moisture` is a choice, so `plausible` cannot be used.",
        ),
        ("    when: {reading: shelf_temp, plausible: 1}", "`plausible` must be true or false, not `1`."),
        (
            "    when: {reading: shelf_temp, plausible: true, over: 40}",
            "`shelf_temp` can never be over 40 and at_most 38 at once.",
        ),
        ("    when: {all: []}", "3:12 rule `a`: `all` is empty."),
        (
            "    when: {all: {reading: on_back, is: true}}",
            "3:12 rule `a`: `all` must be a list, not a mapping.",
        ),
        (
            "    when: {all: [{reading: on_back, is: true}], any: []}",
            "3:49 rule `a`: `all` stands alone, not beside `any`.",
        ),
        ("    when: {not: [1]}", "3:12 rule `a`: a mapping was expected, not a list."),
        ("    when: {}", "3:5 rule `a`: an empty condition."),
        ("    when: wet", "3:5 rule `a`: a mapping was expected, not `wet`."),
        ("    title: x", "2:5 rule `a`: the field `when` is missing."),
        ("    wen: {}", "3:5 rule `a`: unknown field `wen`. Did you mean `when`?"),
        ("    title: 3.10", "3:5 rule `a`: `title` must be a text, not `3.1`. Put it in quotes: '3.1'."),
        (
            "    level: urgent",
            "3:5 rule `a`: `level` cannot be `urgent`. Expected one of: now, today, look, carry.",
        ),
        (
            "    applies: {stages: [larva]}",
            "3:24 rule `a`: unknown `larva` in `stages`. Did you mean `larvae`?",
        ),
        ("    applies: {stages: []}", "3:15 rule `a`: `stages` is empty, so the rule would apply nowhere."),
        ("    applies: {stage: [laying]}", "3:15 rule `a`: unknown field `stage`. Did you mean `stages`?"),
        ("    applies: {species: [x], not_species: [x]}", "`x` is in both lists of species."),
        (
            "    because: '{moistur}'",
            "3:5 rule `a`: `{moistur}` is no reading or measure. Did you mean `moisture`?",
        ),
        (
            "    because: '{adults of moisture}'",
            "`{adults of moisture}` is no reading or measure. `adults` needs no `of`.",
        ),
        ("    because: '{same_for_visits}'", "Write {same_for_visits of READING}."),
        ("    because: '{date of gone_per_day}'", "`gone_per_day` is no number of days."),
        ("    because: '{date of moisture}'", "`moisture` is no number of days."),
        ("    because: '{moisture'", "3:5 rule `a`: `because` has a brace without its other half."),
        (
            "    do: {larva: x, otherwise: y}",
            "3:10 rule `a`: `do` names no stage `larva`. Did you mean `larvae`?",
        ),
        ("    do: {laying: x}", "3:5 rule `a`: `do` has no text for quarantine, holding"),
        ("    do: {otherwise: {text: x, needs: [opn]}}", "unknown `opn` in `needs`. Did you mean `open`?"),
        ("    do: {'laying, laying': x, otherwise: y}", None),
        ("    do: {laying: x, 'laying , eggs': y, otherwise: z}", "`do` has two texts for `laying`."),
        ("    lasting: 3", "3:5 rule `a`: a mapping was expected, not `3`."),
        ("    lasting: {visits: 2, days: 3}", "3:5 rule `a`: `lasting` needs either `visits` or `days`."),
        ("    lasting: {visits: 0}", "3:15 rule `a`: `visits` must be 1 to 366."),
        ("    lasting: {visits: 2.5}", "3:15 rule `a`: `visits` must be a whole number, not `2.5`."),
        ("    ends_after: {}", "3:5 rule `a`: `ends_after` needs `visits`."),
        ("    bring: {cups: 1}", "3:5 rule `a`: `bring` belongs to rules of level `carry`."),
        ("    level: carry", "2:5 rule `a`: a rule of level `carry` needs `bring`."),
        (
            "    level: carry\n    bring: {cups: adult}",
            "4:13 rule `a`: `cups` must be a number or `adults`. Did you mean",
        ),
        ("    level: carry\n    bring: {cups: 0}", "4:13 rule `a`: `cups` must be over 0 and at most 1000."),
        ("    level: carry\n    bring: {cup: 1}", "4:13 rule `a`: unknown field `cup`. Did you mean `cups`?"),
    ],
)
def test_each_slip_has_its_place_and_a_way_out(body: str, problem: str | None) -> None:
    text = rule(body + "\n")
    found = said(
        text
        if "when" in body or "title: x" in body or "wen:" in body
        else text + "    when: {reading: on_back, is: true}\n"
    )
    assert (problem is None and not found) or any(problem is not None and problem in p for p in found), found


def test_ids_are_plain_and_quoted() -> None:
    assert said("rules: [{id: 12, when: {reading: on_back, is: true}}]")[0].endswith(
        "Put it in quotes: '12'."
    )
    assert (
        "small letters, digits and hyphens"
        in said("rules: [{id: My rule, when: {reading: on_back, is: true}}]")[0]
    )
    assert said("rules: [{when: {reading: on_back, is: true}}]") == ["1:9 rule: the field `id` is missing."]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "1:1 rules file: a mapping was expected, not nothing."),
        ("rule: []", "unknown field `rule`. Did you mean `rules`?"),
        ("rules: {}", "1:1 `rules` must be a list of rules."),
        ("rules: [x]", "1:9 rule: a mapping was expected, not `x`."),
        ("- id: a", "1:1 rules file: a mapping was expected, not a list."),
    ],
)
def test_a_file_of_another_shape(text: str, problem: str) -> None:
    assert any(problem in p for p in said(text)), said(text)


def test_everything_is_told_at_once_also_across_files() -> None:
    bad = rule(
        "    when: {all: [{reading: x, is: 1}, {reading: jelly_gone, over: 5}, {reading: jelly_gone, under: 3}]}\n    level: y\n"
    )
    found = said(bad, "rules: [{id: b, when: {reading: z, is: 1}}]")
    assert len(found) == 4, found


def test_a_measure_needs_the_readings_it_is_made_from() -> None:
    poor = VOCABULARY._replace(kinds={k: v for k, v in VOCABULARY.kinds.items() if k != "jelly_gone"})
    document = Document("f", {"rules": [{"id": "a", "when": {"measure": "gone_ratio", "under": 1}}]}, {})
    _, problems = parse([[document]], poor)
    assert [p.message for p in problems] == [
        "rule `a`: `gone_ratio` is made from the reading `jelly_gone`, which does not exist."
    ]


def test_species_are_checked_where_they_are_known() -> None:
    document = Document(
        "f",
        {
            "rules": [
                {
                    "id": "a",
                    "applies": {"species": ["Eudicela smithi"]},
                    "when": {"reading": "on_back", "is": True},
                }
            ]
        },
        {},
    )
    assert parse([[document]], VOCABULARY)[1] == []
    _, problems = parse([[document]], VOCABULARY, ["Eudicella smithi"])
    assert [p.hint for p in problems] == ["Did you mean `Eudicella smithi`?"]


scalars = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=12)
words = st.sampled_from(
    [
        *FIELDS,
        *COMPARISONS,
        "rules",
        "all",
        "any",
        "not",
        "reading",
        "measure",
        "of",
        "moisture",
        "same_for_visits",
        "laying",
        "otherwise",
        "text",
        "needs",
        "visits",
        "wet",
        "{moisture}",
    ]
)
anything = st.recursive(
    scalars | words,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(words | st.text(max_size=6), inner, max_size=6)
    ),
    max_leaves=25,
)
ruleish = st.fixed_dictionaries({}, optional=dict.fromkeys(FIELDS, anything))


@settings(max_examples=sampled(75, 300))
@given(st.lists(ruleish | anything, max_size=4))
def test_no_data_however_odd_makes_the_parser_raise(data: list[object]) -> None:
    marks = {("rules", i): (i + 1, 1) for i in range(len(data))}
    rules, problems = parse([[Document("f.yaml", {"rules": data}, dict(marks))]], VOCABULARY)
    assert all(isinstance(r, Rule) for r in rules)
    assert all(p.file == "f.yaml" and p.message for p in problems)
    told = {r.line for r in rules} | {p.line for p in problems}
    off = {i + 1 for i, d in enumerate(data) if isinstance(d, dict) and d.get("off") is True}
    assert told | off >= set(range(1, len(data) + 1))  # nothing falls out unsaid


@given(anything)
def test_no_top_level_makes_the_parser_raise(data: object) -> None:
    parse([[Document("f.yaml", data, {})]], VOCABULARY)
