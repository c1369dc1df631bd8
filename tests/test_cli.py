"""The command line: help, nearest names, exit codes, data on stdout and words on stderr."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import click
import pytest

from rounds import __main__
from rounds.cli import GROUPS, cli, run
from rounds.problems import EXIT_BOOK, EXIT_FINE, EXIT_FOUND, EXIT_INPUT
from tests.conftest import demo_of

ROOT = Path(__file__).resolve().parents[1]
TODAY = "2026-03-01"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(TODAY).toordinal(), tmp_path_factory)


@pytest.fixture
def typed(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    def type_(*argv: str) -> tuple[int, str, str]:
        code = run([str(a) for a in argv])
        out, err = capsys.readouterr()
        return code, out, err

    return type_


def every(
    group: click.Group = cli, above: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command there is, found from the program itself."""
    context = click.Context(group)
    for name in group.list_commands(context):
        found = group.get_command(context, name)
        assert found is not None
        yield (*above, name), found
        if isinstance(found, click.Group):
            yield from every(found, (*above, name))


COMMANDS = dict(every())


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
def test_every_command_has_help_with_an_example_of_itself(path: tuple[str, ...], typed) -> None:
    code, out, err = typed(*path, "--help")
    assert (code, err) == (EXIT_FINE, "")
    found = COMMANDS[path]
    assert found.get_short_help_str(80).strip()
    assert "...\n" not in out.partition("\n\n")[2], "a line of help is cut in its list of commands"
    if len(path) == 1:
        assert not found.get_short_help_str(60).endswith("..."), "it is cut in the list of commands"
    if not isinstance(found, click.Group):
        assert re.search(rf"^  rounds .*{re.escape(' '.join(path))}", out, re.MULTILINE), (
            "an example of its use"
        )
    for parameter in found.params:
        if isinstance(parameter, click.Option) and parameter.name not in ("help", "form"):
            assert parameter.help, f"{parameter.name} says what it is for"


def test_the_list_of_commands_says_what_each_says_of_itself() -> None:
    listed = {name: command for group in GROUPS.values() for name, command in group.items()}
    assert [(name,) for name in listed] == [path for path in COMMANDS if len(path) == 1]
    for limit in (45, 60):  # where the shell completes, and on the first help page
        assert {name: c.line(limit) for name, c in listed.items()} == {
            name: COMMANDS[name,].get_short_help_str(limit) for name in listed
        }


def test_the_version_alone_is_the_version_wherever_it_stands(typed, capsys) -> None:
    code, out, err = typed("--plain", "--version")
    assert (code, err) == (EXIT_FINE, "")
    assert __main__.version() == EXIT_FINE
    assert capsys.readouterr().out == out


def test_the_first_help_page_lists_every_command(typed) -> None:
    code, out, _ = typed("--help")
    assert code == EXIT_FINE
    for path in COMMANDS:
        if len(path) == 1:
            assert re.search(rf"^  {path[0]}\b", out, re.MULTILINE)


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("sumary",), "there is no command `sumary`. Did you mean `summary`?"),
        (("demmo",), "Did you mean `demo`?"),
        (("rules", "chek"), "Did you mean"),
        (("summary", "--onn", TODAY), "--on"),
        (("summary", "--as", "jsn"), "json"),
        (("--bok", "x", "summary"), "--book"),
        (("summary", "--on", "gestern"), "--on: `gestern` is not a date."),
        (("--today", "2026-02-30", "summary"), "--today: February 2026 has 28 days."),
        (("load",), "folder"),
        (("load", "/nowhere/at/all"), "does not exist"),
        (("new", "x.sqlite", "--zone", "Europe/Berln"), "Did you mean `Europe/Berlin`?"),
        (("rules", "check", "/nowhere.yaml"), "cannot be read"),
    ],
    ids=lambda x: " ".join(x) if isinstance(x, tuple) else "",
)
def test_a_slip_names_the_nearest_and_ends_in_two(
    argv: tuple[str, ...], said: str, typed, demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROUNDS_BOOK", str(demo))
    code, out, err = typed(*argv)
    assert code == EXIT_INPUT
    assert said.lower() in err.lower()
    assert out == ""
    assert "Traceback" not in err


def test_a_book_that_cannot_be_used_ends_in_three(typed, tmp_path: Path) -> None:
    (tmp_path / "no.sqlite").write_text("this is no book")
    for command in (["summary"], ["rules", "explain", "1"], ["load", str(tmp_path)]):
        code, out, err = typed("--book", tmp_path / "no.sqlite", *command)
        assert (code, out) == (EXIT_BOOK, "")
        assert str(tmp_path / "no.sqlite") in err
        assert len(err.strip().splitlines()) == 1
        code, _, err = typed("--book", tmp_path / "nowhere.sqlite", *command)
        assert code == EXIT_BOOK
        assert "nowhere.sqlite" in err


def test_found_wrong_cases_end_in_one(typed, tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "own.yaml").write_text(
        "rules:\n  - {id: untested, title: T, when: {reading: smell, is: sour}, level: look, because: B., do: {otherwise: D.}}\n"
    )
    code, out, err = typed("--config", tmp_path, "rules", "test")
    assert code == EXIT_FOUND
    assert "untested" in out
    assert "wrong" in err
    assert typed("rules", "test")[0] == EXIT_FINE


def test_a_bad_config_is_told_with_file_line_and_column_and_ends_in_two(typed, tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "own.yaml").write_text(
        "rules:\n  - {id: a, when: {reading: smel, is: sour}}\n  - {id: b, wen: 1}\n"
    )
    code, out, err = typed("--config", tmp_path, "rules", "check")
    assert (code, out) == (EXIT_INPUT, "")
    assert re.search(r"own\.yaml:2:\d+  .*smel", err)
    assert re.search(r"own\.yaml:3:\d+  .*`wen`", err)
    assert "Did you mean `smell`?" in err


def test_the_walk_needs_a_terminal_and_says_so(typed, demo: Path) -> None:
    for command in (["walk"], [], ["demo"]):
        code, out, err = typed("--book", demo, *command)
        assert (code, out) == (EXIT_INPUT, "")
        assert "needs a terminal" in err


def test_the_summary_in_json_is_the_one_in_text(typed, demo: Path) -> None:
    code, text, err = typed("--book", demo, "--today", "2026-02-28", "summary")
    assert (code, err) == (EXIT_FINE, "")
    code, out, err = typed("--book", demo, "--today", "2026-02-28", "summary", "--as", "json")
    assert (code, err) == (EXIT_FINE, "")
    parts = json.loads(out)
    boxes = {row["enclosure"] for row in parts["action"]}
    begun = f"{len(boxes)} boxes need you, {len(parts['due'])} jobs are due, {len(parts['unseen'])} not seen"
    assert text.splitlines()[0] == "Sat 28 Feb 2026"
    assert text.splitlines()[1].startswith(begun.replace(", 0 not seen", ""))
    assert len(parts["action"]) >= 5
    assert len(parts["due"]) >= 1
    lines = text.splitlines()
    for row in parts["action"]:
        assert any(row["enclosure"] in line and row["reason"] in line for line in lines)
        assert any(row["todo"] in line for line in lines)
    for row in parts["unseen"]:
        assert any(row["enclosure"] in line for line in lines)
    for row in parts["carry"]:
        if row["amount"] is not None:
            amount = f"{row['amount']:g} "
        elif row["most"] is not None:
            least, most = (f"{n:.0f}" if n >= 10 else f"{n:.1f}" for n in (row["least"], row["most"]))
            amount = f"{least} to {most} "
        else:
            amount = "amount not known"
        codes = ", ".join(row["for"] or row["unknown_for"])
        assert codes
        assert any(amount in line and codes in line for line in lines)
    for row in parts["due"]:
        assert any(row["enclosure"] in line and row["what"] in line for line in lines)
    order = ["now", "today", "look"]
    assert [r["level"] for r in parts["action"]] == sorted(
        (r["level"] for r in parts["action"]), key=order.index
    )


def test_today_and_on_choose_the_day(typed, demo: Path) -> None:
    texts = [
        typed("--book", demo, "summary", "--on", "2026-02-27")[1],
        typed("--book", demo, "--today", "2026-02-27", "summary")[1],
        typed("--book", demo, "--today", "2026-02-20", "summary", "--on", "2026-02-27")[1],
    ]
    assert texts[0].startswith("Fri 27 Feb 2026\n")
    assert len(set(texts)) == 1
    assert typed("--book", demo, "--today", TODAY, "summary")[1].startswith("Sun 1 Mar 2026\n")


def test_listings_print_data_only_on_stdout(typed, demo: Path) -> None:
    for command in (
        ["rules", "explain", "TL-014"],
        ["rules", "replay"],
        ["rules", "schema"],
        ["keys"],
        ["where"],
    ):
        code, out, err = typed("--book", demo, "--today", TODAY, *command)
        assert (code, err) == (EXIT_FINE, "")
        assert out.strip()
    for command in (["rules", "explain", "TL-014", "--as", "json"], ["rules", "replay", "--as", "json"]):
        found = json.loads(typed("--book", demo, "--today", TODAY, *command)[1])
        assert found["rules"]


def test_rules_check_says_in_words_that_all_is_well(typed) -> None:
    code, out, err = typed("rules", "check")
    assert (code, out) == (EXIT_FINE, "")
    assert "nothing wrong" in err


def test_an_enclosure_is_found_by_code_or_number_and_else_the_nearest_is_named(typed, demo: Path) -> None:
    by_code = typed("--book", demo, "--today", TODAY, "rules", "explain", "TL-014")
    assert by_code == typed("--book", demo, "--today", TODAY, "rules", "explain", "14")
    assert "standing-water: yes" in by_code[1]
    code, out, err = typed("--book", demo, "--today", TODAY, "rules", "explain", "TL-0l4")
    assert (code, out) == (EXIT_INPUT, "")
    assert "Did you mean `TL-" in err


def test_keys_prints_the_table_in_force(typed, tmp_path: Path) -> None:
    from rounds.keys.commands import COMMANDS

    out = typed("keys")[1]
    without = [c for c in COMMANDS if not re.search(rf"^\S.* {c} ", out, re.MULTILINE)]
    assert without == ["menu"], "letters need none"
    assert re.search(r"^m +moisture ", out, re.MULTILINE)
    shipped = (ROOT / "config" / "keys" / "letters.yaml").read_text()
    (tmp_path / "keys").mkdir()
    mine = shipped.replace("skip: [s]", 'skip: ["#"]').replace("  note: [n]\n", "")
    (tmp_path / "keys" / "mine.yaml").write_text(mine)
    out = typed("--config", tmp_path, "keys")[1]
    assert re.search(r"^# +skip ", out, re.MULTILINE)
    assert re.search(r"^ +note ", out, re.MULTILINE), "a command without a key is shown all the same"


def test_keys_are_printed_of_any_layout_in_any_form(typed, tmp_path: Path) -> None:
    rows = json.loads(typed("keys", "--layout", "numbers", "--as", "json")[1])["rows"]
    assert {"keys": ["/1"], "for": "skip"}.items() <= next(r for r in rows if r["for"] == "skip").items()
    table = list(csv.DictReader(io.StringIO(typed("keys", "--layout", "numbers", "--as", "csv")[1])))
    assert [r["for"] for r in table] == [r["for"] for r in rows]
    assert {r["layout"] for r in table} == {"numbers"}
    assert {r["kind"] for r in table} == {"command", "card", "reading"}
    (tmp_path / "settings.yaml").write_text("keys: numbers\n")
    assert typed("--config", tmp_path, "keys") == typed("keys", "--layout", "numbers")
    code, out, err = typed("keys", "--layout", "leters")
    assert (code, out) == (EXIT_INPUT, "")
    assert "Did you mean `letters`?" in err
    (tmp_path / "settings.yaml").write_text("keys: leters\nlook: blue\n")
    code, out, err = typed("--config", tmp_path, "keys")
    assert (code, out) == (EXIT_INPUT, "")
    assert "settings.yaml:1:1" in err
    assert "settings.yaml:2:1" in err


def test_where_says_where_everything_is(typed, demo: Path, tmp_path: Path) -> None:
    out = typed("--book", demo, "--config", tmp_path, "where")[1]
    assert re.search(rf"^book +{re.escape(str(demo))}$", out, re.MULTILINE)
    assert re.search(rf"^your config +{re.escape(str(tmp_path))}$", out, re.MULTILINE)
    assert "The book is not there yet" in typed("--book", tmp_path / "none.sqlite", "where")[1]


def test_the_book_and_config_are_also_taken_from_the_environment(
    typed, demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROUNDS_BOOK", str(demo))
    monkeypatch.setenv("ROUNDS_CONFIG", str(tmp_path))
    out = typed("where")[1]
    assert str(demo) in out
    assert str(tmp_path) in out
    assert typed("--today", TODAY, "summary")[0] == EXIT_FINE


def test_new_makes_a_book_that_can_be_loaded_and_does_not_write_over_one(typed, tmp_path: Path) -> None:
    path = tmp_path / "mine.sqlite"
    code, out, err = typed("new", path, "--house", "Tarn Lantern", "--zone", "Europe/Berlin")
    assert (code, out) == (EXIT_FINE, "")
    assert "made" in err
    assert path.stat().st_mode & 0o077 == 0
    before = path.read_bytes()
    code, _, err = typed("new", path)
    assert code in (EXIT_INPUT, EXIT_BOOK)
    assert path.read_bytes() == before
    code, out, err = typed("--book", path, "load", ROOT / "demo_data")
    assert code == EXIT_FINE, err
    assert next(iter(csv.reader(io.StringIO(out), delimiter=" "))) == ["house", "1"]
    assert re.search(r"^enclosures 60$", out, re.MULTILINE)


def program(*argv: str, **given: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "rounds", *argv],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        **given,
    )


def test_a_reader_that_goes_away_is_no_error(demo: Path) -> None:
    shell = f"{sys.executable} -m rounds --book {demo} --today {TODAY} rules explain TL-014 --as json | head -c 10; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(
        ["bash", "-c", shell],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr
    assert done.returncode == EXIT_FINE


def test_the_program_ends_with_the_codes_of_run(demo: Path) -> None:
    assert program("--book", str(demo), "--today", TODAY, "summary").returncode == EXIT_FINE
    assert program("sumary").returncode == EXIT_INPUT
    assert program("--book", str(demo.with_name("none.sqlite")), "summary").returncode == EXIT_BOOK


def test_only_debug_shows_a_traceback(demo: Path, tmp_path: Path) -> None:
    (tmp_path / "no.sqlite").write_text("this is no book")
    assert "Traceback" not in program("--book", str(tmp_path / "no.sqlite"), "summary").stderr
    assert "Traceback" in program("--debug", "--book", str(tmp_path / "no.sqlite"), "summary").stderr
    assert demo.exists()


def test_every_extra_is_told_with_the_command_of_the_topics() -> None:
    import tomllib

    from rounds.problems import EXTRAS, LIBRARIES, lacking

    extras = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    assert set(EXTRAS.values()) == set(LIBRARIES) == set(extras) - {"test"}
    pages = [(ROOT / "README.md").read_text(encoding="utf-8")]
    pages += [page.read_text(encoding="utf-8") for page in (ROOT / "rounds" / "topics").glob("*.md")]
    told = " ".join(" ".join(pages).split())
    for extra in LIBRARIES:
        command = f".venv/bin/pip install -e '.[{extra}]'"
        assert f"`{command}`" in told
        assert command in lacking("this needs", extra)
    assert "pip install 'rounds[" not in told, "only `elsewhere` has it by that name"


def test_pairings_without_the_libraries_say_how_they_are_had(
    demo: Path, typed: Callable[..., tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in [n for n in sys.modules if n.partition(".")[0] == "scipy"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "scipy", None)
    code, out, err = typed("--book", demo, "--today", TODAY, "pairings")
    assert (code, out) == (EXIT_INPUT, "")
    assert ".venv/bin/pip install -e '.[analysis]'" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    "argv",
    [("summary",), ("walk",), ("load",), ("record", "history")],
)
def test_no_book_names_the_ways_to_yours_before_a_new_one(
    argv: tuple[str, ...],
    tmp_path: Path,
    typed: Callable[..., tuple[int, str, str]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if argv == ("load",):
        argv = ("load", str(tmp_path))
    monkeypatch.setattr("rounds.screens.run.check_terminal", lambda: None)
    code, out, err = typed("--book", tmp_path / "none.sqlite", *argv)
    assert (code, out) == (EXIT_BOOK, "")
    assert "there is no book here" in err
    assert 0 < err.index("ROUNDS_BOOK") < err.index("--book") < err.index("rounds new")


@pytest.mark.parametrize(
    ("argv", "right"),
    [
        (("walk", "--today", "2026-11-26"), "put --today before the command: rounds --today 2026-11-26 walk"),
        (("walk", "--today=2026-11-26"), "put --today before the command: rounds --today=2026-11-26 walk"),
        (("summary", "--plain"), "put --plain before the command: rounds --plain summary"),
        (
            ("rules", "check", "--book", "my book"),
            "put --book before the command: rounds --book 'my book' rules check",
        ),
        (("due", "--config"), "put --config before the command: rounds --config DIR due"),
    ],
)
def test_an_option_of_the_program_after_a_command_is_told_its_place(
    argv: tuple[str, ...], right: str, typed: Callable[..., tuple[int, str, str]]
) -> None:
    code, out, err = typed(*argv)
    assert (code, out, err) == (EXIT_INPUT, "", f"{right}\n")


def test_any_other_option_is_told_its_nearest(typed: Callable[..., tuple[int, str, str]]) -> None:
    code, _, err = typed("walk", "--bay", "A")
    assert code == EXIT_INPUT
    assert "--bays" in err
    assert "before the command" not in err


def test_a_load_says_what_comes_next(tmp_path: Path, typed: Callable[..., tuple[int, str, str]]) -> None:
    book = tmp_path / "b.sqlite"
    typed("new", book, "--zone", "UTC")
    code, _, err = typed("--book", book, "load", ROOT / "demo_data" / "first_tables")
    assert code == EXIT_FINE
    assert err.splitlines()[-1] == "Loaded. Next: rounds"
    _, _, err = typed("--book", book, "load", ROOT / "demo_data" / "first_tables")
    assert "Loaded" not in err


def test_the_line_of_progress_is_empty_again_when_the_load_is_over(monkeypatch: pytest.MonkeyPatch) -> None:
    from rounds.commands import book_commands

    class Window(io.StringIO):
        def isatty(self) -> bool:
            return True

    window = Window()
    monkeypatch.setattr(sys, "stderr", window)
    instants = iter((0.0, 0.5, 2.0, 3.0))
    monkeypatch.setattr(book_commands.time, "monotonic", lambda: next(instants))
    with book_commands._progress() as show:
        assert show is not None
        show("readings", 1, 9)
        show("readings", 212881, 213556)
        show("readings", 9, 9)
    *_, last, wiped, rest = window.getvalue().split("\r")
    assert last.rstrip() == "readings: 9 of 9"
    assert len(last) == len(wiped) == len("readings: 212881 of 213556")
    assert (wiped.strip(), rest) == ("", "")


def test_a_summary_is_broken_between_words_on_a_terminal_alone(
    demo: Path, typed: Callable[..., tuple[int, str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    argv = ("--book", str(demo), "--today", TODAY, "summary")
    monkeypatch.setenv("COLUMNS", "50")
    _, whole, _ = typed(*argv)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    _, narrow, _ = typed(*argv)
    assert max(map(len, whole.splitlines())) > 50
    assert max(map(len, narrow.splitlines())) <= 50
    assert narrow.split() == whole.split()


@pytest.mark.parametrize(("hour", "days_before"), [(3, 2), (5, 1)])
def test_the_demo_ends_on_the_day_before_its_round(
    hour: int, days_before: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its house's day begins at four: before that it is still yesterday's round, and nothing of it is seen."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from rounds.commands import book_commands
    from rounds.files.load import last_day
    from rounds.settings import where
    from rounds.store import ids

    now = datetime(2026, 5, 20, hour, tzinfo=ZoneInfo("Europe/Berlin"))
    monkeypatch.setattr(ids, "now_ms", lambda: int(now.timestamp() * 1000))
    shifts: list[int] = []
    monkeypatch.setattr(book_commands, "_load", lambda _folder, _book, _config, shift: shifts.append(shift))
    book_commands.load_demo(tmp_path / "demo.sqlite", None, None)
    last = last_day(where.shipped("demo_data"))
    assert date.fromordinal(last + shifts[0]) == date(2026, 5, 20 - days_before)
