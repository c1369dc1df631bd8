"""What comes into the house: arrivals, lines, animals on loan here, the end of quarantine."""

from __future__ import annotations

import pytest

from rounds.acts import arrival_law, arrival_sentences, registry, shared_act_sentences
from rounds.acts.act import ConfirmationRequired, Settings
from rounds.acts.groups import groups
from rounds.husbandry import cautions, lock_sentences
from rounds.husbandry.species import LegalEntry, Species
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Due, Loan, Lock, Lot
from rounds.values.spans import Span
from tests.acts.books import TODAY, asked, day, house, inside, record, ref, refused, row, span
from tests.husbandry.test_species import shipped

SPECIES = shipped()
BOOKS = house()
ARRIVAL = {"species": "Pachnoda marginata", "count": "2.3.4", "into": "T-12"}


def open_locks(ledger: Ledger, box: str) -> list[tuple[str, Span | None]]:
    return [
        (lock.forbids, lock.until)
        for lock in ledger.rows(Lock, Lock.enclosure.is_(ref(ledger, "enclosure", box)))
        if lock.lifted is None
    ]


def open_dues(ledger: Ledger, box: str) -> list[tuple[str, int | None]]:
    rows = ledger.rows(Due, Due.enclosure.is_(ref(ledger, "enclosure", box)))
    return [(r.what, r.latest) for r in rows if r.done is None and r.off_until is None]


@pytest.mark.parametrize(
    ("act", "told"),
    [
        ("box", {"code": "NEW"}),
        ("line", {"name": "ASH"}),
        ("arrival", {"count": "2.3.4", "into": "T-12"}),
    ],
)
def test_a_species_that_is_not_known_is_asked_about_once(act: str, told: dict[str, str]) -> None:
    """Counts typed into the field of the name, or a slip of the keys; a beetle that is new here is taken with a yes."""
    known = Settings(species=SPECIES)

    def planned(species: str, books: Ledger, *, sure: bool = False) -> registry.PlannedAct:
        more = {**told, "species": species}
        return registry.plan(act, "", more, books, TODAY, sure=sure, settings=known)

    for nonsense, near in (("11.1.0", ""), ("Pachnoda marginat", "Known is Pachnoda marginata.")):
        with pytest.raises(ConfirmationRequired, match="kept nowhere here") as question:
            planned(nonsense, BOOKS)
        assert near in question.value.text
    new = planned("Protaetia speciosa", BOOKS, sure=True)
    kept = record(BOOKS, "line", name="OAK", species="Protaetia speciosa")
    for species, books in (("pachnoda marginata", BOOKS), ("Protaetia speciosa", kept)):
        assert len(planned(species, books).changes) == len(new.changes)


def test_an_arrival_goes_into_quarantine_with_its_papers() -> None:
    told = 'F2, said to be from "the hill"; WF1 x WF1?'
    books = record(
        BOOKS,
        "arrival",
        **ARRIVAL,
        from_="Nine Alders",
        papers="NA-7",
        origin=told,
        mated="no",
        until="2026-07-01",
        on="2026-05-17",
        name="NA May",
        note="by hand",
    )
    lot = row(books, "lot", "NA May")
    assert (lot.from_whom, lot.papers, lot.origin, lot.mated_before) == (
        "Nine Alders",
        "NA-7",
        told,
        "no",
    )
    assert (lot.males, lot.females, lot.unsexed, lot.at_least) == (2, 3, 4, False)
    assert lot.arrived == span("2026-05-17")
    assert lot.quarantine_until == day("2026-07-01")
    box = row(books, "enclosure", "T-12")
    assert (box.stage, box.stage_since, box.species) == (
        "quarantine",
        span("2026-05-17"),
        "Pachnoda marginata",
    )
    assert open_locks(books, "T-12") == [("move", Span(day("2026-07-01"), day("2026-07-01")))]
    assert open_dues(books, "T-12") == [("end of quarantine", day("2026-07-01"))]
    (group,) = groups(books, ref(books, "enclosure", "T-12"))
    assert group.lot == ref(books, "lot", "NA May")
    assert faults(books) == []


def test_what_an_arrival_does_not_say_is_not_invented() -> None:
    books = record(BOOKS, "arrival", **{**ARRIVAL, "count": "at least 20"}, age="L2")
    lot = row(books, "lot", "LOT-01")
    assert (lot.mated_before, lot.from_whom, lot.papers, lot.origin) == ("unknown", "", "", "")
    assert lot.quarantine_until == TODAY + 30
    assert inside(books, "T-12") == ["? 0.0.20+ L2"]


def test_a_quarantine_that_is_long_over_leaves_no_lock() -> None:
    for age, stage in (("adults", "holding"), ("L3", "larvae"), ("eggs", "eggs")):
        books = record(BOOKS, "arrival", **ARRIVAL, age=age, on="spring 2024", until="2024-07-01")
        assert row(books, "enclosure", "T-12").stage == stage
        assert open_locks(books, "T-12") == open_dues(books, "T-12") == []


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"species": ""}, "species", "Which species (Latin name)?"),
        ({"species": "a\nb"}, "species", "cannot be a name"),
        ({"count": "some"}, "count", "is not a count"),
        ({"count": "0"}, "count", arrival_sentences.nobody_came().hint),
        ({"into": "T-112"}, "into", "Did you mean `T-12`?"),
        ({"into": "T-01"}, "into", arrival_sentences.others_not_in_quarantine("T-01").hint),
        ({"age": "L4"}, "age", "eggs, L1, L2, L3, adults"),
        ({"mated": "perhaps"}, "mated", "yes, no, unknown"),
        ({"line": "BRAMBEL"}, "line", "Did you mean `BRAMBLE`?"),
        ({"line": "UMBER"}, "species", "Mecynorhina torquata"),
        ({"until": "soon"}, "until", "not a date"),
        (
            {"until": "2026-04-17"},
            "until",
            arrival_sentences.quarantine_over_before_they_came("18 May 2026").message,
        ),
        ({"on": "2026-05-22"}, "on", "has not come yet"),
        ({"name": "moss gate SPRING"}, "name", arrival_sentences.name_taken("lot", "Moss Gate spring").hint),
        ({"name": "a,b"}, "name", "without commas"),
        ({"from_": "a\0"}, "from", "NUL"),
        ({"papers": "\ud800"}, "papers", "surrogate"),
        ({"origin": "\0"}, "origin", "NUL"),
        ({"note": "\0"}, "note", "NUL"),
        ({"orgin": "x"}, "orgin", "Did you mean `origin`?"),
    ],
)
def test_bad_arrivals(change: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "arrival", **{**ARRIVAL, **change})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_others_in_quarantine_are_asked_about() -> None:
    question = asked(BOOKS, "arrival", **{**ARRIVAL, "into": "T-10"})
    assert question.field == "into"
    assert arrival_sentences.put_in_with_others("T-10", "5 Jun 2026", "18 May 2026") in str(question)


def test_a_line_takes_what_the_arrival_says_and_its_animals() -> None:
    books = record(BOOKS, "arrival", **ARRIVAL, origin="a hill", name="NA May")
    books = record(books, "line", name="FERN", lot="NA May", generation="CBF2 (as sold)")
    fern = row(books, "line", "FERN")
    assert (fern.species, fern.origin, fern.generation) == (
        "Pachnoda marginata",
        "a hill",
        "CBF2 (as sold)",
    )
    assert inside(books, "T-12") == ["FERN 2.3.4"]
    again = record(books, "line", name="MOSS", lot="NA May")
    assert inside(again, "T-12") == ["FERN 2.3.4"]
    own = record(BOOKS, "line", name="HEDGE", species="Cetonia aurata", origin="a garden", on="about 2019")
    assert (row(own, "line", "HEDGE").opened, row(own, "line", "HEDGE").origin) == (
        span("about 2019"),
        "a garden",
    )


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({}, "name", "What is it called?"),
        ({"name": "umber", "species": "x"}, "name", arrival_sentences.name_taken("line", "UMBER").message),
        ({"name": "FERN"}, "species", arrival_sentences.species_missing().hint),
        ({"name": "FERN", "species": "a\u2028b"}, "species", "cannot be a name"),
        (
            {"name": "FERN", "species": "Cetonia aurata", "lot": "Moss Gate spring"},
            "species",
            "Eudicella smithi",
        ),
        ({"name": "FERN", "lot": "Moss Gate sprin"}, "lot", "Did you mean `Moss Gate spring`?"),
        (
            {"name": "FERN", "lot": "Moss Gate spring", "on": "2026-04-17"},
            "on",
            arrival_sentences.before_the_arrival("Moss Gate spring", "6 May 2026").message,
        ),
        ({"name": "FERN", "species": "x", "on": "yesteryear"}, "on", "not a date"),
        ({"name": "FERN", "species": "x", "origin": "\0"}, "origin", "NUL"),
        ({"name": "FERN", "species": "x", "generation": "\0"}, "generation", "NUL"),
        ({"name": "FERN", "species": "x", "note": "\0"}, "note", "NUL"),
    ],
)
def test_bad_lines(typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "line", **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


LOAN = {"number": "N1", "owner": "Nine Alders", "into": "T-12"}


def test_an_animal_on_loan_here_is_in_quarantine_and_not_ours() -> None:
    books = record(
        BOOKS, "loan-in", "SORREL", **LOAN, sex="m", due="autumn 2026", offspring="a third is theirs"
    )
    one = row(books, "animal", "SORREL/N1")
    assert (one.owner, one.sex, one.state) == ("Nine Alders", "m", "alive")
    assert inside(books, "T-12") == ["SORREL/N1"]
    assert row(books, "enclosure", "T-12").stage == "quarantine"
    (loan,) = list(books.rows(Loan))
    assert (loan.way, loan.owner, loan.terms, loan.back) == (
        "in",
        "Nine Alders",
        "a third is theirs",
        None,
    )
    (due,) = list(books.rows(Due, Due.what.is_("loan back")))
    assert (due.earliest, due.latest, due.likely) == (*span("autumn 2026")[:2], None)
    assert arrival_sentences.due_back("Nine Alders", "autumn 2026", borrowed=True) in due.why
    no_day = record(BOOKS, "loan-in", "SORREL", **LOAN)
    assert list(no_day.rows(Due, Due.what.is_("loan back"))) == []


@pytest.mark.parametrize(
    ("subject", "change", "field", "words"),
    [
        ("SORRELL", {}, "line", "Did you mean `SORREL`?"),
        ("UMBER", {"number": "1"}, "number", shared_act_sentences.number_taken("UMBER", "1").message),
        ("SORREL", {"number": ""}, "number", "Which number?"),
        ("SORREL", {"owner": ""}, "owner", "Whose is it?"),
        ("SORREL", {"into": "T-3x"}, "into", "Did you mean"),
        ("SORREL", {"into": "T-05"}, "into", arrival_sentences.others_not_in_quarantine("T-05").message),
        ("SORREL", {"sex": "mole"}, "sex", "m, f, unknown"),
        (
            "SORREL",
            {"due": "2026-04-17"},
            "due",
            arrival_sentences.due_back_before_the_loan("18 May 2026").message,
        ),
        ("SORREL", {"due": "soon"}, "due", "not a date"),
        (
            "SORREL",
            {"until": "2024-12-18"},
            "until",
            arrival_sentences.quarantine_over_before_they_came("18 May 2026").message,
        ),
        ("SORREL", {"offspring": "\0"}, "offspring", "NUL"),
        ("SORREL", {"on": "tomorow"}, "on", "not a date"),
        ("SORREL", {"note": "\0"}, "note", "NUL"),
    ],
)
def test_bad_loans(subject: str, change: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "loan-in", subject, **{**LOAN, **change})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_others_in_quarantine_are_asked_about_for_a_loan_too() -> None:
    assert asked(BOOKS, "loan-in", "SORREL", **{**LOAN, "into": "T-10"}).field == "into"


def test_quarantine_ends() -> None:
    question = asked(BOOKS, "quarantine-over", "T-10", stage="holding")
    assert "5 Jun 2026" in str(question)
    books = record(
        BOOKS, "quarantine-over", "T-10", stage="holding", today=day("2026-06-06"), on="2026-06-05"
    )
    assert row(books, "enclosure", "T-10").stage == "holding"
    assert row(books, "enclosure", "T-10").stage_since == span("2026-06-05")
    assert open_locks(books, "T-10") == open_dues(books, "T-10") == []


def test_only_a_quarantine_that_still_runs_says_how_long_they_have_to_wait() -> None:
    own = record(BOOKS, "lock", "T-10", forbids="wet", until="2026-07-18", reason="wet enough")
    draft = Draft(own)
    draft.add(
        Lock(
            enclosure=ref(own, "enclosure", "T-10"),
            forbids="move",
            from_day=TODAY - 20,
            until=span("2026-06-26"),
            lifted=TODAY - 12,
            reason=lock_sentences.QUARANTINE,
        )
    )
    question = str(asked(draft.ledger, "quarantine-over", "T-10", stage="holding"))
    assert arrival_sentences.end_quarantine_now("5 Jun 2026") in question


@pytest.mark.parametrize(
    ("box", "typed", "field", "words"),
    [
        ("T-01", {"stage": "holding"}, "enclosure", arrival_sentences.not_in_quarantine("T-01").message),
        ("T-10", {"stage": "holdin"}, "stage", "Did you mean `holding`?"),
        (
            "T-10",
            {"stage": "quarantine"},
            "stage",
            arrival_sentences.no_stage_after_quarantine(
                "quarantine", "holding, pairing, laying, eggs, larvae, wandering, cell, resting, colony"
            ).hint,
        ),
        ("T-10", {"stage": "empty"}, "stage", "`emptied`"),
        ("T-10", {"stage": "holding", "on": "2030-01-01"}, "on", "has not come yet"),
    ],
)
def test_bad_ends_of_quarantine(box: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "quarantine-over", box, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


CAUTIONED = (
    "arrival",
    "loan-in",
    "quarantine-over",
    "given-away",
    "given-away-some",
    "lent",
    "went-back",
    "emptied",
    "dead",
)


def test_cautions_stand_where_the_work_is_done() -> None:
    every = registry.all_acts()
    for name in CAUTIONED:
        assert every[name].caution.endswith("Follow local law and qualified advice."), name
    assert "permit" in every["arrival"].caution
    assert "apart" in every["quarantine-over"].caution
    assert "outdoors" in every["given-away"].caution
    assert "gas" in every["emptied"].caution
    assert not every["animal"].caution


@pytest.mark.parametrize(
    ("acts", "words"),
    [
        (
            ("search", "rebed", "substrate", "split", "merge", "emptied", "cleaned"),
            ("allergy", "gloves", "mask", "Wheeze"),
        ),
        (("emptied",), ("away from your face", "holds no food")),
        (("search", "rebed", "to-laying", "move-box", "swap-boxes"), ("heavy",)),
        (("marked",), ("solvents", "Blades")),
        (
            (
                "pair",
                "plan-made",
                "male-in",
                "male-out",
                "parted",
                "to-laying",
                "move",
                "move-some",
                "sexed",
                "weigh",
                "weigh-one",
                "emerged",
                "first-feed",
                "found",
            ),
            ("Claws scratch", "pinch"),
        ),
        (("missing", "missing-some", "missing-here"), ("at once", "authority")),
        (("dead", "dead-some", "dead-here", "given-away", "emptied"), ("do not go outdoors",)),
        (("weigh", "weigh-one"), ("mask",)),
        (("arrival", "loan-in", "given-away", "lent", "went-back"), ("permit", "protected")),
    ],
)
def test_each_act_shows_what_its_work_can_do_to_people(acts: tuple[str, ...], words: tuple[str, ...]) -> None:
    for name in acts:
        caution = registry.known(name).caution
        assert [word for word in words if word not in caution] == [], name


def test_people_come_first_and_every_caution_is_used() -> None:
    order = list(cautions.CAUTIONS)
    people = set(order[: order.index("quarantine")])
    used: set[str] = set()
    for named in (*cautions.ACT_CAUTIONS.values(), *cautions.RULE_CAUTIONS.values()):
        used |= set(named)
    assert used == set(order)
    assert set(cautions.ACT_CAUTIONS) <= registry.all_acts().keys()
    for act in cautions.ACT_CAUTIONS:
        shown = [c.headline for c in cautions.of_act(act)]
        first = [c.headline in {cautions.CAUTIONS[i].headline for i in people} for c in cautions.of_act(act)]
        assert first == sorted(first, reverse=True), (act, shown)
    assert all(len(c.headline) <= 40 for c in cautions.CAUTIONS.values())
    assert registry.known("arrival").caution.count("Follow local law") == 1


PROTECTED = {
    "Aa bb": Species(
        "Aa bb", legal=(LegalEntry("Farland", "protected", "keep none", "the nature office", "2026-11-15"),)
    )
}


def test_a_protected_species_without_papers_is_asked_about_where_it_arrives() -> None:
    settings = Settings(species=PROTECTED)
    typed = {"species": "aa bb", "count": "4", "into": "T-11", "until": "2026-06-17"}

    def arrive(**more: str) -> object:
        return registry.plan("arrival", "", {**typed, **more}, BOOKS, TODAY, "Ferrow", settings=settings)

    with pytest.raises(ConfirmationRequired) as e:
        arrive()
    assert e.value.field == "papers"
    assert "Farland: keep none (the nature office, looked up 15 Nov 2026)" in e.value.text
    assert "its law decides" in e.value.text
    assert arrive(papers="permit 12")


def test_the_law_on_a_species_is_told_where_it_arrives_and_nowhere_else() -> None:
    def told(act: str, whom: str = "", **typed: str) -> str:
        return arrival_law.at_arrival(act, BOOKS, whom, typed, lambda: PROTECTED)

    assert "Farland" in told("arrival", species="Aa bb")
    assert "No legal status is on file for Cc dd" in told("arrival", species="Cc dd")
    assert "No legal status is on file for Mecynorhina torquata" in told("loan-in", "UMBER", number="9")
    assert told("move", "UMBER/1", to="T-01") == ""


def test_quarantine_does_not_end_before_it_began() -> None:
    books = record(BOOKS, "arrival", **ARRIVAL, on="2026-05-16")
    slips = refused(books, "quarantine-over", "T-12", stage="holding", on="2026-05-15")
    assert slips["on"].message == arrival_sentences.before_quarantine("T-12", "16 May 2026").message


def test_a_species_is_written_as_its_file_spells_it() -> None:
    """However it was typed: what is due and what the rules know of it is found by that name."""
    typed = {**ARRIVAL, "species": "  mecynorhina TORQUATA "}
    settings = Settings(species=SPECIES)
    made = registry.plan("arrival", "", typed, BOOKS, TODAY, "Ferrow", sure=True, settings=settings)
    books = BOOKS.after(made.changes)
    assert row(books, "enclosure", "T-12").species == "Mecynorhina torquata"
    lot = max(books.rows(Lot), key=lambda one: one.id)
    assert lot.species == "Mecynorhina torquata"
    typed = {"name": "NEWTON", "species": "mecynorhina torquata"}
    made = registry.plan("line", "", typed, BOOKS, TODAY, "Ferrow", settings=settings)
    assert row(BOOKS.after(made.changes), "line", "NEWTON").species == "Mecynorhina torquata"
    assert arrival_law.spelt("Nobodys beetle ", SPECIES) == "Nobodys beetle", "of it there is no file"
