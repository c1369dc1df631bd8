"""README and the topics of ``rounds help``: every command in them does what it is shown for, on a book in a scratch folder."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
from datetime import date
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.commands.help import FOLDER
from rounds.problems import EXIT_FINE
from tests.acts.trial_house import families
from tests.conftest import demo_of
from tests.store.houses import with_books

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
PAGES = {"README": README, **{p.stem: p for p in sorted(FOLDER.glob("*.md"))}}
DAY = "2026-03-01"
TABLES_DAY = "2026-11-17"
"""The first tables begin in November 2026; pages that load them are read after that."""
SMALL_DAY = "2026-05-15"
WORDS_OF_README = 1000
WIDTH = 80


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(DAY).toordinal(), tmp_path_factory)


def shown_commands(page: Path) -> list[str]:
    """The lines of the page's fenced blocks that a reader may type, without their remarks."""
    blocks = re.findall(r"^```\n(.*?)^```$", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    return [re.sub(r"\s+#.*", "", line) for block in blocks for line in block.splitlines() if line.strip()]


class Reader:
    """Somebody in a scratch folder who types what a page shows."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, today: str) -> None:
        self.folder, self.monkeypatch, self.today = folder, monkeypatch, today
        self.out = self.err = ""

    def type(self, line: str) -> None:
        """Carry out one line. AssertionError where it does not end well."""
        evaluated = re.fullmatch(r'eval "\$\((.*)\)"', line)
        if evaluated:
            self.type(evaluated[1])
            assert "complete" in self.out
            assert self.err == "", "a shell's start file must stay silent"
            return
        words = shlex.split(line)
        if words[0] == "export":
            name, _, value = words[1].partition("=")
            self.monkeypatch.setenv(name, value.replace("$PWD", str(self.folder)))
        elif words[:2] == ["cp", "-r"]:
            shutil.copytree(ROOT / words[2], self.folder / words[3])
        else:
            assert words[0].removeprefix(".venv/bin/") == "rounds", line
            self._rounds(words[1:], line)

    def _rounds(self, words: list[str], line: str) -> None:
        file = None
        if ">" in words:
            words, file = words[:-2], self.folder / words[-1].replace("~", "home")
        out, err = io.TextIOWrapper(io.BytesIO(), "utf-8"), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(["--today", self.today, *words])
        out.flush()
        out.seek(0)
        self.out, self.err = out.read(), err.getvalue()
        assert code == EXIT_FINE, f"{line}\n{self.err}"
        assert "Traceback" not in self.err
        if file is not None:
            assert self.out, f"{line} writes nothing"
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(self.out, encoding="utf-8")


@pytest.fixture
def walked(monkeypatch: pytest.MonkeyPatch, demo: Path) -> list[str]:
    """Without a terminal: a walk is opened with all it was told and left at once; nothing is served."""
    from rounds.commands import book_commands
    from rounds.screens import run as screens_run
    from rounds.screens.app import WalkApp
    from rounds.serving import server

    seen: list[str] = []
    listen = server.listen
    monkeypatch.setattr(screens_run, "check_terminal", lambda: None)
    monkeypatch.setattr("rounds.commands.walk_commands.check_terminal", lambda: None)
    monkeypatch.setattr(WalkApp, "run", lambda app: seen.append(app.walk.keeper))
    monkeypatch.setattr(server, "listen", lambda host, _port: listen(host, 0))
    monkeypatch.setattr(server, "serve", lambda door, _at: seen.append(type(door).__name__))
    monkeypatch.setattr(book_commands, "load_demo", lambda path, *_: shutil.copy(demo, path))
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(), "utf-8"))
    return seen


@pytest.mark.parametrize("name", [n for n, page in PAGES.items() if shown_commands(page)])
def test_every_command_of_a_page_runs(
    name: str, demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, walked: list[str]
) -> None:
    lines = [line for line in shown_commands(PAGES[name]) if not line.startswith("python3 -m venv")]
    book, small = tmp_path / "reader.sqlite", tmp_path / "families.sqlite"
    shutil.copy(demo, book)
    with_books(small, families()).close()
    monkeypatch.chdir(tmp_path)
    today = TABLES_DAY if any("first_tables" in line for line in lines) else DAY
    for line in lines:
        # A trial is drawn from a house with females that are free; copies of a small book are soon made.
        of_small = name == "backup" or "trial plan spring" in line
        reader = Reader(tmp_path, monkeypatch, SMALL_DAY if of_small else today)
        if "ROUNDS_BOOK" not in os.environ or name == "trial":
            monkeypatch.setenv("ROUNDS_BOOK", str(small if of_small else book))
        reader.type(line)
    opened = r"rounds$|rounds (.* )?(demo|walk|serve)\b(?!.*--(plain|print))"
    assert len(walked) == len([line for line in lines if re.search(opened, line)])


def test_a_command_that_does_not_run_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    reader = Reader(tmp_path, monkeypatch, DAY)
    for line in ("rounds trial lst", "rounds due --untill +7", "rm -r all"):
        with pytest.raises(AssertionError):
            reader.type(line)


def test_the_readme_is_short_and_has_one_test_command() -> None:
    text = README.read_text(encoding="utf-8")
    assert len(text.split()) <= WORDS_OF_README
    assert len(re.findall(r"^ *python3 -m venv .*pytest.*$", text, re.MULTILINE)) == 1
    shown = shown_commands(README)
    assert shown[1] == ".venv/bin/rounds", "two commands: install and start"


def test_every_page_that_is_named_is_there() -> None:
    for page in PAGES.values():
        text = page.read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)]+)\)", text):
            assert (page.parent / target).exists(), f"{page.name}: {target}"
        for topic in re.findall(r"`rounds help ([a-z-]+)`", " ".join(text.split())):
            assert run(["help", topic]) == EXIT_FINE
    linked = set(re.findall(r"rounds/topics/([a-z-]+)\.md", README.read_text(encoding="utf-8")))
    assert linked == set(PAGES) - {"README", "changes"}, "each topic is linked where to read on"


def test_a_page_reads_well_in_a_terminal() -> None:
    """Plain Markdown: a title, no tables or HTML, no line wider than a narrow terminal. `changes` is a log."""
    for name, page in PAGES.items():
        if name in ("README", "changes"):
            continue
        lines = page.read_text(encoding="utf-8").splitlines()
        assert lines[0].startswith("# ")
        for number, line in enumerate(lines, 1):
            assert len(line) <= WIDTH, f"{page.name}:{number}"
            assert not line.startswith(("|", "<")), f"{page.name}:{number}"
