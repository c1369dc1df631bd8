"""What everything is measured against: the least that a Textual program can do.

    python -m tests.bench.bare one              one screen, one line of text
    python -m tests.bench.bare lines FILE       a list of lines; a key changes some, after its line is on the disk

Both print ``N saved`` for the N-th key.
"""

from __future__ import annotations

import os
import sys
from typing import Any

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static


class One(App[None]):
    ENABLE_COMMAND_PALETTE = False
    CSS = "Static { height: 1; }"
    keys = 0

    def compose(self) -> ComposeResult:
        yield Static("READY", markup=False)

    def on_key(self, event: events.Key) -> None:
        if event.key == "q":
            self.exit()
        self.keys += 1
        self.query_one(Static).update(f" {self.keys} saved")


class Lines(Widget, can_focus=True):
    """24 lines; a key marks one, moves the cursor, and says how many are saved."""

    DEFAULT_CSS = "Lines { width: 100%; height: 100%; }"

    def __init__(self, file: str) -> None:
        super().__init__()
        self.file = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        self.rows = [f"  reading {i:<12} " for i in range(24)]
        self.rows[23] = "READY"
        self.keys = self.cursor = 0

    def on_mount(self) -> None:
        self.focus()

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        if y >= len(self.rows):
            return Strip.blank(width)
        return Strip(
            [
                Segment(
                    self.rows[y].ljust(width)[:width], Style(reverse=True) if y == self.cursor else Style()
                )
            ],
            width,
        )

    def on_key(self, event: events.Key) -> None:
        event.stop()
        if event.key == "q":
            self.app.exit()
            return
        self.keys += 1
        os.write(self.file, f"{self.keys} {event.character} at {self.cursor}\n".encode())
        os.fdatasync(self.file)
        before, self.cursor = self.cursor, self.keys % 22
        self.rows[before] = f"  reading {before:<12} {event.character} ✓"
        self.rows[23] = f" {self.keys} saved"
        self.refresh(*(Region(0, y, self.size.width, 1) for y in {before, self.cursor, 23}))


class Listed(App[None]):
    ENABLE_COMMAND_PALETTE = False

    def compose(self) -> ComposeResult:
        yield Lines(sys.argv[2])


def main() -> None:
    app: App[Any] = One() if sys.argv[1] == "one" else Listed()
    app.run()


if __name__ == "__main__":
    main()
