"""The end of a day: by harm, then in shelf order; what was not seen; what to bring."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.records import carry_sentences
from rounds.records.observations import Action, DueNotice, EnclosureState
from rounds.records.round_summary import HARM_LEVELS, MARKS, Need, carried, carry_words, harm, summary
from rounds.values.spans import Span

DAY = 739_000


def box(id: int, stage: str = "larvae") -> EnclosureState:
    return EnclosureState(id, f"TL-{id:03}", id, stage, None, None, 0, "Mecynorhina torquata")


def action(enclosure: int, level: str, state: str = "open", opened: int = DAY) -> Action:
    return Action(
        bytes([enclosure]) * 16, enclosure, f"rule-{level}", level, "why", "what", opened, state=state
    )


def of(boxes, actions=None, looked=None, skipped=None, carry=None, dues=None):
    return summary(DAY, boxes, actions or {}, looked or {}, skipped or {}, carry or {}, dues or {})


@given(st.lists(st.lists(st.sampled_from(HARM_LEVELS), max_size=3), min_size=1, max_size=8))
def test_rows_come_by_harm_and_within_one_level_in_shelf_order(levels) -> None:
    boxes = [box(i + 1) for i in range(len(levels))]
    rows = of(
        boxes, {b.id: [action(b.id, x) for x in mine] for b, mine in zip(boxes, levels, strict=True)}
    ).rows
    assert len(rows) == sum(map(len, levels))
    order = [(harm(r.action.level), r.enclosure.id) for r in rows]
    assert order == sorted(order)


def test_only_open_actions_are_listed_and_old_ones_say_so() -> None:
    actions = {
        1: [
            action(1, "now", "done"),
            action(1, "today", opened=DAY - 1),
            action(1, "look", "off"),
            action(1, "now", "withdrawn"),
        ]
    }
    [row] = of([box(1)], actions).rows
    assert (row.action.level, row.old) == ("today", True)


def test_an_empty_enclosure_is_not_missed_and_a_skip_says_why() -> None:
    found = of([box(1), box(2, "empty"), box(3)], looked={1: True}, skipped={3: "time"})
    assert [(e.id, why) for e, why in found.unseen] == [(3, "time")]
    assert found.seen == 1


def test_due_work_is_listed_from_its_first_day() -> None:
    dues = {
        1: [
            DueNotice(1, 1, "now", Span(DAY, DAY + 3), None, ""),
            DueNotice(2, 1, "later", Span(DAY + 1, DAY + 3), None, ""),
        ]
    }
    assert [d.what for _, d in of([box(1)], dues=dues).due] == ["now"]


def test_what_is_carried_is_added_up_over_the_house() -> None:
    found = carried([box(1), box(2), box(3)], {1: {"cups": 1, "water": 0.3}, 3: {"cups": 3}})
    assert [(c.what, c.amount, c.codes) for c in found] == [
        ("cups", 4, ("TL-001", "TL-003")),
        ("water", 0.3, ("TL-001",)),
    ]
    set_ups = (carry_sentences.FOR_SET_UPS,)
    assert carry_words(found[0]) == carry_sentences.bring(
        "4", "jelly cups", "", ["TL-001", "TL-003"], [], how=set_ups
    )


def test_an_amount_says_how_it_was_reckoned_and_where_it_rests_on_what() -> None:
    cup, cups = "1 a box: cup due for a change", "3 a box: cups due for a change"
    needs = {
        1: [Need("cups", 1, 1, why="open for 3 days", how=cup)],
        2: [Need("cups", 3, 3, why="open for 2 days", how=cups)],
        3: [Need("cups", 1, 1, why="open for 4 days", how=cup)],
    }
    [found] = carried([box(1), box(2), box(3)], {}, needs)
    assert found.how == (cup, cups), "each way of reckoning once"
    assert carry_words(found) == f"5 jelly cups ({cup}; {cups}) for TL-001, TL-002, TL-003"
    assert found.why == tuple(
        carry_sentences.rests_on(code, why)
        for code, why in (
            ("TL-001", "open for 3 days"),
            ("TL-002", "open for 2 days"),
            ("TL-003", "open for 4 days"),
        )
    )


def test_spans_are_added_up_and_what_is_not_known_is_said() -> None:
    needs = {
        1: [Need("substrate", 4, 6, "beech", "felt")],
        2: [Need("substrate", 0, 8.04, "beech")],
        3: [Need("substrate", 0, None, "beech", "nobody knows"), Need("tubs", 0, None)],
    }
    beech, tubs = carried([box(1), box(2), box(3)], {}, needs)
    assert (beech.amount, beech.most, beech.codes, beech.unknown) == (
        4,
        14.04,
        ("TL-001", "TL-002"),
        ("TL-003",),
    )
    assert beech.why == (
        carry_sentences.rests_on("TL-001", "felt"),
        carry_sentences.rests_on("TL-003", "nobody knows"),
    )
    assert carry_words(beech) == (
        carry_sentences.bring(
            "4 to 14", "litres of fresh substrate", "beech", ["TL-001", "TL-002"], ["TL-003"]
        )
    )
    assert carry_words(tubs) == carry_sentences.unknown_amount("empty tubs", "", ["TL-003"])


def test_a_mix_is_not_added_to_another_and_exact_amounts_widen_no_span() -> None:
    found = carried(
        [box(1), box(2)], {1: {"substrate": 2}, 2: {"substrate": 1}}, {1: [Need("substrate", 1, 3, "oak")]}
    )
    assert [(c.amount, c.most, c.mix) for c in found] == [(3, None, ""), (1, 3, "oak")]
    both = carried([box(1)], {1: {"substrate": 2}}, {1: [Need("substrate", 0, 3)]})
    assert [(c.amount, c.most, c.codes) for c in both] == [(2, 5, ("TL-001",))]


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (1, 1, carry_sentences.bring("1", "litre of fresh substrate", "", ["TL-001"], [])),
        (2, 2, carry_sentences.bring("2", "litres of fresh substrate", "", ["TL-001"], [])),
        (0, 0.134, carry_sentences.bring("up to 0.13", "litres of fresh substrate", "", ["TL-001"], [])),
        (23.87, 35.8, carry_sentences.bring("24 to 36", "litres of fresh substrate", "", ["TL-001"], [])),
        (10.1, 10.4, carry_sentences.bring("about 10", "litres of fresh substrate", "", ["TL-001"], [])),
    ],
)
def test_an_amount_is_said_as_closely_as_it_is_known(low: float, high: float, words: str) -> None:
    (carry,) = carried([box(1)], {}, {1: [Need("substrate", low, high)]})
    assert carry_words(carry) == words


def test_every_level_has_a_mark_of_its_own() -> None:
    assert set(MARKS) == set(HARM_LEVELS)
    assert len(set(MARKS.values())) == len(HARM_LEVELS)
    assert harm("unheard of") == len(HARM_LEVELS)
