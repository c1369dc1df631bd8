"""A trial of the books as counts: nobody silently gone, nothing counted that came after the last day."""

from __future__ import annotations

import pytest

from rounds.acts import running_trials
from rounds.acts.act import ConfirmationRequired
from rounds.analysis.pedigree.book_pedigree import of_book
from rounds.analysis.trial import book_trial, book_trial_words, tally_sentences, trial_candidates
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.verdict import LOWER, verdict
from rounds.husbandry.species import Species
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Content, Fewer, Line, Pairing, Search, Trial, TrialFemale
from tests.acts.books import day, record, ref, span
from tests.acts.trial_house import CROSS, MALES, PLACES, SIBS, families, opened, paired
from tests.analysis.trial.trial_books import PLAN, Books, trial_books

STOPS = day("2026-08-18")


def kept(endpoint: str = "adult", stops: str = "2026-08-18") -> Books:
    """The eight pairings of the house as a trial."""
    b = trial_books()
    b.make(
        "TR",
        "trial",
        name="TR",
        species="Eudicella smithi",
        endpoint=endpoint,
        stops=day(stops),
        opened=day("2026-02-15"),
    )
    for n, (pairing, (purpose, female, _)) in enumerate(PLAN.items(), 1):
        male = b.ids[f"TALLOW/{20 + n}"]
        b.make(
            f"{pairing}-t",
            "trial_female",
            trial=b.ids["TR"],
            arm=purpose,
            female=b.ids[female],
            male=male,
            pairing=b.ids[pairing],
        )
    return b


def counted(b: Books, today: int = STOPS) -> dict[str, BroodCount]:
    return {c.brood.female: c.brood for c in book_trial.counts(b.ledger, b.ids["TR"], today)}


def test_every_female_is_a_row_of_her_arm() -> None:
    found = counted(kept())
    assert {f: (b.arm, b.eggs, b.alive, b.left_out) for f, b in found.items()} == {
        female: ({"sibs": "sib", "cross": "outcross"}[arm], 20, adults, "")
        for arm, female, adults in PLAN.values()
    }


def test_the_arm_is_the_one_that_was_drawn_whatever_the_pairing_says() -> None:
    b = kept()
    b.set(Pairing.purpose, b.ids["S-01"], "unplanned")
    assert counted(b)["TALLOW/11"].arm == "sib"


def test_whoever_cannot_be_compared_says_why() -> None:
    b = kept()
    b.set(TrialFemale.pairing, b.ids["S-01-t"], None)
    b.set(TrialFemale.out, b.ids["S-02-t"], day("2026-04-17"))
    b.set(TrialFemale.out_why, b.ids["S-02-t"], "tub relabelled")
    b.set(TrialFemale.male, b.ids["S-03-t"], b.ids["TALLOW/24"])
    for search in list(b.ledger.rows(Search, Search.pairing.is_(b.ids["S-04"]))):
        b.set(Search.column("void"), search.id, True)
        assert search.pairing == b.ids["S-04"]
    found = counted(b)
    assert found["TALLOW/11"].left_out == "never paired"
    assert found["TALLOW/12"].left_out == "dropped out on 17 Apr 2026: tub relabelled"
    assert found["TALLOW/13"].left_out == "drawn for TALLOW/24, paired with TALLOW/23"
    assert found["TALLOW/14"].left_out == "never searched"
    early = counted(b, STOPS - 1)
    assert (early["TALLOW/11"].left_out, early["TALLOW/14"].left_out) == (
        "not paired yet",
        "not searched yet",
    )


def numbered(b: Books, eclosed: str) -> None:
    """One of the six adults of S-01 gets a number; it left its pupal skin on a day."""
    b.set(Content.unsexed, b.ids["S-01-g"], 5)
    b.add(Fewer(content=b.ids["S-01-g"], brood=b.ids["S-01-b"], how="numbered", unsexed=1))
    b.animal(
        "TALLOW/99",
        "f",
        brood=b.ids["S-01-b"],
        eclosed=span(eclosed),
        emerged=None,
        first_feed=None,
        mature=None,
    )


def test_nobody_counts_who_came_so_far_after_the_last_day() -> None:
    for eclosed, alive in (("2026-08-17", 6), ("2026-08-18", 6), ("2026-08-19", 5)):
        b = kept()
        numbered(b, eclosed)
        assert counted(b, STOPS + 100)["TALLOW/11"].alive == alive, eclosed


def test_groups_made_up_after_the_last_day_are_counted_as_they_are_and_that_is_said() -> None:
    b = kept()
    b.set(Content.since, b.ids["S-01-g"], span("2026-08-22"))
    found = counted(b, STOPS + 10)["TALLOW/11"]
    assert found.alive == 6
    assert tally_sentences.grouped_later(6) in found.note


def test_who_is_still_on_the_way_is_lost_only_from_the_last_day_on() -> None:
    b = kept()
    b.set(Content.instar, b.ids["S-01-g"], "L3")
    assert counted(b, STOPS - 1)["TALLOW/11"].left_out == tally_sentences.still_coming(6)
    last = counted(b)["TALLOW/11"]
    assert (last.alive, last.left_out) == (0, "")
    assert tally_sentences.too_late(6) in last.note


def test_a_blind_count_tells_nothing_of_arm_or_survivors() -> None:
    b = kept()
    b.set(Content.instar, b.ids["S-01-g"], "L3")
    b.set(Content.doubt, b.ids["X-01-g"], "labels of T-5 and T-6 were mixed up")
    rows = [c.brood for c in book_trial.in_no_order(book_trial.counts(b.ledger, b.ids["TR"], STOPS - 1))]
    assert [r.female for r in rows] == sorted(r.female for r in rows)
    assert {(r.arm, r.alive, r.f, r.note) for r in rows} == {("", 0, None, "")}
    assert {r.female: r.left_out for r in rows if r.left_out} == {
        "RUSH/11": "labels of T-5 and T-6 were mixed up"
    }


def test_a_trial_runs_until_its_last_day_or_its_closing() -> None:
    b = kept()
    trial = b.ledger.row(Trial, b.ids["TR"])
    before, last = book_trial.when(trial, STOPS - 1), book_trial.when(trial, STOPS)
    assert (before.running, before.left) == (True, 1)
    assert (last.running, last.left, last.judged_on) == (False, 0, STOPS)
    b.set(Trial.closed, b.ids["TR"], STOPS - 20)
    closed = book_trial.when(b.ledger.row(Trial, b.ids["TR"]), STOPS - 10)
    assert (closed.running, closed.closed_early, closed.judged_on) == (False, 20, STOPS - 20)


def test_progress_counts_both_arms_together() -> None:
    books = record(paired(opened(), "TALLOW/11", "TALLOW/21", "L-1"), "trial-out", "RUSH/11", because="x")
    assert book_trial.progress(books, ref(books, "trial", "TR-01")) == book_trial.Progress(
        8, 1, 0, 1, (None,) * 8
    )


def test_changes_are_told_apart_from_other_notes() -> None:
    books = record(
        opened(note="a dry spring; a warm room"),
        "trial-change",
        "TR-01",
        stops="2027-01-17",
        because="cold; and wet",
        sure=True,
    )
    trial = books.row(Trial, ref(books, "trial", "TR-01"))
    assert running_trials.written(trial) == [
        "changed on 2026-05-18 by Ferrow: last day 2026-12-17 -> 2027-01-17, because cold; and wet"
    ]
    said = book_trial_words.fixed_lines(trial, book_trial.Progress(8, 0, 0, 0))
    assert any(line.startswith("! changed on 2026-05-18") for line in said)
    assert said[1] == (
        "endpoint adult, fixed when it began; last day 2027-01-17, changed on 2026-05-18 "
        "(it was 2026-12-17 when it began), when 0 of 8 broods had been counted"
    )


def test_an_endpoint_changed_when_counting_was_over_is_no_endpoint_fixed_before() -> None:
    laying = record(
        paired(opened(), "TALLOW/11", "TALLOW/21", "L-1"), "to-laying", "L-1", to="L-1", with_male="yes"
    )
    books = record(laying, "search", "L-1", how="complete", l1="9", sure=True)
    for endpoint, on in (("L3", "2026-06-17"), ("L2", "2026-06-18")):
        books = record(
            books, "trial-change", "TR-01", endpoint=endpoint, because="y", sure=True, today=day(on)
        )
    trial = books.row(Trial, ref(books, "trial", "TR-01"))
    said = book_trial_words.settled_line(trial, book_trial.progress(books, trial.id))
    assert said.startswith(
        "endpoint L2, changed on 2026-06-18 (it was adult when it began), when 1 of 8 broods had been counted"
    )


def test_places_drawn_are_set_against_places_used() -> None:
    books = opened(places=",".join(PLACES))
    books = paired(books, "TALLOW/11", "TALLOW/21", "L-1")
    # Elsewhere than drawn, which is asked about.
    with pytest.raises(ConfirmationRequired, match="A4-1 is the place drawn for the brood of RUSH/11"):
        paired(books, "TALLOW/12", "TALLOW/22", "L-5")
    books = record(books, "pair", "L-5", female="TALLOW/12", males="TALLOW/22", on="2026-05-15", sure=True)
    found = book_trial.places(books, ref(books, "trial", "TR-01"))
    assert {p.female: (p.drawn, p.now) for p in found if p.now} == {
        "TALLOW/11": ("A3-1", "A3-1"),
        "TALLOW/12": ("A3-2", "A4-1"),
    }
    assert book_trial_words.place_lines(found) == [
        "places: 1 as drawn, 1 elsewhere, 6 not set up or gone",
        "! TALLOW/12 was drawn for A3-2 and stands at A4-1",
    ]
    assert book_trial_words.place_lines([]) == []


def free(books: Ledger, **more: object) -> trial_candidates.Breeders:
    presets: dict[str, Species] = {}
    return trial_candidates.breeders(books, presets, day("2026-05-18"), "Eudicella smithi", **more)  # type: ignore[arg-type]


def names(books: Ledger, ids: list[int]) -> set[str]:
    return {f"{books.row(Line, books.row(Animal, i).line).name}/{books.row(Animal, i).number}" for i in ids}


def test_whoever_is_free_can_be_drawn_and_the_others_are_told_with_the_reason() -> None:
    books = families()
    found = free(books)
    assert (names(books, found.females), names(books, found.males)) == ({*SIBS, *CROSS}, set(MALES))
    assert found.hindered == []
    with_him = record(
        books, "pair", "L-1", female="TALLOW/11", males="TALLOW/28", purpose="sibs", on="2026-05-06"
    )
    spent = record(with_him, "parted", "P-01", males_to="M-8", female_to="F-1", rest="keep", on="2026-05-11")
    told = dict(free(spent).hindered)
    assert told["TALLOW/11"].startswith(tally_sentences.earlier_male(""))
    planned = record(books, "plan-pair", "TALLOW/12", with_="TALLOW/22", sure=True)
    assert "(PLAN-01)" in dict(free(planned).hindered)["TALLOW/12"]
    assert dict(free(opened()).hindered)["RUSH/11"] == "in the trial TR-01"
    assert free(books, left_out=[ref(books, "animal", "RUSH/12")]).hindered == [
        ("RUSH/12", "left out by you")
    ]


def test_kin_of_candidates_comes_from_the_book_and_places_of_origin_keep_apart() -> None:
    books = families()
    p, problems = of_book(books, "book")
    assert p is not None, problems
    f, m = ref(books, "animal", "TALLOW/11"), ref(books, "animal", "TALLOW/21")
    away = ref(books, "animal", "RUSH/11")
    known = trial_candidates.kin(books, p, [f, away], [m])
    assert known[f, m].sibs
    assert known[f, m].low == 0.25
    assert (known[away, m].sibs, known[away, m].high, known[away, m].apart) == (False, 0.0, False)
    d = Draft(books)
    d.set(Line.locality, ref(books, "line", "RUSH"), "a valley of its own")
    assert trial_candidates.kin(d.ledger, p, [away], [m])[away, m].apart
    assert trial_candidates.age(books, f, day("2026-05-18")) == 31.0
    assert trial_candidates.kin(books, p, [], [m]) == {}


def test_a_whole_trial_by_the_acts_a_keeper_records() -> None:
    """Opened, paired as offered, laid, searched, counted again as L3, one relabelled, closed, judged."""
    alive = {
        "TALLOW/11": 3,
        "TALLOW/12": 4,
        "TALLOW/13": 2,
        "TALLOW/14": 5,
        "RUSH/11": 9,
        "RUSH/12": 8,
        "RUSH/13": 10,
        "RUSH/14": 7,
    }
    books = opened(endpoint="L3", places=",".join(PLACES))
    for n, (female, left) in enumerate(alive.items(), 1):
        box = f"L-{n}"
        books = record(books, "plan-made", f"PLAN-0{n}", on="2026-05-19", today=day("2026-05-19"))
        books = record(
            books,
            "to-laying",
            box,
            to=box,
            with_male="yes",
            on="2026-05-27",
            today=day("2026-05-27"),
            sure=True,
        )
        later = day("2026-07-06")
        books = record(
            books, "search", box, how="complete", eggs="10", on="2026-07-06", today=later, sure=True
        )
        grown = day("2026-09-17")
        books = record(
            books,
            "counted",
            box,
            count=str(left),
            instar="L3",
            how="dead",
            on="2026-09-17",
            today=grown,
            sure=True,
        )
        assert names(books, [r.female for r in books.rows(Pairing, Pairing.name.is_(f"P-0{n}"))]) == {female}
    trial = ref(books, "trial", "TR-01")

    def rows(ledger: Ledger, today: str) -> dict[str, tuple[str, int, int, str]]:
        found = [c.brood for c in book_trial.counts(ledger, trial, day(today))]
        return {b.female: (b.arm, b.eggs, b.alive, b.left_out) for b in found}

    wanted = {f: ("sib" if f in SIBS else "outcross", 10, n, "") for f, n in alive.items()}
    assert rows(books, "2026-12-17") == wanted
    mixed = record(
        books, "swapped-labels", "L-1", with_="L-2", from_="2026-08-18", today=day("2026-09-18"), sure=True
    )
    found = rows(mixed, "2026-12-17")
    assert "labels" in found["TALLOW/11"][3]
    assert "labels" in found["TALLOW/12"][3]
    assert {f: row for f, row in found.items() if not row[3]} == {
        f: row for f, row in wanted.items() if f not in ("TALLOW/11", "TALLOW/12")
    }
    closed = record(books, "trial-close", "TR-01", today=day("2026-12-17"))
    v = verdict([c.brood for c in book_trial.counts(closed, trial, day("2027-01-18"))], "outcross")
    assert v is not None
    assert v.finding == LOWER
    assert v.p is not None
    assert v.p <= 0.05
