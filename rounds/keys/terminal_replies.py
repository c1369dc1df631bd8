"""Take a terminal's replies out of what is typed: colour, size, position and device reports are no keys.

A terminal answers questions (a program's that ran before, a multiplexer's, a link's that was slow)
on the line the keyboard uses. Whoever takes such an answer for keys reads its digits as readings.
The shapes are those of ECMA-48 (control sequences 5.4, control strings 5.6).
"""

from __future__ import annotations

import re

ESCAPE, BELL, STRING_END = "\x1b", "\x07", "\x9c"
STRINGS = "]P_^X"
"""What begins a control string after Escape: OSC, DCS, APC, PM, SOS (ECMA-48 8.3)."""
KEYS_END = "~uABCDEFGHIMOPQRSZm"
"""The last signs of control sequences that keys, mouse, focus and pastes send."""
PATIENCE = 0.2
"""Seconds for which the rest of a sequence is waited for; then what came of it stands alone."""

_SEQUENCE = re.compile(r"\x1b\[([0-?]*)[ -/]*([@-~])?")
_UNENDED_REPLY = re.compile(r"\x1b(?:[\]P_^X][0-9>!=+$]|\[[?>=0-9])")


class TerminalReplies:
    """Passes on what is typed. A sequence may come in pieces: call ``late`` once nothing came for PATIENCE."""

    def __init__(self) -> None:
        self._held = ""

    @property
    def waiting(self) -> bool:
        """Is the beginning of a sequence held back?"""
        return bool(self._held)

    def feed(self, text: str) -> str:
        """What of ``text``, and of what was held back before, is typed."""
        text, self._held = self._held + text, ""
        out: list[str] = []
        at = 0
        while at < len(text):
            begins = text.find(ESCAPE, at)
            if begins < 0:
                out.append(text[at:])
                break
            out.append(text[at:begins])
            ends = _end(text, begins)
            if ends is None:
                self._held = text[begins:]
                break
            if not _is_reply(text[begins:ends]):
                out.append(text[begins:ends])
            at = ends
        return "".join(out)

    def late(self) -> str:
        """The rest never came: a key that merely looked like a beginning is typed, half a reply is not."""
        held, self._held = self._held, ""
        return "" if _UNENDED_REPLY.match(held) else held


def _end(text: str, at: int) -> int | None:
    """Where what begins with the Escape at ``at`` ends; None while that is not known."""
    if at + 1 == len(text):
        return None
    second = text[at + 1]
    if second == "[":
        match = _SEQUENCE.match(text, at)
        assert match is not None
        if match[2] is None:
            return None if match.end() == len(text) else match.end()  # broken off by what no sequence has
        mouse = match[2] == "M" and not match[1]  # three signs of the older kind follow
        return min(match.end() + 3, len(text)) if mouse else match.end()
    if second not in STRINGS:
        return at + (1 if second == ESCAPE else 2)
    for i in range(at + 2, len(text)):
        if text[i] in (BELL, STRING_END):
            return i + 1
        if text[i] == ESCAPE:
            if i + 1 == len(text):
                return None
            return i + 2 if text[i + 1] == "\\" else i  # another sequence breaks the string off
        if text[i] < " " and text[i] not in "\t\r\n\b":
            return i  # Ctrl+C and its like always count
    return None


def _is_reply(sequence: str) -> bool:
    if sequence[1:2] and sequence[1] in STRINGS:
        return sequence[-1] in BELL + STRING_END + "\\" or bool(_UNENDED_REPLY.match(sequence))
    match = _SEQUENCE.fullmatch(sequence)
    if match is None or match[2] is None:
        return match is not None and bool(_UNENDED_REPLY.match(sequence))
    parameters, last = match[1], match[2]
    if last == "y" or (last == "t" and parameters.startswith("48;")):
        return False  # the screen library asked for these itself, and knows them
    return parameters[:1] in ("?", ">", "=") or last not in KEYS_END
