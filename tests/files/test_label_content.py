"""What stands on a label, what its QR code types, and which enclosures are meant."""

from __future__ import annotations

import unicodedata
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files import label_content
from rounds.files.label_content import ENTER, Wordings, aim, inmates, payload, since_words, stage_words
from rounds.files.label_selection import pick
from rounds.files.load import load_folder
from rounds.problems import BadInput, RoundsError
from rounds.records.ledger import Ledger
from rounds.records.observations import EnclosureState
from rounds.records.tables import Animal, Brood, Content, Line
from rounds.store import read
from rounds.store.book import Book
from rounds.store.ledger_store import load
from rounds.values import spans
from rounds.values.span_parser import parse_span
from tests.files.folders import HOUSE, VOCABULARY, write

TODAY = date(2026, 3, 1).toordinal()


def box(code: str, number: int = 7) -> EnclosureState:
    return EnclosureState(1, code, number, "laying", None, None, 0, "")


# What a scanner types


def test_the_code_goes_between_the_scan_key_and_enter() -> None:
    assert payload("TL-014", {"g": "go", "space": "next", "tab": "scan"}) == "\tTL-014\r"
    assert payload("1", {"g": "go", "`": "scan"}) == "`1\r"
    assert ENTER == "\r", "the key Enter sends a carriage return; a line feed is another key to many scanners"


def test_without_a_key_that_begins_a_scan_no_label_is_made() -> None:
    for commands in ({"g": "go"}, {"`": "scan"}):
        with pytest.raises(RoundsError, match=r"Give `scan` one"):
            payload("a`1", commands)


@pytest.mark.parametrize("code", ["TL-014", "a", "B3_x", "x" * 40])
def test_a_plain_code_is_what_the_label_names(code: str) -> None:
    assert aim(box(code), [code, "other"]) == code


@pytest.mark.parametrize("code", ["14", "TL 14", "Käfer-1", "黒", "x" * 41, "a\tb", "٣"])
def test_where_typing_the_code_could_lead_elsewhere_the_number_is_named(code: str) -> None:
    assert aim(box(code), [code]) == "7"


def test_codes_that_differ_in_capitals_alone_are_named_by_number() -> None:
    assert aim(box("TL-1"), ["TL-1", "tl-1"]) == "7"


# Words


def test_a_stage_and_how_surely_it_began() -> None:
    day = spans.day(2026, 2, 18)
    said = stage_words("Mecynorhina torquata", "pairing", day, TODAY)
    assert said.whole == (
        "Mecynorhina torquata, pairing since 18 Feb 2026",
        "M. torquata, pairing since 18 Feb 2026",
        "M. torquata, pairing 18 Feb 2026",
    )
    assert said.less[-2:] == ("M. torquata, pairing…", "M. tor…, pairing…")
    long = stage_words("an unnamed species from the far side of the hill", "larvae", day, TODAY)
    assert len(long.whole) == 2, "no genus to shorten"
    assert long.less[0] == "an unnamed species from the f…, larvae 18 Feb 2026"
    for typed, shown in (
        ("about 2026-01-05", "begun about 5 Jan 2026"),
        ("between 2025-10-20 and 2025-11-10", "begun between 20 Oct 2025 and 10 Nov 2025"),
        ("2025-10-20 to 2025-11-10", "begun 20 Oct 2025 to 10 Nov 2025"),
        ("autumn 2025", "since autumn 2025"),
        ("2026-02-18", "since 18 Feb 2026"),
    ):
        assert since_words(parse_span(typed), TODAY)[0] == shown


def test_a_span_of_days_is_also_said_briefly() -> None:
    for typed, shown in (
        ("between 2025-10-20 and 2025-11-10", "20 Oct–10 Nov 2025"),
        ("between 2025-12-20 and 2026-01-10", "20 Dec 2025–10 Jan 2026"),
        ("before 2026-02-01", "before 1 Feb 2026"),
    ):
        assert since_words(parse_span(typed), TODAY)[1] == shown


@pytest.mark.parametrize("since", [None, spans.UNKNOWN])
def test_where_nobody_knows_since_when_the_day_of_printing_stands(since: spans.Span | None) -> None:
    assert stage_words("", "laying", since, TODAY).whole == ("species unknown, laying (printed 1 Mar 2026)",)


def ledger(
    *animals: tuple[str, str, str], groups: tuple[tuple[str, str, Content], ...] = (), doubt: str = ""
) -> tuple[Ledger, list[Content]]:
    """Books with these animals (line, number, sex) and groups (line, brood or "", the rest), and who is inside."""
    lines = sorted({a[0] for a in animals} | {line for line, _, _ in groups})
    ids = {name: i for i, name in enumerate(lines, 1)}
    broods = {i: Brood(id=i, name=b, line=ids[line]) for i, (line, b, _) in enumerate(groups, 1) if b}
    inside = [Content(enclosure=1, animal=i, doubt=doubt) for i in range(1, len(animals) + 1)]
    for i, (line, _, counted) in enumerate(groups, 1):
        inside.append(
            counted.changed(Content.line, ids[line])
            .changed(Content.brood, i if i in broods else None)
            .changed(Content.doubt, doubt)
        )
    tables = {
        "line": {i: Line(id=i, name=name) for name, i in ids.items()},
        "animal": {i: Animal(id=i, line=ids[a], number=n, sex=s) for i, (a, n, s) in enumerate(animals, 1)},
        "brood": broods,
    }
    return Ledger(tables), inside


def test_a_pair_is_shown_with_both_numbers_male_first() -> None:
    both = ledger(("KESTREL", "K14", "f"), ("UMBER", "7", "m"))
    assert inmates(*both, pair=True).whole == ("UMBER/7 m × KESTREL/K14 f",)
    assert inmates(*both, pair=False).whole == ("UMBER/7 m, KESTREL/K14 f",)
    same = ledger(("UMBER", "12", "f"), ("UMBER", "7", "m"))
    assert inmates(*same, pair=True).whole == ("UMBER/7 m × UMBER/12 f", "UMBER 7 m × 12 f")


def test_every_wording_of_a_pair_has_both_numbers_and_shortened_names_end_in_dots() -> None:
    found = inmates(*ledger(("A long line of beetles", "0071", "m"), ("Another", "K-12", "f")), pair=True)
    for text in (*found.whole, *found.less):
        assert "0071 m" in text
        assert "K-12 f" in text
    assert found.less[-1] == "…/0071 m × …/K-12 f"


def test_an_unknown_sex_is_left_out_and_is_no_side_of_a_pair() -> None:
    assert inmates(*ledger(("A", "1", "m"), ("A", "2", "unknown")), pair=True).whole[0] == "A/1 m, A/2"


def test_groups_are_counted_as_the_trade_does_with_their_brood() -> None:
    l2 = Content(enclosure=1, unsexed=9, at_least=True, instar="L2")
    assert inmates(*ledger(groups=(("LOCH", "", l2),)), pair=False).whole == ("LOCH at least 0.0.9 L2",)
    assert inmates(*ledger(groups=(("LOCH", "LOCH-06", l2),)), pair=False).whole == (
        "LOCH-06 at least 0.0.9 L2",
    )
    assert inmates(*ledger(groups=(("LOCH", "T-01c", l2),)), pair=False).whole == (
        "LOCH T-01c at least 0.0.9 L2",
    )


def test_many_become_fewer_and_more_and_counts_are_never_cut() -> None:
    found = inmates(*ledger(*(("UMBER", str(n), "f") for n in range(1, 6))), pair=False)
    assert found.whole == (
        "UMBER/1 f, UMBER/2 f, UMBER/3 f, UMBER/4 f, UMBER/5 f",
        "UMBER 1 f, 2 f, 3 f, 4 f, 5 f",
    )
    assert "UMBER/1 f, UMBER/2 f and 3 more" in found.less


def test_doubt_is_said_in_every_wording() -> None:
    found = inmates(*ledger(("A", "1", "m"), ("B", "2", "f"), doubt="mixed up"), pair=True)
    assert all(w.endswith(" (in doubt)") for w in (*found.whole, *found.less))


def test_nobody_recorded_is_said() -> None:
    assert inmates(Ledger(), [], pair=False) == Wordings(("no animals recorded",))


@given(
    st.lists(
        st.tuples(
            st.text(max_size=60), st.text(min_size=1, max_size=60), st.sampled_from(("m", "f", "unknown"))
        ),
        max_size=6,
    ),
    st.booleans(),
)
def test_no_letter_that_steers_gets_onto_a_label(animals: list[tuple[str, str, str]], pair: bool) -> None:
    found = inmates(*ledger(*animals), pair=pair)
    for text in (*found.whole, *found.less):
        assert not {unicodedata.category(c) for c in text} & {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
        assert text


# Which enclosures


@pytest.fixture
def house(book: Book, tmp_path: Path) -> tuple[list[EnclosureState], Ledger]:
    load_folder(write(tmp_path / "tables", HOUSE), book, VOCABULARY)
    return read.enclosures(book), load(book)


def test_a_label_of_a_real_book(house: tuple[list[EnclosureState], Ledger]) -> None:
    every, books = house
    made = label_content.of_enclosures(every, books, every, TODAY)
    assert [(x.title, x.aside, x.aims) for x in made] == [
        ("TL-001", "no. 1", "TL-001"),
        ("TL-002", "no. 2", "TL-002"),
        ("TL-003", "no. 3", "TL-003"),
    ]
    assert [[w.whole[0] for w in x.lines] for x in made] == [
        ["Mecynorhina torquata, pairing since 1 Feb 2026", "UMBER/1 m × UMBER/2 f"],
        ["Mecynorhina torquata, larvae since January 2026", "UMBER/007"],
        ["Dicronorhina derbyana, larvae (printed 1 Mar 2026)", "LOCH at least 0.0.9 L2"],
    ]
    assert all(1 + len(x.lines) <= 3 for x in made)


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ((), ["TL-001", "TL-002", "TL-003"]),
        (("TL-002",), ["TL-002"]),
        (("tl-002", "1"), ["TL-001", "TL-002"]),
        (("003",), ["TL-003"]),
        (("A",), ["TL-001", "TL-002", "TL-003"]),
        (("a1",), ["TL-001", "TL-002", "TL-003"]),
        (("A1-2", "TL-003"), ["TL-002", "TL-003"]),
        (("stage=larvae",), ["TL-002", "TL-003"]),
        (("pairing",), ["TL-001"]),
        (("UMBER",), ["TL-001", "TL-002"]),
        (("line=LOCH",), ["TL-003"]),
        (("number=2", "place=A1-1"), ["TL-001", "TL-002"]),
    ],
)
def test_what_a_word_means(
    house: tuple[list[EnclosureState], Ledger], words: tuple[str, ...], codes: list[str]
) -> None:
    assert [e.code for e in pick(words, *house)] == codes


def test_empty_ones_are_left_out_unless_they_are_named(house: tuple[list[EnclosureState], Ledger]) -> None:
    every, books = house
    every = [*every, box("SPARE", 9)._replace(id=99, stage="empty")]
    assert [e.code for e in pick((), every, books)] == ["TL-001", "TL-002", "TL-003"]
    assert [e.code for e in pick(("stage=empty",), every, books)] == ["SPARE"]
    assert [e.code for e in pick(("SPARE",), every, books)] == ["SPARE"]


def test_all_words_that_mean_nothing_are_told_at_once(house: tuple[list[EnclosureState], Ledger]) -> None:
    with pytest.raises(BadInput) as caught:
        pick(("TL-0002", "stage=layng", "colour=red", "B3", "laying", "1", "stge=laying", "qqq"), *house)
    told = str(caught.value).splitlines()
    assert told == [
        "`B3`  is a bay, shelf or slot, but nothing stands there.",
        "`TL-0002`  means nothing in this book. Did you mean `TL-002`?",
        "`colour=red`  `colour` is nothing to choose labels by. There are: code, number, place, stage, line.",
        "`laying`  is a stage, but no box is in it.",
        "`qqq`  means nothing in this book. Name a box's code, a short number, a bay, shelf or slot, a stage, a line.",
        "`stage=layng`  there is no stage `layng`. Did you mean `laying`?",
        "`stge=laying`  `stge` is nothing to choose labels by. Did you mean `stage`? There are: code, number, place, stage, line.",
    ]


def test_a_word_of_two_meanings_is_asked_about(house: tuple[list[EnclosureState], Ledger]) -> None:
    every, books = house
    every = [*every, box("A1", 2)._replace(id=98), box("UMBER", 8)._replace(id=99)]
    with pytest.raises(BadInput) as caught:
        pick(("A1", "UMBER"), every, books)
    assert str(caught.value).splitlines() == [
        "`A1`  is a box's code and a bay, shelf or slot. Write code=A1 or place=A1.",
        "`UMBER`  is a box's code and a line. Write code=UMBER or line=UMBER.",
    ]
    assert [e.id for e in pick(("code=A1",), every, books)] == [98]
