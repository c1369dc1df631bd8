"""Take a terminal's replies out of what is typed: colour, size, position and device reports are no keys.

A terminal answers questions (a program's that ran before, a multiplexer's, a link's that was slow)
on the line the keyboard uses. Whoever takes such an answer for keys reads its digits as readings.
The shapes are those of ECMA-48 (control sequences 5.4, control strings 5.6, eight-bit controls 5.3);
those of keys, mouse and pastes are from memory of the xterm control sequences document, those of keys
with more than a code from memory of the published description of that keyboard protocol.
"""

from __future__ import annotations

import codecs
import re

AS_TYPED = "rounds-typed"
"""How bytes that are no UTF-8 are read (the ``errors`` of a decoder), once this module is imported."""
ESCAPE, BELL, STRING_END = "\x1b", "\x07", "\x1b\\"
STRINGS = frozenset("]P_^X")
"""What begins a control string after Escape: OSC, DCS, APC, PM, SOS (ECMA-48 8.3)."""
PATIENCE = 0.2
"""Seconds for which the rest of a sequence is waited for; then what came of it stands alone."""
PASTE_PATIENCE = 25
"""How many times PATIENCE nothing must come until a paste whose end was lost is over. A slow link is no end."""
PASTED = "\x1b[200~\x1b[201~"
"""What a paste is passed on as: that there was one. Nobody here reads what it held."""
MOST_COLUMNS, MOST_LINES = 1000, 500
"""What is painted of a terminal that says it is larger: no screen is, and painting it would take minutes."""
MOST_HELD = 256
"""Characters of a beginning that are kept; no sequence is longer."""

EIGHT_BIT = {0x80 + at: f"\x1b{chr(0x40 + at)}" for at in map(ord, "\x0f\x10\x18\x1b\x1c\x1d\x1e\x1f")}
"""The controls of eight bits that begin or end a sequence, and the same in seven (SS3, DCS, SOS, CSI, ST, OSC, PM, APC)."""

_PASTE_BEGINS, _PASTE_ENDS = "\x1b[200~", "\x1b[201~"
_SEQUENCE = re.compile(r"\x1b\[([-0-?]*)([ -/]*)([@-~])?")  # a mouse left of the window is at -1
_UNENDED_REPLY = re.compile(r"\x1b(?:[\]P_^X][0-9>!=+$]|_G|\[[?>=<0-9;:])")
_KEY = re.compile(
    r"\x1b\[(?:(\d{1,7})(?::\d{0,7}){0,2})?(?:;(\d{0,3})(?::([1-3]))?)?(?:;(\d{1,7}(?::\d{1,7}){0,2}))?([~uA-FHP-S])"
)
_NUMBERED = {1, 2, 3, 4, 5, 6, 7, 8, 11, 12, 13, 14, 15, 17, 18, 19, 20, 21, 23, 24}
"""The keys that a tilde ends; by any other number the library takes the character of that code."""
LONGEST_KEY = 32
"""Characters after which the library takes a sequence for keys of their own."""
_OTHER_KEY = re.compile(r"\x1b(?:\[[IOZ]|\[\[[A-E]|O[ABCDFHMPQRSabcdjkm-y])")
_MOUSE = re.compile(r"\x1b\[<\d{1,4}(?:;-?\d{1,5}){2}[Mm]")
_MODE = re.compile(r"\x1b\[\?\d{1,5};\d\$y")
_SIZE = re.compile(r"\x1b\[48((?:;\d{1,5}(?::[\d:]{0,20})?){4})t")


def _not_utf8(error: UnicodeError) -> tuple[str, int]:
    """A byte that begins a terminal's reply in eight bits stays what it is; others are told as lost."""
    assert isinstance(error, UnicodeDecodeError)
    byte = error.object[error.start]
    return (chr(byte) if byte in EIGHT_BIT else "\N{REPLACEMENT CHARACTER}"), error.end


codecs.register_error(AS_TYPED, _not_utf8)


def typed_line(line: str) -> str:
    """A whole line without the replies that came before or between what was typed."""
    replies = TerminalReplies()
    units = replies.feed(line)
    while replies.waiting:
        units += replies.late()
    return "".join(units)


class TerminalReplies:
    """Passes on what is typed. A sequence may come in pieces: call ``late`` once nothing came for PATIENCE.

    What is passed on are units that whoever reads them must not join: a text without Escape, or one
    whole sequence.
    """

    def __init__(self) -> None:
        self._held = ""
        self._in_string = False
        self._in_paste = 0  # how often late() may still come

    @property
    def waiting(self) -> bool:
        """Has a sequence begun whose end is not there yet?"""
        return bool(self._held) or self._in_string or bool(self._in_paste)

    def feed(self, text: str) -> list[str]:
        """What of ``text``, and of what was held back before, is typed."""
        if not text.isascii():
            text = text.translate(EIGHT_BIT)
        text, self._held = self._held + text, ""
        out: list[str] = []
        at = 0
        while at < len(text):
            if self._in_paste:
                at = self._pasted(text, at, out)
            elif self._in_string:
                at = self._string_on(text, at)
            else:
                begins = text.find(ESCAPE, at)
                if begins != at:
                    out.append(text[at : begins if begins >= 0 else None])
                at = self._sequence(text, begins, out) if begins >= 0 else len(text)
        return out

    def late(self) -> list[str]:
        """The rest never came: a key that merely looked like a beginning is typed, half a reply is not."""
        if self._in_paste:
            self._in_paste -= 1
            if self._in_paste:
                return []
            self._held = ""
            return [PASTED]
        half = self._in_string  # and an Escape would be the half of its end
        held, self._held, self._in_string = self._held, "", False
        return [] if half or _UNENDED_REPLY.match(held) or held[:3] == "\x1b[M" else _parts(held)

    def _sequence(self, text: str, at: int, out: list[str]) -> int:
        """Take what begins with the Escape at ``at``; where the rest begins."""
        ends = _end(text, at)
        if ends is None and text[at + 1 : at + 2] in STRINGS and _UNENDED_REPLY.match(text, at):
            self._in_string = True  # what it says is not kept
            return at + 2
        if ends is None:
            reply = _UNENDED_REPLY.match(text, at)
            if len(text) - at > MOST_HELD and not reply:
                out.append(text[at : at + 2])
                return at + 2
            self._held = reply[0] if reply and len(text) - at > MOST_HELD else text[at:]
            return len(text)
        unit = text[at:ends]
        if unit == _PASTE_BEGINS:
            self._in_paste = PASTE_PATIENCE
        else:
            out += _parts(_typed(unit))
        return ends

    def _pasted(self, text: str, at: int, out: list[str]) -> int:
        self._in_paste = PASTE_PATIENCE
        ends = text.find(_PASTE_ENDS, at)
        if ends < 0:
            tail = text[max(at, len(text) - len(_PASTE_ENDS) + 1) :]
            self._held = tail[tail.find(ESCAPE) :] if ESCAPE in tail else ""
            return len(text)
        self._in_paste = 0
        out.append(PASTED)
        return ends + len(_PASTE_ENDS)

    def _string_on(self, text: str, at: int) -> int:
        ends = _string_end(text, at)
        if ends is None:
            self._held = ESCAPE if text[-1] == ESCAPE else ""
            return len(text)
        self._in_string = False
        return ends


def _end(text: str, at: int) -> int | None:
    """Where what begins with the Escape at ``at`` ends; None while that is not known."""
    second = text[at + 1 : at + 2]
    if not second:
        return None
    if second == "[":
        match = _SEQUENCE.match(text, at)
        assert match is not None
        if match[3] is None:
            return None if match.end() == len(text) else match.end()  # broken off by what no sequence has
        if match[0] in ("\x1b[M", "\x1b[["):  # the older mouse, and function keys of a console
            return _signs_end(text, match.end(), 3 if match[3] == "M" else 1)
        return match.end()
    if second == "O":
        modified = text[at + 2 : at + 3].isdigit()
        return _signs_end(text, at + 2, 2 if modified else 1)
    if second not in STRINGS:
        return at + (1 if second == ESCAPE else 2)
    return _string_end(text, at + 2)


def _signs_end(text: str, at: int, many: int) -> int | None:
    """Where the signs end that belong to a sequence without being its parameters; a control breaks them off."""
    for i in range(at, at + many):
        if i == len(text):
            return None
        if text[i] < " ":
            return i
    return at + many


def _string_end(text: str, at: int) -> int | None:
    """Where the control string ends that goes on at ``at``; None while that is not known."""
    for i in range(at, len(text)):
        if text[i] == BELL:
            return i + 1
        if text[i] == ESCAPE:
            if i + 1 == len(text):
                return None
            return i + 2 if text[i + 1] == STRING_END[1] else i  # another sequence breaks the string off
        if text[i] < " " and text[i] not in "\t\r\n\b":
            return i  # Ctrl+C and its like always count
    return None


def _parts(typed: str) -> list[str]:
    """A beginning of a string that was none: a key with Alt, and what was typed after it."""
    parts = (typed[:2], typed[2:]) if typed[1:2] in STRINGS else (typed,)
    return [part for part in parts if part]


def _typed(unit: str) -> str:
    """A whole sequence as it is passed on; "" for one that no key and no mouse sends.

    Only what the screen library knows to the end: of another it would make keys.
    """
    if unit[1:2] not in ("[", "O") and unit[1:2] not in STRINGS:
        return unit  # Escape, or a key with Alt
    if unit in ("\x1b[", "\x1bO") or (unit[1] in STRINGS and not _is_string(unit)):
        return unit
    if _OTHER_KEY.fullmatch(unit) or _MOUSE.fullmatch(unit) or _MODE.fullmatch(unit):
        return unit
    if size := _SIZE.fullmatch(unit):
        return _size(size[1])
    key = _KEY.fullmatch(unit)
    return _key(key) if key else ""


def _is_string(unit: str) -> bool:
    return unit.endswith((BELL, STRING_END)) or bool(_UNENDED_REPLY.match(unit))


def _key(key: re.Match[str]) -> str:
    """The key without what nobody here asks about: its other codes, and whether it is held; "" once it is let go."""
    code, modifiers, event, text, last = key.groups(default="")
    number = int(code or 1)
    known = number in _NUMBERED if last == "~" else last == "u" or number == 1
    if event == "3" or not all(_is_character(int(c)) for c in (str(number), *text.split(":")) if c):
        return ""
    if (
        last == "~" and number == ord(ESCAPE) and text.isdigit()
    ):  # another way to name a key and its modifiers
        code, last, text = text, "u", text if modifiers in ("", "1", "2") else ""
    elif not known:
        return ""
    more = f";{modifiers};{text}" if text else f";{modifiers}" if modifiers else ""
    unit = f"\x1b[{code}{more}{last}"
    return unit if len(unit) <= LONGEST_KEY else ""


def _is_character(code: int) -> bool:
    return code <= 0x10FFFF and not 0xD800 <= code <= 0xDFFF


def _size(numbers: str) -> str:
    """A size that can be: where the terminal does not know its pixels, a cell is one."""
    numbers = re.sub(r":[\d:]*", "", numbers)
    lines, columns, high, wide = map(int, numbers[1:].split(";"))
    if not (lines and columns):
        return ""
    lines, columns = min(lines, MOST_LINES), min(columns, MOST_COLUMNS)
    return f"\x1b[48;{lines};{columns};{max(high, lines)};{max(wide, columns)}t"
