"""Killed, without power or on a failing disk: whatever a crash leaves, nothing that was said is lost, and nothing is half there.

These are samples; ``python -m tests.bench.cut_short`` tries as much as there is time for.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random

import pytest

from tests.cut_short import power_cut
from tests.cut_short.deeds import CONTROLS, DEEDS
from tests.cut_short.failing_disk import FAILURES, fail
from tests.cut_short.kills import kill
from tests.cut_short.nest import Nest
from tests.cut_short.trial import Trial
from tests.sampled import WHOLE, sampled

pytestmark = [pytest.mark.long, pytest.mark.skipif(os.name == "nt", reason="there is no fork")]

KILLS = sampled(5, 80)
"""Of each deed: with those of other files about 50, or 1,000."""
SHORT = ("load", "write", "backup", "restore", "new", "rescue")


@cache
def can_trace() -> bool:
    return (
        bool(shutil.which("strace"))
        and not subprocess.run(["strace", "-o", os.devnull, "true"], check=False).returncode
    )


needs_strace = pytest.mark.skipif(
    "not can_trace()", reason="strace is not there, or may not look at processes"
)


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cut short")


@pytest.fixture(scope="module")
def nest(scratch: Path) -> Iterator[Nest]:
    with Nest(scratch / "nest") as nest:
        yield nest


@pytest.fixture(scope="module")
def trials(nest: Nest, scratch: Path) -> dict[str, Trial]:
    return {}


@pytest.fixture
def trial(request: pytest.FixtureRequest, trials: dict[str, Trial], nest: Nest, scratch: Path) -> Trial:
    """Prepared once for all tests of this file."""
    name = str(request.param)
    if name not in trials:
        trials[name] = Trial(name, nest, scratch)
    return trials[name]


@pytest.mark.parametrize("trial", DEEDS if WHOLE else (*SHORT, "acts", "migrate 4"), indirect=True)
def test_killed_at_any_moment(trial: Trial) -> None:
    random = Random(7)
    deaths = [kill(trial, random) for _ in range(KILLS)]
    assert [death.faults for death in deaths if death.faults] == []


@pytest.mark.parametrize("trial", CONTROLS, indirect=True)
def test_control_what_is_said_too_early_is_found_out(trial: Trial) -> None:
    random = Random(7)
    assert any(kill(trial, random).faults for _ in range(50))


@needs_strace
@pytest.mark.parametrize("trial", DEEDS if WHOLE else (*SHORT, "round"), indirect=True)
def test_without_power_at_any_moment(trial: Trial, scratch: Path) -> None:
    """And the control: were nothing of it ever flushed, something would be lost."""
    record = power_cut.recorded(trial, scratch)
    cuts = record.cuts(8, Random(3), share=sampled(12, 1000) / (10 * len(record.done)))
    assert [fault for cut in cuts for fault in power_cut.faults(trial, cut, record.said)] == []
    unflushed = record.cuts(8, Random(5), flushes=False, last=2)
    assert any(power_cut.faults(trial, cut, record.said) for cut in unflushed)


@needs_strace
@pytest.mark.parametrize("trial", SHORT, indirect=True)
def test_on_a_disk_that_fails_at_any_moment(trial: Trial, scratch: Path) -> None:
    """What cannot be done is refused in words: never a mistake of its own, and nothing is half there."""
    random = Random(11)
    for failure in random.sample(FAILURES, sampled(2, len(FAILURES))):
        failed = fail(trial, failure, random.randint(1, 4), scratch)
        assert failed.faults == [], failure
