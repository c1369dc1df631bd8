"""Long listings on a terminal go through a pager, and only there: a real terminal, a real program."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from rounds.commands.paging import PAGERS, chosen
from tests.endtoend.terminal import PROGRAM, Terminal

TOPIC = "changes"


def pager(folder: Path, body: str) -> str:
    """A pager of our own making: what it was given lies in a file beside it."""
    path = folder / "pages"
    path.write_text(f"#!/bin/sh\ncat > {folder}/given\n{body}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)


def shown(*words: str, lines: int = 24, **variables: str) -> str:
    """What stands on a terminal of so many lines at the end of ``rounds WORDS``, with ``variables`` set."""
    with Terminal([*PROGRAM, *words], lines=lines, env=variables) as terminal:
        assert terminal.ended() == 0
        return terminal.text


@pytest.mark.pty
def test_what_does_not_fit_goes_through_the_pager(tmp_path: Path) -> None:
    text = shown("help", TOPIC, PAGER=pager(tmp_path, "echo paged"))
    assert "paged" in text
    assert (tmp_path / "given").read_text(encoding="utf-8").startswith("Changes\n")


@pytest.mark.pty
def test_what_fits_is_printed(tmp_path: Path) -> None:
    text = shown("help", "looks", lines=40, PAGER=pager(tmp_path, "echo paged"))
    assert "Looks: dark" in text
    assert not (tmp_path / "given").exists()


@pytest.mark.pty
def test_no_pager_prints_all_of_it(tmp_path: Path) -> None:
    shown("--no-pager", "help", TOPIC, PAGER=pager(tmp_path, "echo paged"))
    assert not (tmp_path / "given").exists()


@pytest.mark.pty
def test_a_pager_that_is_not_here_is_told_and_all_is_printed() -> None:
    text = shown("help", "looks", lines=10, PAGER="no-such-pager -x")
    assert "`no-such-pager`" in text


@pytest.mark.pty
def test_a_reader_who_leaves_early_ends_it_well(tmp_path: Path) -> None:
    path = tmp_path / "early"
    path.write_text("#!/bin/sh\nexec sed 1q\n", encoding="utf-8")
    path.chmod(0o755)
    text = shown("help", "json", PAGER=str(path))
    assert "Traceback" not in text


def test_nothing_changes_where_stdout_is_no_terminal(tmp_path: Path) -> None:
    env = {**os.environ, "PAGER": pager(tmp_path, "echo paged")}
    plain = subprocess.run(
        [sys.executable, "-m", "rounds", "help", TOPIC], capture_output=True, text=True, env=env, check=True
    )
    assert plain.stdout.startswith("# Changes\n")
    assert "paged" not in plain.stdout
    assert not (tmp_path / "given").exists()


def test_the_pager_is_the_one_the_variable_names() -> None:
    assert chosen({"PAGER": "cat"}) == []
    assert chosen({"PAGER": ""}) == []
    assert chosen({"PAGER": f"{sys.executable} -m x 'a b'"}) == [sys.executable, "-m", "x", "a b"]
    assert chosen({})[:1] in ([], *([name] for name in PAGERS))


def test_a_pager_whose_quotes_do_not_close_is_one_word() -> None:
    assert chosen({"PAGER": "less 'x"}) == ["less 'x"]
