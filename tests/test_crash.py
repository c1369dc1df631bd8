"""A mistake of our own: one sentence, a report without anybody's data, nothing saved is lost."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from rounds import cli
from rounds.crash import EXIT_CRASH, report
from rounds.problems import EXIT_INPUT


def where(said: str) -> Path:
    return Path(said.partition("a report is in ")[2].partition(". What")[0])


@pytest.fixture(autouse=True)
def _log(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def broken() -> None:
    note = "".join(["sec", "ret"])
    raise ZeroDivisionError(len(note))


def test_the_report_names_the_place_and_holds_no_values() -> None:
    try:
        broken()
    except ZeroDivisionError as e:
        said = report(e)
    path = where(said)
    text = path.read_text(encoding="utf-8")
    assert "in broken" in text
    assert "secret" not in text
    assert stat.S_IMODE(os.stat(path).st_mode) == 0o600


def test_no_room_for_a_report_is_said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    assert "no report could be written" in report(ValueError("x"))


def test_the_command_line_ends_with_its_own_code(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(cli.cli, "main", fail)
    assert cli.run(["where"]) == EXIT_CRASH
    said = capsys.readouterr().err
    assert "mistake of its own (ZeroDivisionError)" in said
    assert where(said).exists()
    with pytest.raises(ZeroDivisionError):
        cli.run(["--debug", "where"])


def test_no_memory_is_no_mistake_and_leaves_no_report(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr(cli.cli, "main", fail)
    assert cli.run(["where"]) == EXIT_INPUT
    assert "not enough memory" in capsys.readouterr().err
    assert not (tmp_path / "state").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux that is always full")
@pytest.mark.parametrize("command", [["keys"], ["help"]])
def test_a_full_disk_under_the_output_is_said_in_a_line(command: list[str], tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "rounds", "--config", str(tmp_path), *command],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == EXIT_INPUT
    assert done.stderr == (
        "The output could not be written: No space left on device. What was shown as saved is safe.\n"
    )
