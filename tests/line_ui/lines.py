"""A session over the invented house, typed into by a test, and what it said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rounds.config import Config
from rounds.line_ui.line_session import Session
from rounds.walk.core import Walk
from tests.endtoend import rack


class Typing:
    """A walk in lines: ``said`` is all that was said, ``last`` what the newest line brought about."""

    def __init__(self, walk: Walk, begin: bool = True) -> None:
        self.walk = walk
        self.said: list[str] = []
        self.asked = ""
        self.session = Session(walk, self.said.append)
        self.last: list[str] = []
        if begin:
            self.session.begin()
            self.asked = self.session.prompt()

    def type(self, *lines: str) -> list[str]:
        """Type lines one by one; everything said since the first of them."""
        start = len(self.said)
        for line in lines:
            self.session.line(line)
            if self.session.over:
                break
            self.asked = self.session.prompt()
        self.last = self.said[start:]
        return self.last

    @property
    def text(self) -> str:
        return "\n".join(self.last)


def opened(book: Path, config: Config, **more: Any) -> Walk:
    return rack.opened(book, config, **more)
