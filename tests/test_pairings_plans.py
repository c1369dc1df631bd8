"""Choosing pairs of ``rounds pairings``, and the ranking behind the list, on a real book."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from rounds.analysis.pairing import book_pairings, pairing_plan
from rounds.analysis.pairing.cost_table import GivenUp
from rounds.analysis.pairing.restrictions import Wishes
from rounds.cli import run
from rounds.problems import RoundsError
from rounds.records.tables import Animal, Content, Enclosure, Line, PlannedPairing
from rounds.store.book import open_book
from rounds.store.ledger_store import load, recorded
from rounds.views import couple_page
from tests.acts.books import day, span
from tests.analysis.trial.trial_books import SMITHI
from tests.store.houses import with_books
from tests.test_pairings import SPECIES, TODAY, pairing_books

ASKED = ("--today", "2026-03-10", "pairings", "--species", SMITHI)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "b.sqlite"
    b = pairing_books()
    b.box("P-1", "prepared")
    b.box("L-1", "larvae")
    with_books(path, b.ledger).close()
    return path


def said(capsys: pytest.CaptureFixture[str], book: Path, *argv: str, code: int = 0) -> tuple[str, str]:
    assert run(["--book", str(book), *ASKED, *argv]) == code
    return capsys.readouterr()


def listed(capsys: pytest.CaptureFixture[str], book: Path, *argv: str) -> list[dict[str, Any]]:
    out: list[dict[str, Any]] = json.loads(said(capsys, book, *argv, "--as", "json")[0])["rows"]
    return out


def plans(book: Path) -> list[Any]:
    with open_book(book, readonly=True) as opened:
        return list(load(opened).rows(PlannedPairing))


def test_choosing_records_plans_and_says_where_and_when_they_are_offered(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = listed(capsys, book)
    out, err = said(capsys, book, "--choose", "2,1", "--into", "P-1,")
    first, second = before[1], before[0]
    home = {name: f"{name[0]}-{name.split('/')[1]}" for name in (first["female"], second["female"])}
    assert f"PLAN-01  {first['male']} × {first['female']} into P-1\n" in out
    assert f"PLAN-02  {second['male']} × {second['female']}\n" in out
    assert f"offered at {home[first['female']]} from 2026-03-10 to {first['until']}" in out
    assert "a tie: of 4 males" in out
    assert "Nobody moves yet" in err
    assert "rounds record undo 2, then rounds record undo 1" in err
    made = plans(book)
    assert [date.fromordinal(r.latest).isoformat() for r in made] == [first["until"], second["until"]]
    assert all(r.chosen == TODAY and r.pairing is None for r in made)
    with open_book(book, readonly=True) as opened:
        ledger = load(opened)
        assert [a.name for a in recorded(opened)] == ["plan-pair", "plan-pair"]
        assert all(content.until is None for content in ledger.rows(Content)), "nobody moved"
    # What was chosen is offered no more, with why.
    left = {r["female"] for r in listed(capsys, book)}
    assert not left & set(home)
    text, _ = said(capsys, book)
    assert f"{first['female']}: planned with {first['male']} (PLAN-01)" in text.partition("not now: ")[2]


@pytest.mark.parametrize(("together", "less"), [(14, 13), (1, 0), (500, None)])
def test_the_last_day_leaves_both_awake_as_long_as_they_should_be(together: int, less: int | None) -> None:
    last = day("2026-01-18") + 120  # first feed and the species' longest active life
    options = book_pairings.Options(Wishes(together=together))
    found = book_pairings.rank(pairing_books().ledger, SPECIES, TODAY, options)
    assert {x.until for x in found} == {None if less is None else last - less}


def test_a_pair_that_comes_too_late_has_no_last_day_and_says_why() -> None:
    over = book_pairings.rank(pairing_books().ledger, SPECIES, day("2027-02-01"))
    assert {x.until for x in over} == {None}
    assert all(x.late.startswith("past the usual active life") for x in over)
    facts = dict(couple_page._facts(book_pairings.look(over, 0)))
    assert facts["in time"].startswith("past the usual active life"), "not: cannot tell"
    b = pairing_books()
    for animal in [*b.ledger.rows(Animal)]:
        if animal.sex == "f":  # not awake before the males no longer are
            b.set(Animal.first_feed, animal.id, span("2026-06-10"))
            b.set(Animal.mature, animal.id, span("2026-03-01"))
    apart = book_pairings.rank(b.ledger, SPECIES, TODAY)
    assert len(apart)
    assert {x.until for x in apart} == {None}
    assert all(x.late.startswith("not awake together") for x in apart)
    assert not any(x.late for x in book_pairings.rank(pairing_books().ledger, SPECIES, TODAY))


def test_numbers_are_those_of_the_list_that_was_asked_for(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    every = listed(capsys, book, "--all")
    assert [r["rank"] for r in every] == list(range(1, 17))
    said(capsys, book, "--all", "--choose", "5")
    [made] = listed_plans(capsys, book)
    assert (made["male"], made["female"]) == (every[4]["male"], every[4]["female"])


def listed_plans(capsys: pytest.CaptureFixture[str], book: Path) -> list[dict[str, Any]]:
    return listed(capsys, book, "--plans")


def test_open_plans_are_listed_with_what_stands_in_their_way(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said(capsys, book, "--plans")[0] == "no pairing is planned\n"
    twice = ("--choose", "1,2", "--into", "P-1,P-1")
    assert "P-1 is kept for another plan already: PLAN-01" in said(capsys, book, *twice, code=2)[1]
    assert not plans(book)
    said(capsys, book, *twice, "--sure")
    [one, two] = listed_plans(capsys, book)
    assert (one["plan"], one["meant_for"], one["withheld"], one["earliest"]) == (
        "PLAN-01",
        "P-1",
        None,
        "2026-03-10",
    )
    run(["--book", str(book), "--today", "2026-03-10", "record", "dead", one["male"], "rest=keep"])
    run(
        [
            "--book",
            str(book),
            "--today",
            "2026-03-10",
            "record",
            "plan-drop",
            two["plan"],
            "because=too small",
        ]
    )
    capsys.readouterr()
    [left] = listed_plans(capsys, book)
    assert left["withheld"] == f"{one['male']} is dead"
    text, _ = said(capsys, book, "--plans")
    assert f"has to wait: {one['male']} is dead" in text
    rows = list(csv.DictReader(io.StringIO(said(capsys, book, "--plans", "--as", "csv")[0])))
    assert [r["plan"] for r in rows] == ["PLAN-01"]


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        (("--choose", "9"), "`9` is no number of the list. It goes from 1 to 4."),
        (("--choose", "1,x,1"), "`x` is no number"),
        (("--choose", "1,01"), "01 is there twice"),
        (("--choose", "1,2", "--into", "P-1"), "1 boxes for 2 pairs"),
        (("--choose", "1", "--into", "P-9"), "no box `P-9`"),
        (("--choose", "1,2", "--into", ",L-1"), "L-1 is in stage larvae"),
        (("--into", "P-1"), "go with --choose"),
        (("--plans", "--choose", "1"), "one at a time"),
        (("--all", "--choose", "16"), "are full sibs"),
    ],
)
def test_nothing_is_recorded_when_anything_is_wrong(
    argv: tuple[str, ...], told: str, book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, err = said(capsys, book, *argv, code=2)
    assert told in err
    assert plans(book) == []


def test_sibs_are_planned_when_they_are_meant(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, book, "--all", "--choose", "16", "--sure")
    assert len(plans(book)) == 1


# --- for a screen: the ranking, and one pair looked at closely ---------------------------


@pytest.fixture(scope="module")
def ranking() -> book_pairings.Ranking:
    return book_pairings.rank(pairing_books().ledger, SPECIES, TODAY)


def test_the_ranking_is_that_of_the_analysis_and_makes_pairs_when_they_are_looked_at(
    ranking: book_pairings.Ranking,
) -> None:
    [group] = ranking.groups
    expected = pairing_plan.ranked(group.table, group.wishes)
    assert len(ranking) == len(expected) == 16
    assert [x.pair for x in ranking] == expected
    assert [x.number for x in ranking] == list(range(1, 17))
    assert ranking[-1] == ranking[15] == ranking[10:][-1]
    with pytest.raises(IndexError):
        ranking[16]
    highs = [x.pair.f.high for x in ranking]
    assert highs == sorted(highs)


def test_a_close_look_shows_common_ancestors_and_what_else_there_is(ranking: book_pairings.Ranking) -> None:
    at = next(k for k, x in enumerate(ranking) if x.pair.male == "TALLOW/11" and x.pair.female == "TALLOW/13")
    look = book_pairings.look(ranking, at)
    assert look.listed == ranking[at]
    assert look.tree == [
        "TALLOW/11",
        "├ father TALLOW/1 *",
        "└ mother TALLOW/2 *",
        "TALLOW/13",
        "├ father TALLOW/1 *",
        "└ mother TALLOW/2 *",
    ]
    assert look.kinship.kinship.low == 0.25 == look.listed.pair.f.low
    assert {part.name for part in look.kinship.low_from} == {"TALLOW/1", "TALLOW/2"}
    assert [x.female for x in look.for_her] == ["TALLOW/13"] * 3
    assert look.for_her[0].male == look.listed.pair.runner_up.animal  # type: ignore[union-attr]
    assert [x.cost for x in look.for_him] == sorted(x.cost for x in look.for_him)
    assert "TALLOW/13" not in {x.female for x in look.for_him}
    assert len(book_pairings.look(ranking, at, most=1).for_her) == 1


def test_choosing_from_a_screen_is_the_same_act(ranking: book_pairings.Ranking) -> None:
    who, typed = book_pairings.as_act(ranking[0], "P-1")
    assert who == ranking[0].pair.female
    assert typed["with"] == ranking[0].pair.male
    assert typed["box"] == "P-1"
    assert typed["because"].startswith("F 0; a tie: of 4 males for")
    assert "her next best" in typed["because"]
    assert "his next best" in typed["because"]


def test_who_is_not_offered_is_said(ranking: book_pairings.Ranking) -> None:
    b = pairing_books()
    b.set(Animal.promised, b.ids["RUSH/13"], "Nine Alders")
    b.set(Animal.sex, b.ids["RUSH/12"], "unknown")
    found = book_pairings.rank(b.ledger, SPECIES, TODAY)
    assert found.groups[0].left_out == [("RUSH/13", "promised: Nine Alders"), ("RUSH/12", "sex not known")]
    assert len(found) == 9
    assert ranking.groups[0].left_out == []


def test_each_step_is_told_and_may_be_given_up() -> None:
    ledger = pairing_books().ledger
    told: list[str] = []
    book_pairings.rank(ledger, SPECIES, TODAY, tell=told.append)
    assert told == [
        "who can breed …",
        "pedigree …",
        f"{SMITHI}: kinship of 4 males and 4 females …",
        f"{SMITHI}: kinship with 8 living …",
        f"{SMITHI}: 16 pairs …",
    ]
    for last in told:
        with pytest.raises(GivenUp):
            book_pairings.rank(ledger, SPECIES, TODAY, tell=lambda words, last=last: words != last)  # type: ignore[misc]


def test_boxes_for_several_species_need_one_named() -> None:
    b = pairing_books()
    b.make("BRAMBLE", "line", name="BRAMBLE", species="Pachnoda marginata")
    b.animal("BRAMBLE/1", "m")
    with pytest.raises(RoundsError, match="several species"):
        book_pairings.rank(b.ledger, SPECIES, TODAY, book_pairings.Options(Wishes(boxes=1)))
    assert (
        len(
            book_pairings.rank(
                b.ledger, SPECIES, TODAY, book_pairings.Options(Wishes(boxes=1), SMITHI)
            ).groups
        )
        == 1
    )
    with pytest.raises(RoundsError, match="Did you mean"):
        book_pairings.rank(b.ledger, SPECIES, TODAY, book_pairings.Options(species="Pachnoda marginta"))


def test_a_plan_is_worked_out_again_when_parents_change(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys, book, "--choose", "1")
    [plan] = plans(book)
    assert "F was" not in said(capsys, book, "--plans")[0]
    with open_book(book) as opened:
        ledger = load(opened)
        male = ledger.row(Animal, plan.male)
        female = ledger.row(Animal, plan.female)
    assert male.line != female.line
    # It turns out that he is of her parents, not of his line's.
    by_id = {a.id: a for a in ledger.rows(Animal)}
    her_sire, her_dam = (f"{_line(ledger, x)}/{by_id[x].number}" for x in (female.sire, female.dam))
    who = f"{_line(ledger, male.id)}/{male.number}"
    assert (
        run(["--book", str(book), "record", "parents", who, f"sire={her_sire}", f"dam={her_dam}", "--sure"])
        == 0
    )
    capsys.readouterr()
    text, _ = said(capsys, book, "--plans")
    assert "has to wait: F was 0, is now 0.25–0.375, at most 0.5" in text
    assert "confirm the plan, or give it up" in text
    due = ["--book", str(book), "--today", "2026-03-10", "due"]
    assert run(due) == 0
    assert "has to wait: F was 0, is now 0.25–0.375, at most 0.5" in capsys.readouterr().out
    # Confirmed, after a question, it is offered again; its words say the F of now.
    confirm = ["--book", str(book), "record", "plan-confirm", plan.name, "because=nobody else is left"]
    assert run(confirm) == 2
    assert "F was 0, is now 0.25–0.375, at most 0.5." in capsys.readouterr().err
    assert run([*confirm, "--sure"]) == 0
    [after] = plans(book)
    assert after.why.startswith("F 0.25–0.375, at most 0.5; ")
    assert after.why.endswith("; nobody else is left")
    capsys.readouterr()
    assert "withheld" not in said(capsys, book, "--plans")[0]
    assert run(due) == 0
    assert "has to wait: F was" not in capsys.readouterr().out
    assert run([*confirm, "--sure"]) == 2
    assert "Nothing more is known of PLAN-01 than when it was chosen." in capsys.readouterr().err


def plans_text(capsys: pytest.CaptureFixture[str], book: Path) -> str:
    capsys.readouterr()
    return said(capsys, book, "--plans")[0]


def _line(ledger: Any, animal: int) -> str:
    return str(ledger.row(Line, ledger.row(Animal, animal).line).name)


def test_a_plan_is_held_back_while_a_label_is_doubted(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, book, "--choose", "1")
    [plan] = plans(book)
    with open_book(book) as opened:
        ledger = load(opened)
        homes = {c.animal: ledger.row(Enclosure, c.enclosure).code for c in ledger.rows(Content)}
    argv = ["record", "swapped-labels", homes[plan.male], f"with={homes[plan.female]}"]
    assert run(["--book", str(book), *argv, "from=2026-03-01", "to=2026-03-05", "--sure"]) == 0
    capsys.readouterr()
    text, _ = said(capsys, book, "--plans")
    assert "may be another animal (" in text
    assert "confirm the plan, or give it up" in text
    confirm = ["--book", str(book), "record", "plan-confirm", plan.name, "--sure"]
    assert run(confirm) == 0
    assert "may be another" not in plans_text(capsys, book)
    assert run(["--book", str(book), "record", "undo", "--sure"]) == 0
    free = sorted(c for a, c in homes.items() if a not in (plan.male, plan.female))[:2]
    argv = [
        "record",
        "swapped-labels",
        free[0],
        f"with={free[1]}",
        "from=2026-03-01",
        "to=2026-03-05",
        "--sure",
    ]
    assert run(["--book", str(book), *argv]) == 0
    capsys.readouterr()
    pairs, _ = said(capsys, book, "--all")
    assert "may be another animal (" in pairs
    assert "ranked by the closest kin it could be" in pairs
