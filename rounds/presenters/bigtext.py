"""An enclosure's code in letters three lines high, to be read from the other end of the rack.

Glyphs are 3 x 5 dots (drawn for this project), shown two dots per line with half blocks.
"""

from __future__ import annotations

from functools import lru_cache

# Five rows of three dots per sign, one octal digit a row, most significant dot left.
_ROWS = {
    "0": "75557",
    "1": "26227",
    "2": "71747",
    "3": "71717",
    "4": "55711",
    "5": "74717",
    "6": "74757",
    "7": "71222",
    "8": "75757",
    "9": "75717",
    "A": "25755",
    "B": "65656",
    "C": "34443",
    "D": "65556",
    "E": "74647",
    "F": "74644",
    "G": "34553",
    "H": "55755",
    "I": "72227",
    "J": "11152",
    "K": "55655",
    "L": "44447",
    "M": "57755",
    "N": "65555",
    "O": "25552",
    "P": "65644",
    "Q": "25573",
    "R": "65655",
    "S": "34216",
    "T": "72222",
    "U": "55557",
    "V": "55552",
    "W": "55775",
    "X": "55255",
    "Y": "55222",
    "Z": "71247",
    "-": "00700",
    ".": "00002",
    "/": "11244",
    "_": "00007",
    " ": "00000",
}
HEIGHT = 3
_HALF = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


@lru_cache(64)  # the same code at every key of an enclosure
def big(text: str, width: int) -> tuple[str, ...] | None:
    """Three lines showing ``text``, or None when it has other signs or does not fit ``width``."""
    text = text.upper()
    if len(text) * 4 - 1 > width or any(ch not in _ROWS for ch in text):
        return None
    lines = []
    for top in (0, 2, 4):
        signs = []
        for ch in text:
            upper = int(_ROWS[ch][top])
            lower = int(_ROWS[ch][top + 1]) if top < 4 else 0
            signs.append("".join(_HALF[(upper >> bit & 1, lower >> bit & 1)] for bit in (2, 1, 0)))
        lines.append(" ".join(signs))
    return tuple(lines)
