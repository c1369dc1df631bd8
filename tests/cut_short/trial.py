"""A deed made ready to be cut short many times: prepared once, done once undisturbed, and then always on a copy."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from tests.cut_short.deeds import CONTROLS, DEEDS
from tests.cut_short.nest import MISTAKE, Nest

Cut = Callable[[int, Callable[[], None]], None]
"""``cut(pid, go)``: see :meth:`Nest.done`."""


class Trial:
    def __init__(self, name: str, nest: Nest, scratch: Path) -> None:
        self.name, self.nest, self.deed = name, nest, (DEEDS | CONTROLS)[name]
        home = scratch / name.replace(" ", "-")
        self.before, after, self.at = home / "before", home / "after", home / "cut"
        self.before.mkdir(parents=True)
        self.deed.prepare(self.before)
        shutil.copytree(self.before, after)
        self.seconds = nest.undisturbed(name, after)
        undisturbed = nest.said
        self.deed.learn(self.before, after)
        assert self.deed.faults(after, undisturbed) == []

    def lay_out(self, *, empty: bool = False) -> Path:
        """The folder as it was before the deed, or an empty one in its place."""
        if self.at.exists():
            shutil.rmtree(self.at)
        if empty:
            self.at.mkdir()
            return self.at
        return Path(shutil.copytree(self.before, self.at))

    def cut_short(self, cut: Cut) -> int:
        """Do the deed, cut short, where nothing was done before; how it ended."""
        return self.nest.done(self.name, self.lay_out(), cut)

    def faults(self, ended: int = 0) -> list[str]:
        """What is wrong now: with what is there, with what was said, or with how it ``ended``."""
        own = [f"a mistake of its own: {self.nest.words[-2000:]}"] if ended == MISTAKE else []
        return own + self.deed.faults(self.at, self.nest.said)

    def goes_on(self) -> list[str]:
        """What is wrong when the same is done once more, on what a cut has left."""
        if not self.deed.can_be_done_again:
            return []
        code = self.nest.done(self.name, self.at, lambda _, go: go())
        return [f"done again it ends with {code}: {self.nest.words[-500:]}"] if code else []
