"""A trial of the book from end to end: drawn, opened, walked without a word of its arms, counted, judged."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from pathlib import Path

import pytest

from rounds.acts import registry
from rounds.cli import run
from rounds.commands.trial_command_sentences import too_few_free
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Pairing, Trial, TrialFemale
from tests.acts.books import day
from tests.acts.trial_house import CROSS, MALES, PLACES, SIBS, families
from tests.analysis.trial.trial_books import PLAN, trial_books
from tests.sampled import WHOLE, sampled
from tests.store.houses import with_books

SETTLED = ("--endpoint", "adult", "--ends", "2026-12-17", "--females", "4", "--seed", "7")


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The two families in a book, no trial."""
    path = tmp_path_factory.mktemp("trial") / "book.sqlite"
    with_books(path, families()).close()
    return path


@pytest.fixture
def book(empty: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(empty, tmp_path / "b.sqlite"))


def call(
    capsys: pytest.CaptureFixture[str],
    book: Path,
    *argv: str | Path,
    today: str = "2026-05-15",
    code: int = 0,
) -> str:
    found = run(["--book", str(book), "--today", today, *map(str, argv)])
    said = capsys.readouterr()
    assert found == code, said.err
    return said.out if code == 0 else said.err


def objects(text: str) -> list[dict[str, object]]:
    return list(json.loads(text)["rows"])


def test_nothing_is_recorded_before_that_is_asked_for(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = call(capsys, book, "trial", "plan", "spring", *SETTLED)
    assert "with 4 + 4 females you could only detect" in said
    assert "Nothing is recorded. To open it as it stands here: the same with --seed 7 --record" in said
    assert "the substrate batch of 8 pairs is not given" in said
    assert "no trial was opened" in call(capsys, book, "trial", "list")


def test_the_same_seed_draws_the_same_females_males_and_places(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = ("trial", "plan", "spring", *SETTLED, "--positions", ",".join(PLACES), "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(call(capsys, book, *argv))))
    assert rows == list(csv.DictReader(io.StringIO(call(capsys, book, *argv))))
    assert [r["position"] for r in rows] == list(PLACES)
    assert {r["female"] for r in rows} == {*SIBS, *CROSS}
    assert {r["male"] for r in rows} == set(MALES)
    for n in range(0, 8, 2):  # interleaved: every block of two holds both arms
        assert {rows[n]["arm"], rows[n + 1]["arm"]} == {"sib", "outcross"}
    assert all(("TALLOW" in r["female"]) == (r["arm"] == "sib") for r in rows)


def opened(capsys: pytest.CaptureFixture[str], book: Path, *more: str) -> str:
    return call(capsys, book, "trial", "plan", "spring", *SETTLED, *more, "--record", "--sure")


def test_it_is_opened_as_one_act_that_can_be_taken_back(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opened(capsys, book, "--positions", ",".join(PLACES))
    (one,) = objects(call(capsys, book, "trial", "list", "--as", "json"))
    assert one == {
        "name": "spring",
        "species": "Eudicella smithi",
        "endpoint": "adult",
        "opened": "2026-05-15",
        "stops": "2026-12-17",
        "closed": None,
        "females": 8,
        "paired": 0,
        "searched": 0,
        "out": 0,
    }
    assert "holds a trial `spring` already" in call(capsys, book, "trial", "plan", "spring", *SETTLED, code=2)
    call(capsys, book, "record", "undo", "1")
    assert "no trial was opened" in call(capsys, book, "trial", "list")


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("--endpoint", "adlt"), "Did you mean `adult`"),
        (("--ends", "2026-04-17"), "not after today"),
        (("--females", "6"), "4 of 6 for sibs"),
        (("--species", "Eudicella smithy"), "Did you mean `Eudicella smithi`"),
        (("--positions", "A3-1,Z9-9,A3-22"), "--positions"),
        (("--batch", "mix"), "no batch `mix`"),
        (("--arms", "a,b"), "compares sib with outcross"),
        (("--record", "--as", "json"), "leave --as out"),
        (("--keeper", "Ferrow"), "go with --record"),
    ],
)
def test_what_cannot_be_planned_is_said_and_nothing_is_written(
    book: Path, capsys: pytest.CaptureFixture[str], argv: tuple[str, ...], said: str
) -> None:
    assert said in call(capsys, book, "trial", "plan", "spring", *SETTLED, *argv, code=2)
    assert "no trial was opened" in call(capsys, book, "trial", "list")


def test_who_is_not_free_is_named_with_the_reason(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    opened(capsys, book)
    said = call(capsys, book, "trial", "plan", "autumn", *SETTLED, code=2)
    assert "0 females and 0 males are free" in said
    assert "RUSH/11 (in the trial spring)" in said


def test_options_of_a_book_need_a_name(capsys: pytest.CaptureFixture[str], book: Path) -> None:
    assert "give the trial a NAME" in call(capsys, book, "trial", "plan", *SETTLED, "--record", code=2)
    assert "give its NAME" in call(capsys, book, "trial", "tally", "--early", code=2)
    assert "give the trial's NAME" in call(capsys, book, "trial", "verdict", "--early", code=2)
    opened(capsys, book)
    for command in ("tally", "verdict"):
        assert "was fixed when the trial began" in call(
            capsys, book, "trial", command, "spring", "--endpoint", "L3", code=2
        )
    assert "holds no trial `sprong`. Did you mean `spring`" in call(
        capsys, book, "trial", "show", "sprong", code=2
    )


def test_pairs_of_a_table_are_found_in_the_book_and_told_their_ages(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "pairs.csv"
    rows = [
        *zip(["sib"] * 4, SIBS, MALES, strict=False),
        *zip(["outcross"] * 4, CROSS, MALES[4:], strict=True),
    ]
    table.write_text("arm,female,male\n" + "".join(f"{a},{f},{m}\n" for a, f, m in rows))
    said = call(capsys, book, "trial", "plan", "spring", *SETTLED, "--pairs", table)
    assert any(line.split()[2:] == ["TALLOW/11", "TALLOW/21"] for line in said.splitlines())
    assert "age of" not in said, "they are in the book, and alike"
    table.write_text("arm,female,male\nsib,TALLOW/11,TALLOW/99\noutcross,RUSH/11,RUSH/99\n")
    said = call(capsys, book, "trial", "plan", "spring", *SETTLED, "--pairs", table, code=2)
    assert f"{table}:2" in said
    assert f"{table}:3" in said


# Counted and judged


def kept(changed: str = "", closed: str | None = None, stops: str = "2026-08-18") -> Ledger:
    """Eight pairings that were made and counted, as a trial that began before them."""
    b = trial_books()
    trial = b.make(
        "TR",
        "trial",
        name="spring",
        species="Eudicella smithi",
        endpoint="adult",
        stops=day(stops),
        seed=7,
        eggs=20,
        rho=0.1,
        survival=0.6,
        opened=day("2026-02-15"),
        note=changed,
        closed=day(closed) if closed else None,
        closed_why="the house moves" if closed else "",
    )
    for n, (pairing, (purpose, female, _)) in enumerate(PLAN.items(), 1):
        b.make(
            f"{pairing}-t",
            "trial_female",
            trial=trial,
            arm=purpose,
            female=b.ids[female],
            male=b.ids[f"TALLOW/{20 + n}"],
            pairing=b.ids[pairing],
        )
    return b.ledger


@pytest.fixture
def judged(tmp_path: Path) -> Path:
    path = tmp_path / "judged.sqlite"
    with_books(path, kept()).close()
    return path


def test_before_its_last_day_nothing_is_judged(judged: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = call(capsys, judged, "trial", "verdict", "spring", today="2026-08-17")
    assert said.startswith("not yet: spring runs until 2026-08-18 (1 day to go); nothing is judged before")
    assert "8 paired, 8 of them searched, 0 dropped out" in said
    assert not any(word in said for word in ("p =", "sib", "cross", "lower", "%"))
    found = json.loads(call(capsys, judged, "trial", "verdict", "spring", "--as", "json", today="2026-08-17"))
    told = {name: value for name, value in found.items() if value not in (None, [])}
    assert told.keys() == {"report", "version", "finding", "days_left", "notes"}
    assert (found["finding"], found["days_left"]) == ("not yet", 1)
    assert found["notes"][0] in said
    tally = call(capsys, judged, "trial", "tally", "spring", today="2026-08-17")
    assert "TALLOW/11 × TALLOW/21: 20 eggs" in tally
    assert not any(word in tally for word in ("sib", "cross", "F 0", "of 20"))


def test_looking_early_is_marked_as_peeking(judged: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = call(capsys, judged, "trial", "verdict", "spring", "--early", today="2026-07-18")
    assert "! looked at 31 days before its last day: this is peeking." in said
    assert "sib: " in call(capsys, judged, "trial", "tally", "spring", "--early", today="2026-07-18")


def test_an_early_look_is_written_down_once_a_day_and_said_ever_after(
    judged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for day_, argv in (
        ("2026-06-17", ("show", "spring", "--arms")),
        ("2026-07-18", ("tally", "spring", "--early")),
        ("2026-07-18", ("verdict", "spring", "--early")),
    ):
        call(capsys, judged, "trial", *argv, today=day_)
    last = call(capsys, judged, "trial", "verdict", "spring", today="2026-08-18")
    assert [x for x in last.splitlines() if x.startswith("! looked at")] == [
        "! looked at early on 2026-06-17",
        "! looked at early on 2026-07-18",
    ]
    assert "! looked at early on 2026-06-17" in call(
        capsys, judged, "trial", "show", "spring", today="2026-07-19"
    )
    assert call(capsys, judged, "record", "history").count("trial-looked") == 2


def test_a_look_that_cannot_be_written_down_shows_nothing(
    judged: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from rounds.problems import BookError
    from rounds.store import recording as store

    def full(*_: object) -> None:
        raise BookError("the disk is full")

    monkeypatch.setattr(store, "record", full)
    found = run(["--book", str(judged), "--today", "2026-07-18", "trial", "verdict", "spring", "--early"])
    said = capsys.readouterr()
    assert (found, said.out) == (3, "")
    assert "the disk is full" in said.err


def test_from_its_last_day_on_it_is_judged_by_what_was_fixed(
    judged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = call(capsys, judged, "trial", "verdict", "spring", today="2026-08-18")
    assert said.startswith("survival in sib was lower than in outcross\n")
    assert re.search(r"^p = 0\.0[0-4]", said, re.MULTILINE)
    assert "spring: endpoint adult, fixed when it began; last day 2026-08-18, fixed when it began" in said
    assert "planned with 4 + 4 females, 20 eggs each: it could only detect a fall from 60% to" in said
    assert "peeking" not in said
    assert "it is over and still open: rounds record trial-close spring" in said
    assert "not fully blinded" in said


def test_a_change_and_an_early_end_stand_beside_the_verdict(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.sqlite"
    change = "changed on 2026-04-17 by Ferrow: last day 2026-07-18 -> 2026-08-18, because a cold autumn"
    with_books(path, kept(f"kept dry; {change}", "2026-08-06")).close()
    said = call(capsys, path, "trial", "verdict", "spring", today="2026-09-17")
    assert f"! {change}" in said
    assert "! closed 2026-08-06, 12 days before its last day: the house moves" in said
    assert "still open" not in said


def record(ledger: Ledger, name: str, subject: str, **typed: str) -> Ledger:
    fields = {k.rstrip("_"): v for k, v in typed.items()}
    return ledger.after(
        registry.plan(name, subject, fields, ledger, day("2026-06-17"), "Ferrow", sure=True).changes
    )


def test_who_dropped_out_is_listed_with_her_reason_and_does_not_count(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.sqlite"
    ledger = record(kept(), "trial-out", "TALLOW/11", because="tub relabelled")
    with_books(path, ledger).close()
    said = call(capsys, path, "trial", "verdict", "spring", today="2026-08-18")
    assert "dropped out: sib TALLOW/11, dropped out on 17 Jun 2026: tub relabelled" in said
    assert "no p-value: 4 and 3 females" in said
    assert "TALLOW/11 × TALLOW/21: dropped out" not in said
    shown = call(capsys, path, "trial", "show", "spring", today="2026-07-18")
    assert "TALLOW/11 × TALLOW/21: S-01, dropped out on 17 Jun 2026: tub relabelled" in shown


def single() -> Ledger:
    """One sib pair made on its own, and the four crosses of a trial that began later."""
    b = trial_books()
    for n in (2, 3, 4):
        b.set(Pairing.purpose, b.ids[f"S-0{n}"], "unplanned")
    return b.ledger


def test_a_pairing_of_sibs_made_before_is_described_and_joins_a_later_trial(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    alone = tmp_path / "alone.sqlite"
    with_books(alone, single()).close()
    said = call(capsys, alone, "trial", "verdict", today="2026-08-18")
    assert said.startswith("cannot tell: a single brood against the rest is only described")
    assert "can join a later trial" in said
    assert "p =" not in said
    later = kept()
    ids = {pairing.name: pairing.id for pairing in later.rows(Pairing)}
    seat = next(r.id for r in later.rows(TrialFemale) if r.pairing == ids["S-01"])
    from rounds.records.ledger import Set

    without = later.after([Set("trial_female", seat, "void", False, True)])
    joined = record(without, "trial-join", "spring", pairing="S-01")
    path = tmp_path / "b.sqlite"
    with_books(path, joined).close()
    said = call(capsys, path, "trial", "verdict", "spring", today="2026-08-18")
    assert re.search(r"^p = 0\.0[0-4]", said, re.MULTILINE)
    assert (
        "! TALLOW/11: not drawn: S-01, paired 2026-02-17, joined on 2026-06-17, searched once before that"
        in said
    )


def test_a_plan_of_a_file_can_be_looked_at_early_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], book: Path
) -> None:
    plan = tmp_path / "plan.json"
    plan.write_text(call(capsys, book, "trial", "plan", *SETTLED, "--as", "json"))
    counts = tmp_path / "c.csv"
    rows = [f"{arm},{arm[0]}{i},40,{y + i}\n" for arm, y in (("sib", 10), ("outcross", 30)) for i in range(4)]
    counts.write_text("arm,female,eggs,alive\n" + "".join(rows))
    argv = ("trial", "verdict", "--counts", counts, "--plan", plan)
    assert "--early looks all the same" in call(capsys, book, *argv, today="2026-11-17", code=2)
    assert "this is peeking" in call(capsys, book, *argv, "--early", today="2026-11-17")


def test_a_drawing_is_refused_before_anything_is_judged(
    judged: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = ("trial", "verdict", "spring", "--plot")
    assert "neither .svg nor .png" in call(
        capsys, judged, *argv, tmp_path / "t.jpg", today="2026-08-18", code=2
    )
    for name in ("t.svg", "t.png"):
        call(capsys, judged, *argv, tmp_path / name, today="2026-08-18")
    assert (tmp_path / "t.png").read_bytes()[:4] == b"\x89PNG"
    assert "is there already" in call(capsys, judged, *argv, tmp_path / "t.png", today="2026-08-18", code=2)


def test_a_png_without_its_library_says_what_to_install(
    judged: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import importlib.util

    real = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *a: None if name == "PIL" else real(name, *a)
    )
    said = call(
        capsys, judged, "trial", "verdict", "spring", "--plot", tmp_path / "t.png", today="2026-08-18", code=2
    )
    assert "pip install 'rounds[plots]'" in said
    assert not (tmp_path / "t.png").exists()


def test_no_text_of_a_trial_steers_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Names, notes and reasons with every hostile text, through every command of trials.

    By default each text is looked at on one day, before the trial's last day and on it by turns.
    """
    from rounds.records.ledger import Draft
    from tests.screens import hostile
    from tests.screens.test_sweep import steering

    both = ("2026-07-18", "2026-08-18")
    for n, text in enumerate(t for t in hostile.TEXTS.values() if "\0" not in t):
        d = Draft(kept())
        trial = next(found.id for found in d.ledger.rows(Trial))
        seat = next(iter(d.ledger.rows(TrialFemale)))
        d.set(Trial.name, trial, "x" + text)
        d.set(Trial.species, trial, text)
        d.set(Trial.note, trial, f"changed on {text}")
        d.set(TrialFemale.out, seat.id, day("2026-05-15"))
        d.set(TrialFemale.out_why, seat.id, text)
        d.set(TrialFemale.note, seat.id + 1, text)
        d.set(Animal.number, seat.female, text)
        path = tmp_path / f"{n}.sqlite"
        with_books(path, d.ledger).close()
        capsys.readouterr()
        commands = (
            ("list",),
            ("show", "x" + text),
            ("tally", "x" + text),
            ("verdict", "x" + text),
            ("show", text),
            ("tally", "x" + text, "--early"),
            ("list", "--as", "csv"),
        )
        some = sampled(3, 1)  # by default every third command, others with the next text
        for argv in commands[n % some :: some]:
            for today in both if WHOLE else both[n % 2 :][:1]:
                code = run(["--book", str(path), "--today", today, "trial", *argv])
                said = capsys.readouterr()
                assert code in (0, 2)
                assert said.out + said.err
                assert [x for line in (said.out + said.err).splitlines() for x in steering(line)] == []


def test_counts_of_a_file_are_sorted_out_as_a_verdict_would(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "c.csv"
    path.write_text(
        "arm,female,eggs,alive,male\nsib,a,30,10,m1\nsib,b,30,12,m1\nsib,c,30,11,m2\noutcross,d,30,20,m2\n"
        "outcross,e,30,22,m5\n"
    )
    said = call(capsys, tmp_path / "none", "trial", "tally", "--counts", path)
    assert said.count("the male m2 was used in both arms") == 2
    assert "counted as one: sib: a, b shared m1" in said
    assert "5 broods, 2 of them left out" in said


def test_one_of_a_kind_is_told_as_one() -> None:
    assert ": 1 female and 2 males are free" in too_few_free("Pachnoda marginata", 1, 2, "none", (), 0)
