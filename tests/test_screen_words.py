"""Every word on the screens comes from a sentence, a declared table, the config or the book.

A sentence put together in passing, where nobody reads it with the others, would show here.
"""

from __future__ import annotations

import ast
import calendar
import re
from collections.abc import Iterator
from pathlib import Path

from rounds.acts import registry
from tests import sentences

ROOT = Path(__file__).parents[1]
SEEN = sorted((ROOT / "tests/screens/seen").glob("*.txt"))

TABLES = (
    "rounds/keys/commands.py",
    "rounds/keys/card_commands.py",
    "rounds/acts/card_sentences.py",
    "rounds/acts/offer_sentences.py",
    "rounds/husbandry/stages.py",
    "rounds/husbandry/readings.py",
    "rounds/records/tables.py",
)
"""Modules that are tables of names with their words."""

_WORD = re.compile(r"[^\W\d_]{3,}")


def words(text: str) -> set[str]:
    return {w.casefold() for w in _WORD.findall(text)}


def sources() -> Iterator[str]:
    """All texts a word on a screen may come from."""
    yield sentences.text()
    yield " ".join([*calendar.month_abbr, *calendar.day_abbr])
    for table in TABLES:
        tree = ast.parse((ROOT / table).read_text(encoding="utf-8"))
        yield " ".join(
            n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)
        )
    for act in registry.all_acts().values():
        yield " ".join(
            [act.title, act.about, act.caution, *(f"{f.about} {' '.join(f.words)}" for f in act.fields)]
        )
    for folder in ("config", "demo_data"):
        for path in sorted((ROOT / folder).rglob("*")):
            if path.suffix in {".yaml", ".csv"}:
                yield path.read_text(encoding="utf-8")
    yield (ROOT / "tests/screens/house.py").read_text(encoding="utf-8")


def on_screens() -> dict[str, str]:
    """Each word with one screen it stands on; what the edge of a screen cuts is no word."""
    found: dict[str, str] = {}
    for path in SEEN:
        whole = re.sub(r"\w*…\w*", " ", path.read_text(encoding="utf-8"))
        for word in words(whole):
            found.setdefault(word, path.name)
    return found


def unknown(texts: Iterator[str]) -> dict[str, str]:
    known = set[str]().union(*map(words, texts))
    return {word: where for word, where in on_screens().items() if word not in known}


def test_every_word_on_a_screen_is_in_a_sentence_a_table_the_config_or_the_book() -> None:
    assert unknown(sources()) == {}


def test_a_word_from_nowhere_is_noticed() -> None:
    assert unknown(iter([])).keys() == on_screens().keys()
    assert len(on_screens()) > 500
