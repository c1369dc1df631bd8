"""``rounds help``: its topics are files in the package, and a command's name gives the command's help."""

from __future__ import annotations

import re

import pytest

from rounds import __version__
from rounds.cli import run
from rounds.commands.help import FOLDER, topics


def test_without_a_topic_every_topic_is_listed_with_its_title(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == sorted(p.stem for p in FOLDER.glob("*.md"))
    assert all(len(line.split()) > 1 for line in lines)


@pytest.mark.parametrize("topic", topics())
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
