"""What is asked at one look, what has to be typed, and what one key may confirm."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.readings import Choice, ReadingKind, StagePlan, Vocabulary
from rounds.husbandry.stages import STAGES, Depth
from rounds.records.observations import NOTHING, Visit
from rounds.walk.machine.questions import EACH_TIME, FORTNIGHT, ONCE_A_SHELF, asks, confirmable

DAY = 739_000
GONE = ReadingKind("gone", "gone", "count", high=9)
MOISTURE = ReadingKind(
    "moisture",
    "moisture",
    "choice",
    choices=tuple(Choice(x, x, str(i)) for i, x in enumerate(("dry", "right", "wet"), 1)),
)
SMELL = ReadingKind(
    "smell", "smell", "choice", choices=(Choice("earthy", "earthy", "1"), Choice("sour", "sour", "2"))
)
OLD = ReadingKind("old", "old", "tick", retired=True)
TEMP = ReadingKind("temp", "temp", "count", subject="shelf", high=45, decimals=1)
DUGUP = ReadingKind("eggs", "eggs", "count", high=99)
PLAN = StagePlan(
    "laying",
    Depth.LID,
    {Depth.WALL: ("moisture", "old"), Depth.LID: ("gone", "smell"), Depth.DUG: ("eggs",)},
    usual={"gone": "history", "moisture": "right", "smell": "earthy"},
    usual_for={"Dry one": {"moisture": "dry"}},
    fine={"moisture": ("right",), "smell": ("earthy",), "gone": ("history",)},
    fine_for={"Dry one": {"moisture": ("dry", "right")}},
    first=("gone",),
)
WORDS = Vocabulary(
    {k.id: k for k in (GONE, MOISTURE, SMELL, OLD, TEMP, DUGUP)}, {"laying": PLAN}, every_shelf=("temp",)
)


def seen(day: int, read=None, confirmed=NOTHING, skipped: str = "") -> Visit:
    return Visit(bytes(16), 1, day, day * 86_400_000, read or {}, confirmed, skipped=skipped)


def ids(found) -> list[str]:
    return [a.kind.id for a in found]


def test_a_deeper_look_is_asked_the_shallower_readings_too_first_what_must_be_typed() -> None:
    assert ids(asks(WORDS, "laying", "", Depth.WALL, [], DAY)) == ["moisture"]
    assert ids(asks(WORDS, "laying", "", Depth.LID, [], DAY)) == ["gone", "smell", "moisture"]
    assert ids(asks(WORDS, "laying", "", Depth.DUG, [], DAY)) == ["gone", "eggs", "smell", "moisture"]


def test_a_retired_reading_is_not_asked() -> None:
    assert "old" not in ids(asks(WORDS, "laying", "", Depth.DUG, [], DAY))


def test_the_shelf_is_read_once_and_never_confirmed() -> None:
    found = asks(WORDS, "laying", "", Depth.WALL, [], DAY, first_on_shelf=True)
    assert (found[-1].kind.id, found[-1].must, found[-1].confirms) == ("temp", ONCE_A_SHELF, None)


def test_what_was_odd_last_time_or_has_an_open_action_cannot_be_confirmed_by_one_key() -> None:
    odd = {
        a.kind.id: a.must
        for a in asks(
            WORDS, "laying", "", Depth.LID, [seen(DAY - 1, {"moisture": "wet", "smell": "earthy"})], DAY
        )
    }
    assert odd == {"gone": EACH_TIME, "smell": "", "moisture": "odd last time"}
    again = [seen(DAY - 2, {"moisture": "wet"}), seen(DAY - 1, {"moisture": "right"})]
    assert not asks(WORDS, "laying", "", Depth.WALL, again, DAY)[0].must, "only the last look counts"
    pressed = {a.kind.id: a.must for a in asks(WORDS, "laying", "", Depth.LID, [], DAY, pressing={"smell"})}
    assert pressed["smell"] == "open action"


def test_a_skip_is_no_look() -> None:
    visits = [seen(DAY - 2, {"moisture": "wet"}), seen(DAY - 1, skipped="time")]
    assert asks(WORDS, "laying", "", Depth.WALL, visits, DAY)[0].must == "odd last time"


def test_what_was_odd_stays_in_doubt_until_it_is_read_again() -> None:
    visits = [
        seen(DAY - 3, {"moisture": "wet"}),
        seen(DAY - 2, {"smell": "earthy"}, {}),
        seen(DAY - 1, {}, {}),
    ]
    assert asks(WORDS, "laying", "", Depth.WALL, visits, DAY)[0].must == "odd last time"
    read = [*visits, seen(DAY, {"moisture": "right"}), seen(DAY + 1, {}, {})]
    assert not asks(WORDS, "laying", "", Depth.WALL, read, DAY + 2)[0].must


@given(st.sampled_from(("dry", "right", "wet")), st.booleans(), st.integers(0, 3))
def test_a_box_is_as_it_was_until_it_is_read_in_its_new_stage(was: str, read: bool, since: int) -> None:
    """What was seen or confirmed before the stage began is not overwritten by what is usual now."""
    pairing = PLAN._replace(
        usual={"moisture": "wet"}, fine={"moisture": ("wet", "right")}, usual_for={}, fine_for={}
    )
    words = WORDS._replace(stages={"pairing": pairing})
    visits = [seen(DAY - since, {"moisture": was}) if read else seen(DAY - since, {}, {"moisture": was})]
    must = asks(words, "pairing", "", Depth.WALL, visits, DAY + 1, changed=DAY - 1)[0].must
    if was == "dry" and read:
        assert must == "odd last time"
    else:
        assert must == (f"{was} last time" if was != "wet" and since >= 1 else "")


def test_what_is_usual_and_fine_goes_by_species() -> None:
    [ask] = asks(WORDS, "laying", "Dry one", Depth.WALL, [seen(DAY - 1, {"moisture": "right"})], DAY)
    assert (ask.confirms, ask.must) == ("dry", "")
    [ask] = asks(WORDS, "laying", "", Depth.WALL, [], DAY)
    assert ask.confirms == "right"


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 9), st.booleans()), max_size=20))
def test_a_count_is_confirmed_as_the_range_observed_in_the_last_fortnight(looks) -> None:
    """Confirmed values never widen or narrow what is expected; neither does today's own look."""
    looks = sorted(looks, key=lambda x: -x[0])
    visits = [
        seen(DAY - ago, {"gone": n}) if observed else seen(DAY - ago, {}, {"gone": (0, 99)})
        for ago, n, observed in looks
    ]
    counted = [n for ago, n, observed in looks if observed and 1 <= ago <= FORTNIGHT]
    expected = (min(counted), max(counted)) if counted else (GONE.low, GONE.high)
    assert confirmable(GONE, "history", visits, DAY) == expected


def test_expected_is_of_todays_stage_and_animals_only() -> None:
    visits = [seen(DAY - 5, {"gone": 9}), seen(DAY - 3, {"gone": 7}), seen(DAY - 1, {"gone": 2})]
    assert confirmable(GONE, "history", visits, DAY) == (2, 9)
    assert confirmable(GONE, "history", visits, DAY, DAY - 3) == (2, 2), "that day was still the others'"
    assert confirmable(GONE, "history", visits, DAY, DAY - 1) == (GONE.low, GONE.high)
    [gone, *_] = asks(WORDS, "laying", "", Depth.LID, visits, DAY, changed=DAY - 3)
    assert gone.confirms == (2, 2)


def test_what_was_odd_is_asked_again_only_where_it_can_concern_those_here() -> None:
    """A predecessor that lay on its back has gone with it; water stands whoever moves in."""
    back = ReadingKind("back", "on its back", "tick", of_animals=True)
    plan = PLAN._replace(
        asked={Depth.WALL: ("back", "moisture")},
        fine={"back": (False,), "moisture": ("right",)},
        usual={"back": False, "moisture": "right"},
        first=(),
    )
    words = WORDS._replace(kinds={**WORDS.kinds, "back": back}, stages={"laying": plan})
    last = [seen(DAY - 1, {"back": True, "moisture": "wet"})]

    def must(oldest: int) -> dict[str, str]:
        found = asks(words, "laying", "", Depth.WALL, last, DAY, changed=DAY, oldest=oldest)
        return {a.kind.id: a.must for a in found}

    assert must(DAY) == {"back": "", "moisture": "odd last time"}
    both = {"back": "odd last time", "moisture": "odd last time"}
    assert must(DAY - 1) == must(DAY - 9) == both, "one of those who were in it then is still here"


def test_a_fixed_count_is_a_range_of_one_and_no_usual_is_never_confirmed() -> None:
    assert confirmable(GONE, 0, [], DAY) == (0.0, 0.0)
    assert confirmable(GONE, None, [], DAY) is None
    assert confirmable(MOISTURE, "right", [], DAY) == "right"


def test_the_shipped_stages_ask_something_at_the_depth_they_start_at() -> None:
    from rounds.config import read
    from rounds.settings.layers import layers

    words = read(layers(None)[:1]).vocabulary
    for stage in STAGES:
        found = asks(words, stage, "", words.stages[stage].starts_at, [], DAY)
        assert bool(found) == (stage != "empty")
        feeding = any(a.kind.id == "jelly_gone" for a in found)
        assert [a.kind.id for a in found if a.must] == (["jelly_gone"] if feeding else []), (
            "one key, two where adults feed"
        )


def test_where_all_are_eggs_and_larvae_nobody_is_asked_about_adults() -> None:
    """Larvae in quarantine eat no jelly and lie on no back (common practice, no source)."""
    words = WORDS._replace(kinds={**WORDS.kinds, "gone": GONE._replace(of_adults=True)})
    assert ids(asks(words, "laying", "", Depth.LID, [], DAY)) == ["gone", "smell", "moisture"]
    assert ids(asks(words, "laying", "", Depth.LID, [], DAY, young_only=True)) == ["smell", "moisture"]
    assert words.unasked(vacated=False, young_only=False) == frozenset()
