"""The shipped rules over the demo's whole year: quiet on ordinary days, there on the day a trouble shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import pytest

from demo_data import story
from demo_data.register import CODE
from demo_data.story import Trouble
from rounds.config import Config, read
from rounds.rules.evaluate import RuleSet
from rounds.rules.replay import Stay, replay
from rounds.rules.rule import CARRY, Leaf, Rule
from rounds.settings.layers import layers
from rounds.store.book import open_book
from rounds.store.read import history
from rounds.walk import history_replay
from rounds.walk.past import HISTORY_VISITS
from tests.endtoend import rack
from tests.rules.judged import Judged, counted, judged

pytestmark = pytest.mark.long

FIRST, LAST = date(2025, 3, 1), date(2026, 2, 28)
SHIFT = rack.TODAY - 1 - LAST.toordinal()
"""The demo book's days are the story's, and so many more."""
MOST = 6.0
"""Flags per 100 visits that a keeper still reads; more is noise (an estimate)."""


class Year(NamedTuple):
    config: Config
    stays: list[Stay]
    visits: int  # looks in the book, judged or not


@pytest.fixture(scope="module")
def year(demo_book: Path) -> Year:
    config = read(layers(None)[:1])
    with open_book(demo_book, readonly=True) as book:
        found = list(history_replay.stays(book, config, FIRST.toordinal() + SHIFT, LAST.toordinal() + SHIFT))
        every = sum(v.looked for some in history(book, since_day=1).values() for v in some)
    return Year(config, found, every)


@pytest.fixture(scope="module")
def looks(year: Year) -> list[Judged]:
    return list(judge(year.config.rules, year.stays))


def judge(rules: Iterable[Rule], stays: Sequence[Stay]) -> Iterator[Judged]:
    return judged(RuleSet(rules), stays, HISTORY_VISITS)


def told(look: Judged) -> str:
    """The day in the story."""
    return date.fromordinal(look.seen.day - SHIFT).isoformat()


def flags(look: Judged) -> list[str]:
    """What was raised at a look; what to bring along is no flag."""
    return [f.rule.id for f in look.findings if f.rule.level != CARRY and f.rule.id in look.fresh]


def days(first: str, last: str) -> Iterator[str]:
    day = date.fromisoformat(first)
    while day <= date.fromisoformat(last):
        yield day.isoformat()
        day += timedelta(days=1)


def scripted() -> set[tuple[str, str]]:
    """Enclosures, or shelves, and the days of the troubles that were written into the story."""
    out = set()
    for trouble in story.TROUBLES:
        mine = [
            e
            for e in (*story.YEAR, *story.EVENTS)
            if e.place == trouble.place and e.first <= trouble.day <= e.last
        ]
        for event in mine:
            out |= {(CODE[event.place], day) for day in days(event.first, event.last)}
        if not mine:
            shelf = trouble.place[:2]
            (spell,) = (w for w in story.WEATHER if shelf in w[0] and w[1] <= trouble.day <= w[2])
            out |= {(s, day) for s in spell[0] for day in days(*spell[1:3])}
    return out


def per_100(looks: Iterable[Judged], stood: bool = False) -> float:
    """Flags per 100 visits away from scripted troubles: those raised, or every one that ``stood``."""
    out = scripted()
    ordinary = [x for x in looks if not {(x.enclosure.code, told(x)), (x.seen.shelf, told(x))} & out]
    assert len(ordinary) > 20_000
    if stood:
        return 100 * sum(f.flag is not None for x in ordinary for f in x.findings) / len(ordinary)
    return 100 * sum(len(flags(x)) for x in ordinary) / len(ordinary)


def caught(looks: Iterable[Judged], trouble: Trouble) -> bool:
    code = CODE[trouble.place]
    return any(
        x.enclosure.code == code and told(x) == trouble.day and not set(trouble.rules).isdisjoint(flags(x))
        for x in looks
    )


def test_a_replay_counts_what_was_judged_look_by_look(year: Year, looks: list[Judged]) -> None:
    rules = RuleSet(year.config.rules)
    found = replay(rules, year.stays, HISTORY_VISITS)
    assert found.counts == counted(rules, looks)
    assert found.visits == len(looks)
    assert sum(c.raised > 0 for c in found.counts) > 15


def test_every_stage_of_the_year_is_judged_not_only_the_last(year: Year, looks: list[Judged]) -> None:
    assert len({x.seen.id for x in looks}) == len(looks)  # no look twice
    assert len(looks) > 0.97 * year.visits
    stages = {x.enclosure.stage for x in looks}
    assert stages >= {
        "holding",
        "pairing",
        "laying",
        "eggs",
        "larvae",
        "wandering",
        "cell",
        "resting",
        "quarantine",
        "colony",
    }
    # The control: with the present stages alone most of the year cannot be judged.
    newest = {s.enclosure.id: s.enclosure.stage_since for s in year.stays}
    present = [s for s in year.stays if s.enclosure.stage_since == newest[s.enclosure.id]]
    assert sum(1 for _ in judge([], present)) < 0.5 * year.visits


def test_the_shipped_rules_are_quiet_on_ordinary_days(looks: list[Judged]) -> None:
    assert per_100(looks) < MOST
    # Nor is it quiet only because a flag that stands for days counts once.
    assert per_100(looks, stood=True) < MOST


def test_a_noisy_rule_would_be_noticed(year: Year) -> None:
    """Control: one rule that finds fault with a beetle that left its cup alone for a day."""
    noisy = Rule(
        "left-alone",
        "Left alone",
        Leaf("jelly_gone", "jelly_gone", "is", 0),
        "look",
        because=("Nothing gone.",),
    )
    assert per_100(judge([noisy], year.stays)) > MOST


@pytest.mark.parametrize("trouble", story.TROUBLES, ids=lambda t: f"{t.place} {t.day} {t.rules[0]}")
def test_a_scripted_trouble_is_caught_the_day_it_shows(
    year: Year, looks: list[Judged], trouble: Trouble
) -> None:
    assert caught(looks, trouble)
    # The control: without its rules it is not.
    here = [s for s in year.stays if s.enclosure.code == CODE[trouble.place]]
    assert caught(judge(year.config.rules, here), trouble)
    without = [r for r in year.config.rules if r.id not in trouble.rules]
    assert len(without) < len(year.config.rules)
    assert not caught(judge(without, here), trouble)


def test_the_story_names_rules_that_are_in_force(year: Year) -> None:
    """So that a renamed rule is not taken for one that caught something."""
    there = {r.id for r in year.config.rules}
    assert {t.place for t in story.TROUBLES if not set(t.rules) & there} == set()
    assert {id_ for t in story.TROUBLES for id_ in t.rules} <= there
