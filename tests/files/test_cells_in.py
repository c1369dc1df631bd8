"""Single cells: what each column type takes, and the guard against formulas."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files.cells_in import CellError, reader
from rounds.files.cells_out import guarded, unguarded
from rounds.files.csv_tables import TABLES
from rounds.files.reading_cells import Within, value
from rounds.values.counts import Count
from rounds.values.value_sentences import shown
from tests.files.folders import VOCABULARY

KINDS = VOCABULARY.kinds


@pytest.mark.parametrize(
    ("type_", "text", "wanted"),
    [
        ("whole", "17", 17),
        ("whole", " 007 ", 7),
        ("count", "0", 0),
        ("decimal", "2.5", 2.5),
        ("decimal", "2,5", 2.5),
        ("count", "1.0", 1),
        ("number", "1,75", 1.75),
        ("held_count", "14", Count(14, 14)),
        ("held_count", ">30", Count(31, None)),
        ("held_count", "30+", Count(30, None)),
        ("held_count", "~20", Count(18, 22)),
        ("seed", "2147483648", 2147483648),
        ("yesno", "yes", True),
        ("yesno", "TRUE", True),
        ("yesno", "nein", False),
        ("day", "20.11.2026", date(2026, 11, 20).toordinal()),
        ("day", "31/10/2026", date(2026, 10, 31).toordinal()),
        ("clock", "04:30", 270),
        ("address", "B3-2", ("B", 3, 2)),
        ("animal", "UMBER/07", ("UMBER", "07")),
        ("animal", "UMBER/12/3", ("UMBER", "12/3")),
        ("id", "007", "007"),
        ("zone", "Europe/Berlin", "Europe/Berlin"),
        ("text", "  kept as it is ", "  kept as it is "),
    ],
)
def test_cells_read(type_: str, text: str, wanted: Any) -> None:
    assert reader(type_)(text) == wanted


@pytest.mark.parametrize(
    ("type_", "text", "part"),
    [
        ("whole", "0", "1 to 999999"),
        ("whole", "1000000", "1 to 999999"),
        ("whole", "-3", "whole number"),
        ("whole", "٣", "whole number"),
        ("whole", "1" * 5000, "whole number"),
        ("count", "1.5", "whole number"),
        ("count", "30+", "whole number"),
        ("decimal", "0", "number above 0"),
        ("decimal", "-2", "number above 0"),
        ("number", "1,234", "can be 1.234 or 1234"),
        ("number", "-1", "below 0"),
        ("decimal", "nan", "number above 0"),
        ("decimal", "1e5", "number above 0"),
        ("yesno", "maybe", "yes, no"),
        ("clock", "24:00", "time of day"),
        ("address", "B3/2", "address"),
        ("address", "3B-2", "address"),
        ("animal", "UMBER", "LINE/NUMBER"),
        ("animal", "/7", "LINE/NUMBER"),
        ("line", "A/B", "between line and number"),
        ("id", " TL-1", "blank"),
        ("id", "x" * 101, "longer than 100"),
        ("zone", "Europe/Berln", "not a time zone"),
        ("day", "2026-02-30", "February 2026 has 28 days"),
        ("day", "20260230", "expected one day"),
        ("span", "sometime", "not a date"),
        ("bay", "B3", "letters"),
    ],
)
def test_cells_refused(type_: str, text: str, part: str) -> None:
    with pytest.raises(CellError) as e:
        reader(type_)(text)
    assert part in e.value.message


def test_words_are_a_set_in_a_fixed_order() -> None:
    read = reader("words", ("dig", "open", "move", "wet"))
    assert read("wet open") == ("open", "wet")
    with pytest.raises(CellError, match="twice"):
        read("open open")
    with pytest.raises(CellError) as e:
        read("opne")
    assert "open" in e.value.refusal.hint
    assert read("Open WET") == ("open", "wet")


def test_every_column_of_the_registry_has_a_reader() -> None:
    for table in TABLES:
        for column in table.columns:
            if column.type not in ("skip", "reading", "value", "time"):
                assert callable(reader(column.type, column.words)), (table.name, column.name)


@pytest.mark.parametrize(
    ("kind", "text", "expected", "wanted"),
    [
        ("eaten", "3", False, 3),
        ("heat", "24.5", False, 24.5),
        ("heat", "24.50", False, 24.5),
        ("heat", "0", False, 0),
        ("heat", "24,5", False, 24.5),
        ("heat", "24.5 °C", False, 24.5),
        ("eaten", "3.0", False, 3),
        ("damp", "Wet", False, "wet"),
        ("shut", "true", False, True),
        ("eaten", "1..3", True, Within(1, 3)),
        ("eaten", "2..2", True, Within(2, 2)),
        ("damp", "wet", False, "wet"),
        ("damp", "wet", True, "wet"),
        ("shut", "yes", False, True),
        ("shut", "no", True, False),
    ],
)
def test_values_of_readings(kind: str, text: str, expected: bool, wanted: Any) -> None:
    assert value(text, KINDS[kind], expected=expected) == wanted


@pytest.mark.parametrize(
    ("kind", "text", "expected", "part"),
    [
        ("eaten", "10", False, "above 9"),
        ("eaten", "-1", False, "below 0"),
        ("eaten", "2.5", False, "not a whole number"),
        ("eaten", "two", False, "not a number"),
        ("eaten", "inf", False, "not a number"),
        ("heat", "24.55", False, "1 decimal place"),
        ("eaten", "3", True, "range such as 1..3"),
        ("eaten", "3..1", True, "backwards"),
        ("eaten", "3..99", True, "above 9"),
        ("eaten", "..", True, "not a number"),
        ("damp", "moist", False, "dry, right, wet"),
        ("damp", "dry..wet", True, "dry, right, wet"),
        ("shut", "shut", False, "expected one of: yes, no"),
    ],
)
def test_values_outside_a_reading(kind: str, text: str, expected: bool, part: str) -> None:
    with pytest.raises(CellError) as e:
        value(text, KINDS[kind], expected=expected)
    assert part in e.value.message


@given(st.text())
def test_a_guarded_text_is_no_formula_and_comes_back(text: str) -> None:
    written = guarded(text)
    assert unguarded(written) == text
    assert written[:1] not in ("=", "+", "-", "@", "\t", "\r")


def test_the_guard_leaves_other_apostrophes_alone() -> None:
    assert unguarded("'t was wet") == "'t was wet"
    assert unguarded("'=1+1") == "=1+1"
    assert guarded("'=1+1") == "''=1+1"
    assert guarded("") == ""


@given(st.text())
def test_a_cell_in_a_message_cannot_steer_a_terminal(text: str) -> None:
    said = shown(text)
    assert said.isprintable()
    assert len(text) > 40 or "\\" in said or said == text
