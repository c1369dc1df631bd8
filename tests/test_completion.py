"""What the shell is offered: real codes, animals, rules, acts and fields; nothing that steers, never an error."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from rounds.acts.registry import all_acts
from rounds.store import read
from rounds.store.book import open_book
from tests.endtoend.terminal import Terminal


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
    assert offered(demo_book, "record", "move-box", "TL-014", "to=B3-1") == ["to=B3-1"]
    assert offered(demo_book, "labels", "B3-1") == ["B3-1"]
    assert set(offered(demo_book, "help", "json", "du")) == {"due"}
    assert {"demo", "due"} <= set(offered(demo_book, "help", "d"))
    assert offered(demo_book, "keys", "--layout", "n") == ["numbers"]
    assert set(offered(demo_book, "record", "promised", "KESTREL/K12", "on=yesterday", "o")) == set()


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


def test_a_damaged_book_is_answered_with_nothing(demo_book: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(demo_book, tmp_path / "damaged.sqlite"))
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE enclosure SET note = CAST(x'736dff' AS TEXT)")  # no text in UTF-8
        db.execute("UPDATE keeper SET name = CAST(x'736dff' AS TEXT) WHERE id = 1")
        db.commit()
    with open_book(path, readonly=True):
        pass  # it can be opened
    assert offered(path, "labels", "T") == []
    assert offered(path, "walk", "--keeper", "") == []


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


def in_bash(book: Path | None, *lines: str) -> list[list[str]]:
    """What a real bash would offer for each line with the cursor at its end, after it took the script."""
    bash = shutil.which("bash")
    assert bash
    program = f"{sys.executable} -m rounds"
    script = [f'said=$(eval "$({program} completion bash)" 2>&1); [ -z "$said" ] || echo "said: $said"']
    script += [f'rounds() {{ {program} "$@"; }}; eval "$({program} completion bash)"; complete -p rounds']
    script += [f'export PATH="{Path(sys.executable).parent}:$PATH"']
    for line in lines:
        words = " ".join(shlex.quote(w) for w in re.findall(r"=|[^\s=]+", line))
        words += " ''" if line.endswith(" ") else ""
        script += [f"COMP_LINE={shlex.quote(line)}; COMP_POINT=${{#COMP_LINE}}; COMP_WORDS=({words})"]
        script += ["COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); COMPREPLY=()"]
        script += ["_rounds_completion rounds; printf '%s\\n' == \"${COMPREPLY[@]}\""]
    env = {**os.environ, **({"ROUNDS_BOOK": str(book)} if book else {})}
    done = subprocess.run(
        [bash, "--norc", "-c", "\n".join(script)], capture_output=True, text=True, env=env, check=True
    )
    assert done.stderr == ""
    first, *rest = done.stdout.split("==\n")
    assert first.strip() == "complete -o nosort -F _rounds_completion rounds"
    return [answer.split() for answer in rest]


def test_bash_evaluates_the_script_silently_and_completes_values(demo_book: Path) -> None:
    to, rest, keeper, look, keys, topic, trial, bays, act = in_bash(
        demo_book,
        "rounds record move-box TL-014 to=B3-",
        "rounds record died KESTREL/K12 re",
        "rounds walk --keeper F",
        "rounds walk --look ",
        "rounds walk --keys n",
        "rounds help lab",
        "rounds trial show T",
        "rounds walk --bays A,",
        "rounds record move-b",
    )
    assert {"B3-1", "B3-2"} <= set(to), "bash replaces what stands after `=` alone"
    assert rest == [] or all(word.startswith("re") for word in rest)
    assert keeper == ["Ferrow"]
    assert look == ["dark", "light", "red", "terminal"]
    assert keys == ["numbers"]
    assert topic == ["labels"]
    assert trial == ["TR-01"]
    assert "A,B" in bays
    assert "A,A" not in bays
    assert act == ["move-box"]


def test_a_name_with_blanks_is_quoted_for_bash(demo_book: Path) -> None:
    (species,) = in_bash(demo_book, "rounds pairings --species Eud")
    assert species == ["Eudicella\\", "smithi"]


@pytest.mark.pty
def test_tab_in_an_interactive_bash(demo_book: Path) -> None:
    """Half a word and Tab, three times; what is then entered goes to a function that says it again."""
    bin_ = Path(sys.executable).parent
    env = {"ROUNDS_BOOK": str(demo_book), "PATH": f"{bin_}:{os.environ['PATH']}", "PS1": "> "}
    with Terminal(["bash", "--norc", "-i"], env=env) as terminal:
        terminal.wait_for(">")
        terminal.send(b'eval "$(rounds completion bash)"; rounds() { echo "typed: $*"; }\r')
        terminal.send(b"rounds record move-bo\tTL-014 t\tC2\t1\t\r")
        assert "typed: record move-box TL-014 to=C2-1" in terminal.wait_for("typed")
