"""What a terminal shows after each update that was sent to it: quicker than an emulator, and no more than is needed.

It knows what the program sends: moves of the cursor, text, line ends; styles and modes change no text.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable

from rich.cells import cell_len

_TOKEN = re.compile(
    r"\x1b\[(?P<y>\d*);?(?P<x>\d*)H|\x1b\[[0-9;:?<>=$ ]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)"
    r"|\x1b[P_^X][^\x1b]*\x1b\\|\x1b[^\[\]P_^X]|(?P<end>[\r\n])|[\x00-\x1f\x7f]|(?P<text>[^\x00-\x1f\x7f\x1b]+)"
)
_BEGUN = re.compile(r"\x1b(?:\[[0-9;:?<>=$ ]*|\][^\x07\x1b]*\x1b?|[P_^X][^\x1b]*\x1b?)?\Z")
"""A sequence whose end has not come yet."""


class Painted:
    """The rows of a screen. ``seen`` is called with it after every update, the text of rows as it is then."""

    def __init__(self, columns: int, lines: int, seen: Callable[[Painted], None] | None = None) -> None:
        self.columns, self.lines, self.seen = columns, lines, seen
        self._cells = [[" "] * columns for _ in range(lines)]
        self._x = self._y = 0
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._left = ""

    def feed(self, data: bytes) -> None:
        text = self._left + self._decoder.decode(data)
        begun = _BEGUN.search(text)
        self._left = text[begun.start() :] if begun else ""
        for token in _TOKEN.finditer(text, 0, begun.start() if begun else len(text)):
            if token["text"]:
                self._put(token["text"])
            elif token["end"]:
                self._x = 0
                self._y += token["end"] == "\n"
            elif token["y"] is not None:
                self._y, self._x = int(token["y"] or 1) - 1, int(token["x"] or 1) - 1
                if self.seen is not None and (self._x, self._y) == (0, 0):
                    self.seen(self)  # the library moves there at the end of every update

    def row(self, y: int) -> str:
        return "".join(self._cells[y])

    @property
    def text(self) -> str:
        return "\n".join(map("".join, self._cells))

    def _put(self, text: str) -> None:
        for sign in text:
            size = 1 if sign.isascii() else cell_len(sign)
            if size and self._y < self.lines and self._x < self.columns:
                self._cells[self._y][self._x] = sign
                if size == 2 and self._x + 1 < self.columns:
                    self._cells[self._y][self._x + 1] = ""
            self._x += size
