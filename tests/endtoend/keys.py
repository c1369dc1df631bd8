"""Random rounds, as keepers with wet hands type them: mostly sense, some of it not."""

from __future__ import annotations

from random import Random

STRAY = ("x", "z", "7", "0", "9", "j", "m", "r", "e", "tab", "up", "down", "left", ".", "%", "ü", "backspace")
WORDS = ("ok", "dry at top", "2 eggs", "q", "b u s", "né")


LEAVE = ("enter", *["backspace"] * 9, "q")
"""Ends whatever is half typed in any mode, and quits."""


def some_keys(random: Random, count: int, numbers: int = 60, leave: bool = False) -> list[str]:
    """``count`` keys. ``numbers``: how many enclosures can be gone to; ``leave``: quit may come early."""
    out: list[str] = []
    while len(out) < count:
        out += _gesture(random, numbers, leave)
    return out[:count]


def _gesture(random: Random, numbers: int, leave: bool) -> list[str]:
    kind = random.choices(
        ("answer", "next", "back", "note", "undo", "go", "skip", "closer", "other", "correct", "done", "off",
         "summary", "help", "rows", "stray", "digits", "mend", "leave"),
        (34, 22, 4, 3, 8, 4, 2, 2, 2, 3, 3, 2, 1.5, 1, 3, 3, 2, 6, 0.3 if leave else 0),
    )[0]  # fmt: skip
    match kind:
        case "answer":
            return [random.choice("0111222334569")]
        case "next":
            return [random.choice(("space", "space", "enter"))] * random.choice((1, 1, 1, 2, 3))
        case "back":
            return [random.choice(("b", "left"))] * random.randint(1, 3)
        case "note":
            text = list(random.choice(WORDS)) + ["backspace"] * random.randint(0, 2)
            return [
                "n",
                *("space" if ch == " " else ch for ch in text),
                *(["enter"] if random.random() < 0.9 else []),
            ]
        case "undo":
            return ["u"] * random.choice((1, 1, 2, 5))
        case "go":
            return ["g", *str(random.randint(1, numbers + 5)), random.choice(("enter", "space", "backspace"))]
        case "skip":
            return ["s", random.choice("12349b")]
        case "closer":
            return ["l"] * random.randint(1, 3)
        case "other":
            return [".", random.choice("0123459b"), random.choice("012")]
        case "correct":
            return [
                "c",
                random.choice("1234"),
                *random.choices("0123", k=2),
                random.choice(("space", "c", "u", "b")),
            ]
        case "done":
            return ["d", *random.choice(([], ["1"], ["2"]))]
        case "off":
            return [
                "p",
                *random.choice(([], ["1"])),
                *random.choice(("", "3", "900", "0")),
                "enter",
                *random.choice(("", "late")),
                "enter",
            ]
        case "summary":
            return ["v", *random.choices(("up", "down", "space", "d", "v", "b", "p"), k=2)]
        case "help":
            return ["?", random.choice(("up", "down", "b", "space"))]
        case "rows":
            return [random.choice(("up", "down", "tab"))] * random.randint(1, 4)
        case "digits":
            return [*str(random.randint(0, 4999)), *random.choice(([], ["."], ["5"], ["backspace"]))]
        case "mend":  # out of a note or a refused number, as one who looks at the screen again
            return ["enter", *["backspace"] * 8, "space"]
        case "leave":
            return ["q"]
    return [random.choice(STRAY)]
