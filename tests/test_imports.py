"""What each command loads, seen by a clean interpreter: a start must not pay for what it does not use."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import demo_of

ROOT = Path(__file__).resolve().parents[1]
SHOW = "import sys; print('\\n'.join(n for n, m in sorted(sys.modules.items()) if m is not None), file=open(sys.argv.pop(), 'w'))"


def loaded(tmp_path: Path, code: str) -> set[str]:
    """Top-level names and full names of the modules loaded once ``code`` has run."""
    out = tmp_path / "modules"
    given = {k: v for k, v in os.environ.items() if k != "COVERAGE_PROCESS_START"}
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\n{SHOW}", str(out)],
        capture_output=True,
        text=True,
        env={**given, "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    names = set(out.read_text().split())
    return names | {n.partition(".")[0] for n in names}


def command(*argv: str) -> str:
    return f"from rounds.cli import run\nassert run({list(argv)!r}) == 0"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from rounds.config import in_force

    book = demo_of(739_676, tmp_path_factory)
    in_force(None, book)  # a first start with this config, which checks all of it
    return book


def test_the_check_itself_sees_what_is_loaded(tmp_path: Path) -> None:
    assert {"textual", "textual.app", "pendulum"} <= loaded(tmp_path, "import textual.app, pendulum")
    assert "textual" not in loaded(tmp_path, "import json")


@pytest.mark.parametrize(
    "argv",
    [["--help"], ["--version"], ["summary", "--help"], ["rules", "--help"], ["serve", "--help"]],
    ids=" ".join,
)
def test_help_loads_no_library_but_click(tmp_path: Path, argv: list[str]) -> None:
    found = loaded(tmp_path, command(*argv))
    assert not found & {
        "textual",
        "rich",
        "peewee",
        "pendulum",
        "numpy",
        "scipy",
        "yaml",
        "sqlite3",
        "asyncio",
        "aiohttp",
    }
    assert "click" in found


@pytest.mark.parametrize("argv", [["rules", "check"], ["rules", "test"], ["keys"], ["where"]], ids=" ".join)
def test_what_only_reads_config_loads_no_screen_and_no_book(tmp_path: Path, argv: list[str]) -> None:
    found = loaded(tmp_path, command(*argv))
    assert not found & {"textual", "rich", "peewee", "pendulum", "numpy", "scipy", "sqlite3"}


@pytest.mark.parametrize(
    "more",
    [["summary"], ["summary", "--as", "json"], ["rules", "explain", "TL-007"], ["rules", "replay"]],
    ids=" ".join,
)
def test_a_listing_loads_no_screen(tmp_path: Path, demo: Path, more: list[str]) -> None:
    found = loaded(tmp_path, command("--book", str(demo), *more))
    assert not found & {"textual", "rich", "numpy", "scipy"}
    assert "pendulum" not in found, "no date was typed"


def test_a_walk_starts_without_what_it_does_not_need(tmp_path: Path, demo: Path) -> None:
    """The walk's whole start, up to the first lines: no dates library, no numbers library, no driver of another database."""
    found = loaded(
        tmp_path,
        f"""
from pathlib import Path
from rounds.config import in_force
from rounds.screens.app import WalkApp
from rounds.screens.board import compose
from rounds.walk.core import Walk
book = Path({str(demo)!r})
walk = Walk(book, in_force(None, book), day=739_676)
app = WalkApp(walk)
assert len(compose(walk, 80, 24)) == 24
walk.press("1")
assert walk.drain(10)
walk.close(10)
""",
    )
    # Nobody recorded an act, and the config was found good before: no species, no checklist, no books.
    assert not {"rounds.husbandry.species", "rounds.acts.checklists", "rounds.records.ledger"} & found
    assert {"textual", "peewee"} <= found
    heavy = {
        "pendulum",
        "numpy",
        "scipy",
        "pandas",
        "statsmodels",
        "click",
        "dateutil",
        "psycopg2",
        "MySQLdb",
        "pymysql",
        "psycopg",
        "aiohttp",
        "textual_serve",
        "rounds.presenters.touch",
        "rounds.presenters.touch_lines",
        "rounds.store.round_models",  # a class of peewee's is slow to make
        "rounds.store.models",
    }
    assert found & heavy == set()
    assert not {
        n
        for n in found
        if n.startswith(("rounds.files", "rounds.reports", "rounds.commands", "rounds.analysis"))
    }


START = Path(__file__).with_name("start_modules.txt")


def test_the_modules_of_a_start_are_those_of_the_list(
    tmp_path: Path, demo: Path, request: pytest.FixtureRequest
) -> None:
    """Each costs every start of the walk about a third of a millisecond: one more is a decision (``--update``).

    Sentences that only refusals need are imported and not run.
    """
    found = loaded(
        tmp_path,
        f"""
import sys
from pathlib import Path
from rounds.config import in_force
from rounds.screens.app import WalkApp
from rounds.screens.board import compose
from rounds.walk.core import Walk
book = Path({str(demo)!r})
walk = Walk(book, in_force(None, book), day=739_676)
app = WalkApp(walk)
assert len(compose(walk, 80, 24)) == 24
start = {{n: m for n, m in sys.modules.items() if n.startswith("rounds.")}}
walk.close(10)
for name, module in start.items():
    by_chance = name == "rounds.walk.walk_sentences"  # says "working" where due work is not known yet
    waits = name.endswith("_sentences") and ("__getattr__" in vars(module) or by_chance)
    sys.modules["start:" + name + ("=not-run" if waits else "")] = module
""",
    )
    lines = sorted(n.removeprefix("start:").replace("=", " ") for n in found if n.startswith("start:rounds."))
    if request.config.getoption("--update"):
        START.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    listed = START.read_text(encoding="utf-8").splitlines()
    assert lines == listed


def test_a_sentence_is_whole_for_every_thread_that_looks_first(tmp_path: Path) -> None:
    """Many threads look up the last name of a module that none has run yet; a name nobody wrote is an error."""
    loaded(
        tmp_path,
        """
import threading
from rounds.rules import condition_sentences, rule_sentences
assert "never_at_once" not in vars(condition_sentences)
together, found = threading.Barrier(8), []
def look():
    together.wait()
    found.append(condition_sentences.never_at_once)
some = [threading.Thread(target=look) for _ in range(8)]
for t in some: t.start()
for t in some: t.join()
assert len(found) == 8 and len(set(found)) == 1
assert rule_sentences.rule("a") == "rule `a`"
try:
    rule_sentences.no_such_sentence
except AttributeError as e:
    assert "no_such_sentence" in str(e)
else:
    raise AssertionError("a name that is not there was found")
""",
    )


def test_drivers_of_other_databases_are_kept_out(tmp_path: Path, demo: Path) -> None:
    """With drivers installed peewee would load them by itself; here even a broken one does no harm."""
    for name in ("psycopg", "psycopg2", "MySQLdb", "pymysql"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit('a driver was loaded')\n")
    loaded(
        tmp_path,
        f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n" + command("--book", str(demo), "summary"),
    )


@pytest.mark.parametrize("package", ["husbandry", "rules", "analysis", "settings"])
def test_pure_packages_load_neither_book_nor_screen(tmp_path: Path, package: str) -> None:
    found = loaded(
        tmp_path,
        f"""
import importlib, pkgutil, rounds.{package} as p
for m in pkgutil.walk_packages(p.__path__, p.__name__ + "."):
    importlib.import_module(m.name)
""",
    )
    assert not found & {"textual", "rich", "peewee", "sqlite3", "click", "numpy", "scipy"}
    assert not {
        n for n in found if n.startswith(("rounds.store", "rounds.screens", "rounds.walk", "rounds.commands"))
    }
