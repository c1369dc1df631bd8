"""A shelf's own readings are taken at its first enclosure that is not skipped, and are found again there."""

from __future__ import annotations

import shutil
from pathlib import Path

from rounds.line_ui import read_out_summary
from rounds.presenters import help_lines, summary_lines, walk_lines
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from tests.endtoend import rack

CONFIG = rack.config()


def two_on_one_shelf(walk: Walk) -> int:
    """The first stop of a shelf on which the next stop stands, too."""
    return next(
        i
        for i, s in enumerate(walk.route.stops[:-1])
        if s.first_on_shelf
        and walk.route.stops[i + 1].shelf == s.shelf
        and walk.route.stops[i + 1].enclosure.stage != "empty"
    )


def rows(walk: Walk) -> list[str]:
    return [a.kind.id for a in steps.rows(walk.state, walk.desk)]


def test_the_next_enclosure_is_asked_and_tomorrow_knows_it(demo_book: Path, tmp_path: Path) -> None:
    book = Path(shutil.copy(demo_book, tmp_path / "shelf.sqlite"))
    walk = rack.opened(book, CONFIG)
    first = two_on_one_shelf(walk)
    walk.state = walk.state._replace(at=first)
    for key in ("s", "1"):
        walk.press(key)
    assert walk.state.at == first + 1
    walk.state = walk.state._replace(cursor=rows(walk).index("shelf_temp"))
    for key in ("2", "3", ".", "5", "enter"):
        walk.press(key)
    shown, shelf, day = rows(walk), walk.route.stops[first].shelf, walk.day
    assert walk.close(10) is None

    again = rack.opened(book, CONFIG)
    assert again.state.looks[first + 1].cells["shelf_temp"] == 23.5
    again.state = again.state._replace(at=first + 1)
    assert rows(again) == shown
    assert again.close(10) is None

    tomorrow = Walk(book, CONFIG, day=day + 1, clock=lambda: rack.MORNING + 86_400_000)
    assert tomorrow.past.visits_of_shelf(shelf)[-1].read["shelf_temp"] == 23.5
    assert tomorrow.close(10) is None


def past_of_the_row(walk: Walk) -> list[str]:
    """What the shelf's row says of earlier days."""
    row = next(
        "".join(text for text, _ in line)
        for line in walk_lines.lines(walk, 80, 40)
        if "shelf °C" in line[0][0]
    )
    return row.split("shelf")[-1].split()


def test_what_was_typed_at_a_later_box_is_the_shelf_s_wherever_one_stands(
    demo_book: Path, tmp_path: Path
) -> None:
    """No box of the shelf was skipped: nobody is sent to the later ones by that."""
    book = Path(shutil.copy(demo_book, tmp_path / "later.sqlite"))
    walk = rack.opened(book, CONFIG)
    first = two_on_one_shelf(walk)
    shelf, day = walk.route.stops[first].shelf, walk.day
    walk.state = walk.state._replace(at=first)
    while walk.state.at == first:
        walk.press("space")
    later = walk.state.at
    assert walk.route.stops[later].shelf == shelf
    walk.state = walk.state._replace(cursor=rows(walk).index("shelf_temp"))
    for key in ("2", "7", ".", "5", "enter"):
        walk.press(key)
    assert walk.state.looks[later].cells["shelf_temp"] == 27.5
    assert walk.close(10) is None

    tomorrow = Walk(book, CONFIG, day=day + 1, clock=lambda: rack.MORNING + 86_400_000)
    assert tomorrow.past.visits_of_shelf(shelf)[-1].read["shelf_temp"] == 27.5
    assert tomorrow.round.scene(first).shelf[-1].read["shelf_temp"] == 27.5
    tomorrow.state = tomorrow.state._replace(at=first, cursor=0)
    assert past_of_the_row(tomorrow)[-3] == "27.5"
    [visit] = [v.uid for v in tomorrow.past.of(later) if v.day == day]
    tomorrow.past.correct(later, visit, "shelf_temp", 24.5)
    assert tomorrow.past.visits_of_shelf(shelf)[-1].read["shelf_temp"] == 24.5
    tomorrow.past.correct(later, visit, "shelf_temp", None)
    assert [v.read.get("shelf_temp") for v in tomorrow.past.visits_of_shelf(shelf) if v.uid == visit] == [
        None
    ]
    assert tomorrow.close(10) is None


def emptied(walk: Walk, *stops: int) -> None:
    for i in stops:
        stop = walk.route.stops[i]
        walk.route.stops[i] = stop._replace(enclosure=stop.enclosure._replace(stage="empty"))


def test_empty_boxes_are_one_list_at_the_end_and_nobody_is_asked(demo_book: Path, tmp_path: Path) -> None:
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "empty.sqlite")), CONFIG)
    quiet = [i for i in range(1, walk.route.count()) if not walk.desk.actions(i)][:2]
    emptied(walk, *quiet)
    open_ = next(i for i in range(1, walk.route.count()) if walk.desk.actions(i))
    emptied(walk, open_)
    codes = tuple(walk.route.label(i) for i in quiet)
    walked = {walk.state.at}
    while not walk.over:
        walk.press("space")
        walked.add(walk.state.at)
    assert walked == set(range(walk.route.count() + 1)) - set(quiet), "one with an open action is a stop"
    assert walk.round.empty_boxes() == codes
    said = " ".join(text for line in summary_lines.lines(walk, 80, 24) for text, _ in line)
    assert "2 empty, not asked" in said
    assert f"2 empty, not asked: {', '.join(codes)}." in " ".join(read_out_summary.summary(walk))
    helped = " ".join(text for line in help_lines.lines(walk, 120, 200) for text, _ in line)
    assert f"2 empty, not asked: {', '.join(codes)}" in helped
    emptied(walk, *range(walk.route.count()))
    assert walk.round.empty_boxes() == (), "in a house where nobody lives yet every box is a stop"
    assert walk.close(10) is None


def test_in_a_house_where_nobody_lives_yet_every_box_is_a_stop(demo_book: Path, tmp_path: Path) -> None:
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "new.sqlite")), CONFIG)
    emptied(walk, *range(walk.route.count()))
    assert not any(walk.desk.passed_over(i) for i in range(walk.route.count()) if not walk.desk.actions(i))
    assert walk.close(10) is None


def test_at_the_last_box_of_a_shelf_no_next_one_is_promised(demo_book: Path, tmp_path: Path) -> None:
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "shelf.sqlite")), CONFIG)
    stops = walk.route.stops
    last = next(
        i
        for i in range(len(stops) - 1)
        if stops[i].shelf and stops[i].shelf != stops[i + 1].shelf and stops[i + 1].enclosure.stage != "empty"
    )
    first = walk.route.first_on(stops[last].shelf)
    assert first is not None
    said = []
    for at in range(first, last + 1):
        walk.state = walk.state._replace(at=at, cursor=0)
        walk.press("space")
        while walk.state.at == at:
            walk.press("space")
        said.append(walk.state.message)
    assert "not read on this shelf" in said[-1]
    assert all("next box of the shelf" in text for text in said[:-1])
    assert walk.close(10) is None
