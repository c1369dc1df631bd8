"""``rounds pairings``: who can breed now, the plan and its wishes, on a real book."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rounds.analysis.pairing.breeding_candidates import awake, candidates
from rounds.cli import run
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.tables import (
    Animal,
    Content,
    Enclosure,
    Line,
    Loan,
    Lock,
    Pairing,
    PairingMale,
    PlannedPairing,
    Trial,
    TrialFemale,
)
from rounds.values.spans import Span
from tests.acts.books import day, span
from tests.analysis.trial.trial_books import SMITHI, Books
from tests.store.houses import with_books

TODAY = day("2026-03-10")
SPECIES = {
    SMITHI: Species(
        SMITHI,
        ranges={
            "mature_days": SpeciesRange(7, 14, None, "estimate"),
            "active_days": SpeciesRange(60, 120, None, "estimate"),
            "rest_days": SpeciesRange(20, 40, None, "estimate"),
        },
    )
}


def pairing_books() -> Books:
    """Two males and two females of each of two lines, all awake and ready; their parents are dead."""
    b = Books()
    b.make("lot", "lot", name="Moss Gate", species=SMITHI, quarantine_until=day("2026-03-20"))
    for line in ("TALLOW", "RUSH"):
        b.make(line, "line", name=line, species=SMITHI)
        for n, sex in (("1", "m"), ("2", "f")):
            b.animal(f"{line}/{n}", sex, state="dead")
        for n, sex in (("11", "m"), ("12", "m"), ("13", "f"), ("14", "f")):
            who = b.animal(f"{line}/{n}", sex, sire=b.ids[f"{line}/1"], dam=b.ids[f"{line}/2"])
            box = b.box(f"{line[0]}-{n}", "holding")
            b.make(
                f"{line}/{n} in",
                "content",
                enclosure=box,
                animal=who,
                line=b.ids[line],
                since=span("2026-02-01"),
            )
    return b


def found(b: Books, name: str = "TALLOW/13", species: Any = None) -> str:
    known = SPECIES if species is None else species
    return next(c.hindered for c in candidates(b.ledger, known, TODAY) if c.animal == name)


def test_all_are_ready_in_the_house_as_it_is() -> None:
    every = candidates(pairing_books().ledger, SPECIES, TODAY)
    assert len(every) == 8
    assert not any(c.hindered for c in every)
    assert {(c.species, c.subspecies) for c in every} == {(SMITHI, "")}
    assert {c.awake for c in every} == {Span(day("2026-01-18"), day("2026-01-18") + 120)}


WHO = "TALLOW/13"


def set_(b: Books, **change: Any) -> None:
    for column, value in change.items():
        b.set(Animal.column(column), b.ids[WHO], value)


def stage(b: Books, to: str) -> None:
    b.set(Enclosure.stage, b.ids["T-13"], to)


def pair(b: Books) -> None:
    p = b.add(Pairing(name="P-9", female=b.ids[WHO], since=span("2026-03-09")))
    b.add(PairingMale(pairing=p, male=b.ids["TALLOW/11"], since=span("2026-03-09")))


def trial(b: Books) -> None:
    t = b.add(Trial(name="TR-01"))
    b.add(TrialFemale(trial=t, arm="sibs", female=b.ids[WHO], male=b.ids["TALLOW/11"]))


def lock(b: Books, **more: Any) -> None:
    b.add(
        Lock(
            **{
                "forbids": "move wet",
                "from_day": TODAY - 3,
                "reason": "limp",
                "enclosure": b.ids["T-13"],
                **more,
            },
        )
    )


HINDERED: dict[str, tuple[Callable[[Books], object], str]] = {
    "missing": (lambda b: set_(b, state="missing"), "missing"),
    "lent": (
        lambda b: b.add(Loan(animal=b.ids[WHO], way="out", owner="Nine Alders")),
        "on loan to Nine Alders",
    ),
    "no box": (lambda b: b.set(Content.until, b.ids[f"{WHO} in"], span("2026-03-01")), "in no box"),
    "lot": (lambda b: set_(b, lot=b.ids["lot"]), "in quarantine until 20 Mar 2026"),
    "quarantine": (lambda b: stage(b, "quarantine"), "in quarantine"),
    "paired": (pair, "paired now (P-9)"),
    "laying": (lambda b: stage(b, "laying"), "laying in T-13"),
    "resting": (
        lambda b: (stage(b, "resting"), set_(b, first_feed=None, mature=None)),
        "resting, has not fed yet",
    ),
    "others in their cells": (
        lambda b: stage(b, "cell"),
        "must not be moved: a broken cell is not built twice",
    ),
    "not fed": (lambda b: set_(b, first_feed=None, mature=None), "resting, has not fed yet"),
    "not mature": (
        lambda b: set_(b, mature=span("2026-03-20")),
        "may not be ready to breed before 20 Mar 2026",
    ),
    "perhaps mature": (
        lambda b: set_(b, mature=span("2026-03-08 to 2026-03-12")),
        "may not be ready to breed before 12 Mar 2026",
    ),
    "fed lately": (
        lambda b: set_(b, mature=None, first_feed=span("2026-03-01")),
        "may not be ready to breed before 15 Mar 2026",
    ),
    "promised": (lambda b: set_(b, promised="Nine Alders"), "promised: Nine Alders"),
    "planned": (
        lambda b: b.add(PlannedPairing(name="PLAN-01", female=b.ids[WHO], male=b.ids["TALLOW/11"])),
        "planned with TALLOW/11 (PLAN-01)",
    ),
    "trial": (trial, "in the trial TR-01"),
    "locked": (lock, "must not be moved: limp"),
    "locked animal": (lambda b: lock(b, enclosure=None, animal=b.ids[WHO]), "must not be moved: limp"),
}


@pytest.mark.parametrize("name", HINDERED)
def test_who_cannot_breed_now_is_left_out_with_the_reason(name: str) -> None:
    change, reason = HINDERED[name]
    b = pairing_books()
    change(b)
    assert found(b) == reason
    others = [c for c in candidates(b.ledger, SPECIES, TODAY) if c.animal != WHO]
    assert {c.animal for c in others if c.hindered} == (
        {"TALLOW/11"} if name in ("planned", "trial") else set()
    )


def test_a_box_that_is_called_pairing_hinders_nobody_once_they_are_parted() -> None:
    b = pairing_books()
    stage(b, "pairing")
    assert found(b) == ""
    pair(b)
    assert found(b) == "paired now (P-9)", "an open pairing does"


def test_a_male_with_a_female_now_is_offered_and_said_to_be_free_once_they_are_parted() -> None:
    b = pairing_books()
    pair(b)
    (male,) = (c for c in candidates(b.ledger, SPECIES, TODAY) if c.animal == "TALLOW/11")
    assert not male.hindered
    assert male.note == "TALLOW/11 is paired now (P-9): free once they are parted"


@pytest.mark.parametrize(
    "change",
    [
        lambda b: lock(b, forbids="dig"),
        lambda b: lock(b, until=span("2026-03-01")),
        lambda b: lock(b, lifted=TODAY - 1),
        lambda b: b.add(Loan(animal=b.ids[WHO], way="out", back=span("2026-02-01"))),
        lambda b: b.add(Loan(animal=b.ids[WHO], way="in", owner="Nine Alders")),
        lambda b: set_(b, mature=None, first_feed=span("2026-02-20")),
        lambda b: b.add(
            PlannedPairing(name="PLAN-01", female=b.ids[WHO], male=b.ids["TALLOW/11"], dropped=TODAY)
        ),
        lambda b: b.add(
            Pairing(name="P-8", female=b.ids[WHO], since=span("2026-02-01"), until=span("2026-02-20"))
        ),
    ],
)
def test_what_is_over_or_forbids_something_else_hinders_nobody(change: Callable[[Books], object]) -> None:
    b = pairing_books()
    change(b)
    assert found(b) == ""


def test_without_a_species_file_nothing_is_guessed() -> None:
    b = pairing_books()
    assert found(b, species={}) == "", "mature as recorded"
    set_(b, mature=None)
    assert found(b, species={}) == "not known whether it is ready to breed: when it is, record it at its box"
    assert awake(b.ledger.row(Animal, b.ids[WHO]), None) is None


def test_larvae_and_the_dead_are_no_candidates() -> None:
    b = pairing_books()
    set_(b, emerged=None, first_feed=None, mature=None)
    assert WHO not in {c.animal for c in candidates(b.ledger, SPECIES, TODAY)}
    b.set(Animal.state, b.ids["TALLOW/14"], "dead")
    assert len(candidates(b.ledger, SPECIES, TODAY)) == 6


def test_what_is_recorded_of_a_line_goes_before_its_latin_name() -> None:
    b = pairing_books()
    b.set(Line.species, b.ids["RUSH"], f"{SMITHI} bertherandi")
    b.set(Line.subspecies, b.ids["RUSH"], "minor")
    b.set(Line.locality, b.ids["RUSH"], "north slope")
    assert {(c.line, c.subspecies, c.locality) for c in candidates(b.ledger, SPECIES, TODAY)} == {
        ("TALLOW", "", ""),
        ("RUSH", "minor", "north slope"),
    }


def test_a_third_word_of_the_latin_name_is_the_subspecies() -> None:
    b = pairing_books()
    b.set(Line.species, b.ids["RUSH"], f"{SMITHI} bertherandi")
    assert {(c.line, c.subspecies) for c in candidates(b.ledger, SPECIES, TODAY)} == {
        ("TALLOW", ""),
        ("RUSH", "bertherandi"),
    }


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pairings") / "b.sqlite"
    b = pairing_books()
    b.make("BRAMBLE", "line", name="BRAMBLE", species="Pachnoda marginata")
    for n, sex in (("1", "m"), ("2", "f")):
        who = b.animal(f"BRAMBLE/{n}", sex)
        b.add(Content(enclosure=b.box(f"B-{n}", "holding"), animal=who, since=span("2026-02-01")))
    with_books(path, b.ledger).close()
    return path


def out(capsys: pytest.CaptureFixture[str], book: Path, *argv: str, code: int = 0) -> str:
    assert run(["--book", str(book), "--today", "2026-03-10", "pairings", *argv]) == code
    said = capsys.readouterr()
    assert code or not said.err, said.err
    return said.err if code else said.out


def pairs(capsys: pytest.CaptureFixture[str], book: Path, *argv: str) -> list[dict[str, Any]]:
    found = json.loads(out(capsys, book, *argv, "--as", "json"))["rows"]
    assert isinstance(found, list)
    return found


def test_the_best_plan_crosses_the_lines_and_says_why(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = pairs(capsys, book)
    smithi = [r for r in found if r["species"] == SMITHI]
    assert len(smithi) == 4
    assert all(r["f_high"] == 0 and r["male"].split("/")[0] != r["female"].split("/")[0] for r in smithi)
    assert [r["male"] for r in found if r["species"] == "Pachnoda marginata"] == ["BRAMBLE/1"]
    said = out(capsys, book, "--reasons")
    first = said.index("1. ")
    assert (
        said.index("a tie: of 4 males")
        < said.index("F of the offspring")
        < said.index("instead for her:", first)
    )
    assert "mean kinship of the living" in said
    briefly = out(capsys, book).splitlines()
    for (
        row
    ) in found:  # a pair is two lines: who, and its reasons; what concerns all of them is said once above
        (at,) = [i for i, line in enumerate(briefly) if f" {row['male']} × {row['female']}: F " in line]
        assert briefly[at + 1].startswith("      ")
        assert not briefly[at + 2].startswith("      ")
        assert all(w in briefly[at + 1] for w in row["warnings"] if not w.startswith("crosses the lines"))
    assert said.count("where these lines come from is not recorded") == len({r["species"] for r in smithi})
    rows = list(csv.DictReader(io.StringIO(out(capsys, book, "--as", "csv"))))
    assert [(r["male"], float(r["f_high"])) for r in rows] == [(r["male"], r["f_high"]) for r in found]


def test_every_wish_is_heeded(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = ("--species", SMITHI)
    assert len(pairs(capsys, book, *one, "--boxes", "1")) == 1
    forced = pairs(capsys, book, "--force", "TALLOW/11", "TALLOW/13")
    assert ("TALLOW/11", "TALLOW/13") in {(r["male"], r["female"]) for r in forced}
    best = pairs(capsys, book, *one)[0]
    forbidden = pairs(capsys, book, *one, "--forbid", best["male"], best["female"])
    assert (best["male"], best["female"]) not in {(r["male"], r["female"]) for r in forbidden}
    assert pairs(capsys, book, *one, "--apart", "TALLOW", "RUSH", "--most-f", "0.2") == []
    assert len(pairs(capsys, book, *one, "--apart", "TALLOW", "RUSH")) == 4
    used = pairs(capsys, book, *one, "--uses", "0", "--uses-of", "RUSH/11", "2")
    assert [r["male"] for r in used] == ["RUSH/11"] * 2
    assert all(
        "RUSH/11" not in (r["male"], r["female"]) for r in pairs(capsys, book, *one, "--leave-out", "RUSH/11")
    )
    crossed = pairs(capsys, book, *one, "--weight", "0", "--cross", "TALLOW", "RUSH", "4")
    assert all(r["male"].split("/")[0] != r["female"].split("/")[0] for r in crossed)
    assert len(pairs(capsys, book, *one, "--all")) == 16


def test_never_across_species_unless_told(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def kinds(*argv: str) -> set[bool]:
        every = pairs(capsys, book, "--all", *argv)
        return {("BRAMBLE" in r["male"]) == ("BRAMBLE" in r["female"]) for r in every}

    assert kinds() == {True}
    assert kinds("--across", "species") == {True, False}


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--species", "Eudicella smiti"], "Did you mean `Eudicella smithi`"),
        (["--boxes", "1"], "Name one with --species"),
        (["--leave-out", "TALLOW/111"], "Did you mean `TALLOW/11`"),
        (["--force", "TALLOW/13", "TALLOW/11"], "Male first"),
        (["--uses-of", "TALLOW/11", "x"], "`x` is no count"),
        (["--forbid", "TALLOW/99", "RUSH/13"], "no candidate"),
        (["--apart", "TALOW", "RUSH"], "Did you mean `TALLOW`"),
        (["--most-f", "-1"], "highest F"),
        (["--across", "continents"], "cannot be crossed"),
        (["--cross", "TALLOW", "RUSH", "9"], "no plan fits"),
        (
            ["--force", "TALLOW/11", "RUSH/13", "--forbid", "TALLOW/11", "RUSH/13"],
            "both forced and forbidden",
        ),
    ],
)
def test_what_cannot_be_meant_is_refused(
    argv: list[str], said: str, book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in out(capsys, book, *argv, code=2)


def test_a_limit_nobody_meets_says_how_low_it_could_be(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = out(capsys, book, "--species", SMITHI, "--apart", "TALLOW", "RUSH", "--most-f", "0.2")
    assert f"{SMITHI}: 0 pairs of 4 males and 4 females" in said
    assert "8 pairs not allowed: F above the limit" in said
    assert "the lowest F at most of any of them is 0.5" in said
    assert "with one offspring of each pair" not in said, "there is no pair"


def test_a_number_alone_stands_for_its_animal_where_one_has_it(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = out(capsys, book, "--leave-out", "11", "--force", "11", "14", code=2)
    assert "--leave-out  `11` is the number of TALLOW/11, RUSH/11" in said
    assert "--force  `14` is the number of" in said
    only = pairs(capsys, book, "--force", "1", "2", "--all")
    assert only == pairs(capsys, book, "--force", "BRAMBLE/1", "BRAMBLE/2", "--all")


def test_animals_past_their_usual_life_are_offered_with_a_warning(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = ["--book", str(book), "--today", "2028-03-10", "pairings", "--species", SMITHI, "--as", "json"]
    assert run(argv) == 0
    found = json.loads(capsys.readouterr().out)["rows"]
    assert found
    assert all(any(w.startswith("past the usual active life") for w in r["warnings"]) for r in found)
    assert not any(w.startswith("both awake") for r in found for w in r["why"])
    assert not any(
        "past the usual" in w for r in pairs(capsys, book, "--species", SMITHI) for w in r["warnings"]
    )


def test_nothing_is_recorded(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = book.read_bytes()
    out(capsys, book)
    assert book.read_bytes() == before


def test_a_book_without_animals_is_no_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "b.sqlite"
    with_books(path, Books().ledger).close()
    assert pairs(capsys, path) == []
    assert "no grown animal" in out(capsys, path)


def test_what_is_to_be_recorded_is_called_as_the_walk_calls_it() -> None:
    """The reason names an act by the title under which it is offered."""
    from rounds.acts.registry import all_acts

    assert "ready to breed" in {act.title for act in all_acts().values()}
