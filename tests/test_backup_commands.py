"""``rounds backup``, ``restore`` and ``checkup`` as they are typed."""

from __future__ import annotations

import errno
import io
import json
import random
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from rounds.cli import run
from rounds.commands.book_reader import BookReader
from rounds.crash import EXIT_CRASH
from rounds.problems import EXIT_BOOK, BookError
from rounds.store.backup import back_up
from rounds.store.backup_ladder import folder_of
from rounds.store.book import open_book
from rounds.store.database_errors import in_words
from tests.sampled import sampled
from tests.store.damaged_reads import Damage
from tests.store.houses import new_house, say
from tests.store.test_row_checksums import said

NOW = datetime(2026, 3, 1, 12, 30, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A book with three backups of two days; `late` spoke after all of them."""
    path = tmp_path / "house" / "tarn.sqlite"
    with new_house(path) as book:
        for n, (name, hours) in enumerate((("first", -48), ("second", -1), ("third", 0))):
            say(book, name)
            back_up(path, now=NOW + timedelta(hours=hours), reason="before-load" if n == 1 else "")
        say(book, "late")
    return path


def speakers(path: Path) -> list[str]:
    with open_book(path) as book:
        return [name for (name,) in book.rows("SELECT name FROM keeper ORDER BY id")]


def test_a_backup_is_made_and_named(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(path), "backup", "--as", "json"]) == 0
    (row,) = json.loads(capsys.readouterr().out)["rows"]
    assert Path(row["file"]).parent == folder_of(path)
    assert row["bytes"] == Path(row["file"]).stat().st_size
    assert run(["--book", str(path), "backup", str(tmp_path / "stick"), "--as", "json"]) == 0
    (row,) = json.loads(capsys.readouterr().out)["rows"]
    assert Path(row["file"]).parent == tmp_path / "stick"
    assert run(["--book", str(path), "restore", "--from", str(tmp_path / "stick"), "--as", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["rows"] == [row]


def test_a_backup_that_cannot_be_made(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_bytes(path.read_bytes()[:8192])
    assert run(["--book", str(path), "backup"]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("The backup could not be made.")
    assert "Traceback" not in said.err


def test_backups_are_listed_the_newest_first(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(path), "restore", "--as", "json"]) == 0
    rows = json.loads(capsys.readouterr().out)["rows"]
    assert [row["reason"] for row in rows] == [None, "before load", None]
    assert [row["made_ms"] for row in rows] == sorted((row["made_ms"] for row in rows), reverse=True)


def test_back_to_the_last_one_of_a_day(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    day = (NOW - timedelta(hours=48)).astimezone().date()
    assert run(["--book", str(path), "restore", day.isoformat()]) == 0
    said = capsys.readouterr()
    assert said.out == ""
    done, kept = said.err.splitlines()
    assert "The book is as it was on Fri 27 Feb 2026" in done
    assert speakers(path) == ["first"]
    (file,) = path.parent.glob("tarn.sqlite.kept-*Z")
    assert kept.count(str(file)) == 2
    assert run(["--book", str(path), "restore", str(file)]) == 0
    assert speakers(path) == ["first", "second", "third", "late"]
    assert run(["--book", str(path), "restore", NOW.astimezone().date().isoformat()]) == 0
    assert speakers(path) == ["first", "second", "third"], "the last of that day"


@pytest.mark.parametrize(
    ("which", "said"),
    [
        ("2026-02-28", "There is no backup of Sat 28 Feb 2026. The newest before it is from Fri 27 Feb 2026"),
        ("2020-01-01", "There is no backup of Wed 1 Jan 2020. `rounds restore` lists them all."),
        ("nonsense", "`nonsense` is neither a file nor a day."),
    ],
)
def test_a_day_without_a_backup(
    which: str, said: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = path.read_bytes()
    assert run(["--book", str(path), "restore", which]) == 2
    assert said in capsys.readouterr().err
    assert path.read_bytes() == before


def test_without_any_backup_it_is_said_how_one_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["--book", str(tmp_path / "none.sqlite"), "restore"]) == 0
    assert "`rounds backup` makes one" in capsys.readouterr().err


def test_a_checkup_ends_with_1_when_something_is_wrong(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["--book", str(path), "checkup"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert not [line for line in lines if line.startswith("WRONG")]
    path.write_bytes(path.read_bytes()[:8192])
    assert run(["--book", str(path), "checkup"]) == 1
    said = capsys.readouterr()
    assert "WRONG  damage: the book is damaged" in said.out
    assert "`rounds restore`" in said.out
    assert said.err == ""


def test_a_checkup_tells_of_the_config(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "settings.yaml").write_text("keys: [")
    assert run(["--book", str(path), "--config", str(own), "checkup"]) == 1
    assert "WRONG  your config" in capsys.readouterr().out


COMMANDS = (
    ("summary",),
    ("due",),
    ("record", "history"),
    ("record", "look-again", "TL-001", "on=+2", "about=the heater", "because=it hums"),
    ("batch", "S-01"),
    ("kinship",),
    ("write", "OUT"),
    ("walk", "--plain"),
)


def flipped(path: Path, rng: random.Random) -> Path:
    """A copy in which one bit of a page that holds something is another one."""
    content = bytearray(path.read_bytes())
    page = rng.randrange(len(content) // 4096)
    used = [n for n in range(page * 4096, page * 4096 + 4096) if content[n] and n >= 100]  # not the head
    at = rng.choice(used or [page * 4096 + 100])
    content[at] ^= 1 << rng.randrange(8)
    copy = path.with_name("flipped") / "flipped.sqlite"
    shutil.rmtree(copy.parent, ignore_errors=True)
    copy.parent.mkdir()
    copy.write_bytes(content)
    return copy


def test_whatever_bit_has_flipped_no_command_fails_by_a_mistake_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What reads a damaged row may fail anyhow; it is said that the book is damaged, and the way back."""
    path = said(tmp_path / "house" / "tarn.sqlite")
    rng = random.Random(5)
    told = 0
    for n in range(sampled(16, 400)):
        copy = flipped(path, rng)
        for argv in COMMANDS if n % 4 == 0 else rng.sample(COMMANDS, 2):
            monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"1\nnext\nsummary\nquit\n")))
            code = run(["--book", str(copy), *(str(tmp_path / f"out{n}") if a == "OUT" else a for a in argv)])
            err = capsys.readouterr().err
            assert code in (0, 1, 2, 3), (argv, err)
            assert "Traceback" not in err
            told += "`rounds restore`" in err
    assert told, "some damage stood in a command's way"


READING: tuple[tuple[str, ...], ...] = (
    *COMMANDS[:-1],
    ("summary", "--season"),
    ("lot", "nobody"),
    ("kinship", "--colony"),
    ("pairings",),
    ("pairings", "--plans"),
    ("trial", "list"),
    ("draw", "rack"),
    ("draw", "shelves"),
    ("labels", "OUT"),
    ("rules", "replay"),
    ("rules", "explain", "TL-001"),
    ("record", "undo", "1"),
    ("load", str(Path(__file__).parents[1] / "demo_data" / "first_tables")),
)
"""Every command that reads the book once it is open."""


@pytest.mark.parametrize("argv", READING, ids=" ".join)
def test_damage_met_after_the_opening_is_told_by_every_command(
    argv: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = said(tmp_path / "tarn.sqlite")
    before = path.read_bytes()
    damage, opened = Damage(monkeypatch), BookReader.__init__

    def reader(self: BookReader, *given: Any) -> None:
        opened(self, *given)
        damage.there = True

    monkeypatch.setattr(BookReader, "__init__", reader)
    out = tmp_path / "out.pdf"
    code = run(["--book", str(path), *(str(out) if a == "OUT" else a for a in argv)])
    err = capsys.readouterr().err
    assert code == EXIT_BOOK, err
    assert f"{path}: the book is damaged. " in err
    assert "`rounds restore`" in err
    assert not out.exists()
    assert path.read_bytes() == before


def test_what_fails_beside_the_book_is_not_said_of_the_book(path: Path) -> None:
    """A full disk under a file that is written, or a reader of the output that went away."""
    with pytest.raises(BookError, match=r"^/stick/out\.csv: "), in_words(path):
        raise OSError(errno.ENOSPC, "No space left on device", "/stick/out.csv")
    with pytest.raises(BrokenPipeError), in_words(path):
        raise BrokenPipeError(errno.EPIPE, "Broken pipe")


def test_control_an_error_in_a_sound_book_is_a_mistake_of_its_own(
    path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def mistaken(*_: object) -> None:
        raise LookupError("7")

    with open_book(path) as book:
        from rounds.store import row_checksums

        with book.writing():
            row_checksums.seal_all(book.db)
    monkeypatch.setattr("rounds.store.read.house", mistaken)
    assert run(["--book", str(path), "summary"]) == EXIT_CRASH
    assert "damaged" not in capsys.readouterr().err
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE visit SET seq = 99")
        db.commit()
    assert run(["--book", str(path), "summary"]) == 3
    assert "the book is damaged" in capsys.readouterr().err
