"""What is promised: the page and README agree, what holds each promise exists, and no command talks to another computer."""

from __future__ import annotations

import io
import json
import re
import socket
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from rounds.cli import run
from rounds.problems import EXIT_FINE
from rounds.reports import promises
from rounds.settings import yamlfile
from tests.store.test_row_checksums import said

ROOT = Path(__file__).parents[1]
FIELDS = {"promise", "held_by", "figure", "measured", "at_most", "unit", "on", "machine"}


def rows(capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    assert run(["help", "promises", "--as", "json"]) == EXIT_FINE
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["rows"]
    return found


def not_there(files: list[str]) -> list[str]:
    """Those that hold nothing: no file, or a test file without a test, or a script that cannot be run."""
    lacking = []
    for file in files:
        text = (ROOT / file).read_text(encoding="utf-8") if (ROOT / file).is_file() else ""
        wanted = "__main__" if file.startswith(promises.SCRIPTS) else "def test_"
        if wanted not in text:
            lacking.append(file)
    return lacking


def in_readme() -> list[str]:
    part = (ROOT / "README.md").read_text(encoding="utf-8").split("## What is promised\n", 1)[1]
    return re.findall(r"^- (.*)$", part.split("\n## ", 1)[0], re.MULTILINE)


def test_what_holds_each_promise_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    for row in rows(capsys):
        assert row["held_by"], row["promise"]
        assert not_there(row["held_by"]) == [], row["promise"]
    nothing = ["tests/test_nothing.py", "tests/sampled.py", "tests/bench/figures.py"]
    assert not_there(nothing) == nothing, "the control is found out"


def test_the_promises_of_the_readme_are_the_first_of_the_page(capsys: pytest.CaptureFixture[str]) -> None:
    found = rows(capsys)
    first = [row["promise"] for row in found if row["about"] == found[0]["about"]]
    assert found[0]["about"] == "What is promised"
    assert len(first) >= 6
    assert first == in_readme()


def test_a_figure_has_its_day_its_machine_and_its_budget() -> None:
    data: Any = yamlfile.read(promises.FILE).data
    for part in data["lists"]:
        for given in part["promises"]:
            assert set(given) <= FIELDS, given
            told = "figure" in given or "measured" in given
            assert told == ("on" in given) == ("machine" in given), given
            assert ("measured" in given) >= ("at_most" in given), given
            assert told or not all(file.startswith(promises.SCRIPTS) for file in given["held_by"]), given
            if told:
                assert date.fromisoformat(given["on"]) > date(2026, 1, 1)
                assert given["machine"] in data["machines"]


def test_a_budget_that_is_not_met_is_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "promises.yaml"
    own.write_text(
        "lists:\n- about: Speed\n  promises:\n"
        + "".join(
            f"  - {{promise: {name}, held_by: [tests/bench/keys.py], measured: {measured}, at_most: 1.5, on: 2026-03-01, machine: any}}\n"
            for name, measured in (("one", 1.51), ("two", 1.5))
        )
        + "machines: {any: any}\n",
        encoding="utf-8",
    )
    monkeypatch.setattr(promises, "FILE", own)
    assert [row["met"] for row in rows(capsys)] == [False, True]
    assert run(["help", "promises"]) == EXIT_FINE
    said = " ".join(capsys.readouterr().out.split())
    assert said.count("NOT MET, its budget is 1.5") == 1
    assert "1.5-fold, within its budget of 1.5" in said


COMMANDS = (
    ("summary",),
    ("due",),
    ("checkup",),
    ("kinship", "--colony"),
    ("record", "history"),
    ("labels", "--as", "text"),
    ("write", "OUT"),
    ("backup",),
    ("walk", "--plain"),
)


def test_no_command_talks_to_another_computer_or_listens(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    book = said(tmp_path / "house" / "book.sqlite")
    tried: list[str] = []
    with pytest.MonkeyPatch.context() as patched:
        for name in ("connect", "connect_ex", "bind", "listen", "sendto"):
            patched.setattr(socket.socket, name, lambda *_, n=name: tried.append(n))
        patched.setattr(socket, "getaddrinfo", lambda *_: tried.append("getaddrinfo"))
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"1\nnext\nquit\n")))
        for argv in COMMANDS:
            out = str(tmp_path / "out")
            run(["--book", str(book), "--today", "2026-03-02", *(out if a == "OUT" else a for a in argv)])
            assert "Traceback" not in capsys.readouterr().err
        assert tried == []
        socket.socket().connect(("192.0.2.1", 9))  # an address that RFC 5737 keeps for examples
        assert tried == ["connect"], "the control is heard"
