"""``rounds rules``: exit codes, what goes to which stream, and what is loaded."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.commands.rules import SCHEMAS
from rounds.settings import where
from rounds.settings.layers import PARTS, READ_APART

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _own_config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = tmp_path / "own"
    (own / "rules" / "tests").mkdir(parents=True)
    monkeypatch.setenv("ROUNDS_CONFIG", str(own))
    monkeypatch.setenv("ROUNDS_BOOK", str(tmp_path / "book.sqlite"))


def own(tmp_path: Path, text: str, name: str = "mine.yaml") -> Path:
    path = tmp_path / "own" / "rules" / name
    path.write_text(textwrap.dedent(text), encoding="utf-8")
    return path


def test_check_says_one_line_on_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rules", "check"]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert err.endswith("nothing wrong.\n")
    assert len(err.splitlines()) == 1


def _places(err: str) -> list[str]:
    """File, line and column of each problem told; the last line counts them."""
    return [line.split("  ")[0] for line in err.splitlines()[:-1]]


BROKEN = {
    "settings.yaml": ("look: drk\n", ":1"),
    "readings.yaml": ("readings:\n  - {id: x, type: cout}\n", ":2"),
    "keys/mine.yaml": ("layout: mine\ncommands: {next: [q], quit: [q]}\n", ":2"),
    "rules/mine.yaml": ("rules:\n  - {id: mine, when: {reading: moistur, is: wet}}\n", ":2"),
    "rules/tests/mine.yaml": ("cases:\n  - {rule: no-such-rule, stage: holding}\n", ":2"),
    "species/mine.yaml": ("species: Eudicella smithi\negg_dys: {}\n", ":2"),
    "checklists/mine.yaml": (
        "checklists:\n  - {id: mine, title: Mine, use: set-upp, stages: [laying], steps: []}\n",
        ":2",
    ),
    "standin/sheet.yaml": ("sheet:\n  cal: nobody\n", ":2"),
    # read by nothing, and so never in force
    "rules/mine.yml": ("rules: []\n", ""),
    "reading.yaml": ("readings: []\n", ""),
    "rule/mine.yaml": ("rules: []\n", ""),
}
"""One breakage for each kind of config file, and the line it is told with."""


@pytest.mark.parametrize("name", BROKEN)
def test_check_fails_on_a_broken_file_of_every_kind(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text, line = BROKEN[name]
    path = tmp_path / "own" / name
    path.parent.mkdir(exist_ok=True)
    for broken, at in ((text, line), ("rules: [*x\n", ""), ("\0", ""), (". \n" * 300_000, "")):
        path.write_text(broken, encoding="utf-8")
        assert run(["rules", "check"]) == 2
        err = capsys.readouterr().err
        assert f"{path}{at}" in err
        assert "Traceback" not in err
    path.unlink()
    assert run(["rules", "check"]) == 0


def test_the_table_of_broken_files_has_every_kind() -> None:
    kinds = {name.rpartition("/")[0] or name for name in BROKEN}
    assert kinds >= {*PARTS, *READ_APART}


def test_check_tells_all_problems_of_all_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = own(tmp_path, "rules: [{id: a, when: {reading: moistur, is: wet}}]")
    two = tmp_path / "two.yaml"
    two.write_text("rules:\n\t- a", encoding="utf-8")
    three = tmp_path / "three.yaml"
    three.write_text("rules: [{id: b, when: {reading: jelly_gone, over: 5, under: 3}}]", encoding="utf-8")
    assert run(["rules", "check", str(two), str(three), str(tmp_path / "none.yaml")]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert _places(err) == [
        f"{tmp_path}/none.yaml",
        f"{one}:1:24",
        f"{three}:1:54",
        f"{two}:2:1",
    ]
    assert err.splitlines()[-1] == "4 problems; nothing was taken."


def test_check_lays_a_file_over_the_rules_in_force(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "x.yaml"
    path.write_text("rules: [{id: standing-water, off: true}, {id: unused-fod, off: true}]", encoding="utf-8")
    assert run(["rules", "check", str(path)]) == 2
    assert (
        "rule `unused-fod`: there is no such rule to switch off. Did you mean `unused-food`?"
        in capsys.readouterr().err
    )


def test_bad_readings_are_told_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "own" / "readings.yaml").write_text("readings: [{id: x, type: cout}]", encoding="utf-8")
    assert run(["rules", "check"]) == 2
    assert "`type` cannot be `cout`" in capsys.readouterr().err


def test_test_is_quiet_when_all_is_well(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rules", "test"]) == 0
    out, err = capsys.readouterr()
    assert out == ""
    assert "0 wrong" in err


RULE = "rules: [{id: mine, when: {reading: on_back, is: true}}]"
CASES = """
    cases:
      - {rule: mine, stage: holding, visits: [{on_back: true}], expect: [yes]}
      - {rule: mine, stage: holding, visits: [{on_back: false}], expect: [no]}
"""


def test_test_finds_a_failing_case_and_a_rule_without_cases(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own(tmp_path, RULE)
    assert run(["rules", "test"]) == 1
    assert "rule `mine` has no firing and no silent case." in capsys.readouterr().out
    own(tmp_path, CASES, "tests/mine.yaml")
    assert run(["rules", "test"]) == 0
    capsys.readouterr()
    cases = own(tmp_path, CASES.replace("expect: [no]", "expect: [yes]"), "tests/mine.yaml")
    assert run(["rules", "test"]) == 1
    lines = capsys.readouterr().out.splitlines()
    (failed,) = [line for line in lines if line.startswith(f"{cases}:4:")]
    assert "expected yes, got no. (on_back is yes: no no)" in failed


def test_a_replaced_rule_is_judged_by_the_keepers_own_cases(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own(tmp_path, RULE.replace("mine", "on-its-back").replace("true", "false"))
    own(
        tmp_path,
        CASES.replace("mine", "on-its-back")
        .replace("[yes]", "[x]")
        .replace("[no]", "[yes]")
        .replace("[x]", "[no]"),
        "tests/t.yaml",
    )
    assert run(["rules", "test"]) == 0, capsys.readouterr().out


def test_bad_cases_are_bad_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own(tmp_path, "cases: [{rule: standing-watr, stage: laying, visits: [], expect: []}]", "tests/t.yaml")
    assert run(["rules", "test"]) == 2
    assert "Did you mean `standing-water`?" in capsys.readouterr().err


@pytest.mark.parametrize("of", ["rules", "species", "checklists"])
def test_the_schema_command_prints_the_shipped_schema(of: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Byte for byte: `rounds rules schema NAME > config/schema/NAME.json` changes nothing."""
    assert run(["rules", "schema", of]) == 0
    printed = capsys.readouterr().out
    assert printed == (where.shipped("config") / "schema" / f"{of}.json").read_text(encoding="utf-8")
    assert json.loads(printed)["properties"]


def test_the_schema_command_knows_every_schema_and_gives_that_of_rules_unasked(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert {p.stem for p in (where.shipped("config") / "schema").iterdir()} == set(SCHEMAS)
    assert run(["rules", "schema"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Rules"
    assert run(["rules", "schema", "speces"]) == 2


def test_checking_rules_loads_neither_screen_nor_store_nor_calendar() -> None:
    code = (
        "import sys\nfrom rounds.cli import run\ncode = run(['rules', 'check'])\n"
        "print(code, sorted({m.split('.')[0] for m in sys.modules} & {'textual', 'peewee', 'pendulum', 'numpy', 'json'}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "0 []", done.stdout


def test_no_file_is_touched(tmp_path: Path) -> None:
    before = sorted(p for p in tmp_path.rglob("*"))
    run(["rules", "check"])
    run(["rules", "test"])
    assert sorted(p for p in tmp_path.rglob("*")) == before
    shutil.rmtree(tmp_path / "own")
    assert run(["--config", str(tmp_path / "own"), "rules", "check"]) == 2
