"""Acts of care: substrate mixed and given, protein and its leftovers, steps of a checklist."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.acts import care_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, barred, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import NOTE, ON
from rounds.acts.pairing_checks import name_taken
from rounds.husbandry.life_table import HERE, INTO
from rounds.husbandry.stages import STAGES
from rounds.problems import nearest
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code, fresh_name
from rounds.records.tables import Batch, BatchUse, Due, Enclosure, Protein, Tick
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, LAST, Span, told

_LITRES = Field("litres", "number", "how much into each, litres", low=0.01, high=1000)
PARTS = ("all", "two thirds", "half", "some")
"""How much of a box's substrate was changed; that it was is what everything else follows from."""
_INTO = "the boxes that got it, with commas"


@act(
    "substrate",
    "substrate mixed",
    Field("name", "text", "its name or number (M-01 and so on unless given)", label=True),
    Field("recipe", "text", "what is in it, as you write it", required=True),
    Field("into", "ref", _INTO, of="enclosure", many=True),
    _LITRES,
    ON,
    NOTE,
    on="",
    about="A batch of substrate was mixed; which boxes get it can be said now or later.",
)
def substrate(draft: Draft, given: ActInput) -> None:
    ledger = draft.ledger
    slips = name_taken(ledger, Batch, given["name"])
    if given["litres"] is not None and not given["into"]:
        slips.append(FieldError.of("litres", care_sentences.litres_for_no_enclosure()))
    refuse(*slips)
    ask(given, _not_now(ledger, given, given["into"], "into"))
    batch = draft.add(
        Batch(
            name=given["name"] or fresh_name(ledger, Batch.name, "M"),
            made=given["on"],
            recipe=given["recipe"],
            note=given["note"] or "",
        )
    )
    _give(draft, given, batch, given["into"])


@act(
    "substrate-used",
    "substrate given to",
    Field("into", "ref", _INTO, required=True, of="enclosure", many=True),
    _LITRES,
    ON,
    on="batch",
    about="Which boxes got substrate of this batch.",
)
def substrate_used(draft: Draft, given: ActInput) -> None:
    refuse(*_before_made(draft.ledger, given.subject, given["on"]))
    ask(given, _not_now(draft.ledger, given, given["into"], "into"))
    _give(draft, given, given.subject, given["into"])


@act(
    "rebed",
    "substrate changed",
    Field("part", "word", "how much of it: all, two thirds, half or some", words=PARTS),
    Field("batch", "ref", "the batch of substrate, when it is known", of="batch"),
    _LITRES,
    ON,
    on="enclosure",
    about="Substrate here was changed, from a batch that is known or not.",
    stages=("laying", "larvae", "colony", "holding", "prepared"),
)
def rebed(draft: Draft, given: ActInput) -> None:
    batch = given["batch"]
    refuse(*(_before_made(draft.ledger, batch, given["on"]) if batch is not None else []))
    ask(given, _not_now(draft.ledger, given, [given.subject], "on"))
    if batch is None:
        # Each is a batch of its own: nobody knows that two boxes got the same.
        name = fresh_name(draft.ledger, Batch.name, "unknown")
        batch = draft.add(Batch(name=name, note=care_sentences.UNKNOWN_SUBSTRATE))
    _give(draft, given, batch, [given.subject])


def _give(draft: Draft, given: ActInput, batch: int, into: list[int]) -> None:
    for box in into:
        draft.add(BatchUse(batch=batch, enclosure=box, given=given["on"], litres=given["litres"]))
        follow(draft, given, INTO, box)


def _before_made(ledger: Ledger, batch: int, when: Span) -> list[FieldError]:
    mixed = ledger.row(Batch, batch)
    if mixed.made is None or when.latest >= mixed.made.earliest:
        return []
    return [FieldError.of("on", care_sentences.before_it_was_mixed(mixed.name, told(mixed.made)))]


def _not_now(ledger: Ledger, given: ActInput, boxes: list[int], field: str) -> list[ActWarning]:
    return [d for box in boxes for d in barred(ledger, box, ("dig", "open"), given, field)]


@act(
    "protein",
    "protein given",
    Field("what", "text", "what and how much", required=True),
    Field("out_by", "day", "leftovers out by (a day, or +3; follows from the species unless given)"),
    ON,
    on="enclosure",
    about="Protein food was given; what is left of it is taken out in time.",
    stages=("larvae", "laying", "colony", "holding"),
)
def protein(draft: Draft, given: ActInput) -> None:
    ledger, box, when, out_by = draft.ledger, given.subject, given["on"], given["out_by"]
    stage = str(ledger.row(Enclosure, box).stage)
    slips = []
    if stage not in ("larvae", "laying", "colony", "holding", "pairing", "quarantine"):
        slips.append(FieldError.of("enclosure", care_sentences.nobody_to_feed(code(ledger, box), stage)))
    if out_by is not None and out_by < when.earliest:
        slips.append(
            FieldError.of("out_by", care_sentences.out_before_it_was_given(day_and_year(out_by), told(when)))
        )
    if out_by is None and FIRST in when and LAST in when:
        slips.append(FieldError.of("out_by", care_sentences.no_day_to_take_it_out()))
    refuse(*slips)
    doubts = barred(ledger, box, ("open",), given, "on")
    old = list(ledger.rows(Protein, Protein.enclosure.is_(box), Protein.taken_out.is_(None)))
    if old:
        since = told(old[0].given) if old[0].given is not None else ""
        doubts.append(("what", care_sentences.leftovers_still_in(since)))
    ask(given, doubts)
    # Two to three days for what larvae leave is from memory; a species file may know better.
    why = (
        care_sentences.protein_given(given["what"], told(when))
        if out_by is None
        else care_sentences.protein_out_by(given["what"], told(when), day_and_year(out_by))
    )
    due = follow(draft, given, HERE, box, why=why, by=out_by).get("leftovers")
    if out_by is None and due is not None:
        out_by = draft.ledger.row(Due, due).latest
    draft.add(Protein(enclosure=box, given=when, what=given["what"], out_by=out_by))


@act(
    "protein-out",
    "leftovers taken out",
    ON,
    on="enclosure",
    about="What was left of protein food was taken out.",
    stages=("larvae", "laying", "colony", "holding"),
)
def protein_out(draft: Draft, given: ActInput) -> None:
    ledger, box, when = draft.ledger, given.subject, given["on"]
    there = list(ledger.rows(Protein, Protein.enclosure.is_(box), Protein.taken_out.is_(None)))
    later = [food.given for food in there if food.given is not None and food.given.earliest > when.latest]
    if not there:
        raise ActRefused.at("enclosure", care_sentences.no_protein_in(code(ledger, box)))
    if len(later) == len(there):
        raise ActRefused.at("on", care_sentences.protein_given_later(told(later[0])))
    ask(given, barred(ledger, box, ("open",), given, "on"))
    for food in there:
        if food.given not in later:
            draft.set(Protein.taken_out, food.id, when)
    follow(draft, given, HERE, box)


@act(
    "tick",
    "checklist steps done",
    Field(
        "item", "text", "the steps that were done, with commas (the list's next one unless given)", many=True
    ),
    Field("list", "text", "of which checklist (needed where several have such a step)", label=True),
    ON,
    on="enclosure",
    about="Steps of a set-up or clearing checklist were done here.",
    stages=STAGES,
)
def tick(draft: Draft, given: ActInput) -> None:
    ledger, box, when = draft.ledger, given.subject, given["on"]
    lists = given.settings.checklists
    list_ = given["list"] or (_the_list(lists, given["item"]) if given["item"] else _the_begun(draft, given))
    begun: Span | None = ledger.row(Enclosure, box).stage_since
    done = {
        str(r.item)
        for r in ledger.rows(Tick, Tick.enclosure.is_(box), Tick.list.is_(list_))
        # Steps ticked for an earlier use of the enclosure do not count for this one.
        if begun is None or r.done is None or r.done.latest >= begun.earliest
    }
    slips = []
    if lists and list_ not in lists:
        raise ActRefused.at("list", care_sentences.no_such_checklist(list_, nearest(list_, lists), lists))
    items = given["item"] or [step for step in lists.get(list_, ()) if step not in done][:1]
    if not items:
        ticked = list_ in lists
        raise ActRefused.at(
            "item", care_sentences.every_step_ticked(list_) if ticked else care_sentences.no_step_named()
        )
    for item in items:
        if lists and item not in lists[list_]:
            slips.append(
                FieldError.of(
                    "item",
                    care_sentences.no_such_step(item, list_, nearest(item, lists[list_]), lists[list_]),
                )
            )
        elif item in done:
            slips.append(FieldError.of("item", care_sentences.step_ticked(item)))
    refuse(*slips)
    for item in items:
        draft.add(Tick(enclosure=box, list=list_, item=item, done=when))


def _the_begun(draft: Draft, given: ActInput) -> str:
    """The one list that was begun here. Refused when none or several were."""
    begun = sorted({str(r.list) for r in draft.ledger.rows(Tick, Tick.enclosure.is_(given.subject))})
    if len(begun) == 1:
        return begun[0]
    known = begun or sorted(given.settings.checklists)
    raise ActRefused.at("list", care_sentences.which_checklist(known))


def _the_list(lists: Mapping[str, tuple[str, ...]], items: list[str]) -> str:
    """The one list that has all these steps. Refused when none or several have."""
    fitting = [name for name, steps in lists.items() if all(i in steps for i in items)]
    if len(fitting) == 1:
        return fitting[0]
    every = sorted({step for steps in lists.values() for step in steps})
    unknown = [i for i in items if lists and i not in every]
    refuse(
        *(FieldError.of("item", care_sentences.no_checklist_has_step(i, nearest(i, every))) for i in unknown)
    )
    raise ActRefused.at("list", care_sentences.which_checklist(fitting or list(lists)))
