"""Headlines and lines to act by: short in everything that ships, and found for a keeper's own file without them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts.checklists_file import checklists
from rounds.acts.registry import all_acts
from rounds.cli import run
from rounds.config import Config, read
from rounds.due.instructions import line_to_do as due_line
from rounds.due.kinds import DUE_KINDS
from rounds.due.work_sentences import MISSED
from rounds.husbandry import lock_sentences
from rounds.husbandry.stages import FORBIDS
from rounds.problems import BadInput
from rounds.rules.headlines import headline, line_to_do, remarks, shortened
from rounds.rules.rule_parser import parse
from rounds.settings.layers import layers
from rounds.settings.yamlfile import parse as parse_yaml
from rounds.text.headlines import HEADLINE, ONE_LINE, first_clause, first_sentence
from rounds.walk.walk_sentences import STEPS_OF_RULES
from tests import sentences

OWN = """\
rules:
  - id: my-frass-rule
    when: {reading: droppings, is: mostly}
    because: Droppings everywhere, more than I like to see in one tub. Change it.
    do: {otherwise: "Change the substrate of this tub as soon as there is time, and of its neighbours, and then write it down."}
  - id: my-second-rule
    title: A title that is far longer than any headline on a narrow screen may be
    when: {reading: droppings, is: mostly}
    because: "{droppings} again."
    do: {otherwise: {text: Change it., short: Change it now.}}
  - id: my-third-rule
    when: {reading: droppings, is: mostly}
    because: "{droppings} again."
"""
"""Rules as keepers wrote them before there were headlines."""


@pytest.fixture(scope="module")
def config() -> Config:
    return read(layers()[:1])


def shipped_headlines(config: Config) -> Iterator[tuple[str, str]]:
    """Every headline of what ships, with where it stands."""
    yield from ((f"rule {r.id}", r.title) for r in config.rules)
    yield from ((f"due {k.id}", k.what) for k in DUE_KINDS.values())
    yield from ((f"due {kind}, past its time", what) for kind, what in MISSED.items())
    yield from ((f"act {a.id}", a.title) for a in all_acts().values())
    for one in config.checklists:
        yield f"checklist {one.id}", one.title
        yield from ((f"{one.id}, {step.id}", step.headline) for step in one.steps)
    yield from ((f"offered step {name}", said) for name, said in STEPS_OF_RULES.items())
    for n in range(1, len(FORBIDS) + 1):
        for deeds in combinations(FORBIDS, n):
            yield f"lock {deeds}", lock_sentences.headline(deeds, "30 Sep")


def test_every_headline_fits(config: Config) -> None:
    for where, said in shipped_headlines(config):
        assert said.strip(), where
        assert len(said) <= HEADLINE, f"{where}: {said}"
        assert "…" not in said, f"{where} is cut: {said}"


def test_every_line_of_what_to_do_fits_and_is_a_whole_sentence(config: Config) -> None:
    for rule in config.rules:
        assert rule.do or rule.bring, rule.id
        for stage, todo in rule.do.items():
            text = "".join(part if isinstance(part, str) else "…" for part in todo.text)
            line = line_to_do(todo, text)
            assert len(line) <= ONE_LINE, (rule.id, stage, line)
            assert line.endswith((".", "?", "!")), (rule.id, stage, line)
    for kind in DUE_KINDS:
        line = due_line(kind)
        assert bool(line) == (kind != "own"), kind
        assert len(line) <= ONE_LINE, kind
    assert list(remarks(config.rules)) == []


def test_every_flag_and_action_has_a_headline_and_a_line_of_its_own_words(config: Config) -> None:
    """Who reads the line alone knows what to do: no line only points at another text."""
    for rule in config.rules:
        assert rule.title, f"{rule.id}: its headline would be taken from its reason"
        for stage, todo in rule.do.items():
            text = "".join(part if isinstance(part, str) else "…" for part in todo.text)
            assert todo.short or len(first_sentence(text)) <= ONE_LINE, (rule.id, stage)


def test_a_refusal_of_an_act_says_what_would_work() -> None:
    refusals = list(sentences.refusals("rounds.acts."))
    assert len(refusals) > 200
    for where, refusal in refusals:
        assert refusal.message.endswith((".", "?", "›")), where
        assert refusal.hint.endswith((".", "?", "›")), f"{where} does not say what to do"
        assert len(refusal.message) <= 160, where


def test_urgent_lines_keep_the_caution_of_their_text(config: Config) -> None:
    """Whoever reads one line alone still hears of moving air and of sockets (common practice, no source)."""
    for rule in config.rules:
        for stage, todo in rule.do.items():
            text = "".join(part for part in todo.text if isinstance(part, str))
            line = line_to_do(todo, text)
            if rule.id in ("foul-smell", "hot-substrate"):
                assert "moving air" in line, (rule.id, stage)
            for danger, word in (
                ("sockets", "socket"),
                ("dry hands", "dry hands"),
                ("Nobody moves in", "Nobody"),
            ):
                if danger in text and rule.level != "look" and rule.id != "shelf-warm":
                    assert word in line, (rule.id, stage)


def test_only_a_rules_own_instruction_is_shortened(config: Config) -> None:
    """What another rule's instruction covers is told in its place, and stays as it is."""
    (rule,) = (r for r in config.rules if r.id == "standing-water")
    todo = rule.do["laying"]
    assert shortened(rule, "".join(map(str, todo.text))) == todo.short != ""
    assert shortened(rule, '"Foul smell" covers this too.') == '"Foul smell" covers this too.'


def test_a_keepers_own_rules_get_headlines_and_are_told(config: Config) -> None:
    first, second, third = parse([[parse_yaml(OWN, "mine.yaml")]], config.vocabulary)[0]
    assert headline(first) == "Droppings everywhere"
    assert headline(second) == "A title that is far longer than any…"
    assert headline(third) == "My third rule"
    (todo,) = first.do.values()
    assert line_to_do(todo, str(todo.text[0])) == "Change the substrate of this tub as soon as there is time"
    said = [str(r) for r in remarks([first, second, third])]
    assert [s.split()[0] for s in said] == ["mine.yaml:2", "mine.yaml:2", "mine.yaml:6", "mine.yaml:11"]
    assert "`title`" in said[0]
    assert "`short`" in said[1]


def test_rules_check_says_which_are_missing_and_ends_well(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "mine.yaml"
    own.write_text(OWN, encoding="utf-8")
    assert run(["rules", "check", str(own)]) == 0
    said = capsys.readouterr().err
    assert "“Droppings everywhere”" in said
    assert "nothing wrong" in said


@pytest.mark.parametrize("short", ["x" * (ONE_LINE + 1), "Change {droppings}."])
def test_a_short_line_that_is_none_is_refused(short: str, config: Config) -> None:
    text = OWN.replace("Change it now.", f'"{short}"')
    (problem,) = parse([[parse_yaml(text, "mine.yaml")]], config.vocabulary)[1]
    assert "`short`" in problem.message


def test_what_a_short_line_tells_is_judged_like_its_text(config: Config) -> None:
    text = "rules: [{id: a, when: {reading: smell, is: sour}, do: {cell: {text: Leave it., short: Spray it.}, otherwise: Look.}}]"
    (problem,) = parse([[parse_yaml(text, "mine.yaml")]], config.vocabulary)[1]
    assert "spray" in problem.message


def test_a_step_without_a_headline_takes_it_from_what_to_do() -> None:
    step = "{id: look, do: 'Look through all of it, by hand, for {egg_days} days.', without: 'Look, then wait.', why: so}"
    text = f"checklists: [{{id: a, use: clearing, stages: [laying], steps: [{step}]}}]"
    (one,) = checklists([[parse_yaml(text, "mine.yaml")]])
    assert one.steps[0].headline == "Look, then wait"
    with pytest.raises(BadInput, match="headline is too long"):
        checklists([[parse_yaml(text.replace("why:", f"headline: {'x' * 41}, why:"), "mine.yaml")]])


@given(st.text(max_size=200), st.integers(5, 80))
def test_no_clause_is_longer_than_it_may_be(text: str, limit: int) -> None:
    found = first_clause(text, limit)
    assert len(found) <= limit
    if len(first_sentence(text)) <= limit:
        assert found == first_sentence(text)
