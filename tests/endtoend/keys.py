"""Random rounds, as keepers with wet hands type them: mostly sense, some of it not."""

from __future__ import annotations

from random import Random

STRAY = (
    "x",
    "=",
    "z",
    "²",
    "7",
    "0",
    "9",
    "j",
    "m",
    "r",
    "e",
    "tab",
    "up",
    "down",
    "left",
    ".",
    "%",
    "ü",
    "backspace",
)
WORDS = ("ok", "dry at top", "2 eggs", "q", "b u s", "né")


LEAVE = ("enter", *["*"] * 4, *["backspace"] * 9, "q")
"""Ends whatever is half typed in any mode, leaves a card (*) however much is typed there, and quits."""


def some_keys(random: Random, count: int, numbers: int = 60, leave: bool = False) -> list[str]:
    """``count`` keys. ``numbers``: how many enclosures can be gone to; ``leave``: quit may come early."""
    out: list[str] = []
    while len(out) < count:
        out += _gesture(random, numbers, leave)
    return out[:count]


def a_scan(random: Random, numbers: int) -> list[str]:
    """A label as a scanner types it: mostly whole, sometimes of nowhere, too long, cut off, with a second Enter."""
    number = random.randint(1, numbers + 1)
    text = random.choice((str(number), f"tl-{number:03}", f"TL-{number:03}", "TL-9999", "X" * 60, ""))
    if random.random() < 0.15:
        return ["tab", *text[: random.randint(0, len(text))], *random.choice(([], ["space"], ["left"]))]
    return ["tab", *text, "enter", *(["enter"] if random.random() < 0.2 else [])]


MIDST = ((), (), ("n", "o", "k"), ("g", "1"), ("s",), ("p",), ("p", "3"), ("?",), ("1", "2"), ("c",), ("v",))
"""Where a scan comes in between: a note, a number half typed, a question that waits for its answer ..."""

PAD_KEYS = (*"0123456789", ".", "+", "-", "*", "/", "enter")
"""All that a number pad has."""


def pad_keys(random: Random, count: int, numbers: int = 60, leave: bool = False) -> list[str]:
    """Keys of a round walked on a number pad alone, with a scan now and then."""
    out: list[str] = []
    while len(out) < count:
        out += _on_a_pad(random, numbers, leave)
    return out[:count]


def _on_a_pad(random: Random, numbers: int, leave: bool) -> list[str]:
    kind = random.choices(
        (
            "answer",
            "next",
            "sign",
            "undo",
            "go",
            "menu",
            "off",
            "skip",
            "correct",
            "summary",
            "mend",
            "digits",
            "scan",
            "leave",
        ),
        (40, 30, 3, 3, 3, 6, 4, 3, 2, 2, 2, 3, 3, 0.3 if leave else 0),
    )[0]
    match kind:
        case "answer":
            return [random.choice("0111222334569")]
        case "next":
            return ["enter"] * random.choice((1, 1, 2))
        case "undo":
            return ["*"] * random.choice((1, 1, 1, 3))
        case "go":
            return [".", *str(random.randint(1, numbers + 5)), random.choice(("enter", "*", "-", "+"))]
        case "menu":
            entry = random.choice("1234567089") + random.choice(("", random.choice("0123")))
            return ["/", *entry]  # not quit
        case "off":
            reason = random.choice(("1", "2", "0", "9", "+", "*"))
            return [
                "/",
                "5",
                *random.choice(([], ["1"])),
                *random.choice(("", "3", "900")),
                "enter",
                reason,
                "enter",
            ]
        case "skip":
            return ["/", "1", random.choice("1234-")]
        case "correct":
            return [
                "/",
                "0",
                "2",
                random.choice("1234"),
                *random.choices("0123", k=2),
                random.choice(("enter", "*", "-")),
            ]
        case "summary":
            return ["/", "6", *random.choices(("+", "enter", "/", "4", "-", "*"), k=3)]
        case "mend":
            return ["enter", *["*"] * random.randint(1, 2)]
        case "digits":
            return [*str(random.randint(0, 4999)), *random.choice(([], ["."], ["5"], ["*"]))]
        case "scan":
            return a_scan(random, numbers)
        case "leave":
            return ["/", "0", "6"]
    return [random.choice(PAD_KEYS)]


def _gesture(random: Random, numbers: int, leave: bool) -> list[str]:
    kind = random.choices(
        (
            "answer",
            "next",
            "back",
            "note",
            "undo",
            "go",
            "skip",
            "closer",
            "other",
            "correct",
            "done",
            "off",
            "summary",
            "help",
            "rows",
            "stray",
            "digits",
            "mend",
            "scan",
            "leave",
        ),
        (34, 22, 4, 3, 8, 4, 2, 2, 2, 3, 3, 2, 1.5, 1, 3, 3, 2, 6, 3, 0.3 if leave else 0),
    )[0]
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
                *random.choice(("", "late", "2", "9", ("2", "space", *"days"))),
                "enter",
            ]
        case "summary":
            return ["v", *random.choices(("up", "down", "space", "d", "v", "b", "p"), k=2)]
        case "help":
            return ["?", random.choice(("up", "down", "b", "space"))]
        case "rows":
            return [random.choice(("up", "down"))] * random.randint(1, 4)
        case "scan":
            return [*random.choice(MIDST), *a_scan(random, numbers)]
        case "digits":
            return [*str(random.randint(0, 4999)), *random.choice(([], ["."], ["5"], ["backspace"]))]
        case "mend":  # out of a note or a refused number, as one who looks at the screen again
            return ["enter", *["backspace"] * 8, "space"]
        case "leave":
            return ["q"]
    return [random.choice(STRAY)]
