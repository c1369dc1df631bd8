"""Which acts the walk offers at an enclosure."""

from __future__ import annotations

from rounds.acts import field_sentences
from rounds.acts.act import BadAct, ConfirmationRequired
from rounds.acts.due_acts import CONFIRM, DONE, OFF
from rounds.acts.fields import FieldError
from rounds.acts.offers import ELSEWHERE, FIRST, LAST, offers
from rounds.acts.registry import all_acts
from rounds.acts.stated_acts import STATED
from rounds.husbandry.stages import STAGES, VACANT
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Content, Enclosure, Line, PlannedPairing, Trial
from rounds.values.spans import Span
from tests.acts.books import house, plan, record, ref


def book(stage: str, animals: int = 0, group: bool = False) -> tuple[Ledger, int]:
    draft = Draft(Ledger())
    line = draft.add(Line(name="UMBER", species="Mecynorhina torquata"))
    box = draft.add(Enclosure(code="TL-001", number=1, stage=stage))
    for n in range(animals):
        animal = draft.add(Animal(line=line, number=str(n), sex="mf"[n % 2]))
        draft.add(Content(enclosure=box, animal=animal, line=line, since=Span(1, 1)))
    if group:
        draft.add(Content(enclosure=box, line=line, unsexed=5, instar="L2", since=Span(1, 1)))
    return draft.ledger, box


SELDOM_ACTS = {*LAST, "move-some", "dead-some", "sexed-some", "given-away-some", "missing-some"} | {
    a.id for a in all_acts().values() if a.on == "animal"
}


def test_what_is_put_first_is_in_the_registry():
    assert set(FIRST) == set(STAGES)
    for stage, first in FIRST.items():
        for id_ in first:
            assert id_ in all_acts(), id_
            assert stage in (all_acts()[id_].stages or STAGES), (stage, id_)


def test_an_arrival_is_on_the_first_page_of_the_boxes_it_may_go_to() -> None:
    """Newcomers go into a prepared box, or to others in quarantine: nobody turns pages for it."""
    for stage in ("prepared", "empty", "quarantine"):
        assert "arrival" in [o.act for o in offers(*book(stage))][:9], stage


def test_what_a_stage_cannot_have_is_not_listed_there() -> None:
    """Nobody lives in a box that is empty or prepared: only who comes from elsewhere can be meant."""
    for stage in VACANT:
        on_animals = {o.act for o in offers(*book(stage)) if all_acts()[o.act].on == "animal"}
        assert on_animals == {"found", "came-back"}
        assert not [o.act for o in offers(*book(stage)) if o.act.endswith("-some")]


def test_an_act_on_animals_names_those_who_are_there():
    ledger, box = book("holding", animals=2)
    weigh = next(o for o in offers(ledger, box) if o.act == "weigh")
    assert weigh.whom == (("UMBER/0", "UMBER 0 m"), ("UMBER/1", "UMBER 1 f"))
    assert weigh.unfit == ""


def test_nobody_there_means_that_acts_on_animals_do_not_fit_and_say_why():
    ledger, box = book("holding")
    on_animals = [o for o in offers(ledger, box) if all_acts()[o.act].on == "animal"]
    assert on_animals
    assert all(o.unfit and not o.whom for o in on_animals)


def test_an_act_has_the_same_place_whoever_is_there():
    """So that a digit means the same act in a stage on every day."""
    for stage in STAGES:
        orders = [
            tuple(o.act for o in offers(*book(stage, animals=n, group=group)))
            for n, group in ((0, False), (1, False), (2, True), (0, True))
        ]
        longest = max(orders, key=len)
        for listed in orders:
            assert listed == longest[: len(listed)], stage
            assert not set(longest[len(listed) :]) - SELDOM_ACTS - {"dead", "move"}, stage


def test_only_what_is_seldom_is_left_out_and_only_at_the_end():
    """A list ends with what fits; what takes a trial, a loan or somebody missing is there once there is one."""
    ledger = everywhere()
    for box in ledger.rows(Enclosure):
        listed = offers(ledger, box.id)
        assert {"found", "came-back", "trial-change", "trial-close"} <= {o.act for o in listed}, box.code
    for stage in STAGES:
        ledger, id_ = book(stage, animals=1, group=True)
        listed = offers(ledger, id_)
        assert not listed[-1].unfit
        assert not {"found", "came-back", "trial-change"} & {o.act for o in listed} - set(FIRST[stage]), stage
        assert len(listed) <= 9 * 5, "at most five pages"


def test_taking_some_out_needs_a_group():
    for group in (False, True):
        ledger, box = book("larvae", animals=1, group=group)
        assert any(o.act == "dead-some" and not o.unfit for o in offers(ledger, box)) is group


def test_the_likeliest_comes_first():
    ledger, box = book("resting", animals=1)
    assert offers(ledger, box)[0].act == "emerged"


def everywhere() -> Ledger:
    """The small house with somebody missing, lent, on loan, marked and promised, a batch, a plan and a trial."""
    ledger = house()
    for act, subject, fields in (
        ("substrate", "", {"recipe": "leaf mould", "name": "S-01"}),
        ("marked", "UMBER/1", {"mark": "two white dots"}),
        ("promised", "UMBER/1", {"to": "Nine Alders"}),
        ("missing", "TALLOW/8", {"rest": "keep"}),
        (
            "loan-in",
            "BRAMBLE",
            {
                "number": "9",
                "owner": "Nine Alders",
                "into": "T-12",
                "on": "2026-03-18",
                "until": "2026-04-17",
            },
        ),
        ("lent", "UMBER/2", {"to": "Nine Alders", "rest": "keep"}),
    ):
        ledger = record(ledger, act, subject, sure=True, **fields)
    draft = Draft(ledger)
    draft.add(
        PlannedPairing(
            name="PL-1", female=ref(ledger, "animal", "UMBER/4"), male=ref(ledger, "animal", "UMBER/1")
        )
    )
    draft.add(Trial(name="TR-1"))
    for n, stage in enumerate(STAGES):  # every stage has an enclosure of its own with an animal and a group
        box = draft.add(Enclosure(code=f"S-{n}", number=100 + n, stage=stage))
        if stage not in ("empty", "prepared"):
            one = draft.add(Animal(line=1, number=f"S{n}", sex="f"))
            draft.add(Content(enclosure=box, animal=one, line=1, since=Span(1, 1)))
            draft.add(Content(enclosure=box, line=3, brood=1, unsexed=5, instar="L2", since=Span(1, 1)))
    return draft.ledger


def test_every_act_is_offered_somewhere():
    """Due work has its own three acts, which the walk adds where work is due; what a reading states, it records.

    Whose a brood is, and whether labels were mixed up, is said on pages, the second by due work as well.
    """
    ledger = everywhere()
    offered = {o.act for enclosure in ledger.rows(Enclosure) for o in offers(ledger, enclosure.id)}
    assert set(all_acts()) - offered == {CONFIRM, DONE, OFF, *ELSEWHERE, *STATED}


def test_what_has_no_stage_comes_last_and_the_stage_first():
    ledger = everywhere()
    for box in ledger.rows(Enclosure):
        acts = [o.act for o in offers(ledger, box.id)]
        usually = [a for a in acts if a in FIRST[box.stage] or a not in SELDOM_ACTS]
        at = [bool(all_acts()[a].stages) or a in FIRST[box.stage] for a in usually]
        assert at == sorted(at, reverse=True), box.code
        usual = [a for a in FIRST[box.stage] if a in acts]
        assert acts[: len(usual)] == usual
        assert {"box", "shelf", "arrival"} <= set(acts)


def slips(ledger: Ledger, act: str, subject: str, given: dict[str, str]) -> tuple[FieldError, ...]:
    """What is wrong with an act of which nothing more than this was typed."""
    try:
        plan(ledger, act, subject, **given)
    except BadAct as e:
        return e.slips
    except ConfirmationRequired:
        pass
    return ()


def test_whom_an_act_is_offered_for_is_known_to_it_and_what_is_given_fits():
    ledger = everywhere()
    for box in ledger.rows(Enclosure):
        for o in offers(ledger, box.id):
            mine = (all_acts()[o.act].on, *dict(o.given))
            for typed, _ in o.whom:
                wrong = [
                    s
                    for s in slips(ledger, o.act, typed, dict(o.given))
                    if s.field in mine
                    and ("there is no" in s.message or s.message == field_sentences.MISSING)
                ]
                assert not wrong, (box.code, o.act)


def test_the_check_of_whom_sees_a_name_that_is_not_there():
    assert any("there is no" in s.message for s in slips(everywhere(), "dead", "UMBER/77", {}))


def test_what_only_some_can_have_done_is_offered_for_those():
    ledger = everywhere()
    at = {box.code: {o.act: o for o in offers(ledger, box.id)} for box in ledger.rows(Enclosure)}
    assert at["T-01"]["mark-lost"].whom == at["T-01"]["promise-over"].whom == (("UMBER/1", "UMBER 1 m"),)
    assert at["T-12"]["went-back"].whom == (("BRAMBLE/9", "BRAMBLE 9"),)
    assert at["T-01"]["went-back"].unfit == "nobody here is on loan"
    assert at["T-12"]["promise-over"].unfit
    assert at["T-12"]["trial-out"].unfit == "nobody here is in a trial"
    assert all(offer["found"].whom == (("TALLOW/8", "TALLOW 8 f"),) for offer in at.values())
    assert next(o for o in offers(*book("prepared")) if o.act == "found").unfit == "nobody is missing"
    assert at["T-13"]["hatched"].whom == (("UMBER-01", "UMBER-01: at least 0.0.10 eggs"),)
    assert at["T-10"]["lift"].unfit == ""
    assert at["T-11"]["lift"].unfit


def test_newcomers_are_put_only_where_nobody_is_disturbed():
    """An arrival goes into the box one stands at when it is vacant; elsewhere the box is asked for."""
    ledger = everywhere()
    for box in ledger.rows(Enclosure):
        arrival = next(o for o in offers(ledger, box.id) if o.act == "arrival")
        vacant = box.stage in ("quarantine", "empty", "prepared")
        assert ("into" in dict(arrival.given)) is vacant
