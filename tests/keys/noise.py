"""Bytes that a terminal sends though nobody typed, drawn at random, with the keys typed between them.

The shapes are from memory of ECMA-48, of the xterm control sequences document and of the published
description of the keyboard protocol whose keys come as ``CSI code u``.
"""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import NamedTuple

KEYS = {
    **{sign: sign.encode() for sign in "0123456789.jmnuk"},
    "space": b" ",
    "enter": b"\r",
    "backspace": b"\x7f",
    "up": b"\x1b[A",
    "down": b"\x1bOB",
    "pageup": b"\x1b[5~",
    "tab": b"\t",
}
"""A key as the walk calls it, and what a keyboard sends for it."""
BY_PROTOCOL = {
    "1": b"\x1b[49;;49u",
    "2": b"\x1b[50:34;1:1;50u",
    "enter": b"\x1b[13u",
    "3": b"\x1b[51;1:2;51u",
}
"""The same under the keyboard protocol: pressed, with the other codes of the key, and held."""


class Burst(NamedTuple):
    """Bytes that come together; torn noise is more than Alt and a sign. ``keys`` are those typed in them. ``silence``: nothing comes for long after."""

    data: bytes
    keys: tuple[str, ...] = ()
    silence: bool = False


def bursts(random: Random, least: int, *, idle: bool = False) -> Iterator[Burst]:
    """Keys and noise by turns, until ``least`` bytes were drawn; ``idle``: no tap and no lost byte, which count."""
    whole = WHOLE[2 * idle :]
    drawn = 0
    while drawn < least:
        key = random.choice([*KEYS])
        typed = BY_PROTOCOL.get(key, KEYS[key]) if random.random() < 0.3 else KEYS[key]
        if random.random() < 0.6:
            noise = (
                random.choice(TORN_TOO)(random) if random.random() < 0.8 else _mouse(random, taps=not idle)
            )
            torn = random.random() < 0.3
        else:
            noise, torn = random.choice(whole)(random), False
        drawn += len(typed) + len(noise)
        if torn:
            yield Burst(typed, (key,))
            yield Burst(noise[: random.randrange(3, len(noise))], silence=True)
        elif random.random() < 0.3:
            cut = random.randrange(len(noise))
            yield Burst(typed + noise[:cut], (key,))
            yield Burst(noise[cut:])
        else:
            yield Burst(typed + noise, (key,))


def _colour(random: Random) -> bytes:
    said = random.choice(("11;rgb:1e1e/2323/4545", "4;1;rgb:00/11/22", "52;c;MTIzNDU2", "8;;1"))
    return f"\x1b]{said}".encode() + random.choice((b"\x07", b"\x1b\\"))


def _string(random: Random) -> bytes:
    """Version, attributes, settings, terminfo, graphics, messages."""
    said = random.choice(("P>|term(12)", "P!|00123", "P1$r0;1m", "P0+r544e", "_Gi=31;OK", "^12", "X34"))
    return f"\x1b{said}\x1b\\".encode()


def _report(random: Random) -> bytes:
    """Attributes, status, checksums, pixels, or something that nobody here has heard of."""
    lead = random.choice(("?", ">", "=", ""))
    numbers = ";".join(str(random.randrange(400)) for _ in range(random.randrange(1, 7)))
    return f"\x1b[{lead}{numbers}{random.choice('cnRtxwSyqr' if lead else 'cnxwr')}".encode()


def _position(random: Random) -> bytes:
    n = random.randrange(2, 99)
    return random.choice((f"\x1b[{n};{n}R", f"\x1b[8;{n};80t", "\x1b[4;480;640t")).encode()


def _size(random: Random) -> bytes:
    """Sent unasked; with pixels and without, and some that cannot be."""
    numbers = ";".join(str(random.choice((0, 24, 80, 640, 65535))) for _ in range(4))
    return f"\x1b[48;{numbers}t".encode()


def _mode(random: Random) -> bytes:
    return f"\x1b[?{random.choice((2026, 2048, 2004, 1))};{random.randrange(5)}$y".encode()


def _mouse(random: Random, *, taps: bool) -> bytes:
    """Moved, let go, the wheel; pressed only with ``taps``."""
    button = random.choice((32, 35, 64, 65, 67, 40, *((0, 1, 2, 4, 128) if taps else ())))
    at = f"{random.randrange(3000)};{random.randrange(-1, 300)}"
    return f"\x1b[<{button};{at}{random.choice('Mm')}".encode()


TORN_TOO = (_colour, _string, _report, _position, _size, _mode)
"""What a terminal says of itself; torn, what is left of it is still no key."""


def _older_mouse(random: Random) -> bytes:
    return b"\x1b[M" + bytes(random.choice(b" !#@`1239\xc3\xe9") for _ in range(3))


def _other(random: Random) -> bytes:
    """Focus, the mouse of other kinds, a title, keys that are let go or that nothing is bound to."""
    return random.choice(
        (
            *(
                b"\x1b[I",
                b"\x1b[O",
                b"\x1b[32;40;12M",
                b"\x1b]l12\x1b\\",
                b"\x1b[49;1:3u",
                b"\x1b[57400;1:3u",
            ),
            *(b"\x1b[57441;2u", b"\x1b[1;2P", b"\x1bOP", b"\x1b[[A", b"\x1b[32~", b"\x1b[27;5;49~"),
        )
    )


def _paste(random: Random) -> bytes:
    held = bytes(
        random.choice(b"0123456789 \r\n\x1b[;AmMu~\xc3\xff\x00") for _ in range(random.randrange(200))
    )
    return b"\x1b[200~" + held.replace(b"201~", b"") + b"\x1b[201~"


def _not_utf8(random: Random) -> bytes:
    return bytes(
        random.choice(b"\xe4\xf6\xfc\xff\xc3\xe2\x80\xbf\x00") for _ in range(random.randrange(1, 7))
    )


def eight_bit(random: Random) -> bytes:
    """The same replies with controls of eight bits, which are no UTF-8."""
    return random.choice((b"\x9b?62;22c", b"\x9d11;rgb:1/2/3\x9c", b"\x901$r0m\x9c", b"\x9fGi=1;OK\x9c"))


WHOLE = (_older_mouse, _not_utf8, _other, _paste, eight_bit)
"""What comes whole: half of it may be a key, or may hold what is typed next."""
