"""What a terminal answers is never typed; what is typed always is, however the bytes are cut.

The shapes of replies are from memory of ECMA-48 (device attributes, device status, cursor position) and of
the xterm control sequences document (colour, size, mode, version, keyboard protocol).
"""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.keys.terminal_replies import (
    AS_TYPED,
    MOST_COLUMNS,
    MOST_LINES,
    PASTED,
    TerminalReplies,
    typed_line,
)
from tests.keys.noise import TORN_TOO, eight_bit

REPLIES = {
    "background colour": "\x1b]11;rgb:1e1e/1e1e/1e1e\x1b\\",
    "background colour, bell": "\x1b]11;rgb:1e1e/1e1e/1e1e\x07",
    "palette colour": "\x1b]4;1;rgb:cdcd/0000/0000\x07",
    "clipboard": "\x1b]52;c;MTIz\x1b\\",
    "primary attributes": "\x1b[?62;1;2;6;9;22c",
    "secondary attributes": "\x1b[>41;354;0c",
    "tertiary attributes": "\x1bP!|00000000\x1b\\",
    "version": "\x1bP>|term(354)\x1b\\",
    "setting": "\x1bP1$r0m\x1b\\",
    "status": "\x1b[0n",
    "keyboard flags": "\x1b[?1u",
    "extended position": "\x1b[?12;40;1R",
    "size in cells": "\x1b[8;24;80t",
    "size in pixels": "\x1b[4;480;640t",
    "graphics": "\x1b[?1;0;256S",
    "graphics protocol": "\x1b_Gi=31;OK\x1b\\",
    "parameters": "\x1b[2;1;1;112;112;1;0x",
}
KEYS = ("2", " ", "\r", "\x1b[A", "\x1b[5~", "\x1bOP", "\x1b[49;1u", "\x1b[<0;3;4M", "\x1b[?2026;2$y", "ü")


@pytest.mark.parametrize("reply", REPLIES.values(), ids=REPLIES.keys())
def test_a_reply_between_two_keys_is_not_typed(reply: str) -> None:
    assert "".join(TerminalReplies().feed(f"2{reply}3")) == "23"


@given(st.lists(st.sampled_from([*KEYS, *REPLIES.values()]), max_size=8), st.data())
def test_cut_anywhere_the_keys_and_nothing_else_are_typed(parts: list[str], data: st.DataObject) -> None:
    sent, replies, typed = "".join(parts), TerminalReplies(), ""
    cuts = sorted(data.draw(st.lists(st.integers(0, len(sent)), max_size=6)))
    for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True):
        typed += "".join(replies.feed(sent[start:end]))
    typed += "".join(replies.late())
    assert typed == "".join(p for p in parts if p in KEYS)


def test_what_only_looks_like_a_beginning_is_typed_once_nothing_follows() -> None:
    for typed in ("\x1b", "\x1b]", "\x1bP", "\x1b["):
        replies = TerminalReplies()
        assert (replies.feed(typed), replies.waiting, replies.late()) == ([], True, [typed])
        assert (replies.waiting, replies.feed("2")) == (False, ["2"])


@pytest.mark.parametrize("half", ["\x1b]11;rgb:1e1e/1", "\x1b[?62;2", "\x1bP1$r0"])
def test_half_a_reply_is_no_reading_and_the_key_after_it_is_one(half: str) -> None:
    replies = TerminalReplies()
    assert (replies.feed(half), replies.late(), replies.feed("2")) == ([], [], ["2"])


def test_ctrl_c_and_the_next_sequence_break_a_reply_off() -> None:
    assert TerminalReplies().feed("\x1b]11;rgb\x03") == ["\x03"]
    assert TerminalReplies().feed("\x1b]11;rgb\x1b[A2") == ["\x1b[A", "2"]


@pytest.mark.parametrize("tears", [False, True])
def test_of_a_typed_line_the_replies_are_left_out(*, tears: bool) -> None:
    random = Random(1)
    for _ in range(500):
        noise = random.choice((*TORN_TOO, eight_bit))(random).decode("utf-8", AS_TYPED)
        if noise.endswith("y") or noise.startswith("\x1b[48"):
            continue  # for the screen library, which asked
        if tears:  # the rest was lost with the link; what was typed came before it
            assert typed_line("note 2" + noise[: random.randrange(3, len(noise))]) == "note 2"
        else:
            assert typed_line(noise + "note" + noise + " 2") == "note 2"


def test_keys_of_the_cursor_and_pastes_in_a_line_are_not_taken_for_enter_alone() -> None:
    assert typed_line("\x1b[A") == "\x1b[A"
    assert typed_line("\x1b[200~12") == PASTED


def test_bytes_that_are_no_utf8_are_told_as_lost() -> None:
    assert b"K\xe4fer \xc3 12 \xe2\x82".decode("utf-8", AS_TYPED) == "K\ufffdfer \ufffd 12 \ufffd"


@pytest.mark.parametrize(
    ("sent", "known"),
    [
        ("48;24;80;480;640", "48;24;80;480;640"),
        ("48;24:1;80;480:2;640", "48;24;80;480;640"),
        ("48;24;80;0;0", "48;24;80;24;80"),  # a cell is a pixel where nobody knows better
        ("48;65535;65535;0;0", f"48;{MOST_LINES};{MOST_COLUMNS};{MOST_LINES};{MOST_COLUMNS}"),
    ],
)
def test_a_size_that_is_told_is_one_that_can_be(sent: str, known: str) -> None:
    assert TerminalReplies().feed(f"\x1b[{sent}t") == [f"\x1b[{known}t"]
    assert TerminalReplies().feed("\x1b[48;0;80;0;0t") == []
