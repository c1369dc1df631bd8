"""What is kept of the newest call, and when it is worked out anew."""

from __future__ import annotations

import pytest

from rounds.kept_last import kept_last


def test_it_is_worked_out_anew_only_for_another_object_or_number() -> None:
    calls: list[object] = []

    @kept_last
    def both(thing: list[int], number: int, word: str) -> tuple[int, int, str]:
        calls.append(thing)
        return len(thing), number, word

    first, same = [1], [1]
    assert both(first, 1000, "a") == (1, 1000, "a")
    assert both(first, 999 + 1, "".join(["a"])) == (1, 1000, "a")
    assert calls == [first]
    assert both(same, 1000, "a") == (1, 1000, "a")  # equal, but another object
    assert both(same, 1001, "a") == (1, 1001, "a")
    assert both(same, 1001, "b") == (1, 1001, "b")
    assert both(first, 1000, "a") == (1, 1000, "a")  # only the newest is kept
    assert len(calls) == 5


def test_what_raised_is_not_kept() -> None:
    tried: list[int] = []

    @kept_last
    def odd(number: int) -> int:
        tried.append(number)
        if len(tried) < 2:
            raise ValueError(number)
        return number

    with pytest.raises(ValueError, match="3"):
        odd(3)
    assert odd(3) == 3
    assert tried == [3, 3]


def test_a_truth_value_and_its_number_are_two_things() -> None:
    seen: list[object] = []

    @kept_last
    def shown(value: object) -> str:
        seen.append(value)
        return repr(value)

    assert [shown(1), shown(True), shown(1)] == ["1", "True", "1"]
