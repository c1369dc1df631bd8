"""Every command that computes, on books and tables of odd sizes and with names nobody knows.

It answers or refuses in words: no traceback, no mistake of the program's own (exit code 70), and
what is refused names what was typed.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.cli import run
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Line
from tests.acts.books import span
from tests.analysis.trial.trial_books import trial_books
from tests.store.houses import with_books

OK, TYPED_WRONG = 0, 2
BOOKS = ("nothing", "one animal", "a pair", "trial")


def ledger_of(name: str) -> Ledger:
    if name == "trial":
        return trial_books().ledger
    draft = Draft(Ledger())
    if name != "nothing":
        line = draft.add(Line(name="TALLOW", species="Eudicella smithi"))
        for n, sex in enumerate("f" if name == "one animal" else "fm", 1):
            draft.add(Animal(line=line, number=str(n), sex=sex, mature=span("2026-07-18")))
    return draft.ledger


@pytest.fixture(scope="module", params=BOOKS)
def book(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("odd") / "book.sqlite"
    with_books(path, ledger_of(request.param)).close()
    return path


ANY_BOOK: tuple[tuple[str, ...], ...] = (
    ("kinship",),
    ("kinship", "--unrelated"),
    ("kinship", "--matrix"),
    ("kinship", "--colony"),
    ("pairings",),
    ("pairings", "--all", "--boxes", "1"),
    ("pairings", "--boxes", "1000000", "--uses", "1000000", "--most-f", "1", "--weight", "1000000"),
    ("pairings", "--most-f", "0", "--by", "low", "--together", "0"),
    ("pairings", "--plans"),
    ("trial", "list"),
    ("trial", "tally"),
    ("trial", "tally", "--since", "2099-01-01"),
    ("trial", "verdict"),
    ("trial", "verdict", "--over", "--endpoint", "L2"),
    ("summary",),
    ("summary", "--safe"),
    ("summary", "--season"),
    ("summary", "--season", "1990"),
    ("due",),
    ("due", "--until", "+3650"),
    ("rules", "replay"),
)
"""What asks for nobody by name: each answers, or says that there is nothing to go by."""

UNKNOWN: tuple[tuple[str, ...], ...] = (
    ("kinship", "NOBODY/9"),
    ("kinship", "--between", "NOBODY/9", "NOBODY/8"),
    ("kinship", "--related", "NOBODY/9", "NOBODY/8", "0.25"),
    ("pairings", "--leave-out", "NOBODY/9"),
    ("pairings", "--force", "NOBODY/9", "NOBODY/8"),
    ("pairings", "--forbid", "NOBODY/9", "NOBODY/8"),
    ("pairings", "--uses-of", "NOBODY/9", "2"),
    ("pairings", "--apart", "NOBODY", "NOBODY"),
    ("pairings", "--cross", "NOBODY", "NOBODY", "1"),
    ("pairings", "--species", "Nobody nobody"),
    ("trial", "show", "nobody"),
    ("trial", "tally", "nobody"),
    ("trial", "tally", "--species", "Nobody nobody"),
    ("trial", "verdict", "nobody"),
    ("trial", "plan", "nobody", "--endpoint", "adult", "--ends", "2027-02-14", "--species", "Nobody nobody"),
    ("lot", "nobody"),
    ("batch", "nobody"),
    ("rules", "explain", "NOBODY-1"),
)
"""What asks for a name that no book has."""


def said_by(argv: tuple[str, ...], book: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    code = run(["--book", str(book), "--today", "2026-08-18", *argv])
    said = capsys.readouterr()
    assert "Traceback" not in said.out + said.err
    return code, said.out, said.err


@pytest.mark.parametrize("argv", ANY_BOOK, ids=" ".join)
def test_any_book_is_answered_or_refused_in_words(
    argv: tuple[str, ...], book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = said_by(argv, book, capsys)
    assert code in (OK, TYPED_WRONG), err
    assert (out if code == OK else err).strip()


@pytest.mark.parametrize("argv", UNKNOWN, ids=" ".join)
def test_a_name_nobody_has_is_refused_by_that_name(
    argv: tuple[str, ...], book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = said_by(argv, book, capsys)
    if argv[0] == "pairings" and "holds no grown animal that is alive" in out:
        return  # whom not to pair is not asked where nobody can be
    assert code == TYPED_WRONG, out
    assert "nobody" in err.lower()


def test_the_figures_of_ten_thousand_animals_are_worked_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line from two founders, of whom the male's genes are lost; the last fifty are alive."""
    rows = ["animal,sire,dam,sex,state", "x,,,m,dead", "a0,,,m,dead", "a1,,,f,dead", "b,x,a1,f,dead"]
    rows += [
        f"a{n},a{n - 2 - n % 2},a{n - 1 - n % 2},{'mf'[n % 2]},{'alive' if n > 9_950 else 'dead'}"
        for n in range(2, 10_000)
    ]
    path = tmp_path / "many.csv"
    path.write_text("\n".join(rows) + "\n")
    assert run(["kinship", "--pedigree", str(path), "--colony"]) == OK
    said = capsys.readouterr()
    assert said.out.strip()
    assert "Traceback" not in said.err


def test_a_matrix_of_ten_thousand_animals_is_refused_with_what_to_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "many.csv"
    path.write_text("animal,sire,dam\n" + "".join(f"a{n},,\n" for n in range(10_000)))
    assert run(["kinship", "--pedigree", str(path), "--matrix"]) == TYPED_WRONG
    assert "name the ones you want" in capsys.readouterr().err
