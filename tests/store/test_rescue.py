"""What could not be saved is kept beside the book and comes into it at the next start."""

from __future__ import annotations

import stat
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings

from rounds.problems import BookError
from rounds.records.entries import Assign, Entry, OpenVisit
from rounds.store import rescue
from rounds.store.apply_entries import apply
from rounds.store.book import Book, open_book
from tests.store import children
from tests.store.houses import NOON, held, new_house
from tests.store.test_apply_entries import ROUNDS, VISITS, _opened, assign, walks


@given(walks())
@settings(deadline=None)
def test_any_entry_survives_its_line(entries: list[Entry]) -> None:
    for entry in entries:
        line = rescue.to_line(entry)
        assert "\n" not in line
        back = rescue.from_line(line)
        assert back == entry
        assert type(back) is type(entry)


@pytest.mark.parametrize("text", ["", "line\nbreak", "a\0b", "\ud800", "ü 🪲 \x1b[31m", "x" * 10_000])
def test_any_text_survives_its_line(text: str) -> None:
    entry = assign("note", None, text)
    assert rescue.from_line(rescue.to_line(entry)) == entry


@pytest.mark.parametrize(
    "line",
    ["", "{}", "[]", "not JSON", '{"entry": "Nothing"}', '{"entry": "StandAt", "round": 3}', '{"entry": []}'],
)
def test_other_lines_are_refused(line: str) -> None:
    with pytest.raises(ValueError):
        rescue.from_line(line)


def test_kept_beside_the_book_privately_and_put_in_once(path: Path, book: Book) -> None:
    entries = [*_opened(), assign("moisture", None, "wet"), assign("moisture", "wet", "dry", NOON + 1)]
    with book.writing():
        apply(book, entries)
    wanted = held(book)
    file = rescue.write(path, entries[2:])
    assert file.parent == path.parent
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert rescue.pending(path) == [file]
    (said,) = rescue.replay(book)
    assert said.startswith("2 entries")
    assert held(book) == wanted
    assert rescue.pending(path) == []
    assert rescue.replay(book) == []
    assert file.with_name(file.name + ".replayed").exists()


def test_files_are_replayed_in_the_order_they_were_written(path: Path, book: Book) -> None:
    with book.writing():
        apply(book, _opened())
    for n in range(12):
        rescue.write(path, [assign("dead", n - 1 if n else None, n, NOON + n)])
    assert len(rescue.replay(book)) == 12
    assert book.row("SELECT number FROM cell") == (11,)


def test_entries_that_can_never_be_written_stay_in_a_file(path: Path, book: Book) -> None:
    lost = Assign(b"?" * 16, "dead", 1, None, 1, NOON, "Ferrow")
    orphan = OpenVisit(VISITS[1], ROUNDS[0], 999, 2, NOON)
    file = rescue.write(path, [*_opened(), lost, assign("dead", None, 3), orphan])
    (said,) = rescue.replay(book)
    assert "3 entries" in said
    kept = file.with_name(file.name + ".refused")
    assert str(kept) in said
    assert [rescue.from_line(line) for line in kept.read_text().splitlines()] == [lost, orphan]
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert book.row("SELECT number FROM cell") == (3,)


def test_a_file_that_is_not_ours_is_named_with_its_line_and_left_alone(path: Path, book: Book) -> None:
    file = rescue.write(path, _opened())
    with file.open("a") as more:
        more.write("cut off in the mid")
    before = held(book)
    with pytest.raises(BookError, match=f"{file.name}:3 "):
        rescue.replay(book)
    assert held(book) == before
    assert rescue.pending(path) == [file]


def test_nothing_of_a_file_goes_in_when_the_book_is_locked(path: Path, book: Book) -> None:
    file = rescue.write(path, _opened())
    with open_book(path) as other, other.writing(), pytest.raises(BookError, match="could not be put"):
        rescue.replay(book)
    assert rescue.pending(path) == [file]
    assert len(rescue.replay(book)) == 1


def test_where_the_book_s_folder_cannot_be_written_the_temporary_folder_serves(tmp_path: Path) -> None:
    path = tmp_path / "house" / "tarn.book"
    new_house(path).close()
    children.open_to_all(path.parent)
    path.parent.chmod(0o555)
    code = """
        from pathlib import Path
        from rounds.records.entries import StandAt
        path = Path(sys.argv[1])
        file = rounds.store.rescue.write(path, [StandAt(b"r" * 16, 1)])
        print(file.parent, oct(file.stat().st_mode), rounds.store.rescue.pending(path) == [file])
        file.unlink()
    """
    exit_code, out, err = children.run(code, path, unprivileged=True)
    assert (exit_code, out) == (0, f"{tempfile.gettempdir()} 0o100600 True\n"), err


def test_links_in_the_temporary_folder_are_not_followed(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    new_house(path).close()
    shared = tmp_path / "shared"
    shared.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(shared))
    (_, (folder, stem)) = rescue._places(path)
    (tmp_path / "bait").write_text("{}\n")
    (folder / f"{stem}.unsaved-1.jsonl").symlink_to(tmp_path / "bait")
    assert rescue.pending(path) == []


def test_nowhere_to_write_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        rescue, "_places", lambda _: [(path.parent / "missing", "x"), (path.parent / "gone", "y")]
    )
    with pytest.raises(BookError, match="could not be saved anywhere"):
        rescue.write(path, _opened())
