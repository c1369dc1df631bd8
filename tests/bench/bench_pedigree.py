"""Pedigree and pairing speed, printed and never asserted.

    python -m tests.bench.bench_pedigree            everything but the slowest comparison
    python -m tests.bench.bench_pedigree --all      plain Meuwissen-Luo on random 10k as well

Every measurement runs in a process of its own, so that its memory is its own. Beside each
stands a plain-Python Meuwissen & Luo (1992) with a memo on (sire, dam), run on the same
machine in the same minute, and what was recorded once, on two cores of a server machine,
for a statistical-genetics library (warm: after its first call; cold: a new process).
"""

from __future__ import annotations

import heapq
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

Parents = tuple[list[int], list[int]]

RECORDED = {  # seconds warm, seconds of a first call in a new process (import included), MB
    ("rack", 1_000): (0.013, 14.3, 463),
    ("rack", 10_000): (0.013, 13.7, 464),
    ("rack", 100_000): (0.26, 14.3, 528),
    ("random", 1_000): (0.013, 13.8, 463),
    ("random", 10_000): (0.85, 14.0, 640),
    ("random", 100_000): (197.0, 210.0, 10_207),
}


def rack(n: int, generations: int = 20, brood: int = 40, seed: int = 1) -> Parents:
    """What a beetle room looks like: discrete generations, large broods, few kept as parents."""
    draw = random.Random(seed)
    size = n // generations
    pairs = max(1, size // brood)
    sire, dam = [-1] * size, [-1] * size
    for g in range(1, generations):
        before = range((g - 1) * size, g * size)
        males, females = draw.sample(before[0::2], pairs), draw.sample(before[1::2], pairs)
        sire += [males[k % pairs] for k in range(size)]
        dam += [females[k % pairs] for k in range(size)]
    return sire, dam


def scattered(n: int, window: int = 200, founders: int = 40, seed: int = 42) -> Parents:
    """The worst case: every animal from its own pair of parents out of a moving window."""
    draw = random.Random(seed)
    sire, dam = [-1] * founders, [-1] * founders
    for i in range(founders, n):
        first = max(0, i - window)
        sire.append(2 * draw.randrange((first + 1) // 2, (i + 1) // 2))
        dam.append(2 * draw.randrange(first // 2, i // 2) + 1)
    return sire, dam


KINDS: dict[str, Callable[[int], Parents]] = {"rack": rack, "random": scattered}


def plain_meuwissen_luo(sire: list[int], dam: list[int]) -> list[float]:
    """F by tracing each mating's ancestors, youngest first; parents before offspring."""
    f = [0.0] * len(sire)
    within = [0.0] * len(sire)
    memo: dict[tuple[int, int], float] = {}
    for i, (s, d) in enumerate(zip(sire, dam, strict=True)):
        known = [f[p] for p in (s, d) if p >= 0]
        within[i] = 1 - (len(known) + sum(known)) / 4
        if s < 0 or d < 0:
            continue
        if (s, d) in memo:
            f[i] = memo[s, d]
            continue
        share = {i: 1.0}
        heap, total = [-i], 0.0
        while heap:
            j = -heapq.heappop(heap)
            x = share.pop(j)
            total += x * x * within[j]
            for p in (sire[j], dam[j]):
                if p >= 0:
                    if p not in share:
                        heapq.heappush(heap, -p)
                    share[p] = share.get(p, 0.0) + x / 2
        f[i] = memo[s, d] = total - 1
    return f


def pedigree_of(sire: list[int], dam: list[int], line: str = "") -> object:
    from rounds.analysis.pedigree.pedigree_checks import build
    from rounds.analysis.pedigree.pedigree_table import PedigreeRow

    rows = [
        PedigreeRow(str(i), (str(s),) if s >= 0 else (), str(d) if d >= 0 else "", line=line)
        for i, (s, d) in enumerate(zip(sire, dam, strict=True))
    ]
    return build(rows)[0]


def measured(work: Callable[[], object], repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
        if sum(times) > 5:
            break
    return statistics.median(times)


def peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def one(task: str, kind: str, n: int) -> str:
    """One measurement, in this process."""
    sire, dam = KINDS[kind](n)
    if task == "plain":
        return f"{measured(lambda: plain_meuwissen_luo(sire, dam), 3):.4f} {peak()}"
    from rounds.analysis.pedigree import colony, kinship
    from tests.analysis.pedigree.pedigree_cases import inbreeding_low

    p = pedigree_of(sire, dam)
    if task in ("front-plain", "front-numpy"):
        way = task.removeprefix("front-")
        inbreeding_low(p, way)  # type: ignore[arg-type]
        seconds = measured(lambda: inbreeding_low(p, way))  # type: ignore[arg-type]
        return f"{seconds:.4f} {peak()}"
    if task == "both-ends":
        return f"{measured(lambda: kinship.inbreeding(p), 3):.4f} {peak()}"  # type: ignore[arg-type]
    living = [str(i) for i in range(n - n // 20, n)]
    if task == "candidates":
        chosen = random.Random(3).sample(living, min(300, len(living)))
        kinship.matrix(p, chosen)  # type: ignore[arg-type]
        return f"{measured(lambda: kinship.matrix(p, chosen)):.4f} {peak()}"  # type: ignore[arg-type]
    if task == "means":
        return f"{measured(lambda: colony.mean_kinships(p, living)):.4f} {peak()}"  # type: ignore[arg-type]
    raise SystemExit(f"no task {task}")


def apart(task: str, kind: str, n: int) -> tuple[float, int]:
    command = [sys.executable, "-m", "tests.bench.bench_pedigree", task, kind, str(n)]
    seconds, megabytes = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    return float(seconds), int(megabytes)


def cold(n: int) -> tuple[float, float]:
    """Seconds of a new process that reads an n-animal table and prints every F; and of a bare one."""
    sire, dam = rack(n)
    code = (
        "import sys\n"
        "from rounds.analysis.pedigree import kinship, pedigree_text\n"
        "with open(sys.argv[1], encoding='utf-8') as f: p, problems = pedigree_text.read(f, sys.argv[1])\n"
        "for i, r in zip(p.listed, kinship.inbreeding(p)): print(p.names[i], r.low, r.high, sep=',')\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rack.csv"
        body = "".join(
            f"{i},{s if s >= 0 else ''},{d if d >= 0 else ''}\n"
            for i, (s, d) in enumerate(zip(sire, dam, strict=True))
        )
        path.write_text("animal,sire,dam\n" + body, encoding="utf-8")

        def run(*arguments: str) -> float:
            return measured(
                lambda: subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL), 7
            )

        return run("-c", code, str(path)), run("-c", "pass")


def plan_against_bare_solve(pairs: int = 15) -> str:
    """150 × 150 candidates in a 10k pedigree: the whole plan against scipy's solver alone, interleaved."""
    import numpy as np
    from scipy import sparse
    from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

    from rounds.analysis.pairing import pairing_plan
    from rounds.analysis.pairing.restrictions import ANYTHING, Candidate

    out = []
    for kind, make in KINDS.items():
        sire, dam = make(10_000)
        p = pedigree_of(sire, dam, "UMBER")
        living = [str(i) for i in range(9_500, 10_000)]
        chosen = random.Random(3).sample(living, 300)
        candidates = [Candidate(x, "mf"[k >= 150], "UMBER") for k, x in enumerate(chosen)]
        t = pairing_plan.table(p, candidates, living)  # type: ignore[arg-type]
        cost = np.array(t.cost)
        cells = np.arange(22_500)
        rows = np.concatenate([cells // 150, 150 + cells % 150])
        matrix = sparse.csc_array((np.ones(45_000), (rows, np.concatenate([cells, cells]))))

        def bare(cost: object = cost, matrix: object = matrix) -> object:
            return milp(
                np.ravel(cost),
                constraints=LinearConstraint(matrix, np.ones(300), np.ones(300)),
                bounds=Bounds(0, 1),
                integrality=np.ones(22_500),
                options={"mip_rel_gap": 0.0},
            )

        def whole(p: object = p, candidates: object = candidates, living: object = living) -> object:
            return pairing_plan.plan(p, candidates, living, ANYTHING)  # type: ignore[arg-type]

        ours, floor, plan = [], [], None
        for _ in range(pairs):
            start = time.perf_counter()
            bare()
            middle = time.perf_counter()
            plan = whole()
            floor.append(middle - start)
            ours.append(time.perf_counter() - middle)
        a, b = linear_sum_assignment(cost)
        ratios = [x / y for x, y in zip(ours, floor, strict=True)]
        out.append(
            f"plan 150 × 150, {kind:<6} 10k: whole {statistics.median(ours):.3f} s, bare solve "
            f"{statistics.median(floor):.3f} s, ratio {statistics.median(ratios):.2f}; "
            f"cost off a second solver by {abs(plan.cost - cost[a, b].sum()):.1e}"  # type: ignore[attr-defined]
        )
    return "\n".join(out)


def main(everything: bool) -> None:
    print("F of a whole pedigree, seconds and peak MB of its process")
    print(
        f"{'pedigree':<14}{'front, plain':>15}{'front, numpy':>15}{'both ends':>15}{'plain M&L':>17}{'recorded':>14}  ratios"
    )
    for kind, n in RECORDED:
        cells = []
        found: dict[str, float] = {}
        slow = kind == "random" and n >= 10_000
        for task in ("front-plain", "front-numpy", "both-ends", "plain"):
            if (task == "plain" and slow and (n > 10_000 or not everything)) or (
                task == "front-plain" and n > 10_000 and slow
            ):
                cells.append("-")
                continue
            found[task], megabytes = apart(task, kind, n)
            cells.append(f"{found[task]:.4f}, {megabytes}")
        warm = RECORDED[kind, n][0]
        best = min(found.get("front-plain", 1e9), found["front-numpy"])
        ratios = f"{warm / best:.1f}× recorded warm" + (
            f", {found['plain'] / best:.1f}× plain M&L" if "plain" in found else ""
        )
        print(
            f"{kind + ' ' + str(n):<14}{cells[0]:>15}{cells[1]:>15}{cells[2]:>15}{cells[3]:>17}{warm:>14}  {ratios}"
        )
    print("\nKinship among 300 candidates (low and high) and mean kinship of the living, seconds")
    for kind, n in (("rack", 10_000), ("rack", 100_000), ("random", 10_000)):
        print(
            f"{kind} {n}: candidates {apart('candidates', kind, n)[0]:.4f}, means {apart('means', kind, n)[0]:.4f}"
        )
    ours, bare = cold(10_000)
    recorded = RECORDED["rack", 10_000][1]
    print(
        f"\ncold process, rack 10k from CSV to printed F, both ends: {ours:.3f} s (bare interpreter {bare:.3f} s); "
        f"{recorded / ours:.0f}× the recorded cold process of {recorded} s"
    )
    print()
    print(plan_against_bare_solve())


if __name__ == "__main__":
    if len(sys.argv) == 4:
        print(one(sys.argv[1], sys.argv[2], int(sys.argv[3])))
    else:
        main("--all" in sys.argv)
