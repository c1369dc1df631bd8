"""F of every animal of a table: the whole command against a compiled program that does no more than that.

    python -m tests.bench.inbreeding [--animals 100000] [--kind rack|random] [--times 3]

The floor is C: it reads the same table of names, looks them up in a hash table, computes F by
Meuwissen & Luo (1992, Genet. Sel. Evol. 24:305) with full sibs computed once, and prints it. It
checks nothing. Both are processes of their own and print the same figures, which are compared.
"""

from __future__ import annotations

import argparse
import csv
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.bench_pedigree import KINDS
from tests.bench.figures import percentile

PROGRAM = r"""
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
static int n, size = 1, *slot, *sire, *dam, *next;
static char **name;
static int find(char *text) {
    unsigned long h = 14695981039346656037UL;
    if (!*text) return -1;
    for (char *c = text; *c; c++) h = (h ^ (unsigned char)*c) * 1099511628211UL;
    for (h &= size - 1; slot[h] >= 0; h = (h + 1) & (size - 1))
        if (!strcmp(name[slot[h]], text)) return slot[h];
    slot[h] = n; name[n] = strdup(text); sire[n] = dam[n] = -1;
    return n++;
}
int main(int argc, char **argv) {
    int most = atoi(argv[2]) + 8;
    char line[256];
    FILE *in = fopen(argv[1], "r");
    while (size < 2 * most) size *= 2;
    slot = malloc(size * sizeof *slot); memset(slot, -1, size * sizeof *slot);
    name = malloc(most * sizeof *name); sire = malloc(most * sizeof *sire); dam = malloc(most * sizeof *dam);
    next = malloc(most * sizeof *next);
    double *f = calloc(most, sizeof *f), *d = calloc(most, sizeof *d), *l = calloc(most, sizeof *l);
    if (!fgets(line, sizeof line, in)) return 1;
    while (fgets(line, sizeof line, in)) {
        char *s = strchr(line, ','); *s++ = 0;
        char *e = strchr(s, ','); *e++ = 0; e[strcspn(e, ",\r\n")] = 0;
        int of_s = find(s), of_d = find(e), i = find(line);
        sire[i] = of_s; dam[i] = of_d;
    }
    memset(next, -1, most * sizeof *next);
    int *waiting = malloc(n * sizeof *waiting), *first = malloc(n * sizeof *first), *sib = malloc(n * sizeof *sib);
    memset(first, -1, n * sizeof *first);
    for (int i = 0; i < n; i++) {
        int s = sire[i], e = dam[i], kin = -1;
        d[i] = 1 - (s < 0 ? 0 : .25 * (1 + f[s])) - (e < 0 ? 0 : .25 * (1 + f[e]));
        if (s < 0 || e < 0) continue;
        for (kin = first[e]; kin >= 0 && sire[kin] != s; kin = sib[kin]);
        if (kin >= 0) { f[i] = f[kin]; continue; }
        sib[i] = first[e]; first[e] = i;
        double sum = 0;
        int top = 0;  /* a heap of those to come, the youngest on top */
        l[i] = 1; waiting[top++] = i;
        while (top) {
            int j = waiting[0], k = 0, x = waiting[--top];
            while (2 * k + 1 < top) {
                int c = 2 * k + 1;
                if (c + 1 < top && waiting[c + 1] > waiting[c]) c++;
                if (waiting[c] <= x) break;
                waiting[k] = waiting[c]; k = c;
            }
            waiting[k] = x;
            double r = l[j]; l[j] = 0; sum += r * r * d[j];
            int both[2] = {sire[j], dam[j]};
            for (int b = 0; b < 2; b++) if (both[b] >= 0) {
                int p = both[b];
                if (l[p] == 0) {
                    int k = top++;
                    while (k && waiting[(k - 1) / 2] < p) { waiting[k] = waiting[(k - 1) / 2]; k = (k - 1) / 2; }
                    waiting[k] = p;
                }
                l[p] += r / 2;
            }
        }
        f[i] = sum - 1;
    }
    for (int i = 0; i < n; i++) printf("%s,%.6f\n", name[i], f[i]);
    return 0;
}
"""


def table(path: Path, kind: str, animals: int) -> None:
    sire, dam = KINDS[kind](animals)
    with path.open("w", encoding="utf-8") as f:
        f.write("animal,sire,dam\n")
        for i, (s, d) in enumerate(zip(sire, dam, strict=True)):
            f.write(f"TL-{i},{f'TL-{s}' if s >= 0 else ''},{f'TL-{d}' if d >= 0 else ''}\n")


def spent(argv: list[str], out: Path) -> tuple[float, float]:
    """Seconds of the processor that a program takes, and its peak of memory in MB."""
    with out.open("w", encoding="utf-8") as f:
        process = subprocess.Popen(argv, stdout=f, stderr=subprocess.DEVNULL)
        _, code, used = os.wait4(process.pid, 0)
    process.returncode = code
    assert code == 0, argv
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def furthest_apart(floor: Path, ours: Path) -> float:
    with floor.open() as a, ours.open() as b:
        least = {name: float(f) for name, f in csv.reader(a)}
        return max(abs(least[row["animal"]] - float(row["f_low"])) for row in csv.DictReader(b))


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--animals", type=int, default=100_000)
    parser.add_argument("--kind", choices=KINDS, default="rack")
    parser.add_argument("--times", type=int, default=3)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder)
        source, program, rows, bare, said = (at / x for x in ("f.c", "f", "animals.csv", "bare", "said"))
        source.write_text(PROGRAM)
        compiler = shutil.which("cc")
        assert compiler, "the floor needs a C compiler"
        subprocess.run([compiler, "-O2", "-o", str(program), str(source)], check=True)
        table(rows, given.kind, given.animals)
        command = [
            sys.executable,
            "-m",
            "rounds",
            "kinship",
            "--unrelated",
            "--pedigree",
            str(rows),
            "--as",
            "csv",
        ]
        least, ours, memory = [], [], 0.0
        for _ in range(given.times):
            least.append(spent([str(program), str(rows), str(given.animals)], bare)[0])
            seconds, memory = spent(command, said)
            ours.append(seconds)
        apart = furthest_apart(bare, said)
    a, b = percentile(least, 0.5), percentile(ours, 0.5)
    print(
        f"{given.kind}, {given.animals} animals: floor {a:.2f} s, the command {b:.2f} s of the processor and"
        f" {memory:.0f} MB: {b / a:.2f} (budget 2); figures at most {apart:.1e} apart"
    )


if __name__ == "__main__":
    main()
