"""Signs beyond plain letters: one committed list, a stand-in of the same width for each, and columns that keep."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

import pytest
import yaml
from hypothesis import example, given
from hypothesis import strategies as st
from rich.cells import cell_len
from wcwidth import wcwidth

from rounds.presenters import four_weeks
from rounds.text.cleaning import clean
from rounds.text.stand_ins import IN_COLUMNS, IN_LINES, LONGER, SIGNS, plain, plain_runs, register
from rounds.views import rack_page

ROOT = Path(__file__).resolve().parents[2]
ANY = st.text(
    st.one_of(st.characters(codec=None), st.sampled_from([*SIGNS, *"黒é👩\u0301ß", " ", "a"])), max_size=40
)


def told(value: object) -> str:
    """All texts of a config file that a keeper may read."""
    if isinstance(value, dict):
        return "".join(map(told, value.values()))
    if isinstance(value, list):
        return "".join(map(told, value))
    return value if isinstance(value, str) else ""


def unlisted(text: str) -> set[str]:
    """Signs that are neither plain nor letters nor on the list."""
    return {c for c in text if not c.isascii() and c not in SIGNS and unicodedata.category(c)[0] != "L"}


def test_control_a_sign_that_is_not_on_the_list_is_found() -> None:
    assert unlisted("✓ sure ☂ Größe") == {"☂"}


def test_every_sign_that_is_written_is_on_the_list() -> None:
    """In every sentence, every config file, every picture of a screen, and the drawings made of signs."""
    texts = re.sub(
        "[‹›]", "", (ROOT / "tests" / "sentences.txt").read_text(encoding="utf-8")
    )  # its own marks
    texts += "".join(p.read_text(encoding="utf-8") for p in ROOT.glob("tests/**/seen/**/*.txt"))
    for path in ROOT.glob("config/**/*.yaml"):
        texts += told(yaml.safe_load(path.read_text(encoding="utf-8")))
    texts += "".join(p.read_text(encoding="utf-8") for p in ROOT.glob("rounds/topics/*.md"))
    assert unlisted(texts) == set()


@pytest.mark.parametrize("sign", SIGNS)
def test_a_sign_and_its_stand_in_take_one_cell_each(sign: str) -> None:
    """By two tables of widths that were made apart from each other: rich's and wcwidth's."""
    assert cell_len(sign) == wcwidth(sign) == 1
    assert len(SIGNS[sign]) == 1
    assert SIGNS[sign].isascii()
    assert SIGNS[sign].isprintable()


def test_signs_that_stand_side_by_side_to_be_told_apart_have_different_stand_ins() -> None:
    bars = four_weeks.BARS
    for together in (
        bars,
        (*bars, four_weeks.FINE, four_weeks.NOT_READ, four_weeks.UNSEEN, *"0123456789"),
        (rack_page.TODAY, rack_page.LATELY, rack_page.LONG, rack_page.NEVER),
        "↑↓←→",
        "✓…",
        "●─",
        "▀▄█",
    ):
        assert len(set(map(plain, together))) == len(together), together


@given(ANY)
@example("黒い e\u0301 👩 ½")
def test_any_text_of_the_book_keeps_its_width_in_plain_letters(text: str) -> None:
    shown = clean(text)
    assert plain(shown).isascii()
    assert cell_len(plain(shown)) == cell_len(shown)


@given(st.lists(ANY.map(clean), max_size=5))
@example(["jelly (¼ cup)", "   0"])
@example(["≥5", " ", "  ", "≥3   "])
@example(["↓", "no padding"])
def test_a_line_keeps_its_width_whatever_stands_in_it(runs: list[str]) -> None:
    out = plain_runs(runs)
    assert len(out) == len(runs)
    assert all(text.isascii() for text in out)
    assert cell_len("".join(out)) == cell_len("".join(runs))


def test_padding_gives_room_to_better_stand_ins_and_columns_stay() -> None:
    assert set(LONGER) <= set(SIGNS)
    assert plain_runs(["jelly (¼ cup)     ", "0 to 1"]) == ["jelly (1/4 cup)   ", "0 to 1"]
    assert plain_runs(["≥5      ", "≥3      "]) == [">=5     ", ">=3     "]
    assert plain_runs(["↓ ↑ turn the page", "      "]) == ["down up turn the page", "  "]
    assert plain_runs(["(¼ cup) ", "0"]) == ["(q cup) ", "0"], "no padding: one cell for one"


def test_streams_write_stand_ins_and_nothing_is_lost_of_plain_text() -> None:
    register()
    assert "23–26 °C · ¼ cup ✓".encode("ascii", IN_COLUMNS) == b"23-26  C . q cup v"
    assert "23–26 °C · ¼ cup ✓".encode("ascii", IN_LINES) == b"23-26  C . 1/4 cup v"
    with pytest.raises(UnicodeDecodeError):
        b"\xff".decode("ascii", IN_COLUMNS)
