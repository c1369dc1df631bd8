"""A disk that is full, or that fails, from the n-th thing on that a deed does to it; or just that once."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import NamedTuple

from tests.cut_short.disk_trace import tracing
from tests.cut_short.trial import Trial

FILL = ("pwrite64", "write", "ftruncate", "mkdir", "sendfile", "link", "rename")
"""Calls that need room."""
WRITES = (*FILL, "fsync", "fdatasync", "unlink")


class Failure(NamedTuple):
    """``how`` is an error by its name, or SIGKILL; ``lasting``: the same call always fails from then on."""

    how: str
    call: str
    lasting: bool = False

    def option(self, n: int) -> str:
        what = "signal" if self.how.startswith("SIG") else "error"
        return f"inject={self.call}:{what}={self.how}:when={n}{'+' if self.lasting else ''}"


FAILURES = (
    *(Failure("ENOSPC", call, lasting) for call in FILL for lasting in (False, True)),
    *(Failure("EIO", call, lasting) for call in WRITES for lasting in (False, True)),
    *(Failure("SIGKILL", call) for call in WRITES),
)


class Failed(NamedTuple):
    reached: bool
    """Was there an n-th?"""
    ended: int
    faults: list[str]


def fail(trial: Trial, failure: Failure, n: int, scratch: Path) -> Failed:
    """Do the deed on a disk whose n-th call fails, and find what is wrong then."""
    trace = scratch / "failing"
    ended = trial.cut_short(tracing(trace, "-e", f"trace={failure.call}", "-e", failure.option(n)))
    killed = ended == -signal.SIGKILL
    reached = killed or "INJECTED" in trace.read_text()
    return Failed(reached, ended, trial.faults(ended))
