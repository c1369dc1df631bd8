"""Painting changed cells at once, through parts of Textual that it does not promise to keep.

Asked to refresh, the library hands a widget's wish from queue to queue until a clock of its own
grants it, and then sends whole lines: as long again as the painting itself, and several times the
bytes. A version of it without one of these parts costs that and nothing else: whoever asks
refreshes instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from rich.color import ColorSystem
from rich.console import Console
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from rounds.named_tuple import NamedTuple
from rounds.presenters.lines import Line

BATCHES = "_batch_count"
DISPLAY = "_display"
SYSTEM = "_color_system"
"""Names of the private parts: how many batches the app waits for, sending an update to the terminal, and the
colours that the console knows."""


class Piece(NamedTuple):
    """Runs to be painted from a cell on."""

    x: int
    y: int
    runs: Line


def _update() -> type[Any] | None:
    """What the library takes for an update of the screen."""
    try:
        from textual._compositor import CompositorUpdate
    except ImportError:
        return None
    return CompositorUpdate


UPDATE = _update()


class ChangedCells(UPDATE or object):  # type: ignore[misc]  # the library sends only what is its own
    """An update of the screen that moves the cursor to each piece and sends it, and no more."""

    def __init__(self, pieces: Sequence[Piece], styles: Mapping[str, Style]) -> None:
        self.pieces, self.styles = pieces, styles

    def render_segments(self, console: Console) -> str:
        """The update as it is sent (ECMA-48: CUP to move, SGR for styles)."""
        system = getattr(console, SYSTEM, None) or ColorSystem.TRUECOLOR
        out: list[str] = []
        painted: Style | None = None
        for piece in self.pieces:
            out.append(f"\x1b[{piece.y + 1};{piece.x + 1}H")
            for text, style in piece.runs:
                wanted = self.styles[style]
                if painted is None or wanted != painted:
                    out.append(_begins(wanted, system, anew=painted is None))
                    painted = wanted
                out.append(text)
        return "".join((*out, "\x1b[0m"))


@lru_cache(64)
def _begins(style: Style, system: ColorSystem, *, anew: bool) -> str:
    """What is sent before a run of a style; ``anew``: nothing of another style is in force."""
    begins, _, _ = Strip.render_style(style, "x", system).partition("x")
    codes = begins.removeprefix("\x1b[").removesuffix("m")
    if anew:
        return begins
    return f"\x1b[0;{codes}m" if codes else "\x1b[0m"


def paint_now(widget: Widget, pieces: Sequence[Piece], styles: Mapping[str, Style]) -> bool:
    """Paint these pieces of the one widget that fills the screen within the call.

    False when that cannot be done now, or not at all.
    """
    if not widget.is_attached or not widget.screen.is_current:
        return False
    app = widget.app
    display = getattr(app, DISPLAY, None)
    if UPDATE is None or display is None or getattr(app, BATCHES, None) != 0 or app.is_inline:
        return False
    display(widget.screen, ChangedCells(pieces, styles))
    return True
