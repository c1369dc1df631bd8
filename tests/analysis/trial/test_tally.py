"""Counts out of the books: what is certain is counted, everything else is left out with its reason."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rounds.analysis.trial import tally_sentences
from rounds.analysis.trial.brood_counts import BroodCount, reference_of
from rounds.analysis.trial.tally import ENDPOINTS, Asked, tally
from rounds.analysis.trial.verdict import LOWER, verdict
from rounds.records.ledger import Ledger
from rounds.records.tables import Brood, Content, Enclosure, Fewer, Pairing, Search
from tests.acts import books
from tests.acts.books import day, span
from tests.analysis.trial.trial_books import PLAN, SMITHI, Books, trial_books

ADULT = Asked("adult")


def counted(b: Books, asked: Asked = ADULT) -> dict[str, BroodCount]:
    return {brood.female: brood for brood, *_ in tally(b.ledger, asked)}


def test_each_pairing_is_a_row_with_what_it_found_and_what_came_of_it() -> None:
    found = counted(trial_books())
    assert {f: (b.arm, b.eggs, b.alive) for f, b in found.items()} == {
        female: ({"sibs": "sib", "cross": "outcross"}[purpose], 20, adults)
        for purpose, female, adults in PLAN.values()
    }
    one = found["TALLOW/11"]
    assert (one.male, one.batch, one.female_age, one.left_out, one.note) == (
        "TALLOW/21",
        "mix 7",
        30.0,
        "",
        "",
    )


def test_they_can_be_judged_as_they_are() -> None:
    broods = list(counted(trial_books()).values())
    v = verdict(broods, reference_of(broods))
    assert v is not None
    assert (v.reference.name, v.finding) == ("outcross", LOWER)
    assert v.p is not None
    assert v.p <= 0.05


@pytest.mark.parametrize(
    ("endpoint", "alive"), [("hatched", 20), ("L2", 20), ("L3", 6), ("cell", 6), ("adult", 6)]
)
def test_who_died_later_than_the_endpoint_had_reached_it(endpoint: str, alive: int) -> None:
    assert set(ENDPOINTS) == {"hatched", "L2", "L3", "cell", "adult"}
    assert counted(trial_books(), Asked(endpoint))["TALLOW/11"].alive == alive


def group(b: Books, **change: object) -> None:
    for column, value in change.items():
        b.set(Content.column(column), b.ids["S-01-g"], value)


def animal(b: Books, **more: object) -> None:
    """One of the six adults of S-01 is given a number."""
    group(b, unsexed=5)
    b.add(Fewer(content=b.ids["S-01-g"], brood=b.ids["S-01-b"], how="numbered", unsexed=1))
    b.animal("TALLOW/99", "f", brood=b.ids["S-01-b"], **more)  # type: ignore[arg-type]


def left(b: Books, how: str, n: int = 2) -> None:
    """Some L3 of S-01 left their group of six."""
    group(b, unsexed=6 - n)
    b.add(Fewer(content=b.ids["S-01-g"], brood=b.ids["S-01-b"], how=how, unsexed=n, instar="L3"))


YOUNG = {"emerged": None, "first_feed": None, "mature": None}

CASES: dict[str, tuple[Callable[[Books], object], Asked, tuple[int, int], str, str]] = {
    "numbered": (lambda b: animal(b), ADULT, (20, 6), "", ""),
    "numbered, died grown": (lambda b: animal(b, state="dead"), ADULT, (20, 6), "", ""),
    "numbered, died a larva": (lambda b: animal(b, state="dead", **YOUNG), ADULT, (20, 5), "", ""),
    "numbered, in its cell": (
        lambda b: animal(b, cell=span("2026-05-18"), **YOUNG),
        Asked("cell"),
        (20, 6),
        "",
        "",
    ),
    "numbered, last seen when its brood was found": (
        lambda b: (b.set(Brood.instar, b.ids["S-01-b"], "L2"), animal(b, **YOUNG)),
        Asked("L2"),
        (20, 20),
        "first counted as L2",
        "",
    ),
    "numbered, of a brood whose instar nobody noted": (
        lambda b: (b.set(Brood.instar, b.ids["S-01-b"], ""), animal(b, **YOUNG)),
        ADULT,
        (20, 5),
        "not there yet",
        "",
    ),
    "given away before": (lambda b: animal(b, state="gone", **YOUNG), ADULT, (19, 5), "", "1 given away"),
    "missing": (
        lambda b: animal(b, state="missing", **YOUNG),
        ADULT,
        (20, 5),
        "",
        "1 missing, counted as lost",
    ),
    "a group given away": (
        lambda b: left(b, "given away"),
        ADULT,
        (18, 4),
        "",
        "2 given away before that, not counted",
    ),
    "too many given away": (
        lambda b: left(b, "given away", 3),
        ADULT,
        (17, 3),
        "3 of 20 were given away before",
        "3 given away",
    ),
    "a group missing": (lambda b: left(b, "missing"), ADULT, (20, 4), "", "2 missing, counted as lost"),
    "labels": (
        lambda b: group(b, doubt="labels of T-1 and T-2 were mixed up"),
        ADULT,
        (20, 6),
        "mixed up",
        "",
    ),
    "labels of an animal": (
        lambda b: animal(b, doubt="labels were mixed up"),
        ADULT,
        (20, 6),
        "mixed up",
        "",
    ),
    "still larvae": (lambda b: group(b, instar="L3"), ADULT, (20, 0), "6 are not there yet", ""),
    "still larvae, over": (
        lambda b: group(b, instar="L3"),
        Asked("adult", closed=True),
        (20, 0),
        "",
        "6 not there by",
    ),
    "open father": (
        lambda b: b.set(Pairing.paternity, b.ids["S-01"], "open"),
        ADULT,
        (20, 6),
        "father is open",
        "",
    ),
    "likely father": (
        lambda b: b.set(Pairing.paternity, b.ids["S-01"], "likely"),
        ADULT,
        (20, 6),
        "",
        "likely",
    ),
    "at least": (lambda b: b.set(Brood.at_least, b.ids["S-01-b"], True), ADULT, (20, 6), "at least 20", ""),
    "at least alive": (lambda b: group(b, at_least=True), ADULT, (20, 6), "at least so many", ""),
    "more than found": (lambda b: group(b, unsexed=30), ADULT, (30, 30), "not counted at first sight", ""),
    "tub of larvae": (
        lambda b: b.set(Enclosure.stage, b.ids["T-1"], "larvae"),
        ADULT,
        (20, 0),
        "not there yet",
        "",
    ),
    "box of cells": (
        lambda b: (group(b, instar="L3"), b.set(Enclosure.stage, b.ids["T-1"], "cell")),
        Asked("cell"),
        (20, 6),
        "",
        "",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_what_is_not_certain_leaves_the_brood_out_or_is_noted(name: str) -> None:
    change, asked, counts, left_out, note = CASES[name]
    b = trial_books()
    change(b)
    found = counted(b, asked)
    one = found.pop("TALLOW/11")
    assert (one.eggs, one.alive) == counts
    assert bool(one.left_out) == bool(left_out)
    assert left_out in one.left_out
    assert note in one.note
    if name != "labels of an animal":
        before = counted(trial_books(), asked)
        assert all(before[f] == brood for f, brood in found.items()), "the others stay as they were"


def test_eggs_counted_twice_perhaps_are_a_range_and_leave_the_brood_out() -> None:
    b = trial_books()
    search = b.add(
        Search(enclosure=b.ids["L-1"], pairing=b.ids["S-01"], made=span("2026-04-17"), eggs=4, recount=3)
    )
    b.add(
        Brood(
            name="again",
            pairing=b.ids["S-01"],
            search=search,
            found=span("2026-04-17"),
            instar="eggs",
            unsexed=4,
        )
    )
    assert tally_sentences.counted_between(21, 24) in counted(b)["TALLOW/11"].left_out


def test_a_brood_split_off_still_counts_to_its_pairing() -> None:
    b = trial_books()
    child = b.add(Brood(name="split", parent=b.ids["S-01-b"], found=span("2026-05-18"), unsexed=2))
    group(b, unsexed=4)
    b.add(Content(enclosure=b.box("T-99", "holding"), brood=child, unsexed=2))
    assert (counted(b)["TALLOW/11"].eggs, counted(b)["TALLOW/11"].alive) == (20, 6)


def test_what_acts_record_is_counted_at_every_step() -> None:
    """From pairing to cell, by the acts a keeper records."""

    def row(ledger: Ledger, endpoint: str, closed: bool = False) -> BroodCount:
        return next(b for b, *_ in tally(ledger, Asked(endpoint, closed)) if b.female == "UMBER/2")

    def after(ledger: Ledger, *argv: str, **f: str) -> Ledger:
        return books.record(ledger, *argv, sure=True, **f)

    house = books.house()
    paired = after(
        house, "pair", "T-01", female="UMBER/2", males="UMBER/1", purpose="sibs", on="2026-03-22", name="S-1"
    )
    laying = after(paired, "to-laying", "T-01", to="T-11", on="2026-04-06")
    assert "UMBER/2" not in {b.female for b, *_ in tally(laying, ADULT)}, "nobody has looked yet"
    found = after(laying, "search", "T-11", how="complete", l1="8", on="2026-04-26")
    one = row(found, "L3")
    assert (one.arm, one.eggs, one.alive, one.male) == ("sib", 8, 0, "UMBER/1")
    assert tally_sentences.still_coming(8) in one.left_out
    assert tally_sentences.FATHER_LIKELY in one.note
    assert tally_sentences.first_counted_as("L1") in row(found, "hatched").left_out
    tub = after(found, "split", "S-1-01", into="T-12", per="3", on="2026-05-06")
    dead = after(tub, "dead-some", "T-12", count="1", on="2026-05-11")
    assert tally_sentences.still_coming(7) in row(dead, "L3").left_out
    numbered = after(dead, "animal", "UMBER", number="88", in_="T-12", on="2026-05-14")
    assert tally_sentences.still_coming(7) in row(numbered, "L3").left_out
    cell = after(numbered, "cell", "T-12", animal="UMBER/88", on="2026-05-15")
    last = row(cell, "cell", closed=True)
    assert (last.eggs, last.alive, last.left_out) == (8, 1, "")
    assert tally_sentences.too_late(6) in last.note
    mixed = after(cell, "swapped-labels", "T-12", with_="T-14", from_="2026-05-11")
    assert "mixed up" in row(mixed, "cell", closed=True).left_out


def test_only_what_was_asked_for_is_counted() -> None:
    b = trial_books()
    b.set(Pairing.purpose, b.ids["S-01"], "unplanned")
    assert "TALLOW/11" not in counted(b)
    assert counted(b, ADULT._replace(species="Pachnoda marginata")) == {}
    assert len(counted(b, ADULT._replace(species=SMITHI))) == 7
    assert counted(b, ADULT._replace(since=day("2026-02-18"))) == {}
    assert len(counted(b, ADULT._replace(until=day("2026-02-17")))) == 7


def test_a_pairing_nobody_searched_is_not_a_brood_without_eggs() -> None:
    b = trial_books()
    female = b.animal("TALLOW/50", "f")
    b.make("S-09", "pairing", name="S-09", female=female, purpose="sibs", since=span("2026-02-17"))
    assert "TALLOW/50" not in counted(b)
    b.add(Search(enclosure=b.ids["L-1"], pairing=b.ids["S-09"], made=span("2026-04-01"), complete=True))
    assert counted(b)["TALLOW/50"].eggs == 0
