"""The one widget that owns the keys: it paints lines and passes keys to the walk, in order."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Callable, Mapping
from contextlib import suppress
from contextvars import copy_context

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from rounds.keys.menu_keys import keys_of_entry
from rounds.presenters import walk_lines
from rounds.presenters.changed_cells import stretches
from rounds.presenters.lines import Line
from rounds.screens import program_end_sentences
from rounds.screens.paint_now import Piece, paint_now
from rounds.walk.core import Walk

SOON = 0.016  # seconds that the first paint of a key waits for its commit, while commits are that fast
PENDING_AFTER = 0.03  # seconds until an uncommitted value is marked as waiting
FRAME = 1 / 60  # seconds: paints closer together than this are left to the library's clock, which joins them
LULL = 0.05  # seconds after a saved key was shown in which the next enclosure is got ready: no hand is that quick
LOOK_ABOUT = 1.0  # seconds between two looks at what others committed to the book
LOOK_AGAIN = 0.25  # the same while something of theirs waits for a pause between two keys
NAMES = {
    "space": "space",
    "enter": "enter",
    "backspace": "backspace",
    "up": "up",
    "down": "down",
    "left": "left",
    "right": "right",
    "tab": "tab",
    "escape": "escape",
    "home": "home",
    "end": "end",
    "pageup": "pageup",
    "pagedown": "pagedown",
    "ctrl+h": "backspace",
    "ctrl+m": "enter",
    "ctrl+j": "enter",
    # the number pad under the keyboard protocol that names its keys
    "add": "+",
    "subtract": "-",
    "multiply": "*",
    "divide": "/",
    "decimal": ".",
    "separator": ",",
}


def key_of(event: events.Key) -> str | None:
    """What the walk calls a key; None for one that it has no name for."""
    known = NAMES.get(event.key)
    if known is None and event.character and len(event.character) == 1 and event.character.isprintable():
        return event.character
    return known


def compose(walk: Walk, width: int, height: int, *, touch: bool = False) -> list[Line]:
    """The whole screen: exactly ``height`` lines of ``width`` cells for what the walk is at.

    With ``touch`` its foot is big keys for a finger, where there is room for them.
    """
    if width <= 0 or height <= 0:
        return []
    # What no start shows is loaded when it is first shown.
    if touch:
        from rounds.presenters import touch_lines

        keys = touch_lines.block(walk, width, height)
        return [*compose(walk, width, keys.top), *touch_lines.lines(keys, width, height)]
    if walk.state.mode.name == "help":
        from rounds.presenters import help_lines

        return help_lines.lines(walk, width, height)
    if walk.state.pages:
        from rounds.presenters import page_lines

        return page_lines.lines(walk, width, height)
    if walk.state.at >= walk.route.count():
        from rounds.presenters import summary_lines

        return summary_lines.lines(walk, width, height)
    return walk_lines.lines(walk, width, height)


def in_ascii(line: Line) -> Line:
    """The line as a terminal gets it that shows plain letters only; taps go by the line as it was composed."""
    from rounds.text.stand_ins import plain_runs

    texts = plain_runs([text for text, _ in line])
    return tuple((text, style) for text, (_, style) in zip(texts, line, strict=True))


class Board(Widget, inherit_bindings=False, inherit_css=False):
    """Paints the walk and gives it every key.

    There is no other widget, no binding and no second screen on this path: with those,
    keys typed ahead would be handled out of order.
    """

    DEFAULT_CSS = "Board { width: 100%; height: 100%; }"

    def __init__(
        self, walk: Walk, styles: Mapping[str, Style], *, touch: bool = False, ascii_only: bool = False
    ) -> None:
        super().__init__()
        self.walk, self.painted, self.touch, self.ascii_only = walk, styles, touch, ascii_only
        self.shown: list[Line] = []
        self.shown_size = (0, 0)
        self.strips: list[Strip] = []  # what is shown as the library paints it
        self.outdated: set[int] = set()  # lines of it that are to be made again before it does
        self.unpainted: set[int] = set()  # lines left to the library that are not on the terminal yet
        self.rendered = 0.0  # when it last was
        self.leaving = False
        self.ended_by: int | None = None
        self.prompt = True  # the last commits came within SOON
        self.late: asyncio.TimerHandle | None = None
        self.pressed = 0.0  # when a key was last recorded

    def on_mount(self) -> None:
        # Keys may have come and been saved before there was anybody to listen; a resize paints them.
        self.walk.saving.wake = self._from_the_writer(asyncio.get_running_loop())
        self.call_after_refresh(self.walk.look_up_dues)  # no start waits for it
        asyncio.get_running_loop().call_later(LOOK_ABOUT, self.look_about)

    def _from_the_writer(self, loop: asyncio.AbstractEventLoop) -> Callable[[], None]:
        """What the writer's thread calls when rows are saved, or are not."""
        here = copy_context()  # the library finds its app by it

        def wake() -> None:
            with suppress(RuntimeError):  # the loop has ended, and with it the screen
                loop.call_soon_threadsafe(self.said, context=here)

        return wake

    def look_about(self) -> None:
        """Once a second: show what others committed to the book."""
        if not self.is_mounted or self.leaving:
            return
        try:
            if self.walk.look_about():
                self.repaint()
        except Exception as error:
            self.crashed(error)
            return
        wait = LOOK_AGAIN if self.walk.unsettled else LOOK_ABOUT
        asyncio.get_running_loop().call_later(wait, self.look_about)

    def on_resize(self) -> None:
        self.repaint(whole=True)

    def crashed(self, error: Exception) -> None:
        """A mistake of our own: leave, and let the command say so. What was saved is in the book."""
        self.app.exit(error)

    def render_line(self, y: int) -> Strip:
        if y >= len(self.shown):
            return Strip.blank(self.size.width, self.painted[""])
        return Strip([Segment(text, self.painted[style]) for text, style in self.shown[y]], self.size.width)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines as they are: nothing here has a border, a padding or a style that the library would add."""
        self.rendered = asyncio.get_running_loop().time()
        for y in self.outdated:
            self.strips[y] = self.render_line(y)
        self.outdated.clear()
        self.unpainted.clear()
        strips = self.strips[crop.y : crop.bottom]
        fits = 0 < len(strips) == crop.height and not crop.x and strips[0].cell_length == crop.width
        return strips if fits and not self.get_line_filters() else super().render_lines(crop)

    def compose_lines(self) -> list[Line]:
        """The lines for what the walk is at now."""
        lines = compose(self.walk, *self.size, touch=self.touch)
        return [in_ascii(line) for line in lines] if self.ascii_only else lines

    def repaint(self, *, whole: bool = False) -> None:
        """Compose again and paint the lines that differ."""
        try:
            old, self.shown = self.shown, self.compose_lines()
        except Exception as error:  # also from a timer or a resize, where nobody else would hear of it
            self.crashed(error)
            return
        resized, self.shown_size = self.shown_size != self.size, self.size
        if whole or resized:
            self.strips = [self.render_line(y) for y in range(len(self.shown))]
            self.outdated.clear()
            self.unpainted.update(range(len(self.shown)))
            self.refresh()
            return
        changed = [y for y, line in enumerate(self.shown) if line != old[y]]
        if changed:
            self.outdated.update(changed)
            self.paint(changed, old)

    def paint(self, changed: list[int], old: list[Line]) -> None:
        """Paint what differs in these lines at once, unless something was painted only just now."""
        now = asyncio.get_running_loop().time()
        if now - self.rendered >= FRAME:
            # What differs is known of lines that are on the terminal; others are sent whole.
            pieces = [Piece(0, y, self.shown[y]) for y in sorted(self.unpainted)]
            on_screen = [y for y in changed if y not in self.unpainted]
            pieces += [Piece(s.x, y, s.runs) for y in on_screen for s in stretches(old[y], self.shown[y])]
            if not pieces or paint_now(self, pieces, self.painted):
                self.rendered = now
                self.unpainted.clear()
                return
        self.unpainted.update(changed)
        self.refresh(*(Region(0, y, self.size.width, 1) for y in changed))

    def key_came(self, event: events.Key) -> None:
        try:
            self.take(event)
        except Exception as error:
            self.crashed(error)

    def take(self, event: events.Key) -> None:
        """One key as the terminal sent it."""
        key = key_of(event)
        if event.key == "ctrl+c":
            self.ended_by = signal.SIGINT
            self.asked_to_leave()
        elif key is not None and self.leaving:
            # A menu's entry is left by its digit: the keys before it would open nothing any more.
            if any(c == "quit" and k.endswith(key) for k, c in self.walk.desk.commands.items()):
                self.asked_to_leave()
        elif key is not None:
            self.walk.press(key)
            if not self.walk.state.mode.takes_keys:
                self.leave()
                self.repaint()
            elif not self.walk.saving.waiting:
                self.repaint()
            else:
                asyncio.get_running_loop().call_later(PENDING_AFTER, self.repaint_waiting)
                self.repaint_soon()

    def tap(self, x: int, y: int) -> None:
        """A click or a tap at a cell: the keys it stands for, pressed as if they were typed.

        It means what stands there now, and not what was last painted: taps and keys that come in
        one burst end as slow ones do.
        """
        try:
            for shown in self.keys_at(x, y):
                for key in keys_of_entry(shown, self.walk.desk.commands):
                    self.take(events.Key(key, key if len(key) == 1 else None))
        except Exception as error:
            self.crashed(error)

    def keys_at(self, x: int, y: int) -> list[str]:
        """The keys under a cell; worked out on a tap only."""
        from rounds.presenters import touch, touch_lines

        if self.touch:
            big = touch_lines.block(self.walk, *self.size).hit(x, y)
            if big is not None:
                return [big]
        return touch.keys_at(self.walk, self.compose_lines(), x, y)

    def repaint_soon(self) -> None:
        """Paint the key and its saved mark at once: two paints would show the mark a frame or two later.

        On a disk that is not that fast nothing is waited for.
        """
        loop = asyncio.get_running_loop()
        self.pressed = loop.time()
        if not self.prompt:
            self.repaint()
        elif self.late is None:
            self.late = loop.call_later(SOON, self.repaint_late)

    def repaint_late(self) -> None:
        self.late, self.prompt = None, False
        if self.is_mounted:
            self.repaint()

    def pasted(self) -> None:
        self.walk.say(program_end_sentences.PASTED)
        self.repaint()

    def said(self) -> None:
        """The writer has something to say, or what was worked out beside the keys is there."""
        if not self.is_mounted:
            return
        try:
            self.walk.take_dues()
            self.walk.take_found()
            self.walk.take_refusals()
            if self.leaving:
                self.leave()
            if self.late is not None:
                self.late.cancel()
                self.late = None
            loop = asyncio.get_running_loop()
            self.prompt = loop.time() - self.pressed < SOON
            self.repaint()
            if not self.walk.saving.waiting:
                loop.call_later(LULL, self.look_ahead)
        except Exception as error:
            self.crashed(error)

    def look_ahead(self) -> None:
        if self.is_mounted and not self.leaving:
            try:
                self.walk.look_ahead()
            except Exception as error:
                self.crashed(error)

    def repaint_waiting(self) -> None:
        if self.walk.saving.waiting and self.is_mounted:
            self.walk.pending_shown = True
            self.repaint()

    def asked_to_leave(self) -> None:
        """Asked a second time while nothing can be saved: what waits goes to a rescue file."""
        if self.leaving and self.walk.saving.said:
            self.app.exit(self.ended_by)
        else:
            self.leave()
            self.repaint()

    def leave(self) -> None:
        """Leave as soon as all is saved; while it cannot be, stay and say so."""
        self.walk.leave()
        self.leaving = True
        if not self.walk.saving.waiting:
            self.app.exit(self.ended_by)
