"""Getting the next enclosure ready between two keys, and letting go of those long passed, changes nothing."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest

from rounds.records.entries import NOTE
from rounds.screens.board import compose
from rounds.walk import past
from rounds.walk.core import Walk
from rounds.walk.saving import Saving
from tests.endtoend import rack
from tests.endtoend.keys import LEAVE, some_keys


def walked(book: Path, keys: list[str], ahead: bool) -> list[object]:
    """Every screen of a round, and what the book then holds."""
    walk = rack.opened(book, rack.config())
    shown: list[object] = []
    try:
        for key in keys:
            walk.press(key)
            if ahead and walk.drain(10):
                walk.look_ahead()
            assert walk.drain(10)
            shown.append(compose(walk, 80, 24))
    finally:
        assert walk.close(10) is None
    return [*shown, rack.content(book)]


@pytest.mark.parametrize("seed", range(4))
def test_looking_ahead_changes_no_screen_and_no_row(
    demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    keys = some_keys(Random(seed), 60)
    plain = walked(Path(shutil.copy(demo_book, tmp_path / "plain.sqlite")), keys, ahead=False)
    monkeypatch.setattr(past, "KEPT_PASTS", 4)
    assert walked(Path(shutil.copy(demo_book, tmp_path / "ahead.sqlite")), keys, ahead=True) == plain


def test_the_past_of_few_enclosures_is_kept_and_a_correction_survives_it(
    demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(past, "KEPT_PASTS", 6)
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "far.sqlite")), rack.config())
    try:
        stop = next(
            i
            for i, s in enumerate(walk.route.stops)
            if "moisture" in {k for e in walk.past.earlier(i)[:1] for k in e.cells}
        )
        go(walk, stop)
        before = walk.past.earlier(stop)[0].cells["moisture"]
        at = next(
            i
            for i, a in enumerate(walk.questions.asks(stop, walk.questions.starts_at(stop)))
            if a.kind.id == "moisture"
        )
        for key in ("c", "1", *["up"] * 20, *["down"] * at):
            walk.press(key)
        wanted = "1" if before != "dry" else "2"
        walk.press(wanted)
        after = walk.past.earlier(stop)[0].cells["moisture"]
        assert after != before
        for other in range(walk.route.count()):
            go(walk, other)
            assert walk.drain(10)
            walk.look_ahead()
            assert len(walk.past.at_hand) <= 6 + 2
        assert stop not in walk.past.at_hand or walk.route.count() - stop < 8
        assert walk.past.earlier(stop)[0].cells["moisture"] == after
    finally:
        assert walk.close(10) is None


def test_a_correction_changes_that_note_or_that_reading_of_that_visit_alone(demo_book: Path) -> None:
    walk = rack.opened(demo_book, rack.config())
    try:
        stop = next(i for i in range(walk.route.count()) if sum(bool(v.read) for v in walk.past.of(i)) > 2)
        was = list(walk.past.of(stop))
        one = next(v for v in was if v.read)
        kind, value = next(iter(one.read.items()))
        walk.past.correct(stop, one.uid, NOTE, "the lid was loose")
        noted = one._replace(note="the lid was loose")
        assert walk.past.of(stop) == [noted if v.uid == one.uid else v for v in was]
        for after, read in (
            (f"not {value}", {**one.read, kind: f"not {value}"}),
            (None, {k: x for k, x in one.read.items() if k != kind}),
        ):
            walk.past.correct(stop, one.uid, kind, after)
            changed = noted._replace(read=read)
            assert walk.past.of(stop) == [changed if v.uid == one.uid else v for v in was]
        walk.past.correct(stop, one.uid, NOTE, None)
        assert next(v for v in walk.past.of(stop) if v.uid == one.uid).note == ""
    finally:
        walk.close(10)


def test_nothing_is_let_go_while_a_value_waits(
    demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(past, "KEPT_PASTS", 0)
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "w.sqlite")), rack.config())
    far = walk.route.count() - 1
    try:
        walk.past.of(far)
        with monkeypatch.context() as waits:
            waits.setattr(Saving, "waiting", property(lambda _: 1))
            walk.look_ahead()
            assert far in walk.past.at_hand
        walk.look_ahead()
        assert far not in walk.past.at_hand
    finally:
        walk.close(10)


def go(walk: Walk, stop: int) -> None:
    for key in ("g", *str(walk.route.stops[stop].enclosure.number), "enter"):
        walk.press(key)


def test_the_carry_list_of_few_pasts_at_hand_is_that_of_all(
    demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At every seventh key of a round, and again without a change: as one who has just opened the book sees it."""
    monkeypatch.setattr(past, "KEPT_PASTS", 4)
    book = Path(shutil.copy(demo_book, tmp_path / "carry.sqlite"))
    walk = rack.opened(book, rack.config())
    keys = [
        k for number in ("12", "3", "8", "21") for k in ("g", *number, "enter", "i", "4", "enter", "u", "b")
    ]
    keys = [*keys, *some_keys(Random(5), 30), *LEAVE[:-1]]
    keys += [k for number in ("12", "3", "8") for k in ("g", *number, "enter", "i", "4", "enter")]
    seen = []
    try:
        for n, key in enumerate(keys):
            walk.press(key)
            assert walk.drain(10)
            walk.look_ahead()
            if n % 7 == 6:
                mine = walk.round.carry()
                assert walk.round.carry() == mine
                fresh = rack.opened(book, rack.config())
                try:
                    assert fresh.round.carry() == mine
                finally:
                    fresh.close(10)
                seen.append(mine)
    finally:
        assert walk.close(10) is None
    assert len({str(s) for s in seen}) > 1, "the control: what is to be carried changes in a round"
