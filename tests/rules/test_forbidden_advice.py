"""What a text may never tell a keeper to do in a stage (common practice, no source)."""

from __future__ import annotations

import pytest

from rounds.husbandry.stages import STAGES
from rounds.rules import forbidden_advice
from tests.rules.boxes import said


@pytest.mark.parametrize(
    ("stage", "text", "word"),
    [
        ("cell", "Spray lightly.", "spray"),
        ("cell", "Leave it. Then dig it out.", "dig"),
        ("cell", "Move it to a warmer shelf.", "warmer"),
        ("cell", "Do not open it; spraying helps.", "spray"),
        ("cell", "Do not wait but spray.", "spray"),
        ("wandering", "Move it to a warmer shelf.", "warmer"),
        ("eggs", "Digging them out now.", "dig"),
        ("eggs", "Turn the eggs.", "turn"),
        ("laying", "Dig down to the pressed layer.", "dig"),
        ("resting", "Feed it.", "feed"),
        ("cell", "Never spray, dig or tilt it.", ""),
        ("cell", "Do not open, tilt or spray the box.", ""),
        ("cell", "Leave it without digging.", ""),
        ("larvae", "Dig them out and spray.", ""),
        ("cell", "Draw off what is soaked.", ""),
    ],
)
def test_words(stage: str, text: str, word: str) -> None:
    assert forbidden_advice.breaks(stage, text) == word


def test_every_stage_named_exists() -> None:
    assert set(forbidden_advice.FORBIDDEN) <= set(STAGES)


def test_otherwise_is_checked_for_every_stage_it_serves() -> None:
    rule = "rules: [{id: a, when: {reading: on_back, is: true}, %s do: {%s otherwise: Spray it.}}]"
    assert [p.split(" never ")[1].split(".")[0] for p in said(rule % ("", ""))] == [
        "tell a keeper to `spray` in stage `cell`",
        "tell a keeper to `spray` in stage `wandering`",
    ]
    assert said(rule % ("", "'cell, wandering': Leave it.,")) == []
    assert said(rule % ("applies: {stages: [larvae, holding]},", "")) == []
