"""``rounds due`` from end to end: a real book, exit codes, what goes to which stream, what is loaded."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections import Counter
from datetime import date
from pathlib import Path

import icalendar
import pytest

from rounds.cli import run
from rounds.settings import where
from tests.conftest import demo_of

ROOT = Path(__file__).parents[2]
DAY = "2026-03-01"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(DAY).toordinal(), tmp_path_factory)


def due(book: Path, *more: str, today: str = DAY) -> int:
    return run(["--book", str(book), "--today", today, "due", *more])


def test_every_form_tells_the_same_work(demo: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    out = {}
    for form in ("text", "csv", "json", "ics"):
        assert due(demo, "--as", form) == 0
        out[form], err = capfdbinary.readouterr()
        assert err == b""
    objects = json.loads(out["json"])["rows"]
    rows = list(csv.DictReader(io.StringIO(out["csv"].decode("utf-8"), newline="")))
    events = icalendar.Calendar.from_ical(out["ics"]).walk("VEVENT")
    assert len(objects) > 30
    assert [r["key"] for r in rows] == [o["key"] for o in objects]
    open_ = [e for e in events if str(e["STATUS"]) == "CONFIRMED"]
    assert len(open_) == len(objects)
    head = out["text"].decode().split("\n")[0]
    found = Counter(o["group"] for o in objects)
    said = ", ".join(
        f"{found[g]} {g}" for g in ("overdue", "today", "this week", "later", "put off") if found[g]
    )
    assert head == f"Sun 1 Mar 2026: {len(objects)} due, or can begin by Sun 15 Mar 2026: {said}"
    assert found["overdue"] == sum(o["overdue"] for o in objects)


def test_what_the_tables_hold_is_there_once_and_with_its_own_dates(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert due(demo, "--until", "2026-12-31", "--as", "json") == 0
    objects = json.loads(capsys.readouterr().out)["rows"]
    with (where.shipped("demo_data") / "due.csv").open(encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            if row["done"]:  # over long ago
                continue
            mine = [o for o in objects if o["enclosure"] == row["enclosure"] and o["what"] == row["what"]]
            wanted = (row["earliest"], row["likely"], row["latest"])
            assert [(o["earliest"], o["likely"], o["latest"]) for o in mine] == [wanted], row


def test_a_longer_look_ahead_only_adds(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keys = []
    for until in (DAY, "2026-03-10", "2026-04-10"):
        assert due(demo, "--until", until, "--as", "json") == 0
        keys.append({o["key"] for o in json.loads(capsys.readouterr().out)["rows"]})
    assert keys[0] < keys[1] < keys[2]


def test_the_next_seven_days_are_asked_for_as_such(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Counted from the round day, as words are: not from the day the machine has."""
    found = []
    for until in ("+7", "2026-03-08", "+0", DAY, "today", "+1", "tomorrow", "in 1 day", "2.3.2026"):
        assert due(demo, "--until", until, "--as", "json") == 0
        found.append(capsys.readouterr().out)
    assert found[0] == found[1] != found[2]
    assert found[2] == found[3] == found[4]
    assert found[5] == found[6] == found[7]


def test_of_the_last_days_there_are_none_is_today(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert due(demo, today="9000-12-31") == 0
    assert "31 Dec 9000" in capsys.readouterr().out
    assert due(demo, today="9001-01-01") == 2
    assert "9000" in capsys.readouterr().err


def test_what_is_not_listed_is_counted(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert due(demo, "--until", "+9999", "--as", "json") == 0
    every = json.loads(capsys.readouterr().out)["rows"]
    for until in ("+0", "+7", "+14", "+9999"):
        assert due(demo, "--until", until) == 0
        out = capsys.readouterr().out
        head = int(out.split(" due, or can begin")[0].rsplit(" ", 1)[1])
        more = int(out.rsplit("\nand ", 1)[1].split()[0]) if "\nand " in out else 0
        assert head + more == len(every)


def test_bad_words_are_told_and_nothing_is_printed(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for more, said in (
        (("--until", "1/2/3"), "--until: `1/2/3` is not a date."),
        (("--until", "+-7"), "--until: `+-7` is not a date."),
        (("--until", "7"), "--until: `7` is not a date."),
        (("--until", "+99999"), "--until: `+99999` is not a date."),
        (("--until", "3/4/2026"), "--until: `3/4/2026` can be 3 April or 4 March."),
        (("--until", "yesterday"), "--until: `yesterday` is before today."),
        (("--until", "2026-02-01"), "--until: `2026-02-01` is before today."),
        (("--as", "pdf"), "'pdf' is not one of"),
    ):
        assert due(demo, *more) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert said in err


def test_no_book_is_exit_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert due(tmp_path / "none.sqlite") == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert "there is no book here" in err


def test_an_empty_book_has_nothing_due(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "empty.sqlite"
    assert run(["new", str(path)]) == 0
    capsys.readouterr()
    assert due(path, "--as", "json") == 0
    assert json.loads(capsys.readouterr().out)["rows"] == []


def test_a_bad_species_file_is_told_and_the_list_still_comes(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "species").mkdir()
    (tmp_path / "species" / "mine.yaml").write_text("species: Aa bb\negg_dys: {}", encoding="utf-8")
    monkeypatch.setenv("ROUNDS_CONFIG", str(tmp_path))
    assert due(demo) == 0
    out, err = capsys.readouterr()
    assert "mine.yaml:2:1  species file: unknown field `egg_dys`. Did you mean `egg_days`?" in err
    assert "overdue" in out


def test_it_loads_neither_the_screen_nor_numbers(demo: Path) -> None:
    code = (
        "import sys; from rounds.cli import run; "
        f"assert run(['--book', {str(demo)!r}, 'due', '--as', 'csv']) == 0; "
        "sys.stderr.write(' '.join(m for m in ('textual', 'numpy', 'scipy', 'icalendar') if m in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stderr == ""
    assert done.stdout.startswith("day,place,")
