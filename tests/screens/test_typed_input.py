"""What comes of the bytes of a terminal: the keys that were typed, in their order, and nothing else."""

from __future__ import annotations

import os
import threading
from random import Random

import pytest
from textual import events
from textual._xterm_parser import XTermParser

from rounds.keys.terminal_replies import MOST_COLUMNS, MOST_LINES, PASTE_PATIENCE
from rounds.screens.board import key_of
from rounds.screens.typed_input import KeyParser, read_keys, undisturbed
from tests.keys.noise import bursts


def keys_of(parser: KeyParser, data: bytes) -> list[str]:
    """What the walk is given, without the signs that stand for lost bytes."""
    found = [key_of(m) for m in parser.keys(data) if isinstance(m, events.Key)]
    return [key for key in found if key is not None and key.isascii()]


def silence(parser: KeyParser) -> list[str]:
    return [key for _ in range(PASTE_PATIENCE + 1) for key in keys_of(parser, b"")]


@pytest.mark.parametrize("seed", range(3))
def test_of_keys_and_noise_the_keys_are_typed(seed: int) -> None:
    parser = KeyParser()
    for burst in bursts(Random(seed), 20_000):
        found = keys_of(parser, burst.data)
        if burst.silence:
            found += silence(parser)
        assert tuple(found) == burst.keys, burst.data


def test_control_the_library_alone_takes_noise_for_keys_or_fails() -> None:
    parser, wrong = XTermParser(), 0
    for burst in bursts(Random(0), 2000):
        try:
            found = [
                key_of(m)
                for m in parser.feed(burst.data.decode(errors="replace"))
                if isinstance(m, events.Key)
            ]
        except (ValueError, ArithmeticError, StopIteration):
            parser, found = XTermParser(), None
        wrong += tuple(found or ()) != burst.keys
    assert wrong > 20


@pytest.mark.parametrize("sequence", [b"\x1b[49:33;1u", b"\x1b[49;1:3u", b"\x1b[48;24;80;0;0t\x1b[<0;3;3M"])
def test_control_and_some_sequences_end_it(sequence: bytes) -> None:
    with pytest.raises((ValueError, ZeroDivisionError)):
        list(XTermParser().feed(sequence.decode()))
    list(KeyParser().keys(sequence))


def test_any_control_sequence_types_no_sign() -> None:
    """Of any parameters and any end; only the keyboard protocol (``u``, ``~`` with a text) names signs."""
    random, parser = Random(1), KeyParser()
    for _ in range(5000):
        inner = "".join(random.choice("0123456789;:?<=>") for _ in range(random.randrange(12)))
        between = random.choice(["", "", "", " ", "$", "!"])
        last = random.choice([chr(c) for c in range(0x40, 0x7F) if chr(c) not in "u~M["])
        sequence = f"\x1b[{inner}{between}{last}".encode()
        assert not [key for key in keys_of(parser, sequence) if len(key) == 1], sequence


def test_bytes_at_random_end_nothing_and_keep_little() -> None:
    """Every byte there is, and beginnings that never end: the next keys are heard."""
    random, parser = Random(2), KeyParser()
    for _ in range(300):
        list(parser.keys(random.randbytes(100)))
    for endless in (b"\x1b[200~", b"\x1b]11;", b"\x1b[?", b"\x1b[5;", b"\x9b1"):
        list(parser.keys(endless))
        for _ in range(20):
            list(parser.keys(b"1234;567" * 400))
            assert len(parser.replies._held) <= 4000
        silence(parser)
        assert keys_of(parser, b"2\r") == ["2", "enter"], endless


def test_a_paste_whose_end_is_lost_is_over_after_a_while_and_not_before() -> None:
    parser = KeyParser()
    assert keys_of(parser, b"\x1b[200~12") == []
    for _ in range(PASTE_PATIENCE - 1):
        assert keys_of(parser, b"") == []
    assert keys_of(parser, b"34") == []
    pasted = [m for _ in range(PASTE_PATIENCE) for m in parser.keys(b"") if isinstance(m, events.Paste)]
    assert [m.text for m in pasted] == [""]
    assert keys_of(parser, b"5") == ["5"]


def test_a_terminal_that_is_gone_ends_the_reading() -> None:
    """By the end of the file, and by the error that a closed pseudo-terminal gives."""
    reader, writer = os.pipe()
    os.write(writer, b"1")
    os.close(writer)
    found: list[object] = []
    assert not read_keys(reader, threading.Event(), found.append)
    assert len(found) == 1
    os.close(reader)
    outer, inner = os.openpty()
    os.close(outer)
    assert not read_keys(inner, threading.Event(), found.append)
    os.close(inner)
    over = threading.Event()
    over.set()
    assert read_keys(0, over, found.append)


def test_of_a_terminal_that_says_it_is_vast_a_screenful_is_painted() -> None:
    class LinuxDriver:
        def _get_terminal_size(self) -> tuple[int, int]:
            return 65535, 65535

    driver = undisturbed(LinuxDriver)  # type: ignore[type-var]
    assert driver()._get_terminal_size() == (MOST_COLUMNS, MOST_LINES)
