"""The same round walked beside the program, without a terminal: what its screen must come to show."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from rounds.config import Config
from rounds.screens.board import compose
from rounds.walk.core import Walk
from tests.endtoend import rack
from tests.endtoend.terminal import Gone, Terminal


class Beside:
    """Keys go to both, one at a time; each is waited for until the terminal shows what it must."""

    def __init__(self, terminal: Terminal, walk: Walk) -> None:
        self.terminal, self.walk = terminal, walk

    def settled(self) -> str:
        """Wait for everything that is saved or worked out beside the keys; the screen of both."""
        walk = self.walk
        assert walk.drain(30.0)
        if walk.dues.finder is not None:
            assert walk.dues.finder.wait(30.0)
        walk.take_dues()
        compose(walk, 80, 24)  # what is in sight is looked up
        assert walk.pages.lookup.behind.wait(30.0)
        walk.take_found()
        screen = "\n".join("".join(part for part, _ in line).rstrip() for line in compose(walk, 80, 24))
        try:
            return self.terminal.wait_for(lambda text: text == screen)
        except Gone as gone:
            raise Gone(f"the screen should be\n{screen}\n{gone}") from None

    def press(self, key: str, sent: bytes) -> str:
        """One key; ``sent`` is how the terminal's keyboard says it."""
        self.walk.press(key)
        self.terminal.send(sent)
        return self.settled()


@contextmanager
def beside(
    book: Path, begin: Callable[..., Terminal], *more: str, config: Config | None = None
) -> Iterator[Beside]:
    """Start the program on ``book``, and walk a copy of it by the same clock; ``more`` are words for its command line."""
    copy = Path(shutil.copy(book, book.with_name("beside.sqlite")))
    log = Path(f"{book}-wal")
    if log.exists():  # it was killed before
        shutil.copy(log, f"{copy}-wal")
    walk = rack.opened(copy, config or rack.config())
    try:
        walk.look_up_dues()
        yield Beside(begin(rack.worse(book, *more, clock=rack.MORNING)), walk)
    finally:
        assert walk.close(30.0) is None
