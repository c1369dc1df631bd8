"""Checklists: steps in order, filled in from the species, ticked, and never without a look."""

from __future__ import annotations

import json
import textwrap
from pathlib import Path

import jsonschema
import pytest

from rounds.acts.checklists import (
    LOOK,
    UNMEASURED,
    Checklist,
    carry,
    find,
    lacking,
    lines,
    to_bring,
    value,
    words,
)
from rounds.acts.checklists_file import checklists, schema
from rounds.due import work
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Enclosure, Tick
from rounds.settings import where, yamlfile
from rounds.values.spans import FIRST
from tests.acts.books import TODAY, house, ref, span
from tests.husbandry.test_species import shipped as shipped_species

CONFIG = where.shipped("config")
FILES = sorted((CONFIG / "checklists").glob("*.yaml"))


def shipped() -> tuple[Checklist, ...]:
    return checklists([[yamlfile.read(p, p.name) for p in FILES]], shipped_species())


def parsed(text: str) -> tuple[Checklist, ...]:
    return checklists([[yamlfile.parse(textwrap.dedent(text), "mine.yaml")]], {"Aa bb"})


def problems(text: str) -> list[str]:
    with pytest.raises(BadInput) as e:
        parsed(text)
    return [str(p) for p in e.value.problems]


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_shipped_files_satisfy_the_schema(path: Path) -> None:
    jsonschema.validate(yamlfile.read(path).data, schema())


def test_the_schema_file_is_the_one_the_tables_make() -> None:
    assert json.loads((CONFIG / "schema" / "checklists.json").read_text(encoding="utf-8")) == schema()


def test_every_stage_animals_live_in_can_be_set_up_and_cleared() -> None:
    every = shipped()
    lived = [s for s in STAGES if s not in ("prepared", "empty")]
    assert [s for s in lived if find(every, "clearing", s, "") is None] == []
    # A beetle rests where its cell was: nobody sets an enclosure up for that.
    assert [s for s in lived if find(every, "set-up", s, "") is None] == ["resting"]


def test_every_clearing_begins_with_a_look() -> None:
    clearing = [c for c in shipped() if c.use == "clearing"]
    assert clearing
    assert all(c.steps[0].id == LOOK for c in clearing)


def test_every_step_of_every_list_has_words_for_every_species_and_none() -> None:
    species = shipped_species()
    for checklist in shipped():
        for stage in checklist.stages:
            for step in checklist.steps:
                for one in (*species.values(), None):
                    said = words(step, one, stage)
                    assert said.strip()
                    assert "{" not in said


def test_a_list_for_the_species_goes_before_one_for_any() -> None:
    every = shipped()
    assert _id(find(every, "set-up", "larvae", "Dicronorhina derbyana")) == "set-up-larvae-dry"
    assert _id(find(every, "set-up", "larvae", "Eudicella smithi")) == "set-up-larvae"
    assert _id(find(every[::-1], "set-up", "larvae", "Dicronorhina derbyana")) == "set-up-larvae-dry"


def _id(checklist: Checklist | None) -> str:
    assert checklist is not None
    return checklist.id


def test_values_come_from_the_species_and_the_stage_or_the_step_says_it_in_words() -> None:
    (one,) = parsed(
        """
        checklists:
          - id: a
            use: set-up
            stages: [laying]
            steps:
              - {id: depth, do: "{lay_depth_cm} cm deep, {moisture}", without: "deep, damp", why: x}
        """
    )
    species = shipped_species()
    assert words(one.steps[0], species["Pachnoda marginata"], "laying") == "10 to 15 cm deep, right"
    assert words(one.steps[0], species["Oryctes agamemnon"], "laying") == "deep, damp"
    assert words(one.steps[0], None, "laying") == "deep, damp"


def tick(ledger: Ledger, box: str, list_: str, item: str, when: str) -> Ledger:
    draft = Draft(ledger)
    draft.add(Tick(enclosure=ref(ledger, "enclosure", box), list=list_, item=item, done=span(when)))
    return draft.ledger


def test_open_steps_stay_and_ticks_of_an_earlier_use_do_not_count() -> None:
    books = tick(house(), "T-12", "set-up-laying", "clean", "2026-04-18")
    books = tick(books, "T-12", "set-up-laying", "firm", "2026-02-16")
    checklist = find(shipped(), "set-up", "laying", "")
    assert checklist is not None
    box = ref(books, "enclosure", "T-12")
    since = span("2026-04-17").earliest
    found = lines(books, box, checklist, None, "laying", since)
    assert [x.step.id for x in found] == [s.id for s in checklist.steps]
    assert [x.step.id for x in found if x.done] == ["clean"]
    assert [x.step.id for x in lines(books, box, checklist, None, "laying", FIRST) if x.done] == [
        "clean",
        "firm",
    ]


def test_materials_are_those_of_open_steps_by_the_size_of_the_enclosure() -> None:
    books = tick(house(), "T-12", "set-up-laying", "firm", "2026-04-18")
    checklist = find(shipped(), "set-up", "laying", "")
    assert checklist is not None
    found = lines(books, ref(books, "enclosure", "T-12"), checklist, None, "laying", FIRST)
    assert to_bring(found, 10.0) == {"water": 1, "cups": 1}
    every = [x._replace(done=None) for x in found]
    assert to_bring(every, 10.0) == {"substrate": 10.0, "water": 1, "cups": 1}
    assert "substrate" not in to_bring(every, None)  # nobody knows how large it is


def test_what_tomorrows_set_ups_need_is_carried() -> None:
    """The pair in T-03 is to be parted from 22 May on; T-11 is prepared, but only once."""
    books, lists, species = house(), shipped(), shipped_species()
    day = span("2026-05-21").earliest
    works = work.works(books, species, day)
    assert carry(books, lists, species, works, day) == {}  # the prepared one serves
    draft = Draft(books)
    draft.set(Enclosure.stage, ref(books, "enclosure", "T-11"), "larvae")
    taken = draft.ledger
    needed = carry(taken, lists, species, work.works(taken, species, day), day)
    assert needed == {ref(books, "enclosure", "T-03"): {"substrate": 10.0, "water": 1, "cups": 1}}
    assert carry(taken, lists, species, work.works(taken, species, TODAY), TODAY) == {}  # not tomorrow


def test_a_set_up_that_was_begun_asks_for_the_rest() -> None:
    books = tick(house(), "T-12", "set-up-laying", "firm", "2026-04-18")
    box = ref(books, "enclosure", "T-12")
    lists = shipped()
    assert carry(books, lists, {}, (), TODAY) == {box: {"water": 1, "cups": 1}}
    for step in next(c for c in lists if c.id == "set-up-laying").steps:
        books = tick(books, "T-12", "set-up-laying", step.id, "2026-04-19")
    assert carry(books, lists, {}, (), TODAY) == {}


def test_a_set_up_of_an_unknown_size_names_what_it_has_no_amount_of() -> None:
    """It was begun, and how much substrate it takes is what nobody wrote down: named, not left out."""
    books = tick(house(), "T-12", "set-up-laying", "clean", "2026-04-18")
    box, lists = ref(books, "enclosure", "T-12"), shipped()
    draft = Draft(books)
    draft.set(Enclosure.litres, box, 12.0)
    assert lacking(draft.ledger, lists, {}, (), TODAY) == {}
    assert carry(draft.ledger, lists, {}, (), TODAY)[box]["substrate"] == 12.0
    draft.set(Enclosure.litres, box, None)
    (need,) = lacking(draft.ledger, lists, {}, (), TODAY)[box]
    assert (need.what, need.low, need.high, need.why) == ("substrate", 0, None, UNMEASURED)
    assert "substrate" not in carry(draft.ledger, lists, {}, (), TODAY)[box]


def test_every_slip_is_told_at_once_with_place_and_nearest_name() -> None:
    found = problems(
        """
        checklist: []
        checklists:
          - id: a
            use: setup
            stages: [layin]
            species: [Aa cc]
            steps:
              - {id: x, do: "{lay_dept_cm} deep", why: y}
              - {id: x, do: z, without: "{moisture}", why: y}
          - id: a
            use: clearing
            stages: [laying]
            steps:
              - {id: waste, do: x, why: y, bring: {cup: 1, tubs: many}}
          - id: b
            use: clearing
            stages: []
            steps: []
          - {id: c, off: true}
          - {id: d, use: set-up, stages: [cell], steps: [x]}
        """
    )
    wanted = [
        "mine.yaml:2:1  checklist file: unknown field `checklist`. Did you mean `checklists`?",
        "checklist `a`: `use` cannot be `setup`. Did you mean `set-up`?",
        "checklist `a`: unknown `layin` in `stages`. Did you mean `laying`?",
        "checklist `a`: `stages` names none.",
        "checklist `a`: unknown `Aa cc` in `species`. Did you mean `Aa bb`?",
        "step 1: there is no value `lay_dept_cm` in a species file. Did you mean `lay_depth_cm`?",
        "step 1: the field `without` is missing. Say what to do where lay_dept_cm is not known.",
        "step 2: `without` may not need a value.",
        "checklist `a`: the step `x` is there twice.",
        "checklist `a` stands in mine.yaml already.",
        "checklist `a`: clearing begins with the step `look`, a look for eggs and larvae, not `waste`.",
        "unknown field `cup`. Did you mean `cups`?",
        "`tubs` is no amount. Give a number up to 1000, or `litres`.",
        "checklist `b`: `stages` names none.",
        "checklist `b`: there are no steps.",
        "there is no checklist `c` to leave out.",
        "checklist `d`, step 1: a mapping was expected, not `x`.",
    ]
    text = "\n".join(found)
    assert [w for w in wanted if w not in text] == []
    assert len(found) == len(wanted)


def test_litres_for_a_larva_are_those_of_its_last_instar_whatever_the_tub_is_for() -> None:
    cacicus = shipped_species()["Goliathus cacicus"]
    litres = str(cacicus.range("larva_litres", "L3"))
    assert {stage: value(cacicus, "larva_litres", stage) for stage in ("larvae", "cell")} == {
        "larvae": litres,
        "cell": litres,
    }


def test_a_keepers_list_takes_the_place_of_a_shipped_one_or_leaves_it_out() -> None:
    text = "checklists: [{{id: {0}, use: set-up, stages: [cell], steps: [{{id: x, do: {1}, why: z}}]}}]"
    base = [
        yamlfile.parse(text.format("a", "old"), "a.yaml"),
        yamlfile.parse(text.format("b", "old"), "b.yaml"),
    ]
    mine = [
        yamlfile.parse(text.format("a", "new"), "m.yaml"),
        yamlfile.parse("checklists: [{id: b, off: true}]", "n.yaml"),
    ]
    (only,) = checklists([base, mine])
    assert (only.id, only.steps[0].do) == ("a", "new")
