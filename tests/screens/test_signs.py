"""Every sign and abbreviation that is painted is explained on its screen or in the help of it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.screens.board import compose
from tests.screens import house, seen

TALL = 400

EXPLAINED: dict[str, str] = {
    r"✓": r"✓ seen|✓ \S*\s*saved on the disk|seen today",
    r"…": r"still being saved",
    r"(?<!\S)!{1,3}(?!\S)": r"do it now; do it today; watch it|Gloves, damp",
    r"→": r"what is seen → what to do",
    r"(?<=\S) ←|← ": r"back to the page before|enclosure|the walk",
    r"·": r"nothing noted that day",
    r"≥": r"at least",
    r"¼": r"a quarter of a cup of jelly|fields mean",
    r"°C": r"thermometer|temperature|degrees|°C",
    r"×": r"a pair",
    r"–": r"from – to|usual range|to",
    r"[░▒▓]": r"1 or 2 days ago|one or two days ago",
    r"\b[mf]\b": r"m male, f female",
    r"\d+\.\d+\.\d+": r"1 male, 2 females, 3 not sexed",
    r"\bL[123]\b": r"a larva before its first moult|How many L1",
    r"\b[A-Z]\d-\d\b": r"bay B, shelf 3 from the top|Where does it stand|bay",
    r"(?<![^\s])[A-H](?![^\s])": r"bay B, shelf 3 from the top",
    r"\bno\. ": r"the short number of a box|Number or code",
    r"\bF\b": r"both copies of a gene",
    r"\b(WF|CBF|CB)\d?\b|\bF\d\b": r"the generation as it was told",
    r"(?<=[\d+] )(l|g|mm|cm|d)\b": r"litres, grams, millimetres, centimetres, days",
    r"(?<=, )s(?= skipped)": r"s skipped",
    r"\bkinship\b": r"the young of these two would have|kinship",
    r"\bat most\b": r"the highest F it can be|at most",
    r"(?<!\S)\* ": r"others lived here then|needed",
    r"┌|┐|○|●|■|□": r"heaviest|some day within|likely its|usual",
}
"""A sign, and the words that explain it: on the screen itself or in its help."""

SMALL_WORDS = frozenset(
    [
        "a",
        "an",
        "as",
        "at",
        "be",
        "by",
        "do",
        "go",
        "he",
        "if",
        "in",
        "is",
        "it",
        "me",
        "my",
        "no",
        "of",
        "on",
        "or",
        "so",
        "to",
        "up",
        "us",
        "we",
        "am",
        "pm",
        "I",
        "K",
        "S",
        "vs",
    ]
)
DRAWN = frozenset("│─▀▄█▁▂▃▄▅▆▇▌▐├└┤┬┴┼╷╵")
"""What is drawn with: lines, large letters, bars under their heading."""


def help_of(walk: house.Walk, *keys: str) -> str:
    house.go(walk, 14)
    house.press(walk, *keys, "?")
    return " ".join(" ".join(house.text(compose(walk, 80, TALL))).split())


@pytest.fixture(scope="module")
def helps(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The whole help of each kind of place, as it is painted."""
    found, book = {}, house.copied(demo, tmp_path_factory.mktemp("signs"))
    for kind, keys in {
        "walk": (),
        "summary": ("v",),
        "page": ("right",),
        "card": ("y", "act:search"),
    }.items():
        with house.walking(book) as walk:
            found[kind] = help_of(walk, *keys)
    return found


def kind_of(name: str) -> str:
    return next((k for k in ("page", "summary", "card") if name.startswith(k)), "walk")


def pictures() -> Iterator[tuple[str, str]]:
    """Each screen without its foot, where letters are keys; keys are all that a help, a pad and large keys show."""
    for path in sorted(seen.FOLDER.glob("*-80x24.txt")) + sorted(seen.FOLDER.glob("*-120x40.txt")):
        if not re.match(r"help|touch|pad|page-.*help|acts|pick|other|done|put-off|skipping", path.name):
            lines = path.read_text(encoding="utf-8").splitlines()
            yield path.name, re.sub(r"\w*…\w*", "…", "\n".join(lines[:-4]))  # what is cut is no word


def test_every_sign_is_in_the_table() -> None:
    """A new sign or abbreviation needs a line in the table, and words somewhere that explain it."""
    unknown = {}
    for name, text in pictures():
        left = text
        for pattern in EXPLAINED:
            left = re.sub(pattern, " ", left)
        for sign in left:
            if ord(sign) > 127 and unicodedata.category(sign)[0] in "SP" and sign not in DRAWN:
                unknown.setdefault(sign, name)
        for word in re.findall(r"(?<![^\s(])[A-Za-z]{1,2}\.?(?![^\s),;:])", left):
            if word.rstrip(".") not in SMALL_WORDS and word.rstrip(".").lower() not in SMALL_WORDS:
                unknown.setdefault(word, name)
    assert unknown == {}


def test_every_sign_is_explained_where_it_stands_or_in_its_help(helps: dict[str, str]) -> None:
    lacking = {}
    for name, text in pictures():
        whole = f"{' '.join(text.split())} {helps[kind_of(name)]}"
        for pattern, words in EXPLAINED.items():
            if re.search(pattern, text) and not re.search(words, whole):
                lacking.setdefault(pattern, name)
    assert lacking == {}


def test_an_explanation_that_went_away_would_be_noticed(
    helps: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(EXPLAINED, r"¼", r"a word that stands nowhere")
    with pytest.raises(AssertionError, match="¼"):
        test_every_sign_is_explained_where_it_stands_or_in_its_help(helps)
