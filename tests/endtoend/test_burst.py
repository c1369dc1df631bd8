"""A burst of keys ends in the same book as the same keys typed slowly."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from tests.endtoend import rack
from tests.endtoend.keys import LEAVE, some_keys
from tests.endtoend.terminal import Terminal
from tests.sampled import sampled

pytestmark = pytest.mark.pty

BURST = 200
SEQUENCES = sampled(5, 50)


def burst(seed: int) -> list[str]:
    return [*some_keys(Random(seed), BURST - len(LEAVE)), *LEAVE]


@pytest.mark.long
@pytest.mark.parametrize("part", range(5))
def test_a_burst_of_two_hundred_keys(
    part: int, demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    """Random sequences, each in one write; the slow side is the walk with every key committed before the next."""
    config = rack.config()
    recorded = 0
    for seed in range(part * SEQUENCES // 5, (part + 1) * SEQUENCES // 5):
        keys = burst(seed)
        slow = Path(shutil.copy(demo_book, tmp_path / f"slow{seed}.sqlite"))
        fast = Path(shutil.copy(demo_book, tmp_path / f"fast{seed}.sqlite"))
        rack.typed_slowly(slow, keys, config)
        terminal = begin(rack.worse(fast, clock=rack.MORNING))
        terminal.wait_for("1 of 60")
        terminal.press(*keys)
        assert terminal.ended() == 0, f"seed {seed}"
        found = rack.differences(rack.content(slow), rack.content(fast))
        assert not found, f"seed {seed}: {found}"
        recorded += len(rack.cells_today(fast))
    assert recorded > SEQUENCES, "bursts that record nothing would prove nothing"


@pytest.mark.parametrize("seed", [1000, 1001, 1002][: sampled(1, 3)])
def test_the_same_keys_one_by_one_at_the_terminal(
    seed: int, demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    """Slow typing through the terminal too: each key painted before the next is sent."""
    keys = [*some_keys(Random(seed), 60), *LEAVE]
    books = []
    for name, at_once in (("slow", False), ("fast", True)):
        book = Path(shutil.copy(demo_book, tmp_path / f"{name}{seed}.sqlite"))
        terminal = begin(rack.worse(book, clock=rack.MORNING))
        terminal.wait_for("1 of 60")
        if at_once:
            terminal.press(*keys)
        for key in keys if not at_once else ():
            terminal.press(key)
            terminal.quiet(0.04)
        assert terminal.ended() == 0
        books.append(rack.content(book))
    assert not rack.differences(*books)


def test_the_comparison_finds_one_key_too_few(demo_book: Path, tmp_path: Path) -> None:
    """The control: a burst that loses a single answer is not the same book."""
    config = rack.config()
    keys = burst(3)
    one = Path(shutil.copy(demo_book, tmp_path / "one.sqlite"))
    other = Path(shutil.copy(demo_book, tmp_path / "other.sqlite"))
    rack.typed_slowly(one, keys, config)
    answer = next(i for i, key in enumerate(keys) if key.isdigit())
    rack.typed_slowly(other, [*keys[:answer], *keys[answer + 1 :]], config)
    assert rack.differences(rack.content(one), rack.content(other))


def test_keys_of_one_instant_leave_the_trace_that_slow_keys_leave(demo_book: Path, tmp_path: Path) -> None:
    """An answer given and taken back three times is in the trace three times, however fast it was typed."""
    config = rack.config()
    found = []
    for name, step in (("at once", 0), ("slowly", 1000)):
        book = Path(shutil.copy(demo_book, tmp_path / f"{name}.sqlite"))
        now = [rack.MORNING]

        def clock(now: list[int] = now, step: int = step) -> int:
            now[0] += step
            return now[0]

        walk = rack.Walk(book, config, day=rack.TODAY, clock=clock)
        for key in ("1", "u") * 3:
            walk.press(key)
        assert walk.close(10.0) is None
        found.append(rack.content(book))
    assert len(found[0]["change"]) == len(found[1]["change"]) == 3


@pytest.mark.parametrize("round_", range(sampled(1, 3)))
def test_a_hundred_and_fifty_keys_and_quit_save_all(
    round_: int, book: Path, begin: Callable[..., Terminal]
) -> None:
    """Digits and quit in one write: quit does not overtake what was typed before it."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    random = Random(round_)
    keys = [key for _ in range(75) for key in (random.choice("12"), "space")]
    assert len(keys) == 150
    terminal.press(*keys, "backspace", "backspace", "q")
    assert terminal.ended() == 0
    other = book.with_name("other.sqlite")
    shutil.copy(book, other)
    walk = rack.opened(book, rack.config())
    assert len(walk.state.steps) >= 60, "every answer and every confirmed box is one step"
    walk.close(5.0)


def test_keys_typed_before_the_screen_is_up_are_kept_in_order(
    demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    """Typed while the program still starts, at moments from before its first line of code on."""
    keys = [*"1", "space", "space", *"2", "space", "n", *"ahead", "enter", "u", "b", *LEAVE]
    slow = Path(shutil.copy(demo_book, tmp_path / "slow.sqlite"))
    rack.typed_slowly(slow, keys, rack.config())
    wanted = rack.content(slow)
    for i, wait in enumerate((0.0, 0.02, 0.08, 0.15, 0.25, 0.35)):
        book = Path(shutil.copy(demo_book, tmp_path / f"early{i}.sqlite"))
        terminal = begin(rack.worse(book, clock=rack.MORNING))
        terminal.read(wait)
        terminal.press(*keys)
        assert terminal.ended() == 0, terminal.text
        assert not rack.differences(wanted, rack.content(book)), f"typed {wait} s after the start"


def test_pasted_text_is_never_keys(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    assert b"\x1b[?2004h" in terminal.output, "pastes are asked to be marked"
    terminal.send(b"\x1b[200~1 2 3 q u n hello\r\x1b[201~")
    terminal.wait_for("pasted text was not taken")
    assert "1 of 60" in terminal.text
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {}


STRANGE = (
    b"\x1b[15~",
    b"\x1b[24~",
    b"\x1bOP",
    b"\x1b[3~",
    b"\x1b[2~",
    b"\x1b[1;5C",
    b"\x1b[1;2D",
    b"\x1b[200;1u",
    b"\x1b[<0;5;5M",
    b"\x1b[<0;5;5m",
    b"\x1b[I",
    b"\x1b[O",
    b"\x01",
    b"\x05",
    b"\x17",
    b"\x1bx",
)


def test_keys_nobody_knows_record_nothing(book: Path, begin: Callable[..., Terminal]) -> None:
    """Function keys, mouse, focus, control and alt keys, between two real answers that must both be taken."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("1")
    terminal.wait_for("1 saved")
    for data in STRANGE:
        terminal.send(data)
        terminal.quiet(0.05)
    assert "1 of 60" in terminal.text
    terminal.press("space", "space")
    terminal.wait_for("2 of 60")
    terminal.press("q")
    assert terminal.ended() == 0
    walk = rack.opened(book, rack.config())
    assert [step.kind for step in walk.state.steps] == ["jelly_gone", "as_expected"]
    walk.close(5.0)


def test_an_escape_key_is_not_needed_and_harmless(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.send(b"\x1b")
    terminal.wait_for("Escape does nothing here")  # sooner, the two would be one key to any terminal
    terminal.press("1")
    terminal.wait_for("1 saved")
    assert "1 of 60" in terminal.text
