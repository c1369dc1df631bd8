"""Which test files belong to a module, found without running any: for :mod:`tests.mutate`.

Nearest is the file named after the module. The others are ranked by the rare words they share with
it (names, and texts such as what an act is called), those in the folder of its room before others.
So a run with an edit begins where the edit is most likely to be noticed, and collects few files.
"""

from __future__ import annotations

import json
import math
import os
import re
import signal
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.line_map import LEFT_TO_OTHERS

PARTS = (3, 9, 24)
"""How many files are collected at a time: most edits are noticed by the first few."""

SLOW = 1.0
"""Seconds of the processor: a test known to take longer runs after the others of its part."""


class NearTests:
    """The test files of a checkout, by how near they are to a module."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._tests = [
            p
            for p in sorted((root / "tests").rglob("test_*.py"))
            if not p.relative_to(root).as_posix().startswith(LEFT_TO_OTHERS)
        ]
        self._words = {p: _words(p) for p in self._tests}
        count = Counter(w for words in self._words.values() for w in words)
        self._rarity = {w: math.log(len(self._tests) / n) for w, n in count.items()}

    def parts_of(self, module: Path) -> list[list[str]]:
        """The nearest test files, nearest first, in parts to be run one after the other."""
        room, words = module.relative_to(self._root / "rounds").parts[:-1], _words(module)

        def rank(test: Path) -> tuple[bool, float]:
            folder = test.relative_to(self._root / "tests").parts[:-1]
            alike = len(list(takewhile(lambda pair: pair[0] == pair[1], zip(room, folder, strict=False))))
            shared = sum(self._rarity[w] for w in self._words[test] & words)
            return test.stem != f"test_{module.stem}", -shared * (1 + alike) / math.sqrt(
                len(self._words[test])
            )

        left = [p.relative_to(self._root).as_posix() for p in sorted(self._tests, key=rank)]
        out = []
        for size in PARTS:
            out.append(left[:size])
            del left[:size]
        return out


def _words(path: Path) -> frozenset[str]:
    return frozenset(re.findall(r"[a-z][a-z_-]{3,}", path.read_text()))


class Asked(NamedTuple):
    """What a run with an edit is told: what tests are known to take, which are not run, and its time."""

    seconds: Mapping[str, float]
    left_out: Sequence[str]
    most: float
    endless: float  # for one test beyond twice what it is known to take; 0 for no bound
    answer: str  # the file to write the Told into


class Told(NamedTuple):
    """What such a run tells, in seconds of the processor."""

    used: float
    seconds: Mapping[str, float]
    failed: str  # the first test or file that failed, "" for none
    endless: bool  # it failed because it did not end


class Budget:
    """As a plugin: runs quick tests first, as many as the time allows, and ends one that does not end itself."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self._seconds: dict[str, float] = {}
        self._failed = ""
        self._endless = False

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        known, without = self._asked.seconds, set(self._asked.left_out)
        kept = [i for i in items if i.nodeid not in without and not i.get_closest_marker("pty")]
        items[:] = sorted(kept, key=lambda i: max(SLOW, known.get(i.nodeid, SLOW)))

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_protocol(self) -> bool | None:
        """True, which is to say that the test was run, once the time is over."""
        return True if _used() > self._asked.most else None

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> object:
        def end(*_: object) -> None:
            self._endless = True
            pytest.fail("the test does not end")

        start, before = _used(), signal.signal(signal.SIGPROF, end)
        if self._asked.endless:
            most = self._asked.endless + 2 * self._asked.seconds.get(item.nodeid, 0.0)
            signal.setitimer(signal.ITIMER_PROF, most)
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.signal(signal.SIGPROF, before)
            self._seconds[item.nodeid] = round(_used() - start, 3)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed = self._failed or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self._failed = self._failed or report.nodeid

    def pytest_unconfigure(self) -> None:
        told = Told(_used(), self._seconds, self._failed, self._endless)
        Path(self._asked.answer).write_text(json.dumps(told))


def _used() -> float:
    """Seconds of the processor, those of programs that were started and have ended included."""
    times = os.times()
    return time.process_time() + times.children_user + times.children_system


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Budget(Asked(*json.loads(Path(os.environ["ASKED"]).read_text()))))
