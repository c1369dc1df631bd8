"""What a label's code says to the walk: the key that begins a scan, then a code or number.

A scanner that acts as a keyboard types this and ends with Enter. The shipped layouts begin a
scan with Tab: it is a key of its own at the same place on every keyboard, whatever language
that is set to (USB HID Usage Tables, keyboard page: usage 0x2B, beside 0x28 for Enter), a
printable sign is not; a code can hold it as a character; and no text ever does, so that it
means the same in the middle of a note.
"""

from __future__ import annotations

from collections.abc import Mapping

IN_CODES = "-._"
"""Signs that a scanned code may have, beside letters and digits."""
MOST = 40
"""Characters of the longest code that a scan may hold."""


def scan_text(commands: Mapping[str, str], code: str) -> str:
    """What a label's code holds for an enclosure's ``code`` (or number): ``commands`` are the layout's, by key.

    The Enter after it belongs to the scanner, or is put behind it; the walk takes either, and
    both. Raises ValueError for a code that a scan cannot hold: use the number then.
    """
    key = next(k for k, c in commands.items() if c == "scan")
    if not 0 < len(code) <= MOST or not all(can_be_scanned(c) for c in code):
        raise ValueError(
            f"`{code}` is too long or holds signs that a scan cannot: use the enclosure's number"
        )
    return ("\t" if key == "tab" else key) + code


def can_be_scanned(sign: str) -> bool:
    """Whether the sign can be part of a code on a label: every scanner can type it."""
    return (sign.isascii() and sign.isalnum()) or sign in IN_CODES
