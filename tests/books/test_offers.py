"""Which acts the walk offers at an enclosure."""

from __future__ import annotations

from rounds.books.acts import all_acts
from rounds.books.ledger import Draft, Ledger
from rounds.books.offers import FIRST, offers
from rounds.husbandry.spans import Span
from rounds.husbandry.stages import STAGES


def book(stage: str, animals: int = 0, group: bool = False) -> tuple[Ledger, int]:
    draft = Draft(Ledger())
    line = draft.add("line", name="UMBER", species="Mecynorhina torquata")
    box = draft.add("enclosure", code="TL-001", number=1, stage=stage)
    for n in range(animals):
        animal = draft.add("animal", line=line, number=str(n), sex="mf"[n % 2])
        draft.add("content", enclosure=box, animal=animal, line=line, since=Span(1, 1))
    if group:
        draft.add("content", enclosure=box, line=line, unsexed=5, instar="L2", since=Span(1, 1))
    return draft.ledger, box


def test_what_is_put_first_is_in_the_registry():
    assert set(FIRST) == set(STAGES)
    for stage, first in FIRST.items():
        for id_ in first:
            assert id_ in all_acts(), id_
            assert stage in all_acts()[id_].stages, (stage, id_)


def test_an_act_on_animals_names_those_who_are_there():
    ledger, box = book("holding", animals=2)
    weigh = next(o for o in offers(ledger, box) if o.act == "weigh")
    assert weigh.whom == (("UMBER/0", "UMBER 0 m"), ("UMBER/1", "UMBER 1 f"))
    assert [f.name for f in weigh.fields] == [f.name for f in all_acts()["weigh"].fields if f.required]


def test_nobody_there_means_no_act_on_animals():
    ledger, box = book("holding")
    assert all(all_acts()[o.act].on != "animal" for o in offers(ledger, box))


def test_taking_some_out_needs_a_group():
    for group in (False, True):
        ledger, box = book("larvae", animals=1, group=group)
        assert any(o.act == "dead-some" for o in offers(ledger, box)) is group


def test_the_likeliest_comes_first():
    ledger, box = book("resting", animals=1)
    assert offers(ledger, box)[0].act == "emerged"
