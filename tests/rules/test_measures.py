"""Derived measures, one by one."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.occupancy import Company
from rounds.husbandry.species import Species, SpeciesRange, Words
from rounds.records.observations import Visit
from rounds.rules.context import EvaluationContext
from rounds.rules.food_measures import LASTS
from rounds.rules.measures import MEASURES, key_of
from rounds.rules.scene import Scene, UsualRange
from rounds.values.spans import Span
from tests.rules.boxes import TODAY, box, group, scene, seen


def value(there: Scene, name: str, of: str = "") -> Any:
    return EvaluationContext(there)[key_of(name, of)]


def test_time_since_the_last_look_skips_what_was_skipped() -> None:
    there = scene(seen(5, moisture="right"), seen(2, skipped="time"), seen(0, moisture="wet"))
    assert value(there, "days_since_visit") == 5
    assert value(there, "hours_since_visit") == pytest.approx(120)
    assert value(scene(seen(0, moisture="wet")), "days_since_visit") is None


def test_without_a_present_visit_all_visits_are_past() -> None:
    there = scene(seen(5, moisture="wet"), present=False)
    assert value(there, "days_since_visit") == 5
    assert EvaluationContext(there)["moisture"] is None


def test_days_in_stage_count_from_the_latest_day_it_can_have_begun() -> None:
    there = scene(seen(0), at=box()._replace(stage_since=Span(TODAY - 40, TODAY - 10, "in May")))
    assert value(there, "days_in_stage") == 10
    assert value(scene(seen(0)), "days_in_stage") is None


def test_a_run_passes_over_looks_that_did_not_observe() -> None:
    there = scene(
        seen(6, moisture="right"),
        seen(5, moisture="wet"),
        seen(4, confirmed={"moisture": "right"}),
        seen(3, jelly_gone=2),
        seen(2, moisture="wet"),
        seen(1, skipped="time"),
        seen(0, moisture="wet"),
    )
    assert value(there, "same_for_visits", "moisture") == 3
    assert value(there, "same_for_days", "moisture") == 5
    assert value(there, "previous", "moisture") == "wet"


def test_a_run_ends_where_the_stage_began() -> None:
    there = scene(*[seen(d, moisture="wet") for d in range(6, -1, -1)], at=box("laying", days=2))
    assert value(there, "same_for_visits", "moisture") == 3


def test_a_run_is_unknown_when_nothing_is_observed_now() -> None:
    there = scene(seen(1, moisture="wet"), seen(0, confirmed={"moisture": "wet"}))
    assert value(there, "same_for_visits", "moisture") is None
    assert value(there, "change_since_last", "jelly_gone") is None


def test_change_and_days_since() -> None:
    there = scene(seen(4, mating=True), seen(2, mating=False, jelly_gone=1), seen(0, jelly_gone=4))
    assert value(there, "change_since_last", "jelly_gone") == 3
    assert value(there, "days_since", "mating") == 4
    assert value(there, "days_since_read", "mating") == 2
    assert value(there, "days_since_read", "moisture") is None
    assert value(there, "days_since", "jelly_gone") == 0


def test_signs_of_life() -> None:
    below = {"activity": "below", "jelly_gone": 0}
    assert value(scene(seen(9, jelly_gone=1), seen(4, **below), seen(0, **below)), "days_since_sign") == 9
    assert value(scene(seen(9, **below), seen(4, **below), seen(0, **below)), "days_since_sign") == 9
    assert value(scene(seen(4, **below), seen(0, activity="out")), "days_since_sign") == 0
    assert value(scene(seen(4, moisture="wet"), seen(0, **below)), "days_since_sign") is None


def test_who_is_here() -> None:
    there = scene(seen(0), at=box(contents=(group(2, 3), group(unsexed=4, instar="L3", at_least=True))))
    assert [value(there, n) for n in ("adults", "males", "females")] == [5, 2, 3]
    assert value(there, "larvae") == UsualRange(4, float("inf"))
    assert value(there, "instar") == "L3"
    assert value(there, "litres_per_larva") is None
    tub = scene(seen(0), at=box(contents=(group(unsexed=4, instar="L2"),), litres=6.0))
    assert value(tub, "litres_per_larva") == 1.5
    counted = scene(seen(0), at=box("larvae", contents=(group(1, 2, 3),)))
    assert [value(counted, n) for n in ("larvae", "males", "females")] == [6, 0, 0]
    assert value(scene(seen(0), at=box("eggs", contents=(group(unsexed=9),))), "larvae") == 0
    mixed = scene(seen(0), at=box(contents=(group(unsexed=4, instar="L2"), group(unsexed=1, instar="L1"))))
    assert value(mixed, "instar") is None


def test_the_shelf_is_read_once_for_all_its_boxes() -> None:
    shelf = (seen(4, shelf_temp=20.0), seen(1, shelf_temp=24.0), seen(0, shelf_temp=21.5))
    there = scene(seen(0, moisture="right"), shelf=shelf)
    assert value(there, "shelf_temperature") == 21.5
    assert value(there, "shelf_change") == pytest.approx(-2.5)
    assert value(scene(seen(0), shelf=shelf[:2]), "shelf_temperature") is None
    assert (
        value(scene(seen(0), shelf=(shelf[0], shelf[2])), "shelf_change") is None
    )  # more than three days apart


def test_gone_per_day_counts_from_the_last_look_at_the_food() -> None:
    there = scene(seen(3, jelly_gone=1), seen(1, moisture="wet"), seen(0, jelly_gone=6))
    assert value(there, "gone_per_day") == pytest.approx(2)
    assert value(scene(seen(0, jelly_gone=6)), "gone_per_day") is None
    assert value(scene(seen(0.1, jelly_gone=1), seen(0, jelly_gone=1)), "gone_per_day") is None  # too short


def test_taking_old_food_out_is_not_eating() -> None:
    there = scene(seen(1, jelly_in=4), seen(0, jelly_gone=1, jelly_out=3))
    assert value(there, "gone_per_day") == pytest.approx(1)


def test_the_usual_is_the_median_of_the_fortnight_before_and_needs_four() -> None:
    days = [seen(d, jelly_gone=n) for d, n in ((6, 0), (5, 2), (4, 9), (3, 3), (2, 1))]
    assert value(scene(*days, seen(0, jelly_gone=1)), "usual_gone_per_day") == pytest.approx(2.5)
    assert value(scene(*days[1:], seen(0, jelly_gone=1)), "usual_gone_per_day") is None
    assert value(scene(*days, seen(0, jelly_gone=1)), "gone_ratio") == pytest.approx(0.5 / 2.5)
    assert value(scene(*days, seen(0, moisture="wet")), "gone_ratio") is None


def test_the_usual_of_two_companies_is_never_mixed() -> None:
    days = [seen(d, jelly_gone=9) for d in (9, 8, 7)] + [seen(d, jelly_gone=2) for d in (6, 5, 4, 3, 2, 1)]
    there = [*days, seen(0, jelly_gone=1)]
    assert value(scene(*there), "usual_gone_per_day") == pytest.approx(2)
    moved = box(company=Company(TODAY - 5, TODAY - 40))
    assert value(scene(*there, at=moved), "usual_gone_per_day") == pytest.approx(2)
    moved = box(company=Company(TODAY - 4, TODAY - 40))  # 3, 2 and 1 days ago are theirs: too few to tell
    assert value(scene(*there, at=moved), "usual_gone_per_day") is None
    assert value(scene(*there, at=moved), "gone_ratio") is None
    run = [*days, seen(0, jelly_gone=0, jelly_in=4)]
    assert value(scene(*run), "usually_gone_meanwhile") is not None
    assert value(scene(*run, at=moved), "usually_gone_meanwhile") is None
    same_day = [seen(4.4, jelly_gone=9), seen(4, jelly_gone=9), *days[6:], seen(0, jelly_gone=1)]
    assert value(scene(*same_day, at=moved), "usual_gone_per_day") is None, (
        "the day of the move is the others'"
    )


def test_nothing_eaten_before_they_came_says_nothing_of_those_here() -> None:
    run = [seen(9, jelly_gone=2, jelly_in=4), *(seen(d, jelly_gone=0, jelly_in=4) for d in (8, 6, 4, 2, 0))]
    assert value(scene(*run), "days_untouched") == value(scene(*run), "days_since_sign") == 9
    new = box(company=Company(TODAY - 4, TODAY - 4))
    assert value(scene(*run, at=new), "days_untouched") == value(scene(*run, at=new), "days_since_sign") == 4
    one_left = box(company=Company(TODAY - 4, TODAY - 40))
    assert value(scene(*run, at=one_left), "days_untouched") == 9, "who stayed ate nothing all the time"


def test_weeks_in_which_nobody_looked_are_not_weeks_without_a_sign() -> None:
    """A cup lasts some days (:data:`LASTS`); what became of it after that was seen by nobody."""
    below = {"activity": "below", "jelly_gone": 0}
    away = scene(seen(30, jelly_gone=2, jelly_in=4), seen(28, **below), seen(1, **below), seen(0, **below))
    assert value(away, "days_untouched") == value(away, "days_since_sign") == 2 + LASTS + 1
    looked = scene(*(seen(n, jelly_gone=2 if n == 30 else 0, jelly_in=4) for n in range(30, -1, -1)))
    assert value(looked, "days_untouched") == value(looked, "days_since_sign") == 30


def test_days_untouched() -> None:
    start = seen(9, jelly_gone=2, jelly_in=4)
    assert value(scene(start, seen(6, jelly_gone=0), seen(5, jelly_gone=0)), "days_untouched") == 4
    assert value(scene(start, seen(6, jelly_gone=0), seen(5, jelly_gone=1)), "days_untouched") == 0
    assert value(scene(start, seen(6, jelly_gone=0), seen(5, moisture="wet")), "days_untouched") is None
    passed = scene(
        start, seen(6, jelly_gone=0), seen(5, confirmed={"jelly_gone": (0, 2)}), seen(4, jelly_gone=0)
    )
    assert value(passed, "days_untouched") == 4
    assert value(scene(start, seen(6, fruit_gone="untouched", jelly_gone=0)), "days_untouched") == 3
    assert value(scene(start, seen(6, fruit_gone="some", jelly_gone=0)), "days_untouched") == 0
    assert (
        value(scene(seen(6, jelly_gone=0), seen(5, jelly_gone=0)), "days_untouched") is None
    )  # was there any food?


def test_what_usually_goes_in_as_many_days_is_the_mean_before_the_run() -> None:
    eating = [seen(d, jelly_gone=n, jelly_in=4) for d, n in ((12, 9), (11, 1), (10, 0), (9, 0), (8, 1))]
    untouched = [seen(d, jelly_gone=0) for d in (7, 6, 4)]
    there = scene(*eating, *untouched)
    assert value(there, "days_untouched") == 4
    assert value(there, "usually_gone_meanwhile") == pytest.approx(
        0.5 * 4
    )  # the first 9: since nobody knows when
    assert value(scene(*eating[1:], *untouched), "usually_gone_meanwhile") is None
    assert value(scene(*eating, seen(7, jelly_gone=1)), "usually_gone_meanwhile") == 0
    assert value(scene(*eating, seen(7, moisture="wet")), "usually_gone_meanwhile") is None


def test_more_gone_than_can_have_lain_there() -> None:
    assert value(scene(seen(2, jelly_in=4), seen(1, jelly_gone=1), seen(0, jelly_gone=9)), "gone_beyond") == 6
    assert value(scene(seen(2, jelly_in=4), seen(1, jelly_in=4), seen(0, jelly_gone=8)), "gone_beyond") == 0
    out = scene(seen(2, jelly_in=4), seen(1, jelly_gone=1, jelly_out=3, jelly_in=4), seen(0, jelly_gone=5))
    assert value(out, "gone_beyond") == 1
    # What was of an older cup takes nothing from the new one; what is put in now was not there.
    older = scene(seen(3, jelly_gone=3), seen(2, jelly_in=4, jelly_gone=3), seen(0, jelly_gone=4, jelly_in=4))
    assert value(older, "gone_beyond") == 0
    # Confirmed amounts may be nothing: they take nothing from the most there can be.
    confirmed = seen(1)._replace(confirmed={"jelly_gone": (0, 4)})
    assert value(scene(seen(2, jelly_in=4), confirmed, seen(0, jelly_gone=4)), "gone_beyond") == 0


def test_what_nobody_wrote_down_is_not_called_a_slip() -> None:
    assert value(scene(seen(1, jelly_gone=2), seen(0, jelly_gone=9)), "gone_beyond") is None
    assert value(scene(seen(7, jelly_in=4), seen(0, jelly_gone=9)), "gone_beyond") is None, "that cup is gone"
    assert value(scene(seen(1, jelly_in=4), seen(0, moisture="wet")), "gone_beyond") is None


def test_age_of_cup_and_fruit() -> None:
    there = scene(
        seen(5, jelly_in=4, fruit_in=True), seen(3, jelly_in=0), seen(1, fruit_gone="some"), seen(0)
    )
    assert value(there, "cup_age_days") == 5
    assert value(there, "fruit_age_days") == 5
    assert value(there, "fruit_left") is True
    gone = scene(seen(5, fruit_in=True), seen(1, fruit_gone="gone"), seen(0))
    assert value(gone, "fruit_left") is False
    assert value(gone, "fruit_age_days") is None
    assert value(scene(seen(5, jelly_in=4), seen(0, jelly_in=4, fruit_in=True)), "cup_age_days") == 0
    assert value(scene(seen(0)), "fruit_left") is None


@pytest.mark.parametrize("name", sorted(MEASURES))
def test_every_measure_copes_with_an_empty_history(name: str) -> None:
    of = "jelly_gone" if MEASURES[name].of else ""
    assert value(scene(), name, of) in (None, 0)


amounts = st.none() | st.integers(0, 9)


@given(
    st.lists(st.tuples(st.booleans(), amounts), min_size=5, max_size=20),
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), max_size=6),
    st.data(),
)
def test_confirmed_amounts_never_enter_the_usual(
    days: list[tuple[bool, int | None]], confirmed: list[tuple[int, int]], data: st.DataObject
) -> None:
    """The usual is the same whatever ranges the confirmed looks were given."""
    n = len(days)
    one: list[Visit] = []
    two: list[Visit] = []
    for i, (observed, amount) in enumerate(days):
        if observed and amount is not None:
            both = seen(n - i, jelly_gone=amount)
            one.append(both)
            two.append(both)
        else:
            low, high = data.draw(st.sampled_from(confirmed or [(0, 1)]))
            one.append(seen(n - i, confirmed={"jelly_gone": (min(low, high), max(low, high))}))
            two.append(seen(n - i, confirmed={"jelly_gone": (0.0, 9.0)}))
    last = seen(0, jelly_gone=1)
    for name in ("usual_gone_per_day", "gone_ratio", "days_untouched"):
        assert value(scene(*one, last), name) == value(scene(*two, last), name)


# -- the species file ----------------------------------------------------------------------------

PRESETS = {
    "Aa bb": Species(
        "Aa bb",
        ranges={
            "temperature/L3": SpeciesRange(14, 18, None, "estimate"),
            "temperature/larvae": SpeciesRange(20, 24, None, "estimate"),
            "larva_litres/L3": SpeciesRange(1.5, 2, None, "estimate"),
        },
        texts={
            "moisture/larvae": Words(("right", "dry"), "estimate"),
            "moisture/laying": Words(("right",), "estimate"),
            "kept": Words(("single",), "estimate"),
            "cannibal": Words(("crowded",), "estimate"),
        },
    )
}


def by_file(
    name: str, stage: str = "larvae", *, degrees: float = 21.0, moisture: str = "dry", **more: Any
) -> Any:
    there = box(stage, species=more.pop("species", "Aa bb"), **more)
    known = scene(seen(0, shelf_temp=degrees, moisture=moisture), at=there)._replace(presets=lambda: PRESETS)
    return EvaluationContext(known)[f"={name}"]


def test_whether_dry_suits_a_stage_is_in_the_species_file() -> None:
    assert by_file("dry_suits") is True
    assert by_file("dry_suits", "laying") is False
    assert by_file("dry_suits", "eggs") is False
    assert by_file("dry_suits", species="Cc dd") is False
    assert by_file("dry_suits", moisture="right") is None


@pytest.mark.parametrize("name", ["dry_suits", "degrees_too_warm", "degrees_too_cold", "cannibals_together"])
def test_a_look_that_needs_no_species_file_reads_none(name: str) -> None:
    def never() -> dict[str, Species]:
        raise AssertionError("the species files were read")

    there = scene(seen(0, moisture="right"), at=box("larvae", contents=(group(unsexed=1, instar="L3"),)))
    EvaluationContext(there._replace(presets=never, shelf=()))[f"={name}"]


def test_degrees_beyond_what_the_file_gives_for_the_instar_or_else_the_stage() -> None:
    three = (group(unsexed=3, instar="L3"),)
    assert by_file("degrees_too_warm") == pytest.approx(-3)
    assert by_file("degrees_too_warm", contents=three) == pytest.approx(3)
    assert by_file("degrees_too_cold", contents=three, degrees=12.0) == pytest.approx(2)
    assert (by_file("coldest", contents=three), by_file("warmest", contents=three)) == (14, 18)
    for unknown in ({"stage": "cell"}, {"species": "Cc dd"}):
        assert by_file("degrees_too_warm", **unknown) is None
        assert by_file("warmest", **unknown) is None


def test_larvae_that_eat_each_other_when_crowded_need_the_room_the_file_gives() -> None:
    three = (group(unsexed=3, instar="L3"),)
    assert by_file("cannibals_together", contents=three, litres=3.0) is True
    assert by_file("cannibals_together", contents=three, litres=6.0) is False
    assert by_file("cannibals_together", contents=three) is None
    assert by_file("cannibals_together", contents=(group(unsexed=1, instar="L3"),), litres=0.5) is False
    assert by_file("cannibals_together", contents=three, litres=3.0, species="Cc dd") is None
