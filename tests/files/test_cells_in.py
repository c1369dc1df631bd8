"""Single cells: what each column type takes, and the guard against formulas."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files.cells_in import CellError, reader, shown
from rounds.files.cells_out import guarded, unguarded
from rounds.files.csv_tables import TABLES
from rounds.files.reading_cells import Within, value
from tests.files.folders import VOCABULARY

KINDS = VOCABULARY.kinds


@pytest.mark.parametrize(
    ("type_", "text", "wanted"),
    [
        ("whole", "17", 17),
        ("whole", " 007 ", 7),
        ("count", "0", 0),
        ("decimal", "2.5", 2.5),
        ("yesno", "yes", True),
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
        ("whole", "0", "from 1"),
        ("whole", "-3", "whole number"),
        ("whole", "٣", "whole number"),
        ("whole", "1" * 5000, "whole number"),
        ("count", "1.0", "whole number"),
        ("decimal", "2,5", "number above 0"),
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
    assert "open" in e.value.hint


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
        ("eaten", "1..3", True, Within(1, 3)),
        ("eaten", "2..2", True, Within(2, 2)),
        ("damp", "wet", False, "wet"),
        ("damp", "wet", True, "wet"),
        ("shut", "yes", False, True),
        ("shut", "no", True, False),
    ],
)
def test_values_of_readings(kind: str, text: str, expected: bool, wanted: Any) -> None:
    assert value(text, KINDS[kind], expected) == wanted


@pytest.mark.parametrize(
    ("kind", "text", "expected", "part"),
    [
        ("eaten", "10", False, "outside the limits"),
        ("eaten", "-1", False, "outside the limits"),
        ("eaten", "2.5", False, "whole numbers"),
        ("eaten", "two", False, "is a number"),
        ("eaten", "inf", False, "is a number"),
        ("heat", "24.55", False, "1 decimal place"),
        ("eaten", "3", True, "range such as 1..3"),
        ("eaten", "3..1", True, "backwards"),
        ("eaten", "3..99", True, "outside the limits"),
        ("eaten", "..", True, "is a number"),
        ("damp", "moist", False, "not an answer"),
        ("damp", "dry..wet", True, "not an answer"),
        ("shut", "true", False, "expected yes or no"),
    ],
)
def test_values_outside_a_reading(kind: str, text: str, expected: bool, part: str) -> None:
    with pytest.raises(CellError) as e:
        value(text, KINDS[kind], expected)
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
    assert len(text) > 40 or "\\u" in said or said == text
