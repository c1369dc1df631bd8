"""Ids sort as they were made, whatever the clock does, and are what RFC 9562 calls version 7."""

from __future__ import annotations

import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.store.ids import Ids


@given(st.lists(st.integers(0, 2**47), min_size=1))
def test_ids_rise_strictly_however_the_clock_jumps(times: list[int]) -> None:
    at = iter(times)
    made = [maker.new() for maker in [Ids(lambda: next(at))] for _ in times]
    assert made == sorted(set(made))
    assert all(int.from_bytes(uid[:6], "big") >= t for uid, t in zip(made, times, strict=True))


def test_ids_are_uuids_of_version_7() -> None:
    uid = uuid.UUID(bytes=Ids(lambda: 0x017F22E279B0).new())
    assert (uid.version, uid.variant) == (7, uuid.RFC_4122)
    # The time of the example in RFC 9562, appendix A.6.
    assert str(uid).startswith("017f22e2-79b0-7")


def test_a_clock_no_id_can_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="no id can hold"):
        Ids(lambda: -1, last=-5).new()
