"""What a day in ISO form costs to parse, against the least that any program must do for it.

``.venv/bin/python -m tests.bench.bench_days`` prints processor time per call, the best of
many short runs, and its ratio to reading the date with a check of its length.
"""

from __future__ import annotations

import time
import timeit
from datetime import date

from rounds.values.span_parser import parse_day, parse_span

CALLS, RUNS = 40_000, 25


def main() -> None:
    names = {"date": date, "parse_day": parse_day, "parse_span": parse_span, "typed": "2026-11-20"}
    least = "date.fromisoformat(typed).toordinal() if len(typed) == 10 else 0"
    statements = (least, "parse_day(typed)", "parse_span(typed)")
    best = dict.fromkeys(statements, float("inf"))
    for _ in range(RUNS):  # in turn, so that a busy moment does not meet only one of them
        for statement in statements:
            took = timeit.timeit(statement, globals=names, number=CALLS, timer=time.process_time) / CALLS
            best[statement] = min(best[statement], took)
    for statement, took in best.items():
        print(f"{took * 1e9:6.0f} ns  {took / best[least]:4.2f}  {statement}")


if __name__ == "__main__":
    main()
