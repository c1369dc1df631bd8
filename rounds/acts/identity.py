"""Acts on who an animal is and where it lives: numbers, parents, sex, marks, moves."""

from __future__ import annotations

from rounds.acts import groups_sentences, identity_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired, act
from rounds.acts.act_checks import changed, may, sexes_stay_right
from rounds.acts.effects import NEW_STAGE, move_in, part
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.groups import (
    AGES,
    WHICH,
    counted,
    groups,
    instar,
    name,
    put_some,
    said,
    set_counts,
    take_out,
    the_group,
)
from rounds.acts.moving_and_locks import NOTE, ON, living, put
from rounds.acts.vacating import LOOKED, REST_LATER
from rounds.husbandry.stages import LIVED_IN
from rounds.records.invariants import ancestors
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name, code
from rounds.records.tables import SEXES, STATES, SURE, Animal, Brood, Content, Line
from rounds.records.whereabouts import where_is

HOW = ("spot", "weight", "pupa", "adult")
"""By the spot under the last segment, by weight, as a pupa, as an adult."""
_SURE_BY = {"spot": "likely", "weight": "guess", "pupa": "certain", "adult": "certain"}
_HOW = Field("how", "word", "how it was sexed: spot, weight, pupa or adult", required=True, words=HOW)
_SURE = Field(
    "sure",
    "word",
    "certain, likely or guess (spot: likely, weight: guess, pupa and adult: certain)",
    words=SURE,
)
_SIRE = Field("sire", "ref", "its father", of="animal")
_DAM = Field("dam", "ref", "its mother", of="animal")
_ONE = {"m": Counts(1, 0, 0), "f": Counts(0, 1, 0), "unknown": Counts(0, 0, 1)}


@act(
    "animal",
    "numbered",
    Field("number", "text", "its number, as you write it", required=True, label=True),
    Field("sex", "word", "m, f or unknown", words=SEXES, default="unknown"),
    Field("in", "ref", "the box it is in; it is taken out of the group counted there", of="enclosure"),
    Field("counted", "word", "was it counted in that group: yes or no", words=("yes", "no")),
    _SIRE,
    _DAM,
    Field("brood", "ref", "the brood it is from", of="brood"),
    Field("lot", "ref", "the arrival it came with", of="lot"),
    Field("age", "word", "which of several groups: eggs, L1, L2, L3 or adults", words=AGES),
    Field("mark", "text", "how it is marked"),
    Field("born", "span", "when it hatched", past=True),
    Field(
        "state",
        "word",
        "alive unless given, or from old notes dead, gone or missing",
        words=STATES,
        default="alive",
    ),
    NEW_STAGE,
    ON,
    NOTE,
    on="line",
    about="An individual gets its number, out of a counted group or new to the book.",
)
def animal(draft: Draft, given: ActInput) -> None:
    ledger, line, box = draft.ledger, given.subject, given["in"]
    of, number = ledger.row(Line, line), given["number"]
    if ledger.find(Animal, line, number) is not None:
        raise ActRefused.at("number", shared_act_sentences.number_taken(of.name, number))
    alive = given["state"] == "alive"
    if alive and box is None:
        raise ActRefused.at("in", identity_sentences.enclosure_missing())
    if not alive and box is not None:
        raise ActRefused.at("in", identity_sentences.not_alive_and_in_an_enclosure(given["state"]))
    _parents_fit(draft, given)
    brood, lot = given["brood"], given["lot"]
    if brood is not None and ledger.row(Brood, brood).line not in (None, line):
        raise ActRefused.at(
            "brood", identity_sentences.brood_of_another_line(ledger.row(Brood, brood).name, of.name)
        )
    if box is None:
        # What came out of a group that is in no enclosure any more cannot be told: it stays as counted.
        draft.add(_new(given, brood, lot))
        return
    matching = groups(
        ledger, box, brood=brood, lot=lot, instar=None if given["age"] is None else instar(given["age"])
    )
    own = [g for g in matching if g.line in (None, line)]
    if given["counted"] == "yes" and not own:
        raise ActRefused.at("counted", identity_sentences.no_such_group(code(ledger, box), of.name))
    if given["counted"] == "no":
        own = []
    if len(own) > 1:
        raise ActRefused.at(
            "age" if given["age"] is None else "brood",
            groups_sentences.several_meant(code(ledger, box), [name(ledger, g) for g in own]),
        )
    group = own[0] if own else None
    if group is not None:
        brood, lot = brood or group.brood, lot or group.lot
    else:
        move_in(draft, given, box, given["stage"])
    made = draft.add(_new(given, brood, lot))
    if group is not None:
        take_out(draft, group, _ONE[given["sex"]], given["on"], "numbered", "sex", animal=made)
    draft.add(
        Content(
            enclosure=box,
            animal=made,
            line=line,
            since=given["on"],
            instar=group.instar if group else "",
        )
    )


def _new(given: ActInput, brood: int | None, lot: int | None) -> Animal:
    return Animal(
        line=given.subject,
        number=given["number"],
        sex=given["sex"],
        sire=given["sire"],
        dam=given["dam"],
        brood=brood,
        lot=lot,
        mark=given["mark"] or "",
        born=given["born"],
        state=given["state"],
        note=given["note"] or "",
    )


def _parents_fit(draft: Draft, given: ActInput) -> None:
    ledger = draft.ledger
    wrong = []
    for field, sex, refusal in (
        ("sire", "m", identity_sentences.not_a_father),
        ("dam", "f", identity_sentences.not_a_mother),
    ):
        parent = None if given[field] is None else ledger.row(Animal, given[field])
        if parent is not None and parent.sex not in (sex, "unknown"):
            wrong.append(FieldError.of(field, refusal(animal_name(ledger, parent.id), parent.sex)))
    if given["sire"] is not None and given["sire"] == given["dam"]:
        wrong.append(FieldError.of("dam", identity_sentences.father_is_the_mother()))
    if wrong:
        raise ActRefused(*wrong)


@act(
    "parents",
    "parents are",
    _SIRE,
    _DAM,
    on="animal",
    about="Who an animal's father or mother is, found out later.",
)
def parents(draft: Draft, given: ActInput) -> None:
    ledger, child = draft.ledger, given.subject
    if given["sire"] is None and given["dam"] is None:
        raise ActRefused.at("sire", identity_sentences.no_parent_named())
    _parents_fit(draft, given)
    who = animal_name(ledger, child)
    for column in (Animal.sire, Animal.dam):
        field = column.name
        parent, known = given[field], ledger.row(Animal, child).value(column)
        if parent is None:
            continue
        if parent == child or child in ancestors(ledger, parent):
            raise ActRefused.at(field, identity_sentences.own_descendant(animal_name(ledger, parent), who))
        if known is not None and known != parent and not given.sure:
            raise ConfirmationRequired(
                field,
                identity_sentences.another_parent_known(
                    who, animal_name(ledger, known), animal_name(ledger, parent)
                ),
            )
        draft.set(column, child, parent)
    changed(draft, "sire" if given["sire"] is not None else "dam", who)


@act(
    "sexed",
    "sexed",
    Field("sex", "word", "m, f or unknown", required=True, words=SEXES),
    _HOW,
    _SURE,
    ON,
    on="animal",
    about="An animal's sex, how it was told and how sure that is.",
    stages=("larvae", "wandering", "resting", "holding", "quarantine"),
)
def sexed(draft: Draft, given: ActInput) -> None:
    before = draft.ledger
    known = before.row(Animal, given.subject)
    who = animal_name(before, given.subject)
    sure = given["sure"] or _SURE_BY[given["how"]]
    draft.set(Animal.sex, given.subject, given["sex"])
    draft.set(Animal.sexed_how, given.subject, given["how"])
    draft.set(Animal.sexed_sure, given.subject, sure)
    changed(draft, "sex", who)
    sexes_stay_right(before, draft)
    if given["how"] == "weight" and sure == "certain" and not given.sure:
        raise ConfirmationRequired("sure", identity_sentences.WEIGHTS_OVERLAP())
    if known.sex not in ("unknown", given["sex"]) and known.sexed_sure in ("", "certain") and not given.sure:
        raise ConfirmationRequired("sex", identity_sentences.another_sex_known(who, known.sex, given["sex"]))


@act(
    "sexed-some",
    "sexed in a group",
    Field("count", "counts", "all of the group now: males.females.unsexed", required=True),
    _HOW,
    _SURE,
    *WHICH,
    ON,
    on="enclosure",
    about="How a counted group divides into males, females and those not sexed; its total stays.",
    stages=("larvae", "colony", "holding", "quarantine"),
)
def sexed_some(draft: Draft, given: ActInput) -> None:
    group, counts = the_group(draft.ledger, given), given["count"]
    was = counted(group)
    least = was.at_least and counts.total >= was.total
    if counts.total != was.total and not least:
        raise ActRefused.at("count", identity_sentences.another_total(said(counts), counts.total, said(was)))
    if (counts.males < was.males or counts.females < was.females) and not given.sure:
        raise ConfirmationRequired("count", identity_sentences.sexed_before(said(was), said(counts)))
    set_counts(draft, group.id, counts._replace(at_least=was.at_least))
    draft.set(Content.sexed_how, group.id, given["how"])
    draft.set(Content.sexed_sure, group.id, given["sure"] or _SURE_BY[given["how"]])
    changed(draft, "count", name(draft.ledger, group))


@act(
    "marked",
    "marked",
    Field("mark", "text", "how: paint, tag, notch", required=True),
    on="animal",
    about="An animal carries a mark from now on.",
    stages=("holding", "resting", "quarantine"),
)
def marked(draft: Draft, given: ActInput) -> None:
    living(draft.ledger, given.subject)
    draft.set(Animal.mark, given.subject, given["mark"])
    draft.set(Animal.mark_lost, given.subject, None)
    changed(draft, "mark", animal_name(draft.ledger, given.subject))


@act(
    "mark-lost",
    "has lost its mark",
    ON,
    on="animal",
    about="The mark is gone; it is still known by its box.",
    stages=("holding", "pairing", "laying"),
)
def mark_lost(draft: Draft, given: ActInput) -> None:
    row = draft.ledger.row(Animal, given.subject)
    who = animal_name(draft.ledger, given.subject)
    if not row.mark:
        raise ActRefused.at("animal", identity_sentences.no_mark(who))
    if row.mark_lost is not None:
        raise ActRefused.at("animal", identity_sentences.mark_lost_already(who))
    draft.set(Animal.mark_lost, given.subject, given["on"])


@act(
    "move",
    "moved into another box",
    Field("to", "ref", "the box it is in now", required=True, of="enclosure"),
    NEW_STAGE,
    REST_LATER,
    LOOKED,
    ON,
    on="animal",
    about="An animal was put into another box; its history goes with it.",
    stages=LIVED_IN,
)
def move(draft: Draft, given: ActInput) -> None:
    one, to = given.subject, given["to"]
    who = animal_name(draft.ledger, one)
    row = living(draft.ledger, one)
    here = where_is(draft.ledger, one)
    if row.state == "missing" or here is None:
        raise ActRefused.at("animal", identity_sentences.nobody_knows_where(who))
    box = draft.ledger.row(Content, here).enclosure
    if box == to:
        raise ActRefused.at("to", identity_sentences.there_already(who, code(draft.ledger, to)))
    may(draft, box, "move", given)
    move_in(draft, given, to, given["stage"])
    put(draft, one, to, given["on"])
    part(draft, one, given["on"], box)


@act(
    "move-some",
    "some moved into another box",
    Field("count", "counts", "how many: 3, or males.females.unsexed", required=True),
    Field("to", "ref", "the box they are in now", required=True, of="enclosure"),
    NEW_STAGE,
    *WHICH,
    REST_LATER,
    LOOKED,
    ON,
    on="enclosure",
    about="Some or all of a counted group were put into another box.",
    stages=LIVED_IN,
)
def move_some(draft: Draft, given: ActInput) -> None:
    group, to = the_group(draft.ledger, given), given["to"]
    if to == given.subject:
        raise ActRefused.at("to", identity_sentences.they_are_there_already(code(draft.ledger, to)))
    may(draft, given.subject, "move", given)
    move_in(draft, given, to, given["stage"])
    take_out(draft, group, given["count"], given["on"])
    put_some(draft, group, given["count"], to, given["on"])
