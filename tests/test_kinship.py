"""``rounds kinship``: from files and from books, and the pedigree that is read out of a book."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from rounds.analysis.pedigree.ancestor_tree import ancestors, as_text, drawn
from rounds.analysis.pedigree.book_pedigree import of_book, rows
from rounds.analysis.pedigree.kinship import between, inbreeding
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.cli import run
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Content, Line, PairingMale, Search
from tests.acts import books
from tests.acts.books import record, span
from tests.analysis.trial.trial_books import Books, trial_books
from tests.store.houses import with_books

ROOT = Path(__file__).resolve().parents[1]
SIBS = "animal,sire,dam,sex\nA,,,m\nB,,,f\nC,A,B,m\nD,A,B,f\nE,C,D,\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "p.csv"
    path.write_text(SIBS)
    return path


def out(capsys: pytest.CaptureFixture[str], *argv: str | Path, code: int = 0) -> str:
    assert run([str(a) for a in argv]) == code
    said = capsys.readouterr()
    assert code or not said.err, said.err
    return said.err if code else said.out


def rows_of(text: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(text)["rows"]
    return found


def read(ledger: Ledger) -> Pedigree:
    p, problems = of_book(ledger, "book")
    assert p is not None, problems
    return p


def test_every_form_lists_every_animal_in_full(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    objects = rows_of(out(capsys, "kinship", "--pedigree", file, "--as", "json"))
    table = list(csv.DictReader(io.StringIO(out(capsys, "kinship", "--pedigree", file, "--as", "csv"))))
    assert [o["animal"] for o in objects] == [r["animal"] for r in table] == list("ABCDE")
    assert [o["f_low"] for o in objects] == [0, 0, 0, 0, 0.25]
    assert [float(r["f_high"]) for r in table] == [o["f_high"] for o in objects]
    text = out(capsys, "kinship", "--pedigree", file, "E")
    assert text.splitlines()[1].split()[:2] == ["E", "0.25–0.375"]
    assert (
        rows_of(out(capsys, "kinship", "--pedigree", file, "--unrelated", "E", "--as", "json"))[0]["f_high"]
        == 0.25
    )


def test_numbers_keep_their_full_precision(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chain = ["animal,sire,dam,sex", "m0,,,m", "f0,,,f"]
    for g in range(1, 30):
        chain += [f"m{g},m{g - 1},f{g - 1},m", f"f{g},m{g - 1},f{g - 1},f"]
    path = tmp_path / "p.csv"
    path.write_text("\n".join(chain))
    found = rows_of(out(capsys, "kinship", "--pedigree", path, "--unrelated", "m29", "--as", "json"))[0][
        "f_low"
    ]
    before, now = 0.0, 0.0
    for _ in range(28):
        before, now = now, (1 + 2 * now + before) / 4
    assert found == pytest.approx(now, abs=1e-15)


def test_two_animals_with_what_they_share_and_their_tree(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    svg = tmp_path / "t.svg"
    said = out(capsys, "kinship", "--pedigree", file, "--unrelated", "--between", "C", "D", "--plot", svg)
    assert "kinship 0.25, which is F of their offspring" in said
    assert "0.125  A, 1 and 1 generations back" in said
    assert "├ father A *\n└ mother B *" in said
    ElementTree.fromstring(svg.read_text())
    assert "is there already" in out(
        capsys, "kinship", "--pedigree", file, "--between", "C", "D", "--plot", svg, code=2
    )
    asked = ("kinship", "--pedigree", file, "--unrelated", "--between", "C", "D")
    found = json.loads(out(capsys, *asked, "--as", "json"))
    assert (found["a"], found["b"], found["low"], found["exact"]) == ("C", "D", 0.25, True)
    assert {o["ancestor"]: o["adds"] for o in found["low_from"]} == {"A": 0.125, "B": 0.125}
    rows = list(csv.DictReader(io.StringIO(out(capsys, *asked, "--as", "csv"))))
    assert list(rows[0]) == [
        "a",
        "b",
        "end",
        "kinship",
        "exact",
        "ancestor",
        "kind",
        "adds",
        "steps_a",
        "steps_b",
    ]
    assert {r["ancestor"]: float(r["adds"]) for r in rows if r["end"] == "low"} == {"A": 0.125, "B": 0.125}


def test_a_matrix_is_the_same_in_every_form(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    objects = rows_of(out(capsys, "kinship", "--pedigree", file, "--matrix", "--unrelated", "--as", "json"))
    k = {(o["a"], o["b"]): o["low"] for o in objects}
    assert len(k) == 25
    assert all(k[a, b] == k[b, a] for a, b in k)
    assert (k["C", "D"], k["E", "E"]) == (0.25, 0.625)
    text = out(capsys, "kinship", "--pedigree", file, "--matrix", "--unrelated", "C", "D")
    assert [line.split() for line in text.splitlines()[2:4]] == [
        ["C", "0.5000", "0.2500"],
        ["D", "0.2500", "0.5000"],
    ]


def test_founders_may_be_declared_related(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    argv = ("kinship", "--pedigree", file, "--unrelated", "C", "--as", "json")
    assert rows_of(out(capsys, *argv, "--related", "A", "B", "0.25"))[0]["f_low"] == 0.25
    assert "no kinship" in out(capsys, *argv, "--related", "A", "B", "sibs", code=2)


def test_a_headerless_table_of_six_columns_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.txt"
    path.write_text("F 1 0 0 1 0\nF 2 0 0 2 0\nF 3 1 2 1 0\nF 4 1 2 2 0\nF 5 3 4 1 0\n")
    objects = rows_of(out(capsys, "kinship", "--pedigree", path, "--as", "json"))
    assert objects[-1]["f_low"] == 0.25


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_table_of_six_columns_may_be_parted_by_signs_and_its_names_hold_blanks(
    sign: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.txt"
    rows = ["F|A 1|0|0|1|0", "F|B 1|0||2|", "F|C 1|A 1|B 1|1|0", "F|D 1|A 1|B 1|2|0", "F|E|C 1|D 1|0|-9"]
    path.write_bytes("\r\n".join(rows).replace("|", sign).encode("utf-8-sig"))
    objects = rows_of(out(capsys, "kinship", "--pedigree", path, "--as", "json"))
    assert [o["animal"] for o in objects] == ["A 1", "B 1", "C 1", "D 1", "E"]
    assert objects[-1]["f_low"] == 0.25
    path.write_text("\n".join([*rows, "F|G|C 1|D 1|7|0", "F|H|C 1"]).replace("|", sign))
    said = out(capsys, "kinship", "--pedigree", path, code=2)
    assert ":6:" in said, "the line of the sex that is none"
    assert "is no sex here" in said
    assert "has 3 columns" in said


@pytest.mark.parametrize("more", [[], ["--matrix"], ["--colony"], ["--as", "json"]])
def test_a_header_without_animals_is_told(
    more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.csv"
    path.write_text("animal,sire,dam\n")
    assert "a header and no animals" in out(capsys, "kinship", "--pedigree", path, *more, code=2)


@pytest.mark.parametrize("more", [[], ["--matrix"], ["--colony"]])
def test_a_book_without_animals_says_so(
    more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.sqlite"
    with_books(path, Books().ledger).close()
    assert "with a number to look at" in out(capsys, "--book", path, "kinship", *more, code=2)


def test_an_unknown_parent_written_as_a_sign_is_one_problem_and_not_a_selfing_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.csv"
    path.write_text("animal,sire,dam\nA,0,0\nB,A,NA\n")
    said = out(capsys, "kinship", "--pedigree", path, code=2)
    assert len(said.splitlines()) == 2
    assert "`0` is named as a parent in 1 row and has no row of its own. Leave the cell blank" in said
    assert "Beetles cannot" not in said


def test_what_a_kinship_stands_for_is_only_said_where_it_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.csv"
    path.write_text("animal,sire,dam,sex\nC,A,B,m\nD,A,B,f\nE,A,B,m\nG,,,group\n")

    def head(a: str, b: str) -> str:
        return out(capsys, "kinship", "--pedigree", path, "--between", a, b).splitlines()[0]

    assert head("C", "D").endswith("which is F of their offspring")
    assert head("C", "E").endswith("(both are males)")
    assert (
        head("C", "C") == "C: kinship with itself 0.5–0.625, at most 0.6875, which is half of 1 + its own F"
    )
    assert head("G", "G").startswith("G: kinship of two of its members")
    said = out(capsys, "kinship", "--pedigree", path, "--between", "C", "D")
    assert "parents not recorded, taken as full sibs" in said
    assert "at most 0.5, if parents not recorded were any animals of that line" in said


def test_what_is_assumed_of_parents_not_recorded_stands_beside_each_figure(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = out(capsys, "kinship", "--pedigree", file)
    assert all(f"\n{reading}" in said for reading in ("low:", "usual reading:", "at most:"))
    assert "0.0000" not in said, "nobody knows that of an animal with an unknown parent"
    declared = out(capsys, "kinship", "--pedigree", file, "--unrelated")
    assert "0 as declared" in declared
    assert "at most:" not in declared


def test_possible_sires_do_not_make_a_large_colony(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.csv"
    males = "|".join(f"M{i}" for i in range(20))
    path.write_text(f"animal,sire,dam,sex\nK,{males},D,\nL,{males},D,\n")
    [found] = rows_of(out(capsys, "kinship", "--pedigree", path, "--colony", "--as", "json"))
    assert [found[f"breeding_{x}"] for x in ("males_low", "males_high", "females")] == [1, 20, 1]
    assert found["effective_size_low"] == 2.0
    assert found["effective_size_high"] == pytest.approx(4 * 20 / 21)
    assert found["f_in_5_generations_low"] < found["f_in_5_generations_high"]
    said = out(capsys, "kinship", "--pedigree", path, "--colony")
    assert "1–20 males, 1 female; which of the possible fathers they are is open" in said
    assert "all of its animals are counted as living" in said
    assert "itself too" in said


@pytest.mark.parametrize(
    "argv",
    [
        ["--between", "A", "B", "--matrix"],
        ["--plot", "x.svg"],
        ["A", "--between", "A", "B"],
        ["A", "--colony"],
    ],
)
def test_two_questions_at_once_are_refused(
    argv: list[str], file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out(capsys, "kinship", "--pedigree", file, *argv, code=2)


def test_everything_wrong_is_told_at_once_and_nothing_computed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "p.csv"
    path.write_text("animal,sire,dam,sex\nA,B,C,m\nB,A,C,m\nC,,,f\nD,C,A,f\nA,C,,m\n")
    assert run(["kinship", "--pedigree", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert all(line.startswith(f"{path}:") for line in lines)
    for words in ("own ancestor", "two sets of parents", "is a female", "is a male"):
        assert sum(words in line for line in lines) == 1
    assert "Did you mean `UMBER/1`" in out(capsys, "kinship", "--pedigree", _one(tmp_path), "UMBR/1", code=2)


def _one(folder: Path) -> Path:
    path = folder / "one.csv"
    path.write_text("animal,sire,dam\nUMBER/1,,\n")
    return path


def test_the_books_animals_have_the_parents_recorded_for_them() -> None:
    p = read(trial_books().ledger)
    i = p.find("TALLOW/11")
    assert [p.names[x] for x in (p.sire[i], p.dam[i])] == ["TALLOW/1", "TALLOW/2"]
    assert between(p, "TALLOW/11", "TALLOW/21").kinship.low == 0.25


def test_offspring_of_a_pairing_are_as_sure_of_their_father_as_it_is() -> None:
    for paternity, sires in (
        ("certain", ("TALLOW/21",)),
        ("likely", ("TALLOW/21", "?")),
        ("open", ("TALLOW/21", "?")),
    ):
        b = trial_books()
        b.set(Brood.paternity, b.ids["S-01-b"], paternity)
        b.animal("TALLOW/99", "f", brood=b.ids["S-01-b"])
        row = next(r for r in rows(b.ledger) if r.animal == "TALLOW/99")
        assert (row.sires, row.dam) == (sires, "TALLOW/11")
        f = dict(zip(read(b.ledger).names, inbreeding(read(b.ledger)), strict=True))["TALLOW/99"]
        assert f.low == (0.25 if paternity == "certain" else 0.0)
        assert f.high >= 0.25


@pytest.mark.parametrize(
    ("since", "sires"), [("2026-02-24", {"TALLOW/21", "TALLOW/22", "?"}), ("2026-04-26", {"TALLOW/21"})]
)
def test_two_males_together_are_both_possible_and_one_that_came_later_is_not(
    since: str, sires: set[str]
) -> None:
    b = trial_books()
    b.add(PairingMale(pairing=b.ids["S-01"], male=b.ids["TALLOW/22"], since=span(since)))
    b.animal("TALLOW/99", "f", brood=b.ids["S-01-b"])
    assert set(next(r for r in rows(b.ledger) if r.animal == "TALLOW/99").sires) == sires


def test_parents_recorded_for_the_animal_itself_go_before_its_broods() -> None:
    b = trial_books()
    b.animal("TALLOW/99", "f", brood=b.ids["S-01-b"], sire=b.ids["TALLOW/25"])
    row = next(r for r in rows(b.ledger) if r.animal == "TALLOW/99")
    assert (row.sires, row.dam) == (("TALLOW/25",), "TALLOW/11")


def test_a_brood_without_numbers_stands_in_as_a_group_and_a_split_one_has_the_same_parents() -> None:
    b = trial_books()
    child = b.add(Brood(name="split", parent=b.ids["S-01-b"], found=span("2026-05-18"), unsexed=2))
    b.animal("TALLOW/99", "f", brood=child)
    p = read(b.ledger)
    i, j = p.find("S-01-b"), p.find("TALLOW/99")
    assert p.sex[i] == "group"
    assert (p.sire[i], p.dam[i]) == (p.sire[j], p.dam[j]) == (p.find("TALLOW/21"), p.find("TALLOW/11"))


def alive_again(b: Books) -> Books:
    for animal in list(b.ledger.rows(Animal)):
        if animal.sire is not None:
            b.set(Animal.state, animal.id, "alive")
    return b


def with_a_colony() -> Books:
    b = trial_books()
    box = b.box("C-1", "colony")
    b.add(Content(enclosure=box, line=b.ids["RUSH"], males=4, females=6, since=span("2025-12-18")))
    search = b.add(Search(enclosure=box, made=span("2026-03-18"), complete=True, l1=9))
    brood = b.add(
        Brood(
            name="RUSH-01",
            line=b.ids["RUSH"],
            search=search,
            found=span("2026-03-18"),
            instar="L1",
            unsexed=9,
        )
    )
    b.animal("RUSH/50", "m", brood=brood)
    return b


def test_offspring_of_a_colony_have_it_as_father_and_mother() -> None:
    p = read(with_a_colony().ledger)
    i = p.find("RUSH/50")
    assert p.names[p.sire[i]] == p.names[p.dam[i]] == "RUSH in C-1"
    assert p.sex[p.sire[i]] == "group"


def test_acts_end_in_the_pedigree_and_leave_it_when_taken_back() -> None:
    before = books.house()
    after = record(before, "parents", "UMBER/5", sire="UMBER/1", dam="UMBER/2")
    assert {r.animal: r for r in rows(after)}["UMBER/5"].sires == ("UMBER/1",)
    assert {r.animal: r for r in rows(before)}["UMBER/5"].sires == ()


def test_a_loop_in_the_books_is_told_and_nothing_computed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    b = trial_books()
    b.set(Animal.sire, b.ids["TALLOW/1"], b.ids["TALLOW/21"])
    path = tmp_path / "b.sqlite"
    with_books(path, b.ledger).close()
    said = out(capsys, "--book", path, "kinship", code=2)
    assert "own ancestor" in said
    assert str(path) in said


def test_the_command_reads_the_book_and_gives_figures_of_its_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    b = alive_again(trial_books())
    path = tmp_path / "b.sqlite"
    with_books(path, b.ledger).close()
    assert "TALLOW/11" in out(capsys, "--book", path, "kinship")
    objects = rows_of(out(capsys, "--book", path, "kinship", "--colony", "--as", "json"))
    tallow = next(o for o in objects if o["name"] == "TALLOW")
    assert tallow["living"] == 12
    # Twelve full sibs: each 0.5 with itself and 0.25 with the others.
    assert tallow["mean_kinship_low"] == pytest.approx((0.5 + 11 * 0.25) / 12)
    assert [tallow[f"breeding_{x}"] for x in ("males_low", "males_high", "females")] == [1, 1, 1]
    assert (tallow["effective_size_low"], tallow["effective_size_high"]) == (2.0, 2.0)
    assert {o["of"] for o in objects} == {"line", "species"}
    # Of two parents of twelve, each allele is lost in one case of 2^12 (and both are founders of a half).
    assert tallow["founder_genomes_retained"] == pytest.approx(2 * (1 - 0.5**12))
    assert (tallow["drops"], tallow["retained_unknown_because"]) == (0, "")
    said = out(capsys, "--book", path, "kinship", "--colony")
    assert "gene diversity" in said
    assert "founder genomes still there" in said


def test_what_is_left_of_founders_is_drawn_in_large_families_and_not_told_of_open_sires_and_groups(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    b = alive_again(trial_books())
    # A thirteenth full sib: too many chances to go through one by one.
    b.animal("TALLOW/99", "m", sire=b.ids["TALLOW/1"], dam=b.ids["TALLOW/2"])
    large = tmp_path / "large.sqlite"
    with_books(large, b.ledger).close()
    ask = ("--book", large, "kinship", "--colony", "--as", "json")
    drawn = next(o for o in rows_of(out(capsys, *ask)) if o["name"] == "TALLOW")
    assert drawn["drops"] == 2000
    assert drawn["founder_genomes_retained"] == pytest.approx(2 * (1 - 0.5**13), abs=0.01)
    assert drawn in rows_of(out(capsys, *ask)), "the same book always gives the same figure"
    assert "(drawn: 2000 gene drops)" in out(capsys, *ask[:-2])
    path = tmp_path / "p.csv"
    argv = ("kinship", "--pedigree", path, "--colony", "--as", "json")
    path.write_text("animal,sire,dam\nC,A|X,B\n")
    [open_] = rows_of(out(capsys, *argv))
    assert open_["founder_genomes_retained"] is None
    assert "several possible fathers" in open_["retained_unknown_because"]
    assert "cannot tell, `C` has several" in out(capsys, *argv[:-2])
    book = tmp_path / "b.sqlite"
    with_books(book, with_a_colony().ledger).close()
    found = rows_of(out(capsys, "--book", book, "kinship", "--colony", "--as", "json"))
    rush = next(o for o in found if o["name"] == "RUSH")
    assert "`RUSH in C-1` is a group" in rush["retained_unknown_because"]


def test_a_lost_founder_is_said_to_be_lost(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line carried on by one offspring a generation, its mates new: no drop sees anything of its start."""
    b = Books()
    b.ids["RUSH"] = b.add(Line(name="RUSH", species="Eudicella smithi"))
    sire = b.animal("RUSH/1", "m", state="dead")
    for g in range(1, 21):
        dam = b.animal(f"RUSH/{2 * g}", "f", state="dead")
        state = "alive" if g == 20 else "dead"
        sire = b.animal(f"RUSH/{2 * g + 1}", "m", sire=sire, dam=dam, state=state)
    path = tmp_path / "b.sqlite"
    with_books(path, b.ledger).close()
    ask = ("--book", path, "kinship", "--colony")
    found = next(o for o in json.loads(out(capsys, *ask, "--as", "json"))["rows"] if o["of"] == "line")
    assert found["living"] == 1
    assert "RUSH/1" in found["lost_founders"].split(", ")
    assert "RUSH/40" not in found["lost_founders"].split(", "), "the living one's own mother"
    assert found["founder_genomes_retained"] == pytest.approx(1, abs=0.1), "two genes of two founders, halved"
    assert (
        f"founders lost, not one of their alleles in {found['drops']} gene drops: {found['lost_founders']}\n"
        in out(capsys, *ask)
    )


def test_a_tree_stops_where_it_is_told_and_marks_what_is_shared() -> None:
    p = read(trial_books().ledger)
    assert as_text(ancestors(p, ["TALLOW/11", "TALLOW/21"], 0)) == ["TALLOW/11 …", "TALLOW/21 …"]
    lines = as_text(ancestors(p, ["TALLOW/11", "TALLOW/21"]))
    assert sum(line.endswith("*") for line in lines) == 4
    root = ElementTree.fromstring(drawn(ancestors(p, ["TALLOW/11", "TALLOW/21"]), "<&>").svg())
    assert root[0].text == "<&>"


@pytest.mark.parametrize(
    "argv",
    [["--help"], ["kinship", "--help"], ["pairings", "--help"], ["trial", "verdict", "--help"]],
    ids=" ".join,
)
def test_help_loads_no_numbers_library(argv: list[str]) -> None:
    _loads([], argv)


def test_a_small_pedigree_needs_neither_numpy_nor_a_screen(file: Path) -> None:
    _loads([], ["kinship", "--pedigree", str(file)])


def test_control_a_verdict_does_load_them(tmp_path: Path) -> None:
    path = tmp_path / "c.csv"
    path.write_text("arm,female,eggs,alive\nsib,a,9,1\nsib,b,9,1\noutcross,c,9,1\noutcross,d,9,2\n")
    _loads(["numpy", "scipy"], ["trial", "verdict", "--counts", str(path)])


def _loads(expected: list[str], argv: list[str]) -> None:
    code = (
        "import sys; from rounds.cli import run\n"
        f"assert run({argv!r}) == 0\n"
        "heavy = ('numpy', 'scipy', 'textual', 'peewee', 'pendulum')\n"
        "print(*[n for n in heavy if n in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.split() == expected


NUMBERED = (
    "animal,sire,dam,sex\nSLATE/1,,,m\nSLATE/2,,,f\nSLATE/3,,,m\nMOSS/2,,,f\n"
    "SLATE/11,SLATE/1,SLATE/2,m\nSLATE/12,SLATE/1|SLATE/3|?,SLATE/2,f\n"
)


@pytest.fixture
def numbered(tmp_path: Path) -> Path:
    path = tmp_path / "numbered.csv"
    path.write_text(NUMBERED)
    return path


@pytest.mark.parametrize(
    ("animal", "parents"),
    [
        ("SLATE/1", "father not recorded, mother not recorded"),
        ("SLATE/11", "father SLATE/1, mother SLATE/2"),
        ("SLATE/12", "father possibly SLATE/1 or SLATE/3 or a male not recorded, mother SLATE/2"),
        ("11", "father SLATE/1, mother SLATE/2"),
    ],
)
def test_the_text_names_the_parents(
    numbered: Path, animal: str, parents: str, capsys: pytest.CaptureFixture[str]
) -> None:
    head, row = out(capsys, "kinship", "--pedigree", numbered, animal).splitlines()[:2]
    assert row.index(parents) == head.index("parents")
    assert row.endswith(parents)


def test_tables_give_the_parents_as_a_pedigree_takes_them(
    numbered: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = ("kinship", "--pedigree", numbered)
    objects = {o["animal"]: (o["sire"], o["dam"]) for o in rows_of(out(capsys, *argv, "--as", "json"))}
    assert objects["SLATE/1"] == (None, None)
    assert objects["SLATE/12"] == ("SLATE/1|SLATE/3|?", "SLATE/2")
    rows = list(csv.DictReader(io.StringIO(out(capsys, *argv, "--as", "csv"))))
    again = tmp_path / "again.csv"
    again.write_text(
        "animal,sire,dam,sex\n" + "".join(f"{r['animal']},{r['sire']},{r['dam']},{r['sex']}\n" for r in rows)
    )
    assert out(capsys, "kinship", "--pedigree", again) == out(capsys, *argv)


def test_a_bare_number_is_the_one_animal_that_has_it(
    numbered: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = ("kinship", "--pedigree", numbered)
    assert out(capsys, *argv, "--between", "11", "12") == out(
        capsys, *argv, "--between", "SLATE/11", "SLATE/12"
    )
    assert out(capsys, *argv, "--matrix", "11") == out(capsys, *argv, "--matrix", "SLATE/11")
    assert out(capsys, *argv, "2", code=2) == "`2` is the number of SLATE/2, MOSS/2. Name the line, too.\n"
    assert "`99` is not in the pedigree" in out(capsys, *argv, "99", code=2)
