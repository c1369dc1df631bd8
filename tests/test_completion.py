"""What the shell is offered: real codes, animals, rules, acts and fields; nothing that steers, never an error."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from rounds.acts.registry import all_acts
from rounds.store import read
from rounds.store.book import open_book


def offered(book: Path | None, *words: str, shell: str = "bash") -> list[str]:
    """What the shell would be told for the last of ``words``."""
    env = {
        **os.environ,
        "_ROUNDS_COMPLETE": f"{shell}_complete",
        "COMP_WORDS": " ".join(("rounds", *words)),
        "COMP_CWORD": str(len(words)),
    }
    if book is not None:
        env["ROUNDS_BOOK"] = str(book)
    done = subprocess.run(
        [sys.executable, "-m", "rounds"], env=env, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    return [line.partition(",")[2] for line in done.stdout.splitlines() if line]


def test_codes_animals_rules_and_acts_are_offered(demo_book: Path) -> None:
    codes = codes_of(demo_book)
    found = offered(demo_book, "labels", "TL-0")
    assert found
    assert set(found) == {c for c in codes if c.startswith("TL-0")}
    assert "standing-water" in offered(demo_book, "rules", "explain", "TL-014", "st")
    assert set(offered(demo_book, "record", "mov")) == {a for a in all_acts() if a.startswith("mov")}
    assert "to=" in offered(demo_book, "record", "move-box", "TL-014", "")
    animals = offered(demo_book, "kinship", "kes")
    assert animals
    assert all(a.startswith("KESTREL/") for a in animals)
    assert {"labels", "load", "lot"} <= set(offered(demo_book, "l"))


def test_plans_are_offered_to_the_acts_that_end_them(demo_book: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(demo_book, tmp_path / "planned.sqlite"))
    with open_book(path) as book:
        book.run("INSERT INTO plan (name, female, male) SELECT 'PLAN-07', max(id), min(id) FROM animal")
    assert offered(path, "record", "plan-drop", "") == ["PLAN-07"]
    assert "in=" in offered(path, "record", "plan-made", "PLAN-07", "")


def codes_of(book: Path) -> set[str]:
    with open_book(book, readonly=True) as opened:
        return {e.code for e in read.enclosures(opened)}


def test_no_book_and_a_broken_one_are_answered_with_nothing(tmp_path: Path) -> None:
    assert offered(tmp_path / "none.sqlite", "labels", "T") == []
    broken = tmp_path / "broken.sqlite"
    broken.write_bytes(b"not a book at all" * 100)
    assert offered(broken, "labels", "T") == []


def test_a_name_that_could_steer_the_terminal_is_never_offered(demo_book: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(demo_book, tmp_path / "steer.sqlite"))
    with open_book(path) as book:
        book.run("UPDATE enclosure SET code = ? WHERE code = 'TL-014'", ("TL-0\x1b[31m14",))
        book.run("UPDATE enclosure SET code = ? WHERE code = 'TL-015'", ("TL-015x",))
    found = offered(path, "labels", "TL-0")
    assert "TL-015x" in found  # the control: a changed code is seen
    assert not any("\x1b" in f or "31m" in f for f in found)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_is_printed_and_names_the_program(shell: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rounds", "completion", shell], capture_output=True, text=True, check=True
    )
    assert "_ROUNDS_COMPLETE" in done.stdout
    assert done.stderr == "", "a start file that evaluates it stays silent"


def test_bash_takes_the_script() -> None:
    bash = shutil.which("bash")
    assert bash
    call = f'eval "$({sys.executable} -m rounds completion bash 2>/dev/null)"; complete -p rounds'
    done = subprocess.run([bash, "-c", call], capture_output=True, text=True, check=True)
    assert "rounds" in done.stdout
