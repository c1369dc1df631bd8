"""``rounds pairings`` stopped by Ctrl-C during its search: a real signal to a process of its own."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from rounds.analysis.pairing.book_pairings import Options, rank
from rounds.analysis.pairing.restrictions import Wishes
from rounds.commands.first_interrupt import first_interrupt
from rounds.records.tables import PlannedPairing
from rounds.store.book import open_book
from rounds.store.ledger_store import load
from tests.acts.books import span
from tests.store.houses import with_books
from tests.test_pairings import SPECIES, TODAY, pairing_books

ROOT = Path(__file__).resolve().parents[1]
EACH, PAIRS = 10, 6
"""Males, and females; boxes for so many pairs: more than are gone through one by one."""

pytestmark = pytest.mark.skipif(os.name == "nt", reason="another process cannot be sent SIGINT there")

SEARCHING = """
import sys
from rounds.analysis.pairing import pairing_plan
from rounds.cli import run
real = pairing_plan.plan_bound
def endless(*given, **more):
    pairing_plan.plan_bound = real  # those after it are ended by the same signal
    print("searching", file=sys.stderr, flush=True)
    return real(*given, **{**more, "seconds": 300.0})
from rounds.analysis.pairing import plan_bound
plan_bound.CLOSE = -1.0  # no bound is close enough: only a signal ends it
pairing_plan.plan_bound = endless
sys.exit(run(sys.argv[1:]))
"""


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    b = pairing_books()
    for line, n in ((line, n) for line in ("TALLOW", "RUSH") for n in range(2, EACH // 2)):
        b.animal(f"{line}/{n + 1}", "f", state="dead")  # families of many sizes: no plan is best at a glance
        for sex, number in (("m", f"{20 + n}"), ("f", f"{30 + n}")):
            dam = b.ids[f"{line}/{n + 1}" if sex == "m" or line == "RUSH" else f"{line}/2"]
            who = b.animal(f"{line}/{number}", sex, sire=b.ids[f"{line}/1"], dam=dam)
            box = b.box(f"{line[0]}-{number}", "holding")
            inside = {"enclosure": box, "animal": who, "line": b.ids[line], "since": span("2026-01-18")}
            b.make(f"{line}/{number} in", "content", **inside)
    path = tmp_path_factory.mktemp("stopped") / "large.sqlite"
    with_books(path, b.ledger).close()
    return path


def stopped(book: Path, *argv: str) -> tuple[int, str, str]:
    """The command interrupted in the middle of its search: exit code, stdout, stderr."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("ROUNDS_", "COVERAGE_"))}
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            SEARCHING,
            "--book",
            str(book),
            "--today",
            "2026-02-24",
            "pairings",
            "--boxes",
            str(PAIRS),
            *argv,
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**kept, "PYTHONPATH": str(ROOT)},
    )
    assert process.stderr is not None
    assert process.stderr.readline() == "searching\n"
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err


def test_the_best_plan_found_by_then_is_printed_with_its_bound(large: Path) -> None:
    code, out, err = stopped(large)
    assert (code, err) == (130, "Stopped: the best plan found by then is above. Nothing was recorded.\n")
    assert "the search was stopped: the best plan found by then" in out
    assert len(re.findall(r"^  \d+\. ", out, re.MULTILINE)) == PAIRS
    [share] = re.findall(r"no plan can be more than (\d+\.\d)% better", out)
    assert 0.0 <= float(share) < 100.0
    # The control: left alone the same search ends by itself, and says nothing of the kind.
    with open_book(large, readonly=True) as opened:
        [group] = rank(load(opened), SPECIES, TODAY, Options(Wishes(boxes=PAIRS))).groups
    assert not group.plan().stopped
    code, out, _ = stopped(large, "--as", "json")
    assert (code, len(json.loads(out)["rows"])) == (130, PAIRS)


def test_nothing_is_recorded_by_a_search_that_was_stopped(large: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(large, tmp_path / "book.sqlite"))
    before = path.read_bytes()
    code, out, err = stopped(path, "--choose", "1,2")
    assert (code, out) == (130, "")
    assert err == "Stopped before the plan was ready. Nothing was recorded.\n"
    assert path.read_bytes() == before
    with open_book(path, readonly=True) as opened:
        assert not list(load(opened).rows(PlannedPairing))


def test_the_first_interrupt_is_noted_and_the_second_stops() -> None:
    before = signal.getsignal(signal.SIGINT)
    said = []

    def twice() -> None:
        with first_interrupt() as enough:
            for _ in range(2):
                said.append(enough())
                os.kill(os.getpid(), signal.SIGINT)

    with pytest.raises(KeyboardInterrupt):
        twice()
    assert said == [False, True]
    assert signal.getsignal(signal.SIGINT) == before


def test_ignored_interrupts_stay_ignored() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with first_interrupt() as enough:
            os.kill(os.getpid(), signal.SIGINT)
            assert not enough()
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)
