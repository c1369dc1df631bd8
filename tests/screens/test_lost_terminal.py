"""A window that is closed while it is painted ends the walk; it does not hold it for ever."""

from __future__ import annotations

import io
import threading
import warnings

import pytest
from textual.drivers._writer_thread import MAX_QUEUED_WRITES, WriterThread

from rounds.screens.lost_terminal import Lasting


class Closed(io.StringIO):
    """The output of a window that is gone."""

    def write(self, text: str) -> int:
        raise OSError(5, "Input/output error")


def ends(file: io.StringIO | Lasting) -> bool:
    """Whether painting much more than waits at once, and stopping, comes to an end."""
    writer = WriterThread(file)  # type: ignore[arg-type]

    def paint() -> None:
        for _ in range(3 * MAX_QUEUED_WRITES):
            writer.write("x")
        writer.stop()

    writer.start()
    painting = threading.Thread(target=paint, daemon=True)
    painting.start()
    painting.join(2.0)
    return not painting.is_alive()


def test_painting_ends_though_the_window_is_gone() -> None:
    assert ends(Lasting(Closed()))


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_control_without_it_the_program_would_never_end() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert not ends(Closed())


def test_what_can_be_seen_is_written_as_it_is() -> None:
    there = io.StringIO()
    file = Lasting(there)
    assert file.write("abc") == 3
    file.flush()
    assert there.getvalue() == "abc"
    assert file.isatty() is False
