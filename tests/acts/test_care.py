"""Care: weights that may be slips, substrate and who got it, protein and its leftovers, checklists."""

from __future__ import annotations

import pytest

from rounds.acts import care_sentences, pairing_sentences, registry, shared_act_sentences, weighing_sentences
from rounds.acts.act import ConfirmationRequired, Settings
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Batch, BatchUse, Content, Due, Enclosure, Protein, Tick, Weight
from rounds.values.spans import Span
from tests.acts.books import TODAY, asked, day, house, plan, record, ref, refused, row, span


@pytest.fixture
def books() -> Ledger:
    return house()


@pytest.fixture
def weighed(books: Ledger) -> Ledger:
    """UMBER/5 weighed 5.3 g with a head of 9 mm as L3 a month ago."""
    return record(books, "weigh", "UMBER/5", grams="5.3", head_mm="9", instar="L3", on="2026-04-18")


def due(ledger: Ledger, box: str, what: str) -> list[tuple[int, int, str]]:
    return [
        (r.earliest, r.latest, r.why)
        for r in ledger.rows(Due, Due.enclosure.is_(ref(ledger, "enclosure", box)), Due.done.is_(None))
        if r.what == what
    ]


def used(ledger: Ledger, batch: str) -> list[str]:
    """Codes of the enclosures that got a batch."""
    rows = ledger.rows(BatchUse, BatchUse.batch.is_(ref(ledger, "batch", batch)))
    return [str(ledger.row(Enclosure, r.enclosure).code) for r in rows]


# --- weights ----------------------------------------------------------------------------


def test_a_weight_is_kept_as_it_was_typed(books: Ledger) -> None:
    after = record(
        books, "weigh", "UMBER/5", grams="31,4", head_mm="10.5", instar="L3", on="about 2026-05-06"
    )
    [weight] = after.rows(Weight)
    assert (weight.grams, weight.head_mm, weight.instar) == (31.4, 10.5, "L3")
    assert (weight.animal, weight.content, weight.made) == (
        ref(books, "animal", "UMBER/5"),
        None,
        span("about 2026-05-06"),
    )
    content = next(r for r in after.rows(Content, Content.animal.is_(ref(books, "animal", "UMBER/5"))))
    assert content.instar == "L3"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"grams": "53"}, weighing_sentences.much_heavier(53.0, 10.0, 5.3, 5.3, grouped=False)),
        ({"grams": "62"}, weighing_sentences.much_heavier(62.0, 11.7, 5.3, 6.2, grouped=False)),
        ({"grams": "0.55"}, weighing_sentences.lighter("UMBER/5", 0.55, 89.62, 5.3, 5.5)),
        ({"grams": "3.5"}, weighing_sentences.lighter("UMBER/5", 3.5, 33.96, 5.3, None)),
        ({"grams": "6", "head_mm": "0.9"}, weighing_sentences.another_head("UMBER/5", 0.9, 9.0, None)),
        ({"grams": "6", "head_mm": "90"}, "Give head width"),
        ({"grams": "6", "instar": "L2"}, weighing_sentences.had_that_instar("UMBER/5", "L3")),
    ],
)
def test_what_may_be_a_slip_is_asked_about(weighed: Ledger, fields: dict[str, str], words: str) -> None:
    if words.startswith("Give"):
        assert words in refused(weighed, "weigh", "UMBER/5", **fields)["head_mm"].hint
    else:
        assert words in str(asked(weighed, "weigh", "UMBER/5", **fields))


@pytest.mark.parametrize("grams", ["5.3", "3.6", "4", "12", "26"])
def test_what_a_larva_may_weigh_is_not_asked_about(weighed: Ledger, grams: str) -> None:
    after = record(weighed, "weigh", "UMBER/5", grams=grams)
    assert len(list(after.rows(Weight))) == 2


def test_all_doubts_come_in_one_question(weighed: Ledger) -> None:
    question = str(asked(weighed, "weigh", "UMBER/5", grams="53", head_mm="1", instar="L1"))
    assert weighing_sentences.much_heavier(53.0, 10.0, 5.3, 5.3, grouped=False) in question
    assert weighing_sentences.another_head("UMBER/5", 1.0, 9.0, None) in question
    assert weighing_sentences.had_that_instar("UMBER/5", "L3") in question


def test_a_beetle_is_not_compared_with_the_larva_it_was(weighed: Ledger) -> None:
    d = Draft(weighed)
    d.set(Animal.eclosed, ref(weighed, "animal", "UMBER/5"), span("2026-05-06"))
    record(d.ledger, "weigh", "UMBER/5", grams="2")  # not asked
    assert (
        weighing_sentences.is_grown("6 May 2026").message
        in refused(d.ledger, "weigh", "UMBER/5", grams="2", instar="L3")["instar"].message
    )


def test_an_old_weight_is_compared_with_those_before_it_only(weighed: Ledger) -> None:
    record(weighed, "weigh", "UMBER/5", grams="0.4", on="2026-02-15")  # not asked


TORQUATA = "Mecynorhina torquata"
KNOWN = Settings(
    species={
        TORQUATA: Species(
            TORQUATA,
            ranges={
                "peak_grams/f": SpeciesRange(18, 28, None, "from memory"),
                "peak_grams/m": SpeciesRange(30, 40, None, "common practice, no source"),
                "head_mm/L3": SpeciesRange(9, 11, None, "estimate"),
            },
        )
    }
)


@pytest.mark.parametrize(
    ("typed", "asked_about"),
    [
        ({"grams": "61"}, weighing_sentences.beyond_the_species(61.0, "Mecynorhina torquata", 40.0)),
        ({"grams": "59"}, ""),
        (
            {"grams": "20", "head_mm": "5", "instar": "L3"},
            weighing_sentences.head_of_another_instar(5.0, "L3", "Mecynorhina torquata", 9.0, 11.0),
        ),
        ({"grams": "20", "head_mm": "10", "instar": "L3"}, ""),
        # From here on an estimate: head × 1.4 a moult (Dyar's rule, from memory), weight by its cube.
        ({"grams": "18", "instar": "L1"}, weighing_sentences.much_for_instar(18.0, "L1", TORQUATA, 40.0)),
        ({"grams": "7", "instar": "L1"}, ""),
        ({"grams": "23", "instar": "L2"}, weighing_sentences.much_for_instar(23.0, "L2", TORQUATA, 40.0)),
        ({"grams": "18", "instar": "L2"}, ""),
        ({"grams": "18", "instar": "L3"}, ""),
    ],
)
def test_a_first_weight_is_held_against_the_species_file(
    books: Ledger, typed: dict[str, str], asked_about: str
) -> None:
    """UMBER/5 is not sexed: the heavier sex counts."""

    def weigh() -> object:
        return registry.plan("weigh", "UMBER/5", typed, books, TODAY, "Ferrow", settings=KNOWN)

    if not asked_about:
        assert weigh()
        return
    with pytest.raises(ConfirmationRequired) as e:
        weigh()
    assert asked_about in e.value.text
    # The control: without a file nothing is known, and nothing is asked.
    assert registry.plan("weigh", "UMBER/5", typed, books, TODAY, "Ferrow")


def test_an_instar_that_is_not_told_is_taken_as_it_is_recorded(books: Ledger) -> None:
    def weigh(ledger: Ledger, act: str, who: str, grams: str) -> object:
        return registry.plan(act, who, {"grams": grams}, ledger, TODAY, "Ferrow", settings=known)

    peaks = Species("Dicronorhina derbyana", ranges={"peak_grams/m": SpeciesRange(30, 40, None, "estimate")})
    known = Settings(species={**KNOWN.species, peaks.name: peaks})
    assert weigh(books, "weigh", "UMBER/5", "18"), "an L3 here"
    d = Draft(books)
    [content] = books.rows(Content, Content.animal.is_(ref(books, "animal", "UMBER/5")))
    d.set(Content.instar, content.id, "L1")
    assert weigh(d.ledger, "weigh", "UMBER/5", "18"), "recorded so months ago: it has moulted since"
    lately = Span(TODAY - 10, TODAY - 10)
    d.set(Content.since, content.id, lately)
    with pytest.raises(ConfirmationRequired) as e:
        weigh(d.ledger, "weigh", "UMBER/5", "18")
    assert weighing_sentences.much_for_instar(18.0, "L1", TORQUATA, 40.0) in e.value.text
    [group] = books.rows(Content, Content.enclosure.is_(ref(books, "enclosure", "T-05")))
    d.set(Content.since, group.id, lately)
    assert weigh(d.ledger, "weigh-one", "T-05", "18"), "an L2 in the group"
    assert weigh(books, "weigh-one", "T-05", "23"), "it was one long ago"
    with pytest.raises(ConfirmationRequired) as e:
        weigh(d.ledger, "weigh-one", "T-05", "23")
    assert weighing_sentences.much_for_instar(23.0, "L2", "Dicronorhina derbyana", 40.0) in e.value.text


def test_one_of_a_group_is_compared_with_the_range_of_the_last_day(books: Ledger) -> None:
    one = record(books, "weigh-one", "T-06", grams="9", on="2026-05-06")
    two = record(one, "weigh-one", "T-06", grams="14", on="2026-05-06")
    record(two, "weigh-one", "T-06", grams="6.5")  # a third lighter than the lightest would be 6
    assert weighing_sentences.lighter("T-06", 5.9, 34.44, 9.0, 59.0) in str(
        asked(two, "weigh-one", "T-06", grams="5.9")
    )
    assert weighing_sentences.much_heavier(130.0, 9.29, 14.0, 13.0, grouped=True) in str(
        asked(two, "weigh-one", "T-06", grams="130")
    )
    [first, second] = two.rows(Weight)
    assert first.animal is None
    assert (
        first.content
        == second.content
        == next(content.id for content in books.rows(Content, Content.instar.is_("L3")))
    )


def test_a_weigh_in_that_was_due_is_done(books: Ledger) -> None:
    d = Draft(books)
    for box in ("T-06", "T-14"):
        d.add(
            Due(
                enclosure=ref(books, "enclosure", box),
                what="weigh-in",
                earliest=TODAY,
                likely=TODAY,
                latest=TODAY,
            )
        )
    assert due(record(d.ledger, "weigh-one", "T-06", grams="9"), "T-06", "weigh-in") == []
    assert due(record(d.ledger, "weigh", "UMBER/5", grams="9"), "T-14", "weigh-in") == []


@pytest.mark.parametrize(
    ("act", "subject", "fields", "field", "words"),
    [
        ("weigh", "UMBER/5", {}, "grams", "is needed. Weight in g?"),
        ("weigh", "UMBER/5", {"grams": "heavy"}, "grams", "is not a number"),
        ("weigh", "UMBER/5", {"grams": "0"}, "grams", "0.01 to 500"),
        ("weigh", "UMBER/5", {"grams": "5", "head_mm": "0.1"}, "head_mm", "0.3 to 40"),
        ("weigh", "UMBER/5", {"grams": "5", "instar": "L4"}, "instar", "L1, L2, L3"),
        ("weigh", "UMBER/5", {"grams": "5", "on": "tomorrow"}, "on", "has not come yet"),
        ("weigh", "UMBER/3", {"grams": "5"}, "animal", shared_act_sentences.is_dead("UMBER/3").message),
        ("weigh", "UMBR/5", {"grams": "5"}, "animal", "Did you mean `UMBER/5`?"),
        (
            "weigh-one",
            "T-14",
            {"grams": "5"},
            "enclosure",
            " ".join(weighing_sentences.no_group_to_weigh("T-14", ["UMBER/5"])),
        ),
        ("weigh-one", "T-13", {"grams": "5"}, "enclosure", weighing_sentences.holds_eggs("T-13").message),
        (
            "weigh-one",
            "T-06",
            {"grams": "5", "on": "2026-03-18"},
            "on",
            shared_act_sentences.before_they_came_on("17 Apr 2026").message,
        ),
        ("weigh-one", "T-06", {"grams": "5", "line": "LOCK"}, "line", "Did you mean `LOCH`?"),
    ],
)
def test_bad_input_to_weighing(
    books: Ledger, act: str, subject: str, fields: dict[str, str], field: str, words: str
) -> None:
    assert words in str(refused(books, act, subject, **fields)[field])


# --- substrate --------------------------------------------------------------------------


def test_a_batch_is_mixed_and_given_to_many(books: Ledger) -> None:
    after = record(
        books,
        "substrate",
        recipe="leaf and white-rotten wood 3:1",
        into="T-05,6,T-09",
        litres="2.5",
        on="2026-05-16",
    )
    made = row(after, "batch", "M-01")
    assert (made.recipe, made.made) == ("leaf and white-rotten wood 3:1", span("2026-05-16"))
    assert used(after, "M-01") == ["T-05", "T-06", "T-09"]
    assert {(use.litres, use.given) for use in after.rows(BatchUse)} == {(2.5, span("2026-05-16"))}
    later = record(after, "substrate-used", "M-01", into="T-11")
    assert used(later, "M-01") == ["T-05", "T-06", "T-09", "T-11"]
    assert record(later, "substrate", recipe="flake soil")  # M-02
    rebed = record(later, "rebed", "T-14", batch="M-01", litres="1")
    assert used(rebed, "M-01")[-1] == "T-14"


@pytest.mark.parametrize("fields", [{}, {"batch": "not known"}])
def test_fresh_substrate_of_which_nobody_knows_the_batch_is_one_of_its_own(
    books: Ledger, fields: dict[str, str]
) -> None:
    once = record(books, "rebed", "T-05", **fields)
    twice = record(once, "rebed", "T-09", **fields)
    assert used(twice, "unknown-01") == ["T-05"]
    assert used(twice, "unknown-02") == ["T-09"]
    assert (row(twice, "batch", "unknown-01").made, row(twice, "batch", "unknown-01").recipe) == (
        None,
        "",
    )
    # What must be told cannot be answered so.
    slip = refused(books, "pair", "T-12", female="not known", males="UMBER/1")["female"]
    assert slip.message != ""


def test_fresh_substrate_does_the_work_that_was_due(books: Ledger) -> None:
    d = Draft(books)
    for what in ("change two thirds of the substrate", "re-bed", "weigh-in"):
        d.add(
            Due(
                enclosure=ref(books, "enclosure", "T-05"),
                what=what,
                earliest=TODAY,
                likely=TODAY,
                latest=TODAY,
            )
        )
    d.add(Batch(name="12", made=span("2026-04-17")))
    after = record(d.ledger, "rebed", "T-05", batch="12")
    assert due(after, "T-05", "change two thirds of the substrate") == due(after, "T-05", "re-bed") == []
    assert len(due(after, "T-05", "weigh-in")) == 1


def test_a_cell_or_fresh_eggs_are_not_bedded_without_a_question(books: Ledger) -> None:
    made = record(books, "substrate", recipe="x", name="12", on="2026-05-16")
    for box, why in (
        ("T-07", "a broken cell is not built twice"),
        ("T-13", "eggs are left where they lie"),
        ("T-04", "until the first search"),
    ):
        assert why in str(asked(made, "rebed", box, batch="12"))
    assert "a broken cell" in str(asked(made, "substrate-used", "12", into="T-05,T-07"))


@pytest.mark.parametrize(
    ("act", "subject", "fields", "field", "words"),
    [
        ("substrate", "", {}, "recipe", "is needed. What is in it?"),
        (
            "substrate",
            "T-05",
            {"recipe": "x"},
            "act",
            shared_act_sentences.concerns_the_house("substrate", "T-05").message,
        ),
        (
            "substrate",
            "",
            {"recipe": "x", "name": "12"},
            "name",
            pairing_sentences.name_taken("batch", "12").message,
        ),
        (
            "substrate",
            "",
            {"recipe": "x", "litres": "2"},
            "litres",
            care_sentences.litres_for_no_enclosure().message,
        ),
        (
            "substrate",
            "",
            {"recipe": "x", "into": "T-5"},
            "into",
            "there is no box `T-5`. Did you mean `T-",
        ),
        (
            "substrate-used",
            "12",
            {"into": "T-05", "on": "2026-03-18"},
            "on",
            care_sentences.before_it_was_mixed("12", "17 Apr 2026").message,
        ),
        ("substrate-used", "13", {"into": "T-05"}, "batch", "there is no batch `13`."),
        ("rebed", "T-05", {"batch": "M-12"}, "batch", "Did you mean `12`?"),
        ("rebed", "T-05", {"batch": "12", "litres": "-1"}, "litres", "below 0.01"),
        (
            "rebed",
            "T-05",
            {"batch": "12", "on": "1 April 2026 to 16 April 2026"},
            "on",
            care_sentences.before_it_was_mixed("12", "17 Apr 2026").message,
        ),
    ],
)
def test_bad_input_about_substrate(
    books: Ledger, act: str, subject: str, fields: dict[str, str], field: str, words: str
) -> None:
    d = Draft(books)
    d.add(Batch(name="12", made=span("2026-04-17")))
    assert words in str(refused(d.ledger, act, subject, **fields)[field])


# --- protein ----------------------------------------------------------------------------


def test_protein_asks_for_its_leftovers_and_says_why(books: Ledger) -> None:
    after = record(books, "protein", "T-05", what="3 pellets", on="2026-05-17")
    [given] = after.rows(Protein)
    assert (given.what, given.out_by, given.taken_out) == ("3 pellets", day("2026-05-20"), None)
    assert due(after, "T-05", "leftovers out") == [
        (
            day("2026-05-19"),
            day("2026-05-20"),
            shared_act_sentences.days_after("3 pellets given 17 May 2026", "2 to 3 days", "from memory"),
        )
    ]
    out = record(after, "protein-out", "T-05")
    [taken] = out.rows(Protein)
    assert taken.taken_out == span("2026-05-18")
    assert due(out, "T-05", "leftovers out") == []


def test_a_day_the_keeper_sets_and_days_of_the_species_come_first(books: Ledger) -> None:
    after = record(books, "protein", "T-05", what="pellets", out_by="+2")
    [(_, latest, why)] = due(after, "T-05", "leftovers out")
    assert latest == TODAY + 2
    assert care_sentences.protein_out_by("pellets", "18 May 2026", "20 May 2026") in why
    settings = registry.Settings(
        days=lambda _, value: (1, 2, "a paper") if value == "leftovers_days" else None
    )
    made = registry.plan("protein", "T-05", {"what": "pellets"}, books, TODAY, settings=settings)
    assert due(books.after(made.changes), "T-05", "leftovers out")[0][1] == TODAY + 2


def test_protein_on_protein_is_asked_about_and_all_of_it_is_taken_out(books: Ledger) -> None:
    once = record(books, "protein", "T-05", what="pellets", on="2026-05-16")
    assert care_sentences.leftovers_still_in("16 May 2026") in str(
        asked(once, "protein", "T-05", what="pellets")
    )
    twice = record(once, "protein", "T-05", sure=True, what="pellets")
    early = record(twice, "protein-out", "T-05", on="2026-05-17")  # before the second was given
    assert len(due(early, "T-05", "leftovers out")) == 2
    assert [protein.taken_out for protein in early.rows(Protein)] == [span("2026-05-17"), None]
    assert due(record(twice, "protein-out", "T-05"), "T-05", "leftovers out") == []


@pytest.mark.parametrize(
    ("act", "box", "fields", "field", "words"),
    [
        ("protein", "T-05", {}, "what", "is needed. What and how much?"),
        (
            "protein",
            "T-07",
            {"what": "x"},
            "enclosure",
            care_sentences.nobody_to_feed("T-07", "cell").message,
        ),
        (
            "protein",
            "T-05",
            {"what": "x", "out_by": "2026-04-17"},
            "out_by",
            care_sentences.out_before_it_was_given("17 Apr 2026", "18 May 2026").message,
        ),
        ("protein", "T-05", {"what": "x", "out_by": "May 2026"}, "out_by", "is more than one day"),
        (
            "protein",
            "T-05",
            {"what": "x", "on": "unknown"},
            "out_by",
            care_sentences.no_day_to_take_it_out().message,
        ),
        ("protein-out", "T-05", {}, "enclosure", care_sentences.no_protein_in("T-05").message),
    ],
)
def test_bad_input_about_protein(
    books: Ledger, act: str, box: str, fields: dict[str, str], field: str, words: str
) -> None:
    assert words in str(refused(books, act, box, **fields)[field])


def test_leftovers_are_not_taken_out_before_they_were_given(books: Ledger) -> None:
    after = record(books, "protein", "T-05", what="pellets", on="2026-05-17")
    assert (
        care_sentences.protein_given_later("17 May 2026").message
        in refused(after, "protein-out", "T-05", on="2026-05-16")["on"].message
    )


# --- checklists -------------------------------------------------------------------------

LISTS = registry.Settings(
    checklists={"set-up-laying": ("clean", "firm", "depth"), "clear-laying": ("look", "clean")}
)


def tick(ledger: Ledger, **typed: str) -> Ledger:
    return ledger.after(registry.plan("tick", "T-11", typed, ledger, TODAY, settings=LISTS).changes)


def slip(ledger: Ledger, **typed: str) -> str:
    with pytest.raises(registry.BadAct) as e:
        tick(ledger, **typed)
    return str(e.value)


def test_steps_are_ticked_on_the_list_they_belong_to(books: Ledger) -> None:
    after = tick(books, item="firm, depth")
    assert [(r.list, r.item, r.done) for r in after.rows(Tick)] == [
        ("set-up-laying", "firm", span("2026-05-18")),
        ("set-up-laying", "depth", span("2026-05-18")),
    ]
    assert record(books, "tick", "T-11", item="anything", list="mine")  # no lists are known here


def test_without_a_name_the_next_step_of_the_one_list_begun_is_ticked(books: Ledger) -> None:
    after = tick(tick(books, item="firm"))
    assert [(r.list, r.item) for r in after.rows(Tick)] == [
        ("set-up-laying", "firm"),
        ("set-up-laying", "clean"),
    ]
    two = tick(after, item="look", list="clear-laying")
    assert care_sentences.which_checklist(["clear-laying", "set-up-laying"]).message in slip(two)
    all_three = tick(after, item="depth")
    assert care_sentences.every_step_ticked("set-up-laying").message in slip(all_three)
    assert (
        care_sentences.no_step_named().message in refused(books, "tick", "T-11", list="mine")["item"].message
    ), "of a list that nobody knows no step is next"


def test_a_tick_of_an_earlier_use_does_not_count(books: Ledger) -> None:
    once = tick(books, item="firm", on="2026-05-06")
    assert care_sentences.step_ticked("firm").message in slip(once, item="firm")
    d = Draft(once)
    d.set(Enclosure.stage_since, ref(books, "enclosure", "T-11"), span("2026-05-11"))
    assert len(list(tick(d.ledger, item="firm").rows(Tick))) == 2


def test_bad_input_to_tick(books: Ledger) -> None:
    assert " ".join(care_sentences.no_checklist_has_step("frim", "Did you mean `firm`?")) in slip(
        books, item="frim"
    )
    assert "list: is needed. Lists: set-up-laying, clear-laying." in slip(books, item="clean")
    assert care_sentences.no_such_step(
        "look", "set-up-laying", "", ["clean", "firm", "depth"]
    ).message in slip(books, item="look", list="set-up-laying")
    assert "Did you mean `set-up-laying`?" in slip(books, item="firm", list="setup-laying")
    assert "list: is needed. Lists: clear-laying, set-up-laying." in slip(books)  # of which is the next step?
    assert care_sentences.which_checklist([]).hint in refused(books, "tick", "T-11", item="firm")["list"].hint


# --- all of them ------------------------------------------------------------------------

MINE = {
    "pair",
    "male-in",
    "male-out",
    "mating-seen",
    "parted",
    "to-laying",
    "search",
    "split",
    "merge",
    "counted",
    "hatched",
    "weigh",
    "weigh-one",
    "substrate",
    "substrate-used",
    "rebed",
    "protein",
    "protein-out",
    "tick",
}


@pytest.mark.parametrize("name", sorted(MINE))
def test_every_act_says_so_when_it_takes_today(name: str) -> None:
    """No date is made up in silence: a field that takes today says it."""
    for field in registry.known(name).fields:
        if field.default == "today":
            assert "today unless given" in field.about
            assert field.past


def test_every_act_is_refused_for_nobody(books: Ledger) -> None:
    for name in sorted(MINE):
        act = registry.known(name)
        with pytest.raises(registry.BadAct):
            plan(books, name, "nobody" if act.on else "somebody")
