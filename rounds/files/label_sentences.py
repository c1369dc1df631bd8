"""What is said about labels that cannot be printed as asked: enclosures, paper, stickers, fonts."""

from __future__ import annotations

from rounds.problems import Refusal

TAKE_LARGER = "Take larger stickers."
NO_SCAN_KEY = (
    "labels: the key layout has no key that a scanner can begin with. Give `scan` one: `scan: [tab]`."
)
NONE_RECORDED = "None is recorded yet."
GRID_HELP = "Write it as 3x8 70x36 margins 0,4.5 gaps 0,0 (columns x rows, width x height, left,top, across,down; mm)."
PAPER_HELP = "Write a4, letter, or a width and height in mm such as 62x29."


# Which enclosures.


def no_meaning(kind: str, nearest: str, meanings: tuple[str, ...]) -> Refusal:
    return Refusal(
        f"`{kind}` is nothing to choose labels by.", f"{nearest} There are: {', '.join(meanings)}.".strip()
    )


def none_of_it(meaning: str, name: str, hint: str) -> Refusal:
    return Refusal(f"there is no {meaning} `{name}`.", hint)


def means_nothing(nearest: str, meanings: tuple[str, ...]) -> Refusal:
    return Refusal("means nothing in this book.", nearest or f"Name {', '.join(meanings)}.")


def means_several(meanings: tuple[str, ...], ways: tuple[str, ...]) -> Refusal:
    return Refusal(f"is {' and '.join(meanings)}.", f"Write {' or '.join(ways)}.")


def nothing_there(meaning: str, why: str) -> Refusal:
    return Refusal(f"is {meaning}, but {why}")


def some_there_are(names: tuple[str, ...], *, more: bool) -> str:
    return f"There are: {', '.join(names)}{' and more' if more else ''}."


# Paper and grid.


def no_such_start(start: int, stickers: int) -> Refusal:
    many = f"{stickers} sticker{'s' if stickers > 1 else ''}"
    return Refusal(f"{start}: the sheet has {many}.", f"Give 1 to {stickers}.")


def no_paper(text: str, nearest: str) -> Refusal:
    return Refusal(f"`{text}` is no paper.", f"{nearest} {PAPER_HELP}".strip())


def paper_out_of_range(text: str, least: float, most: float) -> Refusal:
    return Refusal(f"`{text}` mm: each side is {least:g} to {most:g} mm.", PAPER_HELP)


def measure_missing(what: str) -> Refusal:
    return Refusal(f"{what} is missing.", GRID_HELP)


def measure_expected(what: str, word: str) -> Refusal:
    return Refusal(f"{what} expected, not `{word}`.", GRID_HELP)


def measure_not_above_nought(word: str, what: str) -> Refusal:
    return Refusal(f"`{word}`: {what} must each be more than 0.", GRID_HELP)


def not_understood(word: str, nearest: str) -> Refusal:
    return Refusal(f"`{word}` is not understood here.", f"{nearest} {GRID_HELP}".strip())


def too_many_stickers(columns: float, rows: float, most: int) -> Refusal:
    return Refusal(f"{columns:g} x {rows:g} stickers are more than the {most} a sheet may have.", GRID_HELP)


def beyond_the_paper(
    n: int, many: str, size: float, margin: float, gap: float, needs: float, room: float, side: str
) -> Refusal:
    return Refusal(
        f"{n} {many} of {size:g} mm with a margin of {margin:g} and gaps of {gap:g} mm need "
        f"{needs:g} mm, and the paper is {room:g} mm {side}.",
        "Measure the sheet again, or give another --paper.",
    )


def label_too_small(width: float, height: float, needed_width: float, needed_height: float) -> str:
    return (
        f"a label of {width:g} × {height:g} mm is too small for a QR code that can be read: "
        f"here it needs {needed_width:.1f} × {needed_height:.1f} mm at least."
    )


def no_usable_font(font: str, why: str) -> str:
    return f"--font: {font} is no font that can be used ({why}). Name a whole .ttf or .otf file."
