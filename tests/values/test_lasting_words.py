"""Worked examples of the forms read from the first version on: days, months, years, seasons, their words.

Books and tables hold these words. What they mean may never change. An open end is ``..``.
"""

from __future__ import annotations

from datetime import date

import pytest

from rounds.values.span_parser import parse_span
from rounds.values.spans import FIRST, LAST, Span, text

EXAMPLES = [
    ("2026-03-01", False, "2026-03-01", "2026-03-01", ""),
    ("1 March 2026", False, "2026-03-01", "2026-03-01", "1 March 2026"),
    ("01 mar 2026", False, "2026-03-01", "2026-03-01", "01 mar 2026"),
    ("31 DECEMBER 1999", False, "1999-12-31", "1999-12-31", "31 DECEMBER 1999"),
    ("2026-05", False, "2026-05-01", "2026-05-31", "2026-05"),
    ("May 2026", False, "2026-05-01", "2026-05-31", "May 2026"),
    ("feb 2024", False, "2024-02-01", "2024-02-29", "feb 2024"),
    ("FEBRUARY 2023", False, "2023-02-01", "2023-02-28", "FEBRUARY 2023"),
    ("December 2025", False, "2025-12-01", "2025-12-31", "December 2025"),
    ("2026", False, "2026-01-01", "2026-12-31", "2026"),
    ("0001", False, "..", "0001-12-31", "0001"),
    ("9999", False, "9999-01-01", "..", "9999"),
    ("spring 2026", False, "2026-03-01", "2026-05-31", "spring 2026"),
    ("SUMMER  2026", False, "2026-06-01", "2026-08-31", "SUMMER  2026"),
    ("autumn 2025", False, "2025-09-01", "2025-11-30", "autumn 2025"),
    ("fall 2025", False, "2025-09-01", "2025-11-30", "fall 2025"),
    ("winter 2024", False, "2023-12-01", "2024-02-29", "winter 2024"),
    ("winter 2025/26", False, "2025-12-01", "2026-02-28", "winter 2025/26"),
    ("winter 1999/00", False, "1999-12-01", "2000-02-29", "winter 1999/00"),
    ("December 9999", False, "9999-12-01", "..", "December 9999"),
    ("31 december 9999", False, "9999-12-31", "9999-12-31", "31 december 9999"),
    ("2024-02-29", False, "2024-02-29", "2024-02-29", ""),
    (" 2026-03-01 ", False, "2026-03-01", "2026-03-01", ""),
    ("about 2026-03-10", False, "2026-03-03", "2026-03-17", "about 2026-03-10"),
    ("about  May 2026", False, "2026-04-16", "2026-06-15", "about  May 2026"),
    ("About spring 2026", False, "2026-01-30", "2026-06-30", "About spring 2026"),
    ("about 2026", False, "2025-10-03", "2027-03-31", "about 2026"),
    ("about 0001", False, "..", "0002-03-31", "about 0001"),
    ("about 9999", False, "9998-10-03", "..", "about 9999"),
    ("about winter 2025/26", False, "2025-11-01", "2026-03-30", "about winter 2025/26"),
    ("before 2026-03-01", False, "..", "2026-02-28", "before 2026-03-01"),
    ("before spring 2026", False, "..", "2026-02-28", "before spring 2026"),
    ("before 1 March 2026", False, "..", "2026-02-28", "before 1 March 2026"),
    ("before 2026", False, "..", "2025-12-31", "before 2026"),
    ("before 2026-07", False, "..", "2026-06-30", "before 2026-07"),
    ("after 2026-03-01", False, "2026-03-02", "..", "after 2026-03-01"),
    ("after May 2026", False, "2026-06-01", "..", "after May 2026"),
    ("After autumn 2026", False, "2026-12-01", "..", "After autumn 2026"),
    ("after 2026", False, "2027-01-01", "..", "after 2026"),
    (
        "between 2026-03-01 and 2026-03-09",
        False,
        "2026-03-01",
        "2026-03-09",
        "between 2026-03-01 and 2026-03-09",
    ),
    ("between March 2026 and May 2026", False, "2026-03-01", "2026-05-31", "between March 2026 and May 2026"),
    ("between 2025 and spring 2026", False, "2025-01-01", "2026-05-31", "between 2025 and spring 2026"),
    (
        "Between 2026-03-01 and 2026-03-01",
        False,
        "2026-03-01",
        "2026-03-01",
        "Between 2026-03-01 and 2026-03-01",
    ),
    ("2026-03-01 to 2026-03-09", False, "2026-03-01", "2026-03-09", "2026-03-01 to 2026-03-09"),
    ("2025 to spring 2026", False, "2025-01-01", "2026-05-31", "2025 to spring 2026"),
    ("March 2026 to 2026-04-05", False, "2026-03-01", "2026-04-05", "March 2026 to 2026-04-05"),
    ("1 mar 2026 to 9 mar 2026", False, "2026-03-01", "2026-03-09", "1 mar 2026 to 9 mar 2026"),
    ("1 jan 1900 to 2100", False, "1900-01-01", "2100-12-31", "1 jan 1900 to 2100"),
    ("winter 2025/26 to 2026", False, "2025-12-01", "2026-12-31", "winter 2025/26 to 2026"),
    ("unknown", False, "..", "..", "unknown"),
    ("Unknown", False, "..", "..", "Unknown"),
    ("  unknown ", False, "..", "..", "unknown"),
    ("", False, "..", "..", ""),
    ("   ", False, "..", "..", ""),
    ("spring 2026", True, "2026-09-01", "2026-11-30", "spring 2026"),
    ("SUMMER  2026", True, "2025-12-01", "2026-02-28", "SUMMER  2026"),
    ("autumn 2025", True, "2025-03-01", "2025-05-31", "autumn 2025"),
    ("fall 2025", True, "2025-03-01", "2025-05-31", "fall 2025"),
    ("winter 2024", True, "2024-06-01", "2024-08-31", "winter 2024"),
    ("About spring 2026", True, "2026-08-02", "2026-12-30", "About spring 2026"),
    ("before spring 2026", True, "..", "2026-08-31", "before spring 2026"),
    ("After autumn 2026", True, "2026-06-01", "..", "After autumn 2026"),
    ("between 2025 and spring 2026", True, "2025-01-01", "2026-11-30", "between 2025 and spring 2026"),
    ("2025 to spring 2026", True, "2025-01-01", "2026-11-30", "2025 to spring 2026"),
]


def ordinal(iso: str, open_end: int) -> int:
    return open_end if iso == ".." else date.fromisoformat(iso).toordinal()


@pytest.mark.parametrize(("typed", "southern", "earliest", "latest", "words"), EXAMPLES)
def test_means_what_it_always_meant(
    typed: str, southern: bool, earliest: str, latest: str, words: str
) -> None:
    expected = Span(ordinal(earliest, FIRST), ordinal(latest, LAST), words)
    assert parse_span(typed, southern=southern) == expected
    assert parse_span(text(expected), southern=southern)[:2] == expected[:2]
