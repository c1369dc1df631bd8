"""kill -9 at random moments of a deed."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from contextlib import suppress
from random import Random
from typing import NamedTuple

from tests.cut_short.trial import Trial


class Death(NamedTuple):
    said: int
    """How many things had been said to be saved."""
    in_time: bool
    """Was it still at work?"""
    faults: list[str]


def kill(trial: Trial, random: Random) -> Death:
    """One kill, at any moment from the first to a little after the last."""
    after = random.uniform(0.0, 1.05 * trial.seconds)

    def cut(pid: int, go: Callable[[], None]) -> None:
        go()
        time.sleep(after)
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)

    ended = trial.cut_short(cut)
    said = len(trial.nest.said)
    faults = trial.faults(ended)
    if not faults and random.random() < 0.2:
        faults = trial.goes_on()
    return Death(said, ended == -signal.SIGKILL, faults)
