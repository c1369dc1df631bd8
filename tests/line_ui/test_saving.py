"""Nothing is called saved before its commit; what cannot be saved is said so, and said again once it is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from rounds.config import Config
from rounds.line_ui import save_report
from tests.endtoend import rack
from tests.endtoend.runner import EarlyWriter, FullWriter
from tests.line_ui.lines import Typing


class Full(FullWriter):
    """A full disk, and room made again when ``room`` is there."""


def _pages(book: Path) -> int:
    import sqlite3

    db = sqlite3.connect(book)
    try:
        return int(db.execute("PRAGMA page_count").fetchone()[0])
    finally:
        db.close()


def _on_a_full_disk(book: Path, shipped: Config, tmp_path: Path) -> Typing:
    Full.pages, Full.room = _pages(book), str(tmp_path / "room")
    return Typing(rack.opened(book, shipped, writer=Full))


def test_what_cannot_be_saved_is_said_and_the_walk_goes_on(
    book: Path, shipped: Config, tmp_path: Path
) -> None:
    typing = _on_a_full_disk(book, shipped, tmp_path)
    typing.type("note " + "x" * 1500)
    assert typing.last[0].startswith("NOT SAVED: note xxx")
    assert "no space is left" in typing.last[1]
    assert not any(line.startswith("saved") for line in typing.last)
    typing.type("2")
    assert typing.last[:1] == ["NOT SAVED: jelly eaten 2."]
    assert typing.last[1].endswith("waiting.")  # the reason was said
    assert typing.walk.state.cursor == 1
    (tmp_path / "room").touch()
    assert typing.walk.drain(30.0)
    typing.type("here")
    late = [line for line in typing.last if line.startswith("saved now: ")]
    assert len(late) == 1
    assert late[0].endswith("; jelly eaten 2.")
    typing.type("1")
    assert typing.last == ["saved: jelly given 1."]
    assert typing.walk.close(10.0) is None


def test_what_is_left_unsaved_is_kept_for_the_next_start(book: Path, shipped: Config, tmp_path: Path) -> None:
    typing = _on_a_full_disk(book, shipped, tmp_path)
    typing.type("note " + "x" * 1500, "2")
    assert not typing.session.saves.settle(0.1)
    assert typing.session.saves.stuck()[0].startswith("NOT SAVED: ")
    kept = typing.walk.close(0.2)
    assert kept is not None
    assert rack.cells_today(book).get(("TL-007", "note")) != "x" * 1500
    again = Typing(rack.opened(book, shipped))
    assert any("could not be saved last time" in line for line in again.said[:4]), again.said[:4]
    assert again.walk.round.visit_at(0).note == "x" * 1500
    assert again.walk.close(10.0) is None
    assert not list(book.parent.glob("*.jsonl")), "it was taken in"


READER = """
import sqlite3, sys
sys.path.insert(0, {root!r})
from pathlib import Path
from tests.endtoend import rack
from tests.endtoend.runner import EarlyWriter
from tests.line_ui.lines import Typing
book = Path({book!r})
EarlyWriter.lag = 0.3
writer = {{"writer": EarlyWriter}} if {early} else {{}}
typing = Typing(rack.opened(book, rack.config(), **writer))
missing = 0
def look(line):
    global missing
    if line.startswith("saved: jelly"):
        missing += ("jelly" not in str(rack.cells_today(book)))
typing.session._say = look
typing.type("2")
typing.walk.close(10)
print(missing)
"""


def _missing(book: Path, early: bool) -> int:
    root = str(Path(__file__).resolve().parents[2])
    done = subprocess.run(
        [sys.executable, "-c", READER.format(root=root, book=str(book), early=early)],
        capture_output=True,
        text=True,
        check=True,
        cwd=root,
        env={**os.environ, "PYTHONPATH": root},
    )
    return int(done.stdout.split()[-1])


def test_saved_is_said_after_the_commit(book: Path) -> None:
    assert _missing(book, early=False) == 0


def test_a_writer_that_says_so_too_early_is_found_out(book: Path) -> None:
    assert _missing(book, early=True) == 1


def test_a_slow_disk_is_waited_for_and_then_said(book: Path, shipped: Config) -> None:
    class Slow(EarlyWriter):
        def save(self, batch: list[object]) -> None:  # type: ignore[override]
            import time

            time.sleep(0.6)
            super(EarlyWriter, self).save(batch)  # type: ignore[arg-type]

    typing = Typing(rack.opened(book, shipped, writer=Slow))
    usual, save_report.SAVE_SECONDS = save_report.SAVE_SECONDS, 0.1
    try:
        typing.type("2")
        assert typing.last[0] == "NOT SAVED: jelly eaten 2."
        assert "the disk is slow" in typing.last[1]
    finally:
        save_report.SAVE_SECONDS = usual
    assert typing.walk.drain(10.0)
    typing.type("1")
    assert typing.last == ["saved now: jelly eaten 2.", "saved: jelly given 1."]
    assert typing.walk.close(10.0) is None
