"""Tables of any content: rows or problems, never anything else, and every problem in its place."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from rounds.analysis.trial import brood_counts, inbreeding_cost, trial_plan
from rounds.analysis.trial.count_table import MOST_PROBLEMS, CountColumn, read

PIECES = st.lists(
    st.sampled_from(
        [
            "arm,female,eggs,alive",
            "F,n,survived",
            "sib",
            "outcross",
            ",",
            ";",
            "\t",
            "\n",
            "\r\n",
            '"',
            "1",
            "40",
            "-1",
            "1e9",
            "nan",
            "inf",
            "٣",
            "\0",
            "\ufeff",
            "#",
            "x",
            "",
            " ",
            "999999999999999999999999",
            "0.25",
        ]
    ),
    max_size=40,
).map("".join)


@given(PIECES)
def test_any_text_gives_rows_or_problems_with_places_in_it(text: str) -> None:
    lines = io.StringIO(text, newline="").readlines()
    for reader in (brood_counts.counts, inbreeding_cost.levels, trial_plan.pairs):
        rows, problems = reader(lines, "f.csv")
        assert bool(rows) != bool(problems)
        for p in problems:
            assert 0 <= p.line <= len(lines)
            assert p.line == 0 or p.column <= len(lines[p.line - 1]) + 1


COUNT = st.integers(0, 10**5).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n)))
NAME = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=8).filter(
    lambda s: not s.startswith("#")
)


@given(st.lists(st.tuples(NAME, COUNT), min_size=2, max_size=8))
def test_what_a_spreadsheet_writes_is_read_back(rows: list) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["alive", "arm", "eggs", "female"])
    for k, (name, (eggs, alive)) in enumerate(rows):
        writer.writerow([alive, ("sib", "outcross")[k % 2], eggs, name])
    found, problems = brood_counts.counts(io.StringIO(out.getvalue(), newline="").readlines(), "f.csv")
    assert problems == []
    assert [(b.female, (b.eggs, b.alive)) for b in found] == rows


def test_a_file_of_another_kind_is_not_read_to_its_end() -> None:
    lines = ["a,b\n", *["x,y,z\n"] * 5000]
    table = read(lines, "f.csv", [CountColumn("a", "text", "a"), CountColumn("b", "text", "b")], "a test")
    assert len(table.problems) == MOST_PROBLEMS + 1
    assert table.rows == []


def test_a_quoted_cell_over_two_lines_is_placed_at_its_first() -> None:
    lines = ["arm,female,eggs,alive\n", 'sib,"a\n', 'b",3,1\n', "outcross,c,x,1\n"]
    _, problems = brood_counts.counts(lines, "f.csv")
    assert [(p.line, p.column) for p in problems] == [(2, 5), (4, 12)]
