"""``rounds trial`` from end to end: files, books, exit codes, what goes where, what is refused."""

from __future__ import annotations

import csv
import io
import json
import resource
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

from rounds.analysis.trial import verdict_sentences
from rounds.cli import run
from rounds.commands.named_files import write_file
from rounds.problems import RoundsError
from rounds.records.tables import Pairing
from rounds.reports.json_schema import json_schema
from rounds.reports.trial_kinds import VERDICT
from tests.analysis.trial.trial_books import PLAN, trial_books
from tests.store.houses import with_books

COUNTS = "arm,female,eggs,alive,male\n" + "".join(
    f"{arm},{arm[0]}{i},40,{y},m{arm[0]}{i}\n"
    for arm, some in (("sib", (12, 15, 9, 14, 11, 13)), ("outcross", (30, 28, 33, 31, 27, 29)))
    for i, y in enumerate(some)
)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "counts.csv"
    path.write_text(COUNTS)
    return path


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("trial") / "book.sqlite"
    with_books(path, trial_books().ledger).close()
    return path


def out(capsys: pytest.CaptureFixture[str], *argv: str | Path, code: int = 0) -> str:
    assert run([str(a) for a in argv]) == code
    said = capsys.readouterr()
    assert (said.err == "") == (code == 0), said.err
    return said.out if code == 0 else said.err


def test_a_verdict_needs_no_book(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = out(capsys, "--book", "/nowhere", "trial", "verdict", "--counts", file)
    assert said.startswith("survival in sib was lower than in outcross")
    assert f"p = 0.0000 ({verdict_sentences.BOTH_TESTS})" in said
    assert "no plan was given" in said
    assert said.count("●") == 12


def test_every_form_gives_the_same_figures_in_full(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(out(capsys, "trial", "verdict", "--counts", file, "--as", "json"))
    jsonschema.Draft202012Validator(json_schema(VERDICT)).validate(found)
    rows = list(csv.DictReader(io.StringIO(out(capsys, "trial", "verdict", "--counts", file, "--as", "csv"))))
    assert list(rows[0]) == ["what", "value", "low", "high", "how"]
    assert 0 < found["p"]["value"] < 0.05
    assert found["difference"]["high"] < 0 < found["delta"]["low"]
    figures = {c.title: found[c.name] for c in VERDICT.fields if c.type == "object" and not c.many}
    by_what = {r["what"]: r for r in rows}
    given = {what: figure for what, figure in figures.items() if figure is not None}
    assert given.keys() <= by_what.keys()
    for what, figure in given.items():
        for name in ("value", "low", "high"):
            assert by_what[what][name] == ("" if figure.get(name) is None else str(figure[name])), what
    assert [r["value"] for r in rows if r["what"] == "note"] == found["notes"]


def test_a_drawing_is_made_once_and_never_over_another_file(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    svg = tmp_path / "t.svg"
    out(capsys, "trial", "verdict", "--counts", file, "--plot", svg)
    drawn = svg.read_text()
    ElementTree.fromstring(drawn)
    assert "is there already" in out(capsys, "trial", "verdict", "--counts", file, "--plot", svg, code=2)
    assert svg.read_text() == drawn
    assert sorted(p.name for p in tmp_path.iterdir()) == ["counts.csv", "t.svg"]
    assert "cannot be written" in out(
        capsys, "trial", "verdict", "--counts", file, "--plot", tmp_path / "no" / "t.svg", code=2
    )


def test_bad_counts_are_told_all_at_once_by_line_and_column(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "c.csv"
    path.write_text("arm,female,eggs,alive\nsib,a,3,4\nsib,b,x,1\n")
    said = out(capsys, "trial", "verdict", "--counts", path, code=2)
    assert f"{path}:2:9" in said
    assert f"{path}:3:7" in said
    path.write_bytes(b"arm,female,eggs,alive\nsib,\xff,3,4\n")
    assert f"{path}:2:5  is not UTF-8" in out(capsys, "trial", "verdict", "--counts", path, code=2)


def test_a_plan_is_settled_first_and_nothing_is_judged_before_its_last_day(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    settled = ("trial", "plan", "--endpoint", "adult or cell", "--ends", "2027-02-14", "--seed", "11")
    said = out(capsys, "--today", "2026-05-15", *settled)
    assert "with 6 + 6 females you could only detect" in said
    plan = tmp_path / "plan.json"
    plan.write_text(out(capsys, "--today", "2026-05-15", *settled, "--as", "json"))
    early = out(capsys, "--today", "2027-02-13", "trial", "verdict", "--counts", file, "--plan", plan, code=2)
    assert "14 Feb 2027" in early
    assert "p =" not in early
    late = out(capsys, "--today", "2027-02-14", "trial", "verdict", "--counts", file, "--plan", plan)
    assert "endpoint as planned: adult or cell" in late
    assert "no plan was given" not in late
    rows = list(csv.DictReader(io.StringIO(out(capsys, "--today", "2026-05-15", *settled, "--as", "csv"))))
    assert [r["female"] for r in rows] == [x["female"] for x in json.loads(plan.read_text())["layout"]]
    assert {r["seed"] for r in rows} == {"11"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "plan.json:1:2"),
        ("[]", "no plan"),
        ('{"endpoint": "x", "ends": "soon", "arms": ["a", "b"]}', "no plan"),
        ("[" * 100_000, "plan.json"),
        ('{"endpoint": "x", "ends": "2020-01-01", "arms": ["sib", "wild"]}', "`outcross` is not in the plan"),
    ],
)
def test_what_is_no_plan_is_refused(
    text: str, said: str, file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "plan.json"
    plan.write_text(text)
    assert said in out(capsys, "trial", "verdict", "--counts", file, "--plan", plan, code=2)


def test_plans_that_cannot_be_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    base = ("--today", "2026-05-15", "trial", "plan", "--endpoint", "adult")
    assert "not after today" in out(capsys, *base, "--ends", "2026-05-15", code=2)
    assert "not after today" in out(capsys, *base[2:], "--ends", "2020-06-01", code=2), "by the clock, too"
    said = out(capsys, *base, "--ends", "2026-12-18", "--females", "0", "--rho", "2", code=2)
    assert "females per arm" in said
    assert "rho" in said
    assert "not two names" in out(capsys, *base, "--ends", "2026-12-18", "--arms", "sib", code=2)
    pairs = tmp_path / "pairs.csv"
    pairs.write_text("arm,female,male\nsib,a,m1\noutcross,b,m1\n")
    made = out(capsys, *base, "--ends", "2026-12-18", "--pairs", pairs)
    assert "m1 is in both arms: all 2 of its broods would drop out" in made


def test_the_book_is_counted_and_judged(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = json.loads(out(capsys, "--book", book, "trial", "tally", "--as", "json"))["rows"]
    assert {r["female"]: r["alive"] for r in rows} == {female: adults for _, female, adults in PLAN.values()}
    assert all(r["eggs"] == 20 and r["left_out"] == "" for r in rows)
    assert {r["f"] for r in rows if r["arm"] == "outcross"} == {0.0}
    said = out(capsys, "--book", book, "trial", "verdict")
    assert said.startswith("survival in sib was lower")
    assert "8 broods, 0 of them left out" in out(capsys, "--book", book, "trial", "tally")


def test_counts_from_the_book_are_a_file_that_can_be_judged(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "counts.csv"
    path.write_text(out(capsys, "--book", book, "trial", "tally", "--as", "csv"))
    assert out(capsys, "trial", "verdict", "--counts", path) == out(
        capsys, "--book", book, "trial", "verdict"
    )


def test_what_is_not_in_the_book_is_said(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "Did you mean `Eudicella smithi`" in out(
        capsys, "--book", book, "trial", "tally", "--species", "Eudicela smithi", code=2
    )
    assert "no searched pairing" in out(
        capsys, "--book", book, "trial", "tally", "--since", "2026-07-18", code=2
    )


def test_levels_stand_alone(tmp_path: Path, file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "levels.csv"
    path.write_text("F,n,survived\n0,100,80\n0.25,100,60\n")
    said = out(capsys, "trial", "verdict", "--levels", path)
    assert "B 1.1507 per gamete, 2B 2.3015 per animal" in said
    assert "too narrow" in said
    assert "cannot tell whether inbreeding costs anything here" in said, "two rows of pooled eggs"
    found = json.loads(out(capsys, "trial", "verdict", "--levels", path, "--as", "json"))
    assert found["b_per_gamete"]["value"] == pytest.approx(1.150728289807124, rel=1e-9)
    assert "stands alone" in out(capsys, "trial", "verdict", "--levels", path, "--counts", file, code=2)
    path.write_text("F,n,survived\n0,10,5\n0.25,20,0\n")
    said = out(capsys, "trial", "verdict", "--levels", path)
    assert "no upper limit" in said
    assert "F 0.25: 0 of 20 survived" in said
    path.write_text("F,n,survived\n0,10,0\n0.25,10,0\n")
    assert "nothing survived" in out(capsys, "trial", "verdict", "--levels", path, code=2)


def test_arms_are_named_and_given_an_f_by_hand(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = out(
        capsys, "trial", "verdict", "--counts", file, "--f", "sib", "0.375", "--f", "outcross", "0.125"
    )
    assert "difference in F of 0.25:" in said
    said = out(capsys, "trial", "verdict", "--counts", file, "--f", "sub", "0.3", "--f", "sib", "3", code=2)
    assert "Did you mean `sib`" in said
    assert "0 to 1" in said
    assert "no arm `outcros`" in out(
        capsys, "trial", "verdict", "--counts", file, "--reference", "outcros", code=2
    )


def test_nothing_left_says_what_dropped_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "c.csv"
    path.write_text("arm,female,eggs,alive,left_out\nsib,a,9,1,relabelled\noutcross,b,9,1,\n")
    said = out(capsys, "trial", "verdict", "--counts", path, code=2)
    assert "nothing is left to compare in sib" in said
    assert "sib a: relabelled" in said


def test_what_was_typed_never_steers_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "c.csv"
    rows = [f"{arm},\u202e{arm[0]}{i}[bold],40,{10 + i}" for arm in ("=sib", "outcross") for i in range(5)]
    path.write_text("arm,female,eggs,alive\n" + "\n".join(rows) + "\n", encoding="utf-8")
    said = out(capsys, "trial", "verdict", "--counts", path, code=2)
    assert "\u202e" not in said, "a control in a cell is refused, and quoted harmlessly"


def test_a_file_that_cannot_be_finished_is_taken_away(tmp_path: Path) -> None:
    """A disk that takes only the first 100 bytes."""
    path = tmp_path / "t.svg"
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, before[1]))
    try:
        with pytest.raises(RoundsError, match="cannot be written"):
            write_file(path, "x" * 5000, "--plot")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert list(tmp_path.iterdir()) == []
    write_file(path, "x" * 5000, "--plot")
    assert len(path.read_text()) == 5000


def test_the_arm_a_pairing_was_recorded_for_must_fit_its_pedigree(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`cross` is what a pairing is recorded as unless told: sibs among them would hide the cost."""
    b = trial_books()
    b.set(Pairing.purpose, b.ids["S-01"], "cross")
    b.set(Pairing.purpose, b.ids["X-01"], "sibs")
    path = tmp_path / "b.sqlite"
    with_books(path, b.ledger).close()
    rows = {
        r["female"]: r
        for r in json.loads(out(capsys, "--book", path, "trial", "tally", "--as", "json"))["rows"]
    }
    assert (
        "recorded as a cross, but its parents are close kin (F 0.25 at the least)"
        in rows["TALLOW/11"]["left_out"]
    )
    assert "recorded as sibs, but F is 0 at the most" in rows["RUSH/11"]["left_out"]
    assert [r["left_out"] for name, r in rows.items() if name not in ("TALLOW/11", "RUSH/11")] == [""] * 6
    said = out(capsys, "--book", path, "trial", "verdict")
    assert said.count("dropped out:") == 2
    assert "p-value below 4" in said


def test_much_that_dropped_out_is_told_line_by_line_and_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "c.csv"
    lost = "".join(f"sib,a{i},9,1,relabelled\n" for i in range(25))
    path.write_text(f"arm,female,eggs,alive,left_out\n{lost}outcross,b,9,1,\n")
    lines = out(capsys, "trial", "verdict", "--counts", path, code=2).splitlines()
    assert lines[0].endswith("nothing is left to compare in sib. Dropped out:")
    assert lines[1] == "  sib a0: relabelled"
    assert lines[-1] == "  and 5 more"
    assert len(lines) == 22
