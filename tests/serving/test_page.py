"""The page itself in a browser: the tablet's keyboard, its size, what it says at the end, what it may load."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.endtoend import rack
from tests.serving.served import Served, serving, until
from tests.serving.tablet import SIZE, Tablet, launched

pytestmark = [pytest.mark.long, pytest.mark.waits]


@pytest.fixture
def server(book: Path, tmp_path: Path) -> Iterator[Served]:
    with serving(book, tmp_path) as running:
        yield running


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with launched() as it:
        yield it


@pytest.fixture
def tablet(server: Served, chrome: Browser) -> Iterator[Tablet]:
    with chrome.new_context(viewport=SIZE, has_touch=True) as context:
        it = Tablet(context)
        it.page.goto(server.url)
        it.wait("1 of 60")
        yield it


def test_the_tablets_keyboard_comes_when_it_is_asked_for(tablet: Tablet, book: Path, server: Served) -> None:
    letters = tablet.page.locator(".xterm-helper-textarea")
    assert letters.get_attribute("inputmode") == "none", "a tap on a key must not bring it up"
    tablet.tap("n note")
    tablet.wait("note: _")
    tablet.page.locator("#keyboard").tap()
    assert letters.get_attribute("inputmode") == "text"
    assert tablet.page.evaluate("document.activeElement.className") == "xterm-helper-textarea"
    # A keyboard of a tablet sends words, not keys: committed text, and text composed in steps.
    tablet.page.keyboard.insert_text("trocken né ")
    tablet.wait("note: trocken né")
    keys = tablet.page.context.new_cdp_session(tablet.page)
    for step in ("Lar", "Larve"):
        keys.send(
            "Input.imeSetComposition", {"text": step, "selectionStart": len(step), "selectionEnd": len(step)}
        )
        tablet.page.evaluate(
            "() => new Promise(done => setTimeout(done, 0))"
        )  # a thumb is slower than the page
    keys.send("Input.insertText", {"text": "Larve"})
    tablet.wait("note: trocken né Larve_")
    tablet.page.keyboard.press("Backspace")
    tablet.wait("note: trocken né Larv_ ✓")
    tablet.page.keyboard.press("Enter")
    tablet.wait("␣ on")
    tablet.page.locator("#keyboard").tap()
    assert letters.get_attribute("inputmode") == "none"
    assert rack.cells_today(book)[("TL-007", "note")] == "trocken né Larv"


def test_what_a_keyboard_leaves_of_the_window_is_enough(tablet: Tablet) -> None:
    tablet.tap("n note")
    tablet.wait("note: _")
    tablet.page.set_viewport_size({"width": 1024, "height": 400})  # as a tablet's keyboard makes it
    tablet.wait(lambda: tablet.screen.lines < 20)
    tablet.wait("note: _")
    tablet.page.keyboard.type("ok")
    tablet.wait("note: ok_ ✓")
    tablet.page.set_viewport_size({"width": 1024, "height": 768})
    tablet.wait(lambda: tablet.screen.lines > 30)
    tablet.wait("note: ok_ ✓")


def test_larger_letters_stay(tablet: Tablet) -> None:
    across = tablet.screen.columns
    tablet.page.locator("#larger").tap()
    tablet.wait(lambda: tablet.screen.columns < across)
    tablet.wait("1 of 60")
    tablet.tap("│    1    │" if "│    1    │" in "\n".join(tablet.screen.display) else "1 ")
    tablet.wait("1 ✓")


def test_a_second_page_takes_the_walk_over_and_the_first_says_so(tablet: Tablet, server: Served) -> None:
    tablet.tap("n note")
    tablet.page.keyboard.type("abc")
    tablet.wait("note: abc_ ✓")
    second = Tablet(tablet.page.context)
    second.page.goto(server.url)
    second.wait("note: abc ✓")
    tablet.page.wait_for_selector("#over:visible")
    assert "opened again on another page" in tablet.page.inner_text("#why")
    tablet.page.locator("#again").tap()
    tablet.wait("note: abc ✓")
    second.page.wait_for_selector("#over:visible")


def test_a_server_that_ends_is_said(tablet: Tablet, server: Served) -> None:
    tablet.tap("n note")
    tablet.page.keyboard.type("abc")
    tablet.wait("note: abc_ ✓")
    server.stop()
    tablet.page.wait_for_selector("#over:visible")
    said = tablet.page.inner_text("#why")
    assert "The server ended" in said
    assert "All that was marked ✓ is in the book" in said


def test_a_closed_page_ends_its_walk(tablet: Tablet, server: Served) -> None:
    assert len(server.walks()) == 1
    tablet.page.close()
    until(lambda: not server.walks(), lambda: server.said)


def test_the_page_can_load_nothing_from_elsewhere(tablet: Tablet) -> None:
    """The browser itself holds it, whatever a script or a text would ask for."""
    refused: list[str] = []
    tablet.page.on("console", lambda message: refused.append(message.text))
    said = tablet.page.evaluate(
        """async () => {
            const tried = [];
            for (const url of ["http://127.0.0.2:1/x", "https://elsewhere.example/x"]) {
                try { await fetch(url); tried.push("loaded"); } catch (e) { tried.push("refused"); }
                const image = new Image(); image.src = url; document.body.append(image);
            }
            return tried;
        }"""
    )
    assert said == ["refused", "refused"]
    until(
        lambda: tablet.page.wait_for_timeout(20) or sum("Content Security Policy" in x for x in refused) >= 4
    )
    assert tablet.page.evaluate("window.open('https://elsewhere.example') === null")
