"""``rounds write`` and the printed forms, from the command line: streams, exit codes, nothing overwritten."""

from __future__ import annotations

import csv
import io
import json
import stat
from datetime import date
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.files.csv_tables import TABLES
from tests.conftest import demo_of
from tests.files import whole

TODAY = "2026-03-01"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(TODAY).toordinal(), tmp_path_factory)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROUNDS_CONFIG", "")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def ask(demo: Path, *words: str) -> int:
    return run(["--book", str(demo), "--today", TODAY, *words])


def test_the_demo_written_and_loaded_again_is_the_demo(
    demo: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert ask(demo, "write", str(tmp_path / "out")) == 0
    out, err = capfd.readouterr()
    counts = dict(line.rsplit(" ", 1) for line in out.splitlines())
    assert counts.keys() == {t.name for t in TABLES}
    assert int(counts["visits"]) > 20_000
    assert err.startswith("written to")
    readable = {f.name for f in (tmp_path / "out").iterdir() if stat.S_IMODE(f.stat().st_mode) & 0o077}
    assert readable == set(), "what a keeper writes out is for that keeper alone"
    assert run(["new", str(tmp_path / "b.sqlite"), "--zone", "UTC"]) == 0
    assert run(["--book", str(tmp_path / "b.sqlite"), "load", str(tmp_path / "out")]) == 0
    out, err = capfd.readouterr()
    assert "left alone" not in err  # its datapackage.json is part of it
    loaded = dict(line.rsplit(" ", 1) for line in out.splitlines())
    assert all(
        loaded.get(name, "0") == n for name, n in counts.items() if name not in ("house", "keepers")
    ), loaded
    mine, theirs = whole.content(demo), whole.content(tmp_path / "b.sqlite")
    assert [t for t in mine if mine[t] != theirs[t]] == []


def test_a_folder_that_holds_something_is_refused(
    demo: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("mine")
    assert ask(demo, "write", str(tmp_path / "mine")) == 2
    out, err = capfd.readouterr()
    assert out == ""
    assert "nothing is overwritten" in err
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["notes.txt"]


def test_no_book_no_folder(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(tmp_path / "none.sqlite"), "write", str(tmp_path / "out")]) == 3
    assert not (tmp_path / "out").exists()
    assert capfd.readouterr().out == ""


@pytest.mark.parametrize("more", [(), ("--safe",), ("--season", "2025-03-01..2026-02-28")])
def test_every_form_of_a_summary(
    demo: Path, capfd: pytest.CaptureFixture[str], more: tuple[str, ...]
) -> None:
    out = {}
    for form in ("text", "markdown", "csv", "html", "json"):
        assert ask(demo, "summary", *more, "--as", form) == 0
        out[form], err = capfd.readouterr()
        assert err == ""
    found = json.loads(out["json"])
    # A CSV holds one kind of row: the first table, where there are several.
    records = next(table for table in found.values() if isinstance(table, list))
    rows = list(csv.DictReader(io.StringIO(out["csv"], newline="")))
    assert len(rows) == len(records) > 5
    assert out["markdown"].startswith("# ")
    assert out["html"].startswith("<!DOCTYPE html>")
    assert "<script" not in out["html"]
    for form in ("text", "html"):
        assert any(word in out[form] for word in ("TL-014", "UMBER")), form


def test_a_season_is_asked_for_in_three_ways(demo: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert ask(demo, "summary", "--season") == 0
    assert "from 2 Mar 2025 to 1 Mar 2026" in capfd.readouterr().out
    assert ask(demo, "summary", "--season", "2025") == 0
    assert "from 1 Jan 2025 to 31 Dec 2025" in capfd.readouterr().out
    for words, said in (
        (("--season", "twenty"), "`twenty` is no season"),
        (("--season", "2026-01-01..2025-01-01"), "ends before it begins"),
        (("--season", "2025", "--safe"), "ask for one of them"),
    ):
        assert ask(demo, "summary", *words) == 2
        out, err = capfd.readouterr()
        assert (out, said in err) == ("", True), err


def test_a_batch_and_an_arrival(demo: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert ask(demo, "batch", "S-06", "--as", "json") == 0
    boxes = json.loads(capfd.readouterr().out)["rows"]
    assert len({b["enclosure"] for b in boxes}) == len(boxes) > 5
    assert ask(demo, "lot", "mg-25", "--as", "csv") == 0
    rows = list(csv.DictReader(io.StringIO(capfd.readouterr().out, newline="")))
    assert [(r["who"], r["generation"], r["certain"]) for r in rows] == [("KESTREL/K9", "0", "yes")]
    for words, said in ((("batch", "S-99"), "Did you mean"), (("lot", "zzz"), "There are: MG-25, MG-26")):
        assert ask(demo, *words) == 2
        out, err = capfd.readouterr()
        assert (out, said in err) == ("", True), err


def test_a_keepers_own_sheet_replaces_the_shipped_one(
    demo: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own" / "standin"
    own.mkdir(parents=True)
    (own / "sheet.yaml").write_text("sheet:\n  call: x\n  acts: {}\n  stages: {holdng: {}}\n")
    assert run(["--config", str(own.parent), "--book", str(demo), "--today", TODAY, "summary", "--safe"]) == 2
    err = capfd.readouterr().err
    assert "sheet.yaml:4:" in err
    assert "Did you mean `holding`?" in err
