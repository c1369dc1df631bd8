"""Cuts every kind of work short, many times over, and prints what it found.

    python -m tests.bench.cut_short kills --times 100      kill -9 at random moments, so often each
    python -m tests.bench.cut_short power --torn 8         every cut point of the power, with nothing, all and 8
                                                           random parts of what was not flushed
    python -m tests.bench.cut_short failures               a disk that is full, fails or ends the program at its n-th call

``--share 0.1`` tries a tenth of the latter two. Words at the end name the deeds (:data:`tests.cut_short.deeds.DEEDS`);
without them it is all, and with WHOLE=1 those that go on for long are longer. ``power`` and ``failures`` need
strace. Put TMPDIR on a file system in memory: what counts is what is flushed, not where.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from tests.cut_short import power_cut
from tests.cut_short.deeds import DEEDS
from tests.cut_short.failing_disk import FAILURES, fail
from tests.cut_short.kills import kill
from tests.cut_short.nest import Nest
from tests.cut_short.trial import Trial

Found = tuple[str, list[str]]
"""What was tried, for counting; and the faults."""


def killed(trial: Trial, given: argparse.Namespace, scratch: Path) -> Iterator[Found]:
    random = Random(given.seed)
    left = given.times
    while left > 0:
        death = kill(trial, random)
        left -= death.in_time
        yield "kills" if death.in_time else "ended before its kill", death.faults


def power(trial: Trial, given: argparse.Namespace, scratch: Path) -> Iterator[Found]:
    seen: set[int] = set()
    record = power_cut.recorded(trial, scratch)
    for cut in record.cuts(given.torn, Random(given.seed), share=given.share):
        if hash(cut) in seen:
            yield "states seen before", []
        else:
            seen.add(hash(cut))
            yield "states", power_cut.faults(trial, cut, record.said)


def failures(trial: Trial, given: argparse.Namespace, scratch: Path) -> Iterator[Found]:
    for failure in FAILURES:
        every = round(1 / given.share)
        n = 1 + given.seed % every
        while (failed := fail(trial, failure, n, scratch)).reached:
            yield (
                f"{failure.how}, {'refused' if failed.ended > 0 else 'done' if not failed.ended else 'killed'}",
                failed.faults,
            )
            n += every


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("what", choices=("kills", "power", "failures"))
    parser.add_argument("deeds", nargs="*", metavar="DEED")
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--torn", type=int, default=8)
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_intermixed_args()
    tried: Counter[str] = Counter()
    total = 0
    way = {"kills": killed, "power": power, "failures": failures}[given.what]
    with TemporaryDirectory(prefix="cut-short-") as scratch, Nest(Path(scratch, "nest")) as nest:
        for name in given.deeds or DEEDS:
            began, here, faults = time.monotonic(), Counter[str](), Counter[str]()
            for what, found in way(Trial(name, nest, Path(scratch)), given, Path(scratch)):
                here[what] += 1
                faults.update(fault.replace(scratch, "")[:200] for fault in found)
            tried += here
            total += faults.total()
            print(
                f"{name:<10} {dict(here)}  faults {faults.total()}  ({time.monotonic() - began:.0f} s)",
                flush=True,
            )
            for fault, times in faults.most_common(5):
                print(f"    {times} x {fault}", flush=True)
    print(f"all: {dict(tried)}  faults {total}")


if __name__ == "__main__":
    main()
