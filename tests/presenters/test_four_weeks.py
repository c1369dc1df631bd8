"""Four weeks in pictures: every day has its own cell, and what is in it is what was read that day."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rounds.husbandry.species import OWN_RECORDS
from rounds.presenters import box_facts, four_weeks, side_lines
from rounds.presenters.lines import size
from rounds.records.tables import Animal, Content, Line, Weight
from rounds.screens.board import compose
from rounds.values.spans import Span
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.usual_ranges import GRAMS, OF_THE_STAGE, Box, usual
from tests.screens import house

WORST = 14


def pictures(walk: Walk, width: int = 38) -> dict[str, str]:
    """By reading's title, the 28 cells of its picture: the line under what is said of it."""
    lines = house.text(four_weeks.lines(walk, width))
    titles = {a.kind.title for a in steps.rows(walk.state, walk.desk)}
    out = {}
    for at, line in enumerate(lines):
        title = line.split("  ")[0]
        if title in titles:
            below = lines[at + 1 :]
            out[title] = next(x for x in below if not x.startswith("  usual"))[: four_weeks.DAYS]
    return out


def test_every_cell_is_what_was_read_that_day(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        shown = pictures(walk)
        first = walk.day - four_weeks.DAYS + 1
        visits = {v.day: v for v in walk.past.of(walk.state.at)}
        keys = {c.id: c.key for c in walk.config.vocabulary.kinds["moisture"].choices}
        odd = {
            day: v.read["moisture"] for day, v in visits.items() if v.read.get("moisture", "right") != "right"
        }
        assert len(odd) > 3
        for i, sign in enumerate(shown["moisture"][:-1]):
            day = first + i
            expected = keys[str(odd[day])] if day in odd else four_weeks.FINE
            assert sign == expected, day
        assert shown["moisture"][-1] == four_weeks.UNSEEN, "today nobody has looked"
        assert shown["larvae surfaced"][-2] == four_weeks.BARS[-1]
        answers = "\n".join(house.text(four_weeks.lines(walk, 38)))
        assert f"moisture  {keys['water']} standing water  {keys['wet']} wet" in answers


def test_a_key_shows_in_todays_cell_and_a_day_without_a_look_is_a_gap(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        at = walk.state.at
        gone = walk.past.of(at).pop(-3)
        house.press(walk, "m", "1")
        shown = pictures(walk)
        assert shown["moisture"][-1] == "1"
        assert shown["jelly eaten"][-1] == four_weeks.NOT_READ
        house.press(walk, "u")
        assert pictures(walk)["moisture"][-1] == four_weeks.UNSEEN, "what was taken back was not read"
        for picture in shown.values():
            assert picture[gone.day - walk.day - 1] == four_weeks.UNSEEN


@pytest.mark.parametrize("number", [7, 14, 33, 47])
def test_they_fit_their_column(book: Path, number: int) -> None:
    with house.walking(book) as walk:
        house.go(walk, number)
        assert all(size(line) == 38 for line in four_weeks.lines(walk, 38))


def test_where_all_was_ordinary_there_is_no_picture(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 47)
        assert four_weeks.lines(walk, 38) == []


def test_days_without_a_look_show_where_all_else_was_ordinary(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 47)
        del walk.past.of(walk.state.at)[-5:-3]
        said, marks = house.text(four_weeks.lines(walk, 38))[1:3]
        assert said.split() == ["looks", "2", "days", "without", "a", "look"]
        assert marks[: four_weeks.DAYS] == "·" * 22 + "  " + "···" + " "


@pytest.mark.parametrize("width", [28, 38])
def test_the_usual_range_of_a_count_stands_beside_it_in_bars_of_the_same_height(
    book: Path, width: int
) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        past = walk.past.of(walk.state.at)
        fortnight = [v.read["jelly_gone"] for v in past if walk.day - 14 <= v.day and "jelly_gone" in v.read]
        low, high = min(fortnight), max(fortnight)
        shown = pictures(walk, width)["jelly eaten"]
        bars = {v.read["jelly_gone"]: shown[v.day - walk.day - 1] for v in past[-27:]}
        said = next(x for x in house.text(four_weeks.lines(walk, width)) if x.startswith("jelly eaten"))
        assert said.rstrip().endswith(f"usual {low:g}–{high:g} {bars[low]}{bars[high]}")


def test_where_nobody_knows_what_is_usual_none_is_drawn(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        kinds = walk.config.vocabulary.kinds
        enclosure = walk.route.stops[walk.state.at].enclosure
        plan = walk.config.vocabulary.stages[enclosure.stage]
        past = walk.past.of(walk.state.at)
        box = Box(plan, past, walk.day, enclosure.changed, enclosure.species)
        assert usual(kinds["jelly_gone"], box) == (0, 1, OWN_RECORDS)
        assert usual(kinds["surfaced"], box) == (0, 0, OF_THE_STAGE)
        assert usual(kinds["jelly_gone"], box._replace(changed=walk.day)) is None, "others lived here then"
        assert usual(kinds["jelly_in"], box) is None
        assert usual(kinds["moisture"], box) is None, "no count"
        assert usual(GRAMS, box) is None, "no species file"
        species = walk.config.species[enclosure.species]
        for sex in ("m", "f"):
            peak = species.ranges[f"peak_grams/{sex}"]
            assert usual(GRAMS, box._replace(species=species, sex=sex)) == (peak.low, peak.high, peak.source)
        for visit in past[-14:]:
            visit.read.pop("jelly_gone", None)  # type: ignore[attr-defined]  # a dict in truth
        assert not any("jelly" in x and "usual" in x for x in house.text(four_weeks.lines(walk, 38)))


@pytest.mark.parametrize("size", [(100, 30), (120, 40)])
def test_the_column_is_made_once_for_a_box_and_once_more_when_something_is_saved(
    book: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Counted at the two functions that go through the looks and through the books."""
    made = {"looks": 0, "books": 0}

    def counted(name: str, function: Callable[..., object]) -> Callable[..., object]:
        def counting(*args: object) -> object:
            made[name] += 1
            return function(*args)

        return counting

    monkeypatch.setattr(four_weeks, "lines", counted("looks", four_weeks.lines))
    monkeypatch.setattr(box_facts, "facts", counted("books", box_facts.facts))
    with house.walking(book) as walk:
        assert walk.books.ledger is not None
        house.go(walk, WORST)

        def shown(*keys: str) -> dict[str, int]:
            for key in keys:
                house.press(walk, key)
                compose(walk, *size)
            return dict(made)

        assert shown("down", "down", "up", "n", "a", "b", "enter", "i", "1") == {"looks": 1, "books": 1}
        assert shown("enter") == {"looks": 2, "books": 2}, "a number was saved"
        assert shown("down", "m", "1", "up") == {"looks": 3, "books": 3}
        assert shown("b", "down", "up") == {"looks": 4, "books": 4}, "another box"


def test_who_is_in_the_box_stands_there_with_the_days_since_the_books_say_so(book: Path) -> None:
    with house.walking(book) as walk:
        ledger = walk.books.ledger
        for stop in walk.route.stops:
            for content in ledger.rows(Content, Content.enclosure.is_(stop.enclosure.id)):
                if content.until is not None or content.animal is None:
                    continue
                animal = ledger.row(Animal, content.animal)
                house.go(walk, stop.enclosure.number)
                for width in (28, 38):
                    shown = " ".join(" ".join(house.text(side_lines.lines(walk, width, 25))).split())
                    line = ledger.row(Line, animal.line).name
                    assert f"{line} {animal.number}" in shown
                    if animal.emerged and animal.emerged.exact and not (animal.first_feed or animal.mature):
                        days = walk.day - animal.emerged.latest
                        assert f"emerged {days} day" in shown


def test_of_many_the_first_are_named_and_all_are_counted() -> None:
    living = tuple(box_facts.Living(f"UMBER {n} f", "age not known", 1) for n in range(2_001, 2_013))
    shown = house.text(side_lines.who(living, 28))
    assert [x.split("  ")[0] for x in shown] == [
        "in the box",
        *(f"UMBER {n} f" for n in (2_001, 2_002, 2_003)),
        "and 9 more, 12 in all",
    ]


@pytest.mark.parametrize("width", [28, 38])
def test_the_weights_of_a_larva_stand_with_the_range_of_its_sex(book: Path, width: int) -> None:
    with house.walking(book) as walk:
        ledger, found = walk.books.ledger, 0
        for stop in walk.route.stops:
            facts = box_facts.facts(ledger, stop.enclosure.id, walk.day)
            if not facts.weights:
                continue
            (content,) = (
                c for c in ledger.rows(Content, Content.enclosure.is_(stop.enclosure.id)) if c.until is None
            )
            weights = [w.grams for w in ledger.rows(Weight, Weight.content.is_(content.id)) if w.grams]
            assert facts.weights[-1] in weights
            assert len(facts.weights) == min(len(weights), box_facts.WEIGHTS)
            house.go(walk, stop.enclosure.number)
            shown = " ".join(" ".join(house.text(side_lines.lines(walk, width, 35))).split())
            assert f"{', '.join(f'{g:g}' for g in facts.weights)} g" in shown
            sex = {"m": "males", "f": "females"}.get(facts.sex)
            if sex is not None:
                peak = walk.config.species[stop.enclosure.species].range("peak_grams", facts.sex)
                assert peak is not None
                assert f"{sex} reach {peak.low:g}–{peak.high:g} g" in shown
                found += 1
        assert found > 3


def test_the_next_work_stands_with_the_days_to_it(book: Path) -> None:
    with house.walking(book) as walk:
        assert walk.books.ledger  # they are read beside the keys; what they tell stands below the pictures
        house.go(walk, 14)
        (due,) = walk.route.stops[walk.state.at].dues
        shown = " ".join(" ".join(house.text(side_lines.lines(walk, 38, 35))).split())
        assert f"in {due.window.earliest - walk.day} days: first search" in shown
        late = due._replace(what="leftovers out", window=Span(walk.day - 9, walk.day - 2))
        stop = walk.route.stops[walk.state.at]
        walk.route.stops[walk.state.at] = stop._replace(dues=(due, late))
        shown = " ".join(" ".join(house.text(side_lines.lines(walk, 38, 35))).split())
        assert "2 days late: leftovers out" in shown
        assert any(
            x.startswith("DUE  leftovers out: ") and "2 days late" in x for x in house.screen(walk, 80, 24)
        )
