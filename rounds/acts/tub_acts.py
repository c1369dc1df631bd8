"""Acts on the tubs of broods: split into several, put together in one."""

from __future__ import annotations

import math

from rounds.acts import brood_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, barred, refuse
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.groups import (
    IN,
    WHICH,
    YOUNG,
    counted,
    more_than_found,
    name,
    put_some,
    said,
    take_out,
    the_group,
)
from rounds.acts.moving_and_locks import ON, leave, put
from rounds.acts.vacating import LOOKED, REST
from rounds.husbandry.hatching import FOUND
from rounds.husbandry.stages import VACANT
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code, free_number
from rounds.records.tables import Brood, Content, Enclosure
from rounds.records.whereabouts import inside, species_of
from rounds.values.spans import told

_REST = REST._replace(default="keep")
_AGE = Field("age", "word", "eggs, L1, L2 or L3, when there are several of it there", words=FOUND)
SEXES_COUNTED = ("males", "females", "unsexed")


_INTO_TUBS = (
    Field("into", "ref", "tubs that are empty or prepared, with commas", of="enclosure", many=True),
    Field("tubs", "whole", "or how many new tubs (as many as it takes unless given)", low=1, high=500),
    Field(
        "prefix", "text", "what the codes of new tubs begin with: L gives L-01, L-02 and so on", label=True
    ),
    Field("per", "whole", "how many into each", low=1, high=1000, default="1"),
    Field("evenly", "yesno", "all of them, spread evenly over the tubs", default="no"),
    Field("take", "word", "males, females or unsexed, when it was sexed", words=SEXES_COUNTED),
    Field("litres", "number", "how much a new tub holds, litres", low=0.01, high=1000),
    Field(
        "place", "ref", "where the new tubs stand (B3-2): one place, or one for each", of="place", many=True
    ),
)
"""Fields of what is divided over tubs: into which, how many each, and of which sex."""


@act(
    "split",
    "split into tubs",
    *_INTO_TUBS,
    IN,
    _AGE,
    ON,
    on="brood",
    about="A brood was divided over tubs in one step; the rest stays where it is.",
    stages=("laying", *YOUNG),
)
def split(draft: Draft, given: ActInput) -> None:
    group, box = _the_part(draft.ledger, given)
    _divide(draft, given, group, box)


@act(
    "split-some",
    "group split into tubs",
    *_INTO_TUBS,
    *WHICH,
    ON,
    on="enclosure",
    about="A group that is no brood, one that arrived say, was divided over tubs in one step.",
    stages=YOUNG,
)
def split_some(draft: Draft, given: ActInput) -> None:
    _divide(draft, given, the_group(draft.ledger, given), given.subject)


def _divide(draft: Draft, given: ActInput, group: Content, box: int) -> None:
    ledger, when, per = draft.ledger, given["on"], given["per"]
    there = counted(group)
    kind = _kind(there, given["take"])
    have = getattr(there, kind)
    into, prefix = given["into"], given["prefix"]
    slips = _tubs_fit(ledger, given, box)
    tubs = len(into) or given["tubs"] or (have if given["evenly"] else math.ceil(have / per))
    if given["evenly"]:
        per = math.ceil(have / max(1, tubs))
    # The last tub may hold fewer; every tub holds one at the least.
    fewest = tubs if given["evenly"] else (tubs - 1) * per + 1
    if have < fewest and not there.at_least:
        slips.append(
            FieldError.of("into" if into else "tubs", brood_sentences.too_few_for_the_tubs(tubs, per, have))
        )
    if group.since is not None and when.latest < group.since.earliest:
        slips.append(FieldError.of("on", brood_sentences.before_it_was_there(told(group.since))))
    refuse(*slips)
    doubts = barred(ledger, box, ("dig", "move"), given, "on")
    if group.instar == "eggs":
        doubts.append(("age", brood_sentences.EGGS_OFTEN_FAIL))
    ask(given, doubts)
    left = tubs * per if there.at_least and not given["evenly"] else min(have, tubs * per)
    if there.at_least and left > have:
        more_than_found(draft, group, left - have)
    like, stage = group, "eggs" if group.instar == "eggs" else "larvae"
    take_out(draft, group, _some(kind, left), when, field="tubs")
    codes = _codes(ledger, prefix, tubs) if not into else []
    for n in range(tubs):
        tub = into[n] if into else _new_tub(draft, given, codes[n], n, stage, species_of(ledger, box))
        # Spread evenly, each tub gets its share of those that are left: 14 in 4 tubs are 4, 4, 3, 3.
        into_this = math.ceil(left / (tubs - n)) if given["evenly"] else min(per, left)
        put_some(draft, like, _some(kind, into_this), tub, when)
        left -= into_this


def _some(kind: str, n: int) -> Counts:
    males, females, unsexed = (n if k == kind else 0 for k in SEXES_COUNTED)
    return Counts(males, females, unsexed)


def _the_part(ledger: Ledger, given: ActInput) -> tuple[Content, int]:
    """The group of the brood that is meant, and its enclosure."""
    brood = given.subject
    of = str(ledger.row(Brood, brood).name)
    age, from_ = given["age"], given["from"]
    every = list(
        ledger.rows(Content, Content.brood.is_(brood), Content.animal.is_(None), Content.until.is_(None))
    )
    found = [g for g in every if from_ in (None, g.enclosure) and age in (None, g.instar)]
    if len(found) == 1:
        return found[0], int(found[0].enclosure)
    if not every:
        raise ActRefused.at("brood", brood_sentences.brood_is_nowhere(of))
    field = "from" if from_ is not None or len({g.enclosure for g in every}) > 1 else "age"
    there = [f"{code(ledger, g.enclosure)} {name(ledger, g)}" for g in every]
    refusal = brood_sentences.in_several_places if found else brood_sentences.none_of_it_there
    raise ActRefused.at(field, refusal(of, there))


def _kind(there: Counts, take: str | None) -> str:
    some = [k for k in SEXES_COUNTED if getattr(there, k)]
    if take is None and len(some) > 1:
        raise ActRefused.at("take", brood_sentences.several_kinds_there(said(there), some))
    if take is not None and take not in some and not (take == "unsexed" and there.at_least):
        raise ActRefused.at("take", brood_sentences.none_of_that_kind(take, said(there), some or ["unsexed"]))
    return take or (some[0] if some else "unsexed")


def _tubs_fit(ledger: Ledger, given: ActInput, box: int) -> list[FieldError]:
    into, prefix = given["into"], given["prefix"]
    if into:
        slips = [
            FieldError.of(f, brood_sentences.named_tubs_are_not_new())
            for f in ("tubs", "prefix", "litres", "place")
            if given[f] not in (None, [])
        ]
        for tub in into:
            stage = ledger.row(Enclosure, tub).stage
            if tub == box:
                slips.append(FieldError.of("into", brood_sentences.the_brood_is_there(code(ledger, tub))))
            elif stage not in VACANT or inside(ledger, tub):
                slips.append(FieldError.of("into", brood_sentences.tub_in_use(code(ledger, tub), stage)))
        return slips
    if prefix is None:
        return [FieldError.of("prefix", brood_sentences.no_tubs_named())]
    tubs = given["tubs"]
    if len(given["place"]) > 1 and tubs is not None and len(given["place"]) != tubs:
        return [FieldError.of("place", brood_sentences.another_number_of_places(len(given["place"]), tubs))]
    return []


def _codes(ledger: Ledger, prefix: str, tubs: int) -> list[str]:
    """The next free running codes."""
    taken = {str(box.code).casefold() for box in ledger.rows(Enclosure)}
    out: list[str] = []
    n = 1
    while len(out) < tubs:
        if f"{prefix}-{n:02}".casefold() not in taken:
            out.append(f"{prefix}-{n:02}")
        n += 1
    return out


def _new_tub(draft: Draft, given: ActInput, tub: str, n: int, stage: str, species: str) -> int:
    """The tub number ``n`` (from 0): at the one place that was named, or at its own."""
    places = given["place"]
    return draft.add(
        Enclosure(
            code=tub,
            number=free_number(draft.ledger),
            stage=stage,
            stage_since=given["on"],
            place=places[n] if n < len(places) > 1 else next(iter(places), None),
            species=species,
            litres=given["litres"],
        )
    )


@act(
    "merge",
    "others put in with these",
    Field(
        "from",
        "ref",
        "the tubs whose larvae or eggs are in this one now, with commas",
        required=True,
        of="enclosure",
        many=True,
    ),
    _REST,
    LOOKED,
    ON,
    on="enclosure",
    about="Tubs were put together; each brood is still counted by itself.",
    stages=YOUNG,
)
def merge(draft: Draft, given: ActInput) -> None:
    ledger, box, when = draft.ledger, given.subject, given["on"]
    slips: list[FieldError] = []
    doubts: list[ActWarning] = list(barred(ledger, box, ("dig",), given, "on"))
    stage = str(ledger.row(Enclosure, box).stage)
    if stage not in (*YOUNG, "colony", *VACANT):
        slips.append(FieldError.of("enclosure", brood_sentences.not_a_tub_of_young(code(ledger, box), stage)))
    for tub in given["from"]:
        slips += _can_merge(ledger, tub, box)
        doubts += barred(ledger, tub, ("dig", "move"), given, "from")
    refuse(*slips)
    ask(given, doubts)
    for tub in given["from"]:
        for content in inside(draft.ledger, tub):
            if content.animal is not None:
                put(draft, content.animal, box, when)
            else:
                # The row they leave keeps its count: so many came from there.
                leave(draft, content.id, when)
                put_some(draft, content, counted(content), box, when)


def _can_merge(ledger: Ledger, tub: int, box: int) -> list[FieldError]:
    name_, stage = code(ledger, tub), str(ledger.row(Enclosure, tub).stage)
    if tub == box:
        return [FieldError.of("from", brood_sentences.merged_with_itself(name_))]
    if stage not in YOUNG:
        return [FieldError.of("from", brood_sentences.adults_are_not_merged(name_, stage))]
    if not inside(ledger, tub):
        return [FieldError.of("from", brood_sentences.nothing_to_merge(name_))]
    mine, theirs = species_of(ledger, box), species_of(ledger, tub)
    if mine and theirs and mine != theirs and inside(ledger, box):
        return [FieldError.of("from", brood_sentences.two_species(name_, theirs, code(ledger, box), mine))]
    return []
