"""Files that try to break the YAML reader, and what it must say about each.

``python -m tests.settings.hostile`` prints how long each takes, beside a plain file of
the same size, each in a process of its own.
"""

from __future__ import annotations

import subprocess
import sys
import time
from typing import NamedTuple

MIB = 1 << 20


class Hostile(NamedTuple):
    """One file; ``place`` is the line and column of its only problem, ``says`` part of its sentence."""

    name: str
    content: bytes
    place: tuple[int, int]
    says: str


def _laughs(merge: bool = False) -> str:
    out = "a: &a [x, x, x, x, x, x, x, x, x]\n"
    for before, now in zip("abcdefgh", "bcdefghi", strict=True):
        nine = ", ".join([f"*{before}"] * 9)
        out += f"{now}: &{now} {{<<: [{nine}]}}\n" if merge else f"{now}: &{now} [{nine}]\n"
    return out


def _fill(unit: str) -> str:
    return unit * (MIB // len(unit))


_TEXTS: tuple[tuple[str, str, tuple[int, int], str], ...] = (
    ("alias bomb", _laughs(), (1, 4), "anchors (`&name`) are not allowed"),
    ("merge bomb", _laughs(merge=True), (1, 4), "anchors (`&name`) are not allowed"),
    ("alias to itself", "&a [*a]", (1, 1), "anchors (`&name`) are not allowed"),
    ("alias of nothing", "a: *b", (1, 4), "aliases (`*name`) are not allowed"),
    ("merge key", "<<: {a: 1}", (1, 1), "merge keys (`<<`) are not allowed"),
    ("tag that would run", "!!python/object/apply:os.system ['x']", (1, 1), "tags (`!name`) are not allowed"),
    ("tag of a mapping", "a: !!map {b: 1}", (1, 4), "tags (`!name`) are not allowed"),
    ("tag of a list", "a: !x [1]", (1, 4), "tags (`!name`) are not allowed"),
    ("tag of a key", "!x a: 1", (1, 1), "tags (`!name`) are not allowed"),
    ("key twice", "a: 1\nb: 2\na: 3", (3, 1), "`a` is given twice"),
    ("key twice, deep", "a: [{b: 1, b: 2}]", (1, 12), "`b` is given twice"),
    ("key twice, quoted", "a: 1\n'a': 2", (2, 1), "`a` is given twice"),
    ("key that is a list", "? [1, 2]\n: 3", (1, 3), "a key must be plain text"),
    ("tab as indent", "a:\n\tb: 1\n", (2, 1), "Indent with spaces"),
    ("tabs", _fill("\t"), (1, 1), "not readable as YAML"),
    ("50,000 deep, lists", "[" * 50_000 + "]" * 50_000, (0, 0), "nest"),
    ("50,000 deep, mappings", "{a: " * 50_000 + "}" * 50_000, (0, 0), "nest"),
    ("50,000 deep, dashes", "- " * 50_000 + "x", (1, 41), "nested deeper than 20 levels"),
    (
        "1,300 deep, blocks",
        "".join(" " * i + "a:\n" for i in range(1300)),
        (21, 21),
        "nested deeper than 20 levels",
    ),
    ("100,000 digits", "a: " + "9" * 100_000, (1, 4), "a text of 100000 characters; 4000 is the most"),
    ("1 MiB of text", "a: '" + "x" * (MIB - 10) + "'", (1, 4), "4000 is the most"),
    ("long key", "? " + "k" * 200_000 + "\n: 1", (1, 3), "4000 is the most"),
    ("1 MiB of list", _fill("- a\n"), (10_000, 3), "more than 10000 values"),
    ("1 MiB of flow list", "[" + "a," * (MIB // 2 - 1) + "]", (1, 20_000), "more than 10000 values"),
    ("1 MiB of keys", "".join(f"k{i}: 1\n" for i in range(90_000)), (5000, 8), "more than 10000 values"),
    ("1 MiB of braces", _fill("{"), (0, 0), "nest"),
    ("1 MiB of quotes", _fill('"'), (1, 3), "not readable as YAML"),
    ("1 MiB of colons", _fill(":"), (1, 1), "4000 is the most"),
    ("1 MiB of stars", _fill("*"), (1, 2), "not readable as YAML"),
    ("1 MiB of question marks", _fill("? "), (1, 3), "a key must be plain text"),
    ("10 MB", "a: " + "x" * 10_000_000, (0, 0), "is larger than 1 MiB"),
    ("open quote", 'a: "b\n', (0, 0), "not readable as YAML"),
    ("unknown escape", 'a: "\\q"', (1, 5), "not readable as YAML"),
    ("NUL", "a: 1\nb: \0", (2, 4), "(U+0000)"),
    ("escape sequence", "a: \x1b[31m", (1, 4), "(U+001B)"),
    ("C1 control", "a: \x9b", (1, 4), "(U+009B)"),
    ("two documents", "a: 1\n---\nb: 1", (2, 1), "holds a second document"),
)
CORPUS = (
    *(Hostile(name, text.encode(), place, says) for name, text, place, says in _TEXTS),
    Hostile("Latin-1", b"a: 1\nb: \xe9", (2, 4), "is not UTF-8 text"),
    Hostile("UTF-16", "a: b".encode("utf-16"), (1, 1), "is not UTF-8 text"),
    Hostile("half a character", "a: ä".encode()[:-1], (1, 4), "is not UTF-8 text"),
)

_CHILD = """
import sys, time
from rounds.problems import BadInput
from rounds.settings import yamlfile
raw = sys.stdin.buffer.read()
start = time.perf_counter()
try:
    yamlfile.parse(raw, "f")
except BadInput:
    pass
print((time.perf_counter() - start) * 1e3)
"""


def _measured(content: bytes) -> float:
    """Milliseconds that reading it took, in a fresh process."""
    done = subprocess.run([sys.executable, "-c", _CHILD], input=content, capture_output=True, check=True)
    return float(done.stdout)


def main() -> None:
    plain = Hostile("(a plain file of 1 MiB, comments)", _fill("# a line of words\n").encode(), (0, 0), "")
    start = time.perf_counter()
    for file in (plain, *CORPUS):
        ms = _measured(file.content)
        size = max(1.0, len(file.content) / MIB)
        print(f"{file.name:34} {len(file.content):9} bytes {ms:8.1f} ms {ms / size:8.1f} ms per MiB")
    print(f"{len(CORPUS)} files in {time.perf_counter() - start:.1f} s")


if __name__ == "__main__":
    main()
