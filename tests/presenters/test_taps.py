"""Taps in the running screen: the same path as keys, in the order they came."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from pathlib import Path

import pytest
from textual import events
from textual.app import App

from rounds.presenters import touch_lines
from rounds.screens.app import WalkApp
from rounds.walk.core import Walk
from tests.screens import house

SIZE = (113, 33)


def down(x: int, y: int, button: int = 1) -> events.MouseDown:
    """A button that goes down, as the terminal's driver makes it."""
    return events.MouseDown(None, x, y, 0, 0, button, False, False, False, screen_x=x, screen_y=y)


def place(walk: Walk, key: str) -> tuple[int, int]:
    """The middle of a large key."""
    k = next(k for k in touch_lines.block(walk, *SIZE).keys if k.key == key)
    return k.x + k.width // 2, k.y + k.height // 2


def walked(book: Path, gestures: Iterable[str], slowly: bool) -> tuple[object, ...]:
    """What is recorded after keys and taps (``<key>``), in one burst or each after the one before."""

    async def run() -> None:
        app = WalkApp(walk, touch=True)
        async with app.run_test(size=SIZE) as pilot:
            places = {k.key: (k.x + 1, k.y + 1) for k in touch_lines.block(walk, *SIZE).keys}
            places["enter"] = places["space"]  # while a note is typed
            for gesture in gestures:
                if gesture.startswith("<"):
                    app.post_message(down(*places[gesture.strip("<>")]))
                else:
                    app.post_message(events.Key(gesture, gesture if len(gesture) == 1 else None))
                if slowly:
                    await pilot.pause()
            await pilot.pause()
            while walk.saving.waiting:
                await pilot.pause(0.01)
            app.exit()

    with house.walking(book) as walk:
        house.go(walk, 14)
        asyncio.run(run())
        return (
            walk.state.at,
            walk.state.mode,
            {i: dict(look.cells) for i, look in walk.state.looks.items() if look.cells},
        )


BURST = (
    "<n>",
    *"wet",
    "<enter>",
    "<1>",
    "2",
    "<u>",
    *"3",
    "<space>",
    "space",
    "<b>",
    "<n>",
    "a",
    "<1>",
    "b",
    "<enter>",
    "1",
    "<space>",
)


def both(book: Path, tmp_path: Path) -> tuple[tuple[object, ...], tuple[object, ...]]:
    (tmp_path / "slow").mkdir()
    slow = house.copied(book, tmp_path / "slow")
    return walked(book, BURST, slowly=False), walked(slow, BURST, slowly=True)


def test_taps_and_keys_of_one_burst_end_as_slow_ones(book: Path, tmp_path: Path) -> None:
    burst, slow = both(book, tmp_path)
    assert burst == slow
    assert "'a1b'" in str(burst) or "'wet'" in str(burst)


def test_handed_to_the_widget_they_would_not(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: taken the way the library takes a mouse, a tap is overtaken by the keys after it."""

    as_it_is = WalkApp.on_event

    async def forwarded(self: WalkApp, event: events.Event) -> None:
        if isinstance(event, events.MouseEvent) and not event.is_forwarded:
            await App.on_event(self, event)
        else:  # a tap has bubbled up from the widget
            await as_it_is(self, event)

    monkeypatch.setattr(WalkApp, "on_event", forwarded)
    burst, slow = both(book, tmp_path)
    assert burst != slow


@pytest.mark.parametrize("touch", [True, False])
def test_a_click_presses_what_is_shown(book: Path, touch: bool) -> None:
    async def run() -> None:
        app = WalkApp(walk, touch=touch)
        async with app.run_test(size=SIZE) as pilot:
            text = house.screen(walk, *SIZE) if not touch else []
            y = next((i for i, line in enumerate(text) if " n note" in line), 0)
            at = (text[y].index(" n note") + 2, y) if text else place(walk, "n")
            await pilot.click(offset=at)
            assert walk.state.mode.name == "note"
            await pilot.press(*"dry", "enter")
            app.post_message(down(*at, button=3))
            app.post_message(events.MouseScrollDown(None, *at, 0, 0, 0, False, False, False))
            app.post_message(events.MouseMove(None, *at, 0, 0, 1, False, False, False))
            await pilot.pause()
            assert walk.state.mode.name == "walk", "only the first button and a finger press"
            await pilot.press("q")

    with house.walking(book) as walk:
        asyncio.run(run())
        assert walk.round.visit_at(0).note == "dry"


def test_a_tap_after_leaving_does_no_more(book: Path) -> None:
    async def run() -> None:
        app = WalkApp(walk, touch=True)
        async with app.run_test(size=SIZE) as pilot:
            at = place(walk, "1")
            app.post_message(down(*place(walk, "q")))
            app.post_message(down(*at))
            await pilot.pause()

    with house.walking(book) as walk:
        asyncio.run(run())
        assert walk.state.mode.name == "left"
        assert walk.round.seen_count == 0
