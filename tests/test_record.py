"""``rounds record``: one registry on the command line; all slips at once, nothing half-written."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pexpect
import pytest

from rounds.acts import registry
from rounds.cli import run
from rounds.problems import EXIT_BOOK, EXIT_FINE, EXIT_INPUT
from rounds.records.naming import table_word
from rounds.store import ledger_store as books
from rounds.store import read
from rounds.store.book import Book, open_book
from tests.acts.books import house
from tests.endtoend import rack
from tests.store.houses import with_books

ROOT = Path(__file__).resolve().parents[1]
START = house()
TODAY = "2026-05-18"
Type = Callable[..., tuple[int, str, str]]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with_books(tmp_path / "tarn.book", START).close()
    return tmp_path / "tarn.book"


@pytest.fixture
def typed(path: Path, capsys: pytest.CaptureFixture[str]) -> Type:
    def type_(*words: str) -> tuple[int, str, str]:
        code = run(["--book", str(path), "--today", TODAY, "record", *words])
        out, err = capsys.readouterr()
        return code, out, err

    return type_


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with open_book(path, readonly=True) as opened:
        yield opened


# Which acts there are


def test_without_words_every_act_is_listed_under_what_it_is_about(typed: Type) -> None:
    code, out, err = typed()
    assert (code, err) == (EXIT_FINE, "")
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("  ")]
    assert sorted(listed) == sorted(registry.all_acts())
    assert "Acts on boxes:" in out.splitlines()
    assert all(len(line.split(None, 1)[1]) > 10 for line in out.splitlines() if line.startswith("  "))


def test_the_list_as_data(typed: Type) -> None:
    found = json.loads(typed("--as", "json")[1])["rows"]
    assert {row["act"]: row["on"] for row in found} == {a.id: a.on for a in registry.all_acts().values()}
    rows = list(csv.DictReader(io.StringIO(typed("--as", "csv")[1])))
    assert [row["act"] for row in rows] == [row["act"] for row in found]


@pytest.mark.parametrize("name", sorted(registry.all_acts()))
def test_every_act_tells_its_fields(typed: Type, name: str) -> None:
    act = registry.known(name)
    code, out, _ = typed(name, "--fields")
    assert code == EXIT_FINE
    assert out.splitlines()[0].startswith(
        f"rounds record {name}{f' {table_word(act.on).upper()}' if act.on else ''}"
    )
    for field in act.fields:
        (line,) = [row for row in out.splitlines() if row.startswith(f"  {field.name} ")]
        assert field.about in line
        assert ("required" in line) == field.required
        assert all(word in line for word in field.words)
    assert act.caution in out
    assert [row["field"] for row in json.loads(typed(name, "--fields", "--as", "json")[1])["rows"]] == [
        f.name for f in act.fields
    ]


def test_no_act_is_called_what_the_command_means_otherwise() -> None:
    assert not {"undo", "history"} & registry.all_acts().keys()


# Recording


def test_an_act_is_recorded_and_says_what_it_changed(typed: Type, book: Book) -> None:
    code, out, err = typed("move-box", "T-01", "to=A4-4", "--keeper", "Tamsel")
    assert code == EXIT_FINE
    assert out.splitlines() == [
        "    1  2026-05-18  Tamsel      move-box T-01 to=A4-4",
        "       enclosure T-01: place A1-1 -> A4-4",
    ]
    assert err == f"{registry.known('move-box').caution}\nRecorded. To take it back: rounds record undo 1\n"
    (found,) = read.acts(book)
    assert (found.given, found.keeper) == ({"to": "A4-4"}, "Tamsel")
    assert books.load(book) == START.after(
        registry.plan("move-box", "T-01", {"to": "A4-4"}, START, found.day).changes
    )


def test_values_with_blanks_commas_and_equals_signs_arrive_as_typed(typed: Type, book: Book) -> None:
    about = "mites, \"many\" = 12; größer $HOME 'now'"
    assert typed("look-again", "T-02", f"about={about}", "because=so", "in=+3")[0] == EXIT_FINE
    (found,) = read.acts(book)
    assert found.given == {"about": about, "because": "so", "in": "+3"}
    line = typed("history")[1].splitlines()[0]
    again = subprocess.run(
        ["sh", "-c", f"printf '%s\\n' {line.partition('look-again')[2]}"],
        capture_output=True,
        text=True,
        check=True,
    )  # a shell reads the line as it was typed
    assert again.stdout.splitlines() == ["T-02", f"about={about}", "because=so", "in=+3"]


def test_an_animal_may_be_typed_with_a_blank_and_on_is_a_field(typed: Type, book: Book) -> None:
    assert typed("marked", "UMBER", "1", "mark=tag 4")[0] == EXIT_FINE
    assert read.acts(book)[0].given == {"mark": "tag 4"}
    code, out, _ = typed("move-box", "T-01", "to=A4-4", "--on", "yesterday")
    assert code == EXIT_FINE
    assert "on=yesterday" in out
    assert read.acts(book)[-1].given == {"on": "yesterday", "to": "A4-4"}


def test_all_slips_at_once_with_the_nearest_names_and_nothing_written(typed: Type, book: Book) -> None:
    code, out, err = typed("move-box", "T-l2", "to=A9-9", "too=A1-2", "on=soon")
    assert (code, out) == (EXIT_INPUT, "")
    assert err.splitlines()[:3] == [
        "record move-box  enclosure: there is no box `T-l2`. Did you mean `T-12`?",
        "record move-box  too: there is no such field. Did you mean `to`?",
        "record move-box  to: there is no place `A9-9`. Places are written B3-2.",
    ]
    assert err.splitlines()[3].startswith(
        "record move-box  on: `soon` is not a date. Give a day (2026-03-01, "
    )
    assert len(err.splitlines()) == 4
    assert read.acts(book) == []
    assert books.load(book) == START


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("move-bix", "T-01"), "there is no act `move-bix`. Did you mean `move-box`?"),
        (("TL-999", "found-dead"), "the act comes first. Type: rounds record dead TL-999"),
        (("T-01", "move-box", "to=A4-4"), "the act comes first. Type: rounds record move-box T-01"),
        (("found-dead", "UMBER/5"), "there is no act `found-dead`. Did you mean `dead`?"),
        (("xyzzy", "T-01"), "there is no act `xyzzy`. `rounds record` lists them all."),
        (("move-box", "T-01"), "to: is needed. Where does it stand now?"),
        (("move-box", "to=A4-4"), "enclosure: is needed."),
        (("move-box", "T-01", "to=A4-4", "to=A4-3"), "to: is given twice."),
        (("move-box", "T-01", "to=A4-4", "on=today", "--on", "today"), "on: is given twice."),
        (("move-box", "T-01", "to=A1-1"), "to: T-01 stands there already."),
        (("line", "T-01", "name=X", "species=Y"), "concerns the house, not `T-01`"),
        (("lift", "T-01", "forbids=dog"), "Did you mean `dig`?"),
        (("move-box", "--fields", "T-01"), "rounds record move-box BOX"),
        (("nonsense", "--fields"), "there is no act `nonsense`"),
        (("undo", "x"), "is not the number of an act"),
        (("undo", "99"), "there is no act 99"),
        (("undo",), "there is nothing to take back"),
        (("history", "T-99"), "there is no box `T-99`"),
        (("history", "--since", "yesteryear"), "--since: `yesteryear` is not a date"),
        (("move-box", "T-01", "to=A4-4", "--today", "soon"), "--today: `soon` is not a date"),
        (("move-box", "T-01", "to=A4-4", "--keeper", "\udcff"), "--keeper: this is not a name"),
        (("move-box", "T-01", "to=\udcff", "note=\udcff"), "there is no such field"),
        (("look-again", "T-01", "about=\udcff", "because=so"), "half a character"),
        (("move-box", "T-01", "--nonsense"), "No such option"),
    ],
)
def test_what_is_wrong_is_said(typed: Type, book: Book, words: tuple[str, ...], said: str) -> None:
    code, out, err = typed(*words)
    assert code == (EXIT_FINE if words[-2:] == ("--fields", "T-01") else EXIT_INPUT)
    assert said in out + err
    assert "Traceback" not in err
    assert read.acts(book) == []


def test_a_day_near_the_end_of_the_calendar_is_not_today(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is planned from it would have none (Python's calendar ends with 9999)."""
    for words in (["--today", "9999-12-31", "due"], ["record", "undo", "--today", "9001-01-01"]):
        assert run(["--book", str(path), *words]) == EXIT_INPUT
        assert capsys.readouterr().err == "--today: a day after the year 9000 cannot be today.\n"


def test_a_book_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(tmp_path / "none"), "record", "move-box", "T-01", "to=A1-1"]) == EXIT_BOOK
    assert "there is no book here" in capsys.readouterr().err
    assert run(["--book", str(tmp_path / "none"), "record"]) == EXIT_FINE  # the list needs none


# In doubt


def test_without_a_terminal_doubt_is_answered_with_sure(typed: Type, book: Book) -> None:
    code, out, err = typed("move-box", "T-07", "to=A4-4")
    assert (code, out) == (EXIT_INPUT, "")
    assert err.startswith("record move-box  on: T-07 must not be moved: ")
    assert err.rstrip().endswith("Nothing was recorded. If it is right, add --sure; if not, correct it.")
    assert read.acts(book) == []
    assert typed("move-box", "T-07", "to=A4-4", "--sure")[0] == EXIT_FINE
    assert read.acts(book)[0].sure


@pytest.mark.pty
@pytest.mark.parametrize(
    ("key", "code", "recorded"), [("y", EXIT_FINE, 1), ("n", EXIT_INPUT, 0), ("", EXIT_INPUT, 0)]
)
def test_on_a_terminal_doubt_is_asked_about(path: Path, key: str, code: int, recorded: int) -> None:
    words = ["-m", "rounds", "--book", str(path), "--today", TODAY, "record", "move-box", "T-07", "to=A4-4"]
    child = pexpect.spawn(
        sys.executable,
        words,
        cwd=str(ROOT),
        encoding="utf-8",
        timeout=30,
        dimensions=(24, 200),
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    child.delaybeforesend = None
    child.expect(r"T-07 must not be moved: .*all the same\? \[y/N\]")
    child.sendline(key)
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == code
    assert ("Nothing was recorded" in child.before) == (not recorded)
    with open_book(path, readonly=True) as book:
        assert len(read.acts(book)) == recorded


# Cautions


def test_a_caution_is_shown_once_in_a_book(typed: Type, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("lock", "lift", "look-again"):
        caution = "" if name == "look-again" else "Wear gloves."
        monkeypatch.setitem(registry.ACTS, name, registry.known(name)._replace(caution=caution))
    assert "Wear gloves." not in typed("look-again", "T-02", "about=mites", "because=so")[2]
    code, _, err = typed("lock", "T-01", "forbids=dig")  # not recorded: the reason is missing
    assert (code, "Wear gloves." in err) == (EXIT_INPUT, False)
    assert "Wear gloves.\n" in typed("lock", "T-01", "forbids=dig", "reason=eggs")[2]
    assert "Wear gloves." not in typed("lock", "T-02", "forbids=dig", "reason=eggs")[2]
    assert "Wear gloves." not in typed("lift", "T-01", "forbids=dig")[2]


def test_an_arrival_says_every_time_what_law_is_on_file(typed: Type) -> None:
    arrived = ("species=Protaetia speciosissima", "count=4", "papers=permit 12")
    for box in ("T-11", "T-12"):
        _, _, err = typed("arrival", *arrived, f"into={box}")
        assert (
            "On file for Protaetia speciosissima, not complete and perhaps out of date: Germany: strictly"
            in err
        )
        assert "its law decides" in err
    assert "its law decides" not in typed("look-again", "T-02", "about=mites", "because=so")[2]


# Taking back, and histories


def test_acts_are_taken_back_by_number_or_the_newest(typed: Type, book: Book) -> None:
    typed("move-box", "T-01", "to=A4-4")
    typed("move-box", "T-01", "to=A4-3")
    typed("look-again", "T-02", "about=mites", "because=so")
    code, out, err = typed("undo", "1")
    assert (code, out) == (EXIT_INPUT, "")
    assert "`2 move-box T-01` rests on `1 move-box T-01`" in err
    code, out, err = typed("undo")
    assert code == EXIT_FINE
    assert out.splitlines()[0] == "    4  2026-05-18  keeper      undo 3 T-02"
    assert out.splitlines()[1].endswith("counts no more")
    assert err == "Act 3 is taken back. To have it again, record it again.\n"
    assert typed("undo", "2")[0] == EXIT_FINE
    assert typed("undo", "1")[0] == EXIT_FINE
    assert "was taken back before" in typed("undo", "1")[2]
    assert "took an act back itself" in typed("undo", "4")[2]
    assert books.load(book) == START


def test_histories(typed: Type) -> None:
    typed("move-box", "T-01", "to=A4-4", "--keeper", "Tamsel")
    typed("marked", "UMBER/1", "mark=tag 4", "--today", "2026-05-20")
    typed("undo", "1")
    every = typed("history")[1].splitlines()
    assert every == [
        "    1  2026-05-18  Tamsel      move-box T-01 to=A4-4  (taken back)",
        "    2  2026-05-20  Tamsel      marked UMBER/1 mark='tag 4'",
        "    3  2026-05-18  Tamsel      undo 1 T-01",
    ]
    assert typed("history", "T-01")[1].splitlines() == [every[0], every[2]]
    assert typed("history", "1")[1].splitlines() == [every[0], every[2]]  # the short number of T-01
    assert typed("history", "UMBER", "1")[1].splitlines() == [every[1]]
    assert typed("history", "--since", "2026-05-19")[1].splitlines() == [every[1]]
    assert typed("history", "T-05") == (EXIT_FINE, "", "")
    assert "       enclosure T-01: place A4-4 -> A1-1" in typed("history", "--changes")[1].splitlines()
    rows = json.loads(typed("history", "--as", "json")[1])["rows"]
    assert [(r["act"], r["name"], r["which"], r["taken_back"], r["takes_back"]) for r in rows] == [
        (1, "move-box", "T-01", True, None),
        (2, "marked", "UMBER/1", False, None),
        (3, "undo", "T-01", False, 1),
    ]
    assert rows[1]["given"] == {"mark": "tag 4"}
    assert json.loads(typed("history", "T-05", "--as", "json")[1])["rows"] == []


def test_a_table_for_a_spreadsheet_runs_no_formula_and_a_text_steers_no_terminal(typed: Type) -> None:
    typed("look-again", "T-02", "about==1+1", "because=\x1b[2Jred", "--keeper", "=cmd()")
    (row,) = csv.DictReader(io.StringIO(typed("history", "--as", "csv")[1]))
    assert row["keeper"] == "'=cmd()"
    for form in ("text", "csv", "json"):
        assert "\x1b" not in "".join(typed("history", "--changes", "--as", form)[1:])


def test_the_demo_book_takes_an_act_with_the_shipped_config(
    demo_book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = shutil.copy(demo_book, tmp_path / "demo.book")
    before = ["--book", book, "--today", rack.DAY, "record"]
    assert run([*before, "look-again", "TL-003", "about=mites", "because=some"]) == EXIT_FINE
    out, _ = capsys.readouterr()
    assert out.splitlines()[0] == f"    1  {rack.DAY}  Ferrow      look-again TL-003 about=mites because=some"


def test_a_clock_behind_the_last_round_dates_no_act(
    demo_book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the clock of 1971; who says the day, or is sure of it, is believed. After the last round nothing is asked."""
    book = shutil.copy(demo_book, tmp_path / "demo.book")
    act = ["look-again", "TL-003", "about=mites", "because=some"]
    monkeypatch.setattr(time, "time_ns", lambda: 366 * 86_400 * 10**9)
    assert run(["--book", book, "record", *act]) == EXIT_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    assert "clock says Fri 1 Jan 1971" in err
    assert "--today" in err
    for allowed in ([*act, "--today", rack.DAY], ["look-again", "TL-007", *act[2:], "--sure"]):
        assert run(["--book", book, "record", *allowed]) == EXIT_FINE
    monkeypatch.setattr(time, "time_ns", lambda: (rack.TODAY - 719_163) * 86_400 * 10**9 + 12 * 3600 * 10**9)
    assert run(["--book", book, "record", *act[:2], "about=flies", "because=some"]) == EXIT_FINE
