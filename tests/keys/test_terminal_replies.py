"""What a terminal answers is never typed; what is typed always is, however the bytes are cut.

The shapes of replies are from memory of ECMA-48 (device attributes, device status, cursor position) and of
the xterm control sequences document (colour, size, mode, version, keyboard protocol).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.keys.terminal_replies import TerminalReplies

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
    assert TerminalReplies().feed(f"2{reply}3") == "23"


@given(st.lists(st.sampled_from([*KEYS, *REPLIES.values()]), max_size=8), st.data())
def test_cut_anywhere_the_keys_and_nothing_else_are_typed(parts: list[str], data: st.DataObject) -> None:
    sent, replies, typed = "".join(parts), TerminalReplies(), ""
    cuts = sorted(data.draw(st.lists(st.integers(0, len(sent)), max_size=6)))
    for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True):
        typed += replies.feed(sent[start:end])
    typed += replies.late()
    assert typed == "".join(p for p in parts if p in KEYS)


def test_what_only_looks_like_a_beginning_is_typed_once_nothing_follows() -> None:
    for typed in ("\x1b", "\x1b]", "\x1bP", "\x1b["):
        replies = TerminalReplies()
        assert (replies.feed(typed), replies.waiting, replies.late()) == ("", True, typed)
        assert (replies.waiting, replies.feed("2")) == (False, "2")


@pytest.mark.parametrize("half", ["\x1b]11;rgb:1e1e/1", "\x1b[?62;2", "\x1bP1$r0"])
def test_half_a_reply_is_no_reading_and_the_key_after_it_is_one(half: str) -> None:
    replies = TerminalReplies()
    assert (replies.feed(half), replies.late(), replies.feed("2")) == ("", "", "2")


def test_ctrl_c_and_the_next_sequence_break_a_reply_off() -> None:
    assert TerminalReplies().feed("\x1b]11;rgb\x03") == "\x03"
    assert TerminalReplies().feed("\x1b]11;rgb\x1b[A2") == "\x1b[A2"
