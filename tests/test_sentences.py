"""The sentences for keepers stand in one file, rendered, so that they can be read in one go."""

from __future__ import annotations

import re

import pytest

from tests import sentences, terms


def test_the_file_of_sentences_is_what_the_code_says() -> None:
    told = sentences.FILE.read_text(encoding="utf-8")
    assert told == sentences.text(), "write it anew with `python -m tests.sentences`, and read the difference"


def test_a_sentence_takes_plain_values_only() -> None:
    assert sentences.sample("box", str) == "T-07"
    assert sentences.sample("counted", int | None) == 3
    assert sentences.sample("names", tuple[str, ...]) == ("‹names›", "‹names›")


def test_one_thing_has_one_name() -> None:
    assert terms.synonyms() == []


def test_a_synonym_would_be_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(terms.TERMS, "tub", (r"\bbox\b",))
    assert len(terms.synonyms()) > 100


def test_a_coefficient_is_written_in_one_way() -> None:
    """``F 0.25``, never ``F 0.250``: what ends in a zero behind the point is a statistic or a change of cost."""
    ending_in_zero = re.compile(r"\b(?:F|[Kk]inship)\b[^;:,+]{0,24} \d\.\d*0\b")
    assert not ending_in_zero.findall(sentences.FILE.read_text(encoding="utf-8"))
    assert ending_in_zero.search("with F 0.250"), "the control"
