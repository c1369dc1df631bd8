"""A round in a browser on a tablet, through a front: fingers, a key, a note, a page loaded again."""

from __future__ import annotations

import shutil
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.endtoend import rack
from tests.serving.front import front
from tests.serving.served import serving, until
from tests.serving.tablet import Tablet, browser, chromium

pytestmark = [pytest.mark.long, pytest.mark.waits]


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "house"
    folder.mkdir()
    return Path(shutil.copy(demo_book, folder / "book.sqlite"))


def test_a_round_with_a_finger(book: Path, tmp_path: Path) -> None:
    other = Path(shutil.copy(book, tmp_path / "typed.sqlite"))
    keys: list[str] = []
    with front() as at, serving(book, tmp_path, "--address", at.address) as server:
        at.behind = server.url
        with browser() as context:
            tablet = Tablet(context)

            def tap(words: str, key: str, then: str) -> None:
                keys.append(key)
                tablet.tap(words)
                tablet.wait(then)

            tablet.page.goto(at.address)
            tablet.wait("1 of 60")
            tap("│    1    │", "1", "1 ✓")
            tap("␣ on", "space", "2 of 60")
            tap("│    2    │", "2", "2 ✓")
            tap("│    4    │", "4", "4_")
            tap("⌫ rub out", "backspace", "> jelly given (¼ cup) !")
            tap("│    4    │", "4", "4_")
            tap("␣ on", "space", "4 ✓")
            tap("␣ on", "space", "3 of 60")
            keys += ["1", "space"]
            tablet.page.keyboard.type("1 ")  # a keyboard works beside the finger
            tablet.wait("4 of 60")
            tap("n note", "n", "note: _")
            note = "dry at the wall, 2 eggs"
            tablet.page.keyboard.type(note)
            keys += ["space" if ch == " " else ch for ch in note]
            tap("↵ done", "enter", "␣ on")
            tablet.tap_cell(*tablet.row("moisture"))
            keys.append("m")
            tablet.wait("> moisture")
            tap("│2 right", "2", "right ✓")

            tablet.page.reload()
            tablet.wait("> jelly eaten")  # the walk begins again, at the first question of the box
            tablet.wait(f"note: {note} ✓")
            tap("u undo", "u", "> moisture wet")
            tablet.tap_cell(*tablet.row("moisture"))
            keys.append("m")
            tablet.wait("> moisture")
            tap("│3 wet", "3", "wet ✓")
            tap("b back", "b", "3 of 60")
            tablet.tap("q quit")
            keys.append("q")
            tablet.page.wait_for_selector("#over:visible")
            assert "The walk was left" in tablet.page.inner_text("#why")
            until(lambda: not server.walks())
            asked = tablet.requests
    walked = rack.typed_slowly(other, keys, rack.config())
    assert walked.saving.count
    assert rack.cells_today(book) == rack.cells_today(other)
    assert note in rack.cells_today(book).values()
    assert {urlsplit(url).hostname for url in asked if not url.startswith("data:")} == {"127.0.0.1"}


def test_chromium_is_found_or_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="no Chromium"):
        chromium()
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="no Chromium"):
        chromium()
