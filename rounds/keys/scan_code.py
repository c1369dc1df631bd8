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


def sign(commands: Mapping[str, str]) -> str:
    """The character that begins a label's code: that of the key which gives ``scan``, "" without one.

    ``commands`` are a layout's, by key. After it comes an enclosure's code or number, and an
    Enter, of the code's own or of the scanner's: the walk takes either, and both.
    """
    key = next((k for k, c in commands.items() if c == "scan"), "")
    return "\t" if key == "tab" else key


def can_be_scanned(sign: str) -> bool:
    """Whether the sign can be part of a code on a label: every scanner can type it."""
    return (sign.isascii() and sign.isalnum()) or sign in IN_CODES
