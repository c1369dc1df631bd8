"""The small plot of weights: what it shows, within its room, and what it does not pretend to know."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rounds.values.spans import FIRST, LAST, Span
from rounds.views import animal_sentences
from rounds.views.family_background import named
from rounds.views.weight_plot import PEAK, SEEN, Point, weights

DAYS = st.integers(739_000, 740_000)
POINTS = st.lists(
    st.builds(
        lambda day, more, grams: Point(Span(day, day + more), grams),
        DAYS,
        st.integers(0, 40),
        st.floats(0.1, 80),
    ),
    max_size=30,
)


def at(day: int, grams: float, more: int = 0) -> Point:
    return Point(Span(739_000 + day, 739_000 + day + more), grams)


def test_days_go_right_grams_up_and_the_peak_is_marked():
    lines = weights([at(0, 10), at(50, 42.5), at(100, 30)], 40)
    assert [line[:8] for line in lines[:5]] == ["42.5 g |", "       |", "       |", "  10 g |", "       +"]
    left = lines[3].index(SEEN)
    peak = lines[0].index(PEAK)
    last = lines[1].index(SEEN)
    assert left < peak < last
    assert lines[-2].split() == ["24", "Apr", "2024", "2", "Aug", "2024"]
    said = (animal_sentences.weighings(3, 10, 42.5), animal_sentences.heaviest("*", "13 Jun 2024"))
    assert lines[-1] == "; ".join(said)


def test_a_day_within_a_span_is_drawn_as_one():
    lines = weights([at(0, 10), at(20, 20, 30), at(100, 30)], 40)
    middle = next(line for line in lines if "---" in line)
    assert SEEN not in middle
    assert animal_sentences.some_day_within("---") in lines[-1]
    assert (
        "some day within" not in weights([at(0, 10), at(100, 30)], 40)[-1]
    )  # what is not there is not explained


def test_a_weighing_without_a_day_is_left_out_and_said():
    nowhere = Point(Span(FIRST, LAST, "unknown"), 99)
    open_end = Point(Span(739_000, LAST), 99)
    lines = weights([at(0, 10), nowhere, at(9, 30), open_end], 40)
    assert "99" not in "".join(lines[:-1])
    assert lines[-1].endswith("2 without a day left out")
    assert weights([at(0, 10), nowhere]) == ()
    assert weights([]) == ()


def test_equal_weights_and_one_day_are_no_trouble():
    same = weights([at(0, 10), at(9, 10)], 40)
    assert same[-1] == animal_sentences.weighings(2, 10, 10)
    assert PEAK not in same[-1]
    assert weights([at(5, 10), at(5, 20)], 40)[-2].split() == ["29", "Apr", "2024"]


@given(POINTS, st.integers(20, 100))
def test_it_keeps_to_its_room_and_to_plain_signs(points: list[Point], width: int) -> None:
    lines = weights(points, width)
    assert bool(lines) is (len(points) >= 2)
    assert len(lines) <= 8
    for line in lines[:-1]:
        assert line.isascii()
        assert line.isprintable()
        assert len(line) <= max(width, 40)
    if lines:
        high, low = max(p.grams for p in points), min(p.grams for p in points)
        assert animal_sentences.weight(high) in lines[0]
        assert ("".join(lines[:-1]).count(PEAK)) == 1
        assert high == low or animal_sentences.weight(low) in lines[3]


def test_a_number_is_a_name_only_as_a_word_of_its_own():
    def says(pattern: tuple[str, str, str], note: str) -> bool:
        return named(*pattern).search(note) is not None

    three = ("UMBER", "3", "")
    for note in (
        "UMBER/3 is calm",
        "umber 3",
        "UMBER-3.",
        "(UMBER 3)",
        "#3 feeds",
        "no. 3 feeds",
        "number 3",
    ):
        assert says(three, note), note
    for note in ("3 cups", "UMBER 31", "KESTREL/3", "at 3 pm", "no. 31", "#31"):
        assert not says(three, note), note
    marked = ("LOCH", "K-12b", "two white dots")
    for note in ("K-12b slow", "k-12B", "two white dots gone", "LOCH/K-12b"):
        assert says(marked, note), note
    for note in ("K-12bc", "XK-12b", "two white dotsy"):
        assert not says(marked, note), note
    assert not says(("A", ".*", ""), "anything at all")
