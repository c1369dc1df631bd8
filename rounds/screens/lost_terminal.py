"""Output that outlives its terminal.

The library paints from a thread of its own. With the window gone its first write would end
that thread, its full queue would then hold whoever writes next, and a walk whose rows are
all saved would never end.
"""

from __future__ import annotations

from typing import IO, Any

from textual.driver import Driver


class Lasting:
    """A file whose writes go nowhere once nobody can see them; the hang-up itself ends the walk."""

    def __init__(self, file: IO[str]) -> None:
        self._file = file
        self.gone = False

    def write(self, text: str) -> int:
        if not self.gone:
            try:
                return self._file.write(text)
            except OSError:
                self.gone = True
        return len(text)

    def flush(self) -> None:
        if not self.gone:
            try:
                self._file.flush()
            except OSError:
                self.gone = True

    def __getattr__(self, name: str) -> Any:
        return getattr(self._file, name)


def lasting(driver: type[Driver]) -> type[Driver]:
    """The same driver, writing to a :class:`Lasting` file where it writes to one."""

    class LastingDriver(driver):  # type: ignore[misc, valid-type]
        def start_application_mode(self) -> None:
            file = getattr(self, "_file", None)
            if file is not None and not isinstance(file, Lasting):
                self._file = Lasting(file)
            super().start_application_mode()

    return LastingDriver
