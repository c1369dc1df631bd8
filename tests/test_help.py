"""``rounds help``: its topics are files in the package, and a command's name gives the command's help."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from rounds import __version__, crash
from rounds.cli import run
from rounds.commands.help import FOLDER, GENERATED, topics
from rounds.problems import EXIT_BOOK, EXIT_FINE, EXIT_FOUND, EXIT_INPUT, EXIT_INTERRUPTED

UNTESTED = """\
rules:
  - id: mine
    title: Mine
    when: {reading: moisture, is: water}
    level: look
    because: My own words.
    do: {otherwise: My own way.}
"""
"""A rule without a worked case."""


def test_without_a_topic_every_topic_is_listed_with_its_title(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == sorted([*GENERATED, *(p.stem for p in FOLDER.glob("*.md"))])
    assert all(len(line.split()) > 1 for line in lines)


@pytest.mark.parametrize("topic", sorted(set(topics()) - set(GENERATED)))
def test_a_topic_on_a_terminal_has_no_signs_of_markdown(
    topic: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert run(["--no-pager", "help", topic]) == 0
    lines = capsys.readouterr().out.splitlines()
    page = (FOLDER / f"{topic}.md").read_text(encoding="utf-8")
    assert not [line for line in lines if line.startswith(("```", "#"))]
    assert lines[0] == page.splitlines()[0].removeprefix("# ")
    code = [block.splitlines()[1:] for block in page.split("```")[1::2]]
    assert [f"    {line}".rstrip() for block in code for line in block] == [
        line for line in lines if line in {f"    {c}".rstrip() for block in code for c in block}
    ] or not code


@pytest.mark.parametrize("topic", sorted(set(topics()) - set(GENERATED)))
def test_a_topic_is_its_file(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help", topic]) == 0
    assert capsys.readouterr().out.strip() == (FOLDER / f"{topic}.md").read_text(encoding="utf-8").strip()


def test_the_name_of_a_command_gives_its_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help", "due"]) == 0
    helped = capsys.readouterr().out
    assert helped.startswith("Usage: rounds due ")


def test_an_unknown_topic_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help", "chnages"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "`chnages`" in said.err
    assert "`changes`" in said.err


def test_the_version_at_hand_is_the_newest_or_the_one_before_the_unreleased() -> None:
    """A release that forgets its entry is found here."""
    versions = re.findall(r"^## (\S+)", (FOLDER / "changes.md").read_text(encoding="utf-8"), re.M)
    assert __version__ in versions[:2]


def test_every_exit_code_that_help_names_is_what_a_command_ends_with(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["help", "exit-codes", "--as", "json"]) == EXIT_FINE
    told = {row["code"] for row in json.loads(capsys.readouterr().out)["rows"]}
    own = tmp_path / "own"
    (own / "rules").mkdir(parents=True)
    (own / "rules" / "mine.yaml").write_text(UNTESTED, encoding="utf-8")
    monkeypatch.setattr(crash, "report", lambda error: str(error))

    def ends_with(error: type[BaseException]) -> int:
        with monkeypatch.context() as patched:
            patched.setattr("rounds.reports.exit_codes.exit_codes", _raising(error))
            return run(["help", "exit-codes"])

    found = {
        run(["help"]): EXIT_FINE,
        run(["--config", str(own), "rules", "test"]): EXIT_FOUND,
        run(["no-such-command"]): EXIT_INPUT,
        run(["--book", str(tmp_path / "none.sqlite"), "due"]): EXIT_BOOK,
        ends_with(ZeroDivisionError): crash.EXIT_CRASH,
        ends_with(KeyboardInterrupt): EXIT_INTERRUPTED,
    }
    assert found == {code: code for code in told}


def _raising(error: type[BaseException]) -> Callable[[], None]:
    def call() -> None:
        raise error

    return call


def test_only_generated_lists_take_a_form(capsys: pytest.CaptureFixture[str]) -> None:
    for argv in (["changes"], ["json"], ["due"], []):
        assert run(["help", *argv, "--as", "json"]) == EXIT_INPUT
        assert capsys.readouterr().out == ""
