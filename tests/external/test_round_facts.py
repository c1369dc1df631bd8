"""What the morning round takes as known of the trade and of the calendar, each with where it is from.

Facts of the trade for which nothing better than keepers' habit is known are marked
``common practice, no source``.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache

import pytest

from rounds.config import Config, read
from rounds.files.local_times import Clock
from rounds.files.local_times import round_day as written_day
from rounds.husbandry.locks import BY_STAGE, withheld
from rounds.husbandry.round_day import round_day
from rounds.husbandry.stages import FORBIDS, INSTARS, STAGES, Depth
from rounds.records.observations import EnclosureState, Visit
from rounds.rules.evaluate import evaluate
from rounds.rules.scene import Scene
from rounds.settings.layers import layers
from rounds.walk.daily_summary import in_force

DAY = date(2026, 3, 1).toordinal()


@cache
def config() -> Config:
    return read(layers(None)[:1])


def box(stage: str, species: str = "Mecynorhina torquata") -> EnclosureState:
    return EnclosureState(1, "TL-001", 1, stage, None, None, 0, species)


def raised(
    stage: str, read_: dict[str, object], days: int = 1, species: str = "Mecynorhina torquata"
) -> dict[str, str]:
    """Rule and what to do, after the same was read at so many looks, a day apart."""
    visits = [
        Visit(bytes([i]) * 16, 1, DAY - days + i, (DAY - days + i) * 86_400_000, dict(read_), {}, depth=1)
        for i in range(1, days + 1)
    ]
    here = box(stage, species)
    scene = Scene(here, visits, DAY, DAY * 86_400_000, (), True)
    found = evaluate(config().rules, scene, in_force(here, {}, DAY))
    return {f.rule.id: f"{f.flag.todo} {f.flag.withheld}" for f in found if f.flag is not None}


# Moisture is judged by eye and by a squeeze, in words; nobody weighs substrate on a round.


def test_moisture_is_four_words_from_the_squeeze_test() -> None:
    """Common practice, no source: dry crumbles, right holds its shape without a drop, wet drips, water stands."""
    kind = config().vocabulary.kinds["moisture"]
    assert [c.id for c in kind.choices] == ["dry", "right", "wet", "water"]
    assert kind.type == "choice", "never a number"
    for word in ("crumbles", "holds its shape", "drips", "standing water"):
        assert word in kind.about


def test_right_is_usual_everywhere_and_a_cell_may_be_on_the_dry_side() -> None:
    """Common practice, no source: right is usual; cells and resting boxes are kept on the dry side of it."""
    stages = config().vocabulary.stages
    for stage in STAGES:
        if "moisture" not in stages[stage].usual:
            continue
        fine = stages[stage].fine["moisture"]
        assert "right" in fine
        assert "water" not in fine
        assert ("dry" in fine) == (stage in ("cell", "resting"))


def test_smells_are_words_too() -> None:
    """Common practice, no source: earthy is sound; sour, ammonia and rotten egg mean no air at the base."""
    kind = config().vocabulary.kinds["smell"]
    assert {c.id for c in kind.choices} == {"earthy", "sour", "ammonia", "eggs"}
    for smell in ("sour", "ammonia", "eggs"):
        assert "foul-smell" in raised("larvae", {"smell": smell})
    assert "foul-smell" not in raised("larvae", {"smell": "earthy"})


def test_food_is_counted_in_quarters_of_a_cup_and_out_is_not_eaten() -> None:
    """Common practice, no source: set jelly comes in cups; keepers judge quarters. A cup is four of them."""
    kinds = config().vocabulary.kinds
    for id_ in ("jelly_gone", "jelly_in", "jelly_out"):
        assert kinds[id_].unit == "¼ cup"
        assert kinds[id_].decimals == 0
    assert "one cup is 4" in kinds["jelly_in"].about
    assert "not eaten" in kinds["jelly_out"].about


def test_a_cup_is_changed_by_its_third_day() -> None:
    """Common practice, no source: jelly keeps about three days once open, so it is carried from the second."""
    rule = next(r for r in config().rules if r.id == "cup-change")
    assert rule.level == "carry", "a routine is no alarm"
    now = Visit(bytes(16), 1, DAY, DAY * 86_400_000, {"jelly_gone": 1}, {}, depth=1)
    for age, wanted in ((0, False), (1, False), (2, True), (3, True)):
        put = Visit(b"p" * 16, 1, DAY - age, (DAY - age) * 86_400_000, {"jelly_in": 4}, {}, depth=1)
        scene = Scene(box("holding"), [put, now], DAY, DAY * 86_400_000, (), True)
        [finding] = evaluate([rule], scene, ())
        assert bool(finding.bring) is wanted


def test_instars_are_three() -> None:
    """Universal in Scarabaeoidea; e.g. durations for L1, L2 and L3 in Rodrigues et al. 2016, Biota Neotropica
    16(3) e20140176 (Gymnetis rufilateris)."""
    assert INSTARS == ("L1", "L2", "L3")


# What must not be done.


def test_what_stages_forbid_by_their_nature() -> None:
    """Common practice, no source: most flower beetles build no second cell, moved eggs fail, a wanderer is choosing
    its place, and one resting in its cell comes up by itself."""
    forbidden = {stage: set(lock.forbids) for stage, lock in BY_STAGE.items()}
    assert forbidden["cell"] == set(FORBIDS)
    assert "dig" in forbidden["eggs"]
    assert {"dig", "move"} <= forbidden["wandering"]
    assert {"dig", "wet"} <= forbidden["resting"]
    assert withheld([BY_STAGE["cell"]], Depth.LID, overridden=False)
    assert withheld([BY_STAGE["eggs"]], Depth.DUG, overridden=False)
    assert not withheld([BY_STAGE["eggs"]], Depth.WALL, overridden=False)


READINGS: tuple[dict[str, object], ...] = (
    {"moisture": "dry"},
    {"moisture": "wet"},
    {"moisture": "water"},
    {"smell": "sour"},
    {"warmth": "hot"},
    {"warmth": "warm"},
    {"mould": "many"},
    {"mites": "many"},
    {"flies": "many"},
    {"surfaced": 1},
    {"surfaced": 4},
    {"dead": 1},
    {"cell_seen": False},
    {"lid": False},
    {"droppings": "mostly"},
    {"on_back": True},
    {"missing": 1},
)


@pytest.mark.parametrize("stage", ["wandering", "cell", "resting"])
def test_nothing_that_can_be_read_leads_to_spraying_digging_or_warming_a_cell(stage: str) -> None:
    """Common practice, no source: a wet cell cripples or kills, a broken one is not built again, and warming a
    pre-pupa shortens nothing that can be had back."""
    for reading in READINGS:
        for rule, todo in raised(stage, reading, days=6).items():
            said = todo.lower().split("do not", 1)[0]
            for word in ("spray", "moisten", "pour", "dig", "warmer shelf", "shake", "re-bed"):
                assert word not in said, (rule, reading, todo)


@pytest.mark.parametrize("reading", READINGS, ids=str)
def test_nothing_that_can_be_read_leads_to_digging_at_fresh_eggs(reading: dict[str, object]) -> None:
    """Common practice, no source: eggs that are turned or washed fail; only water, heat or gas is worse."""
    for rule, todo in raised("eggs", reading, days=6).items():
        for word in ("dig", "search", "wash", "turn"):
            assert word not in todo.lower().replace("return", ""), (rule, todo)


@pytest.mark.parametrize("stage", ["laying", "eggs", "larvae", "cell", "colony", "holding"])
def test_standing_water_is_the_worst_there_is_and_no_lock_holds_against_it(stage: str) -> None:
    """Common practice, no source: water at the base shuts out air; eggs go first, then small larvae."""
    rule = next(r for r in config().rules if r.id == "standing-water")
    assert (rule.level, rule.over_locks) == ("now", True)
    todo = raised(stage, {"moisture": "water"})["standing-water"]
    assert "draw" in todo.lower() or "pour" in todo.lower()


def test_several_larvae_on_top_mean_gas_heat_or_water_before_anything_else() -> None:
    """Common practice, no source. In a group only the wanderer is moved out."""
    todo = raised("larvae", {"surfaced": 3})["larvae-surfaced"].lower()
    places = [todo.index(word) for word in ("smell", "base", "water", "only that one")]
    assert places == sorted(places)
    assert "larvae-surfaced" not in raised("larvae", {"surfaced": 1})


def test_a_single_day_without_eating_is_no_alarm() -> None:
    """Common practice, no source: untouched for a day is normal near laying or on a cool night."""
    fed = {"jelly_gone": 0, "activity": "out"}
    assert not {"unused-food", "not-eating"} & raised("holding", fed, days=1).keys()


# The calendar.


@pytest.mark.parametrize(
    ("day", "week"),
    [
        ("2003-12-29", "2004-W01-1"),
        ("2004-01-04", "2004-W01-7"),
        ("2005-01-01", "2004-W53-6"),
        ("2005-12-31", "2005-W52-6"),
        ("2007-12-31", "2008-W01-1"),
        ("2008-12-29", "2009-W01-1"),
        ("2010-01-03", "2009-W53-7"),
        ("2021-01-01", "2020-W53-5"),
        ("2024-12-30", "2025-W01-1"),
        ("2026-12-31", "2026-W53-4"),
        ("2027-01-03", "2026-W53-7"),
    ],
)
def test_days_as_ordinals_fall_into_the_weeks_of_iso_8601(day: str, week: str) -> None:
    """ISO 8601, with the examples of Python's documentation of ``date.isocalendar`` among them."""
    found = date.fromordinal(date.fromisoformat(day).toordinal()).isocalendar()
    assert f"{found.year}-W{found.week:02}-{found.weekday}" == week


def ms(utc: str) -> int:
    return int(datetime.fromisoformat(utc).replace(tzinfo=UTC).timestamp() * 1000)


@pytest.mark.parametrize(
    ("zone", "utc", "day"),
    [
        # The day of a house turns at 04:00 by its own clock.
        ("Europe/Berlin", "2026-03-01T02:59:59", "2026-02-28"),
        ("Europe/Berlin", "2026-03-01T03:00:00", "2026-03-01"),
        # Spring: 02:00 becomes 03:00 at 01:00 UTC, so 04:00 comes an hour early by UTC.
        ("Europe/Berlin", "2025-03-30T01:59:59", "2025-03-29"),
        ("Europe/Berlin", "2025-03-30T02:00:00", "2025-03-30"),
        # Autumn: 02:30 is passed twice, both times on the night before.
        ("Europe/Berlin", "2025-10-26T00:30:00", "2025-10-25"),
        ("Europe/Berlin", "2025-10-26T01:30:00", "2025-10-25"),
        ("Europe/Berlin", "2025-10-26T03:00:00", "2025-10-26"),
        ("America/New_York", "2025-03-09T07:59:59", "2025-03-08"),
        ("America/New_York", "2025-03-09T08:00:00", "2025-03-09"),
        ("America/New_York", "2025-11-02T05:30:00", "2025-11-01"),
        ("America/New_York", "2025-11-02T06:30:00", "2025-11-01"),
        ("Asia/Tokyo", "2025-03-29T17:30:00", "2025-03-29"),
        ("Asia/Tokyo", "2025-03-29T19:00:00", "2025-03-30"),
        # Half an hour of summer time.
        ("Australia/Lord_Howe", "2025-10-04T16:59:59", "2025-10-04"),
        ("Australia/Lord_Howe", "2025-10-04T17:00:00", "2025-10-05"),
    ],
)
def test_the_round_day_of_an_instant(zone: str, utc: str, day: str) -> None:
    """The IANA time zone database's rules for these nights."""
    assert date.fromordinal(round_day(ms(utc), zone, 240)).isoformat() == day


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York", "Asia/Tokyo", "Australia/Lord_Howe"])
def test_a_loaded_visit_falls_on_the_same_round_day_as_a_walked_one(zone: str) -> None:
    clock = Clock(zone, 240)
    for wall in (
        "2025-10-26T03:59",
        "2025-10-26T04:00",
        "2025-03-30T05:15",
        "2025-12-31T23:59",
        "2024-02-29T04:00",
    ):
        at_ms, *_ = clock.read(wall)
        assert written_day(wall, 240) == round_day(at_ms, zone, 240)


def test_every_day_of_ten_years_has_every_hour_of_its_own_in_one_round_day() -> None:
    """Going through the hours of ten years, the round day never goes back and never leaves out a day."""
    at, end = ms("2020-01-01T12:00"), ms("2030-01-01T12:00")
    last = round_day(at, "Europe/Berlin", 240)
    while at < end:
        at += 6 * 3_600_000
        now = round_day(at, "Europe/Berlin", 240)
        assert now - last in (0, 1)
        last = now
