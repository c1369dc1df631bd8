"""The real program through a pipe and through a dumb terminal: whole rounds, and every way to leave."""

from __future__ import annotations

import errno
import io
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from rounds.keys.terminal_replies import AS_TYPED
from rounds.line_ui.run_lines import Door, run_plain
from tests.endtoend import rack
from tests.endtoend.terminal import ROOT, Terminal
from tests.line_ui.lines import Typing
from tests.test_imports import loaded

CODES = {"SIGINT": 130, "SIGTERM": 143, "SIGHUP": 129}


def _env(tmp_path: Path) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith("ROUNDS_")}
    return {**kept, "PYTHONPATH": str(ROOT), "ROUNDS_CONFIG": str(tmp_path / "none"), "TERM": "dumb"}


def piped(book: Path, tmp_path: Path, text: str, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        rack.walk_of(book, "--plain", *more),
        input=text,
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        env=_env(tmp_path),
        check=False,
        timeout=120,
    )


def _round(book: Path) -> list[str]:
    """The lines of a whole round: an answer to what must be typed, next, now and then something else."""
    typing = Typing(rack.opened(book, rack.config()))
    lines: list[str] = []

    def type_(line: str) -> None:
        lines.append(line)
        typing.type(line)

    while not typing.walk.over:
        at = typing.walk.state.at
        if at == 5:
            type_("note a beetle on its back, righted")
        if at == 9:
            type_("skip no time")
            continue
        if typing.asked.startswith("jelly eaten"):
            type_("1")
        while typing.walk.state.at == at:
            type_("")
    type_("2")
    type_("done")
    type_("quit")
    assert typing.walk.close(30.0) is None
    return lines


def test_a_whole_round_through_a_pipe(book: Path, tmp_path: Path) -> None:
    """The program leaves the rows that the walk leaves which takes the same lines, every one of them."""
    mine = Path(shutil.copy(book, tmp_path / "mine.sqlite"))
    lines = _round(mine)
    done = subprocess.run(
        rack.worse(book, "--plain", clock=rack.MORNING),
        input="\n".join([*lines, ""]),
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        env=_env(tmp_path),
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    out = done.stdout
    assert {c for c in out if ord(c) < 0x20} == {"\n"}
    assert "59 of 60 seen" in out
    assert "Not seen: " in out
    assert ", skipped: no time" in out
    assert out.endswith("All is saved.\n")
    assert rack.differences(rack.content(book), rack.content(mine)) == []


def test_the_end_of_the_input_leaves_with_everything_saved(book: Path, tmp_path: Path) -> None:
    done = piped(book, tmp_path, "2 1\ngo TL-014\nmoisture water\n")
    assert done.returncode == 0, done.stderr
    assert done.stdout.rstrip().endswith("All is saved; the next start goes on at TL-014.")
    cells = rack.cells_today(book)
    assert cells["TL-007", "jelly_gone"] == 2
    assert cells["TL-014", "moisture"] == "water"


def test_a_line_without_its_end_is_no_answer(book: Path, tmp_path: Path) -> None:
    """A broken link may leave 12 as 1: what no Enter followed is not taken, and that is said."""
    done = piped(book, tmp_path, "2\n1")
    assert done.returncode == 0
    assert "Not taken, no Enter came after it: 1" in done.stdout
    assert ("TL-007", "jelly_in") not in rack.cells_today(book)


def test_bytes_that_nobody_typed_are_no_answers(book: Path, tmp_path: Path) -> None:
    """Replies in front of what is typed, latin-1, NUL, a line without end: no reading, and the next line is one."""
    noise = (b"\x1b[?62;22c", b"\x1b]11;rgb:1111/2222/3333\x1b\\", b"\x9b3;4R", b"\x1bP1$r0m\x1b\\")
    lines = [n + b"2" for n in noise] + [
        b"\xe4",
        b"\x00",
        b"3" * 300_000,
        b"\x1b[A",
        b"\x1b[200~3\x1b[201~",
        b"undo",
    ]
    done = subprocess.run(
        rack.walk_of(book, "--plain"),
        input=b"\n".join([*lines[-6:], lines[0], b"note K\xe4fer", b"quit", b""]),
        capture_output=True,
        cwd=ROOT,
        env=_env(tmp_path),
        check=False,
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"a line of more than 10000 characters" in done.stdout
    assert rack.cells_today(book) == {("TL-007", "jelly_gone"): 2, ("TL-007", "note"): "K\ufffdfer"}
    typed = "".join(f"{line}\n" for n in noise for line in [n.decode("utf-8", AS_TYPED) + "2"])
    door = Door(io.StringIO(typed), io.StringIO(), None)
    assert [door.ask("?") for _ in noise] == ["2"] * len(noise)


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_of_either_kind(book: Path, tmp_path: Path, ends: str) -> None:
    done = piped(book, tmp_path, ends.join(["2", "note äöü €", "quit", ""]))
    assert done.returncode == 0
    assert rack.cells_today(book)["TL-007", "note"] == "äöü €"


def test_a_width_breaks_lines_and_cuts_nothing(book: Path, tmp_path: Path) -> None:
    wide = piped(book, tmp_path, "go TL-014\nquit\n")
    narrow = piped(book, tmp_path, "go TL-014\nquit\n", "--width", "30")
    assert max(map(len, narrow.stdout.splitlines())) <= 30
    assert max(map(len, wide.stdout.splitlines())) > 100
    # The second start resumes at TL-014, which the first had gone to without recording anything.
    assert narrow.stdout.split()[:20] == wide.stdout.split()[:20]
    assert "…" not in narrow.stdout
    bad = piped(book, tmp_path, "", "--width", "3")
    assert bad.returncode == 2
    assert "`3` is no width" in bad.stderr


def test_a_reader_that_goes_away_loses_nothing(book: Path, tmp_path: Path) -> None:
    process = subprocess.Popen(
        rack.walk_of(book, "--plain"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env=_env(tmp_path),
        text=True,
        encoding="utf-8",
    )
    assert process.stdin is not None
    assert process.stdout is not None
    assert process.stderr is not None
    while "jelly eaten" not in process.stdout.readline():
        pass
    process.stdin.write("2\n")
    process.stdin.flush()
    assert process.stdout.readline().startswith("saved: ") or process.stdout.readline().startswith("saved: ")
    process.stdout.close()
    process.stdin.write("1\n2\n2\n")
    process.stdin.flush()
    assert process.wait(30) == 0
    assert "Traceback" not in process.stderr.read()
    process.stdin.close()
    process.stderr.close()
    cells = rack.cells_today(book)
    assert cells["TL-007", "jelly_gone"] == 2


def test_a_terminal_that_is_gone_while_something_is_said_has_hung_up(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A write to it fails before any read does."""

    class Gone(io.StringIO):
        def isatty(self) -> bool:
            return True

        def write(self, text: str) -> int:
            raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(sys, "stdin", Gone())
    monkeypatch.setattr(sys, "stdout", Gone())
    day, backed_up = rack.TODAY, list[Path]()
    code = run_plain(book, None, day, "", (), "", None, backed_up.append)
    assert code == 128 + signal.SIGHUP
    assert not list(book.parent.glob("*.unsaved-*"))


@pytest.mark.parametrize("name", CODES)
def test_a_signal_saves_and_leaves_with_its_code(book: Path, tmp_path: Path, name: str) -> None:
    process = subprocess.Popen(
        rack.worse(book, "--plain", slow=0.3),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env=_env(tmp_path),
        text=True,
        encoding="utf-8",
    )
    assert process.stdin is not None
    assert process.stdout is not None
    while "jelly eaten: " not in process.stdout.readline():
        pass
    process.stdin.write("2\n")
    process.stdin.flush()
    import time

    time.sleep(0.15)  # the commit is under way
    process.send_signal(getattr(signal, name))
    out, err = process.communicate(timeout=60)
    assert process.returncode == CODES[name], err
    assert "Traceback" not in out + err
    assert "NOT SAVED" not in out
    if "jelly given" in out or "saved: jelly eaten" in out:  # the line had been taken
        assert rack.cells_today(book)["TL-007", "jelly_gone"] == 2


@pytest.mark.parametrize("leaving", ["quit\nquit\n", "quit\n\nquit\n", ""])
def test_leaving_while_nothing_can_be_saved(book: Path, tmp_path: Path, leaving: str) -> None:
    """It is said, the program ends with its own code, and the next start takes in what was kept."""
    pages = len(book.read_bytes()) // 4096
    done = subprocess.run(
        rack.worse(book, "--plain", pages=pages),
        input=f"note {'x' * 1500}\n2\n{leaving}",
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        env=_env(tmp_path),
        check=False,
        timeout=120,
    )
    assert done.returncode == 3, done.stderr
    assert "NOT SAVED: note xxx" in done.stdout
    assert "saved: note" not in done.stdout
    assert "All is saved" not in done.stdout
    assert "kept in" in done.stderr
    if leaving:
        assert "quit leaves, and what is not saved is kept in a file" in done.stdout
    again = piped(book, tmp_path, "quit\n")
    assert again.returncode == 0
    assert "could not be saved last time" in again.stdout
    assert rack.cells_today(book)["TL-007", "note"] == "x" * 1500


def test_lines_load_no_screen(book: Path, tmp_path: Path) -> None:
    code = f"""
import io, sys
sys.stdin = io.TextIOWrapper(io.BytesIO(b"2\\nquit\\n"))
from rounds.cli import run
assert run(["--book", {str(book)!r}, "--today", "2026-03-02", "--plain"]) == 0
"""
    found = loaded(tmp_path, code)
    assert "rounds.line_ui.line_session" in found
    assert not found & {"textual", "numpy", "scipy", "asyncio"}


# A terminal


@pytest.fixture
def begin(tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    running: list[Terminal] = []

    def start(argv: list[str], **more: Any) -> Terminal:
        env = {"ROUNDS_CONFIG": str(tmp_path / "none"), "TERM": "dumb", **more.pop("env", {})}
        running.append(Terminal(argv, env=env, columns=200, lines=60, **more))
        return running[-1]

    yield start
    for terminal in running:
        terminal.kill()


def test_a_dumb_terminal_gets_text_alone(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book, "--plain"))
    terminal.wait_for("asked each time. >")
    for line, heard in (
        ("2", "saved: jelly eaten 2"),
        ("zzz", "Not understood: zzz"),
        ("note wet hands", "saved: note wet hands"),
        ("?", "What is known here:"),
        ("skip", "already read today"),
        ("go TL-014", "TL-014, laying"),
        ("m water", "saved: moisture standing water"),
        ("summary", "At row 1 of"),
        ("back", "60 of 60"),
    ):
        terminal.send(line.encode() + b"\r")
        terminal.wait_for(heard)
        terminal.quiet()
    terminal.send(b"quit\r")
    assert terminal.ended() == 0
    assert b"All is saved" in terminal.output
    assert not set(terminal.output.decode()) & {chr(n) for n in range(0x20)} - {"\r", "\n"}


def test_ctrl_d_and_ctrl_c(book: Path, begin: Callable[..., Terminal]) -> None:
    for door, code in ((b"\x04", 0), (b"\x03", 130)):
        terminal = begin(rack.walk_of(book, "--plain"))
        terminal.wait_for(r" of 60 seen")
        terminal.wait_for(r" >$")
        terminal.send(b"u\r")
        terminal.quiet()
        terminal.send(b"2\r")
        terminal.wait_for("saved: jelly eaten 2")
        terminal.quiet()
        terminal.send(door)
        assert terminal.ended() == code
        assert b"All is saved; the next start goes on at TL-007" in terminal.output
    assert rack.cells_today(book)["TL-007", "jelly_gone"] == 2


def test_lines_typed_ahead_are_taken_in_order(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.worse(book, "--plain", slow=0.1))
    terminal.send(b"2\r1\r0\r2\rquit\r")
    assert terminal.ended() == 0
    cells = rack.cells_today(book)
    assert [cells["TL-007", k] for k in ("jelly_gone", "jelly_in", "on_back", "moisture")] == [
        2,
        1,
        0,
        "right",
    ]


def test_the_demo_in_lines_and_by_the_global_option(tmp_path: Path) -> None:
    for argv in (["--plain", "demo"], ["demo", "--plain", "--width", "60"]):
        done = subprocess.run(
            [sys.executable, "-m", "rounds", *argv],
            input="2\nquit\n",
            capture_output=True,
            text=True,
            cwd=ROOT,
            env={**_env(tmp_path), "TMPDIR": str(tmp_path)},
            check=False,
            timeout=120,
        )
        assert done.returncode == 0, done.stderr
        assert "saved: jelly eaten 2." in done.stdout
