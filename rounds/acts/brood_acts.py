"""Acts on broods: split into tubs, merged, counted again, hatch seen."""

from __future__ import annotations

import math

from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, barred, changed, refuse
from rounds.acts.common import ON, leave, put, set_stage
from rounds.acts.effects import LOOKED, REST, clear
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
from rounds.husbandry.hatching import FOUND
from rounds.records.column import Condition
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code, free_number, words
from rounds.records.tables import Brood, Content, Enclosure, Fewer, Lot
from rounds.records.whereabouts import inside, species_of, where_is
from rounds.values.spans import Span

YOUNG = ("eggs", "larvae")
_REST = REST._replace(default="keep")
_FROM = Field("from", "ref", "the enclosure it is in, when it is in several", of="enclosure")
_AGE = Field("age", "word", "eggs, L1, L2 or L3, when there are several of it there", words=FOUND)
KINDS = ("males", "females", "unsexed")


@act(
    "split",
    "split into tubs",
    Field("into", "ref", "tubs that are empty or prepared, with commas", of="enclosure", many=True),
    Field("tubs", "whole", "or how many new tubs (as many as it takes unless given)", low=1, high=500),
    Field(
        "prefix", "text", "what the codes of new tubs begin with: L gives L-01, L-02 and so on", label=True
    ),
    Field("per", "whole", "how many into each", low=1, high=1000, default="1"),
    Field("take", "word", "males, females or unsexed, when it was sexed", words=KINDS),
    Field("litres", "number", "how much a new tub holds, litres", low=0.01, high=1000),
    Field("place", "ref", "where the new tubs stand (B3-2)", of="place"),
    _FROM,
    _AGE,
    ON,
    on="brood",
    about="A brood was divided over tubs in one step; the rest stays where it is.",
    stages=("laying", *YOUNG),
    caution="Wait with new L1 until their heads are no wider than their bodies; eggs that are moved often fail.",
)
def split(draft: Draft, given: ActInput) -> None:
    ledger, when, per = draft.ledger, given["on"], given["per"]
    group, box = _the_part(ledger, given)
    there = counted(group)
    kind = _kind(there, given["take"])
    have = getattr(there, kind)
    into, prefix = given["into"], given["prefix"]
    slips = _tubs_fit(ledger, given, box)
    tubs = len(into) or given["tubs"] or math.ceil(have / per)
    # The last tub may hold fewer; every tub holds one at the least.
    if have < (tubs - 1) * per + 1 and not there.at_least:
        slips.append(
            FieldError(
                "into" if into else "tubs",
                f"{tubs} tubs of {per} need more than the {have} there are.",
                "Give fewer tubs, or record the count first.",
            )
        )
    if group.since is not None and when.latest < group.since.earliest:
        slips.append(FieldError("on", f"is before it was there ({words(group.since)}).", "Give a later day."))
    refuse(*slips)
    doubts = barred(ledger, box, ("dig", "move"), given, "on")
    if group.instar == "eggs":
        doubts.append(("age", "Eggs that are moved often fail."))
    ask(given, doubts)
    left = tubs * per if there.at_least else min(have, tubs * per)
    if there.at_least and left > have:
        _more_than_found(draft, group, left - have)
    like, stage = group, "eggs" if group.instar == "eggs" else "larvae"
    take_out(draft, group, _some(kind, left), when, field="tubs")
    codes = _codes(ledger, prefix, tubs) if not into else []
    for n in range(tubs):
        tub = into[n] if into else _new_tub(draft, given, codes[n], stage, species_of(ledger, box))
        set_stage(draft, tub, stage, when)
        put_some(draft, like, _some(kind, min(per, left)), tub, when)
        left -= per


def _some(kind: str, n: int) -> Counts:
    males, females, unsexed = (n if k == kind else 0 for k in KINDS)
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
    there = "; ".join(f"{code(ledger, g.enclosure)} {name(ledger, g)}" for g in every)
    if not every:
        raise ActRefused(
            FieldError("brood", f"nothing of {of} is in an enclosure.", "Check which brood you mean.")
        )
    field = "from" if from_ is not None or len({g.enclosure for g in every}) > 1 else "age"
    raise ActRefused(
        FieldError(field, "is missing." if found else "holds none of it.", f"{of} is here: {there}.")
    )


def _kind(there: Counts, take: str | None) -> str:
    some = [k for k in KINDS if getattr(there, k)]
    if take is None and len(some) > 1:
        raise ActRefused(
            FieldError(
                "take", f"is missing: {said(there)} are there.", f"Expected one of: {', '.join(some)}."
            )
        )
    if take is not None and take not in some and not (take == "unsexed" and there.at_least):
        raise ActRefused(
            FieldError(
                "take",
                f"there are no {take} among {said(there)}.",
                f"Expected one of: {', '.join(some) or 'unsexed'}.",
            )
        )
    return take or (some[0] if some else "unsexed")


def _tubs_fit(ledger: Ledger, given: ActInput, box: int) -> list[FieldError]:
    into, prefix = given["into"], given["prefix"]
    if into:
        slips = [
            FieldError(f, "is for new tubs, and `into` names tubs that there are.", "Leave one of them out.")
            for f in ("tubs", "prefix", "litres", "place")
            if given[f] is not None
        ]
        for tub in into:
            stage = ledger.row(Enclosure, tub).stage
            if tub == box:
                slips.append(
                    FieldError("into", f"{code(ledger, tub)} is where the brood is.", "Leave it out.")
                )
            elif stage not in ("empty", "prepared") or inside(ledger, tub):
                slips.append(
                    FieldError(
                        "into",
                        f"{code(ledger, tub)} is in use, in stage {stage}.",
                        "Expected empty or prepared tubs; for one in use record `merge`.",
                    )
                )
        return slips
    if prefix is None:
        return [
            FieldError(
                "prefix",
                "is missing, and so is `into`.",
                "Give the codes of tubs (into=T-11,T-12), or what new codes begin with (prefix=L).",
            )
        ]
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


def _new_tub(draft: Draft, given: ActInput, tub: str, stage: str, species: str) -> int:
    return draft.add(
        Enclosure(
            code=tub,
            number=free_number(draft.ledger),
            stage=stage,
            stage_since=given["on"],
            place=given["place"],
            species=species,
            litres=given["litres"],
        )
    )


def _more_than_found(draft: Draft, group: Content, more: int) -> None:
    """There were more than were found: the first count was a lower bound."""
    if more <= 0:
        return
    ledger, brood, lot = draft.ledger, group.brood, group.lot
    if brood is not None:
        known = _accounted_for(ledger, Content.brood.is_(brood), Fewer.brood.is_(brood))
        if known + more > ledger.row(Brood, brood).total:
            draft.set(Brood.at_least, brood, True)
    if lot is not None:
        known = _accounted_for(ledger, Content.lot.is_(lot), Fewer.lot.is_(lot))
        if known + more > ledger.row(Lot, lot).total:
            draft.set(Lot.at_least, lot, True)


def _accounted_for(ledger: Ledger, there: Condition, gone: Condition) -> int:
    """How many of a brood or an arrival are in groups now, or are known to have left theirs."""
    here = ledger.rows(Content, Content.until.is_(None), Content.animal.is_(None), there)
    return sum(content.total for content in here) + sum(fewer.total for fewer in ledger.rows(Fewer, gone))


@act(
    "merge",
    "others put in with these",
    Field(
        "from",
        "ref",
        "the tubs whose larvae or eggs are in this one now, with commas",
        True,
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
    if stage not in (*YOUNG, "colony", "empty", "prepared"):
        slips.append(
            FieldError(
                "enclosure",
                f"{code(ledger, box)} is in stage {stage}.",
                "Expected a tub of larvae or eggs, or an empty one.",
            )
        )
    for tub in given["from"]:
        slips += _can_merge(ledger, tub, box)
        doubts += barred(ledger, tub, ("dig", "move"), given, "from")
    refuse(*slips)
    ask(given, doubts)
    eggs = True
    for tub in given["from"]:
        for content in inside(draft.ledger, tub):
            eggs = eggs and content.instar == "eggs"
            if content.animal is not None:
                put(draft, content.animal, box, when)
                here = where_is(draft.ledger, content.animal)
                if here is not None:
                    draft.set(Content.instar, here, content.instar)
            else:
                # The row they leave keeps its count: so many came from there.
                leave(draft, content.id, when)
                put_some(draft, content, counted(content), box, when)
        if given["rest"] != "keep":
            clear(draft, tub, "empty" if given["rest"] == "empty" else "prepared", given)
    if stage in ("empty", "prepared"):
        set_stage(draft, box, "eggs" if eggs else "larvae", when)


def _can_merge(ledger: Ledger, tub: int, box: int) -> list[FieldError]:
    name_, stage = code(ledger, tub), str(ledger.row(Enclosure, tub).stage)
    if tub == box:
        return [FieldError("from", f"{name_} is the same enclosure.", "Leave it out.")]
    if stage not in YOUNG:
        return [
            FieldError(
                "from",
                f"{name_} is in stage {stage}.",
                "Expected tubs of larvae or eggs; adults are moved one by one with `move`.",
            )
        ]
    if not inside(ledger, tub):
        return [FieldError("from", f"nothing is in {name_}.", "Leave it out.")]
    mine, theirs = species_of(ledger, box), species_of(ledger, tub)
    if mine and theirs and mine != theirs and inside(ledger, box):
        return [
            FieldError(
                "from", f"{name_} holds {theirs}, {code(ledger, box)} holds {mine}.", "Expected one species."
            )
        ]
    return []


@act(
    "counted",
    "counted again",
    Field("count", "counts", "how many there are now: 12, at least 12, or males.females.unsexed", True),
    Field("instar", "word", "what they are now: eggs, L1, L2 or L3 (as before unless given)", words=FOUND),
    Field(
        "how",
        "word",
        "what became of those that are not there: missing or dead",
        words=("missing", "dead"),
        default="missing",
    ),
    *WHICH,
    ON,
    on="enclosure",
    about="A group was counted again; what is gone is written down, nothing is lost from the totals.",
    stages=(*YOUNG, "colony"),
)
def count_again(draft: Draft, given: ActInput) -> None:
    ledger, when, now = draft.ledger, given["on"], given["count"]
    group = the_group(ledger, given)
    was = counted(group)
    new = given["instar"] or group.instar
    slips = []
    if group.since is not None and when.latest < group.since.earliest:
        slips.append(
            FieldError("on", f"is before they came there ({words(group.since)}).", "Give a later day.")
        )
    if now.at_least and not now.total:
        slips.append(FieldError("count", "`at least 0` says nothing.", "Expected 0, or at least 1."))
    if given["instar"] is not None and not group.instar:
        slips.append(FieldError("instar", f"{name(ledger, group)} are grown.", "Leave it out."))
    if new in ("eggs", "L1") and (now.males or now.females):
        slips.append(FieldError("count", f"{new} cannot be sexed yet.", "Expected a plain count."))
    refuse(*slips)
    doubts = barred(ledger, given.subject, ("dig",), given, "on")
    if now.total > was.total and not was.at_least:
        doubts.append(("count", f"{said(now)} is more than the {said(was)} there were."))
    if new in AGES and group.instar in AGES and AGES.index(new) < AGES.index(group.instar):
        doubts.append(("instar", f"They were {group.instar} already."))
    ask(given, doubts)
    if now.total < was.total and not now.at_least:
        gone = Counts(was.males - now.males, was.females - now.females, was.unsexed - now.unsexed)
        if min(gone[:3]) < 0:  # some were sexed at this count: which sexes are gone is not known
            gone = Counts(0, 0, was.total - now.total)
        draft.add(
            Fewer(
                content=group.id,
                line=group.line,
                brood=group.brood,
                lot=group.lot,
                how=given["how"],
                made=when,
                instar=group.instar,
                males=gone.males,
                females=gone.females,
                unsexed=gone.unsexed,
            )
        )
    _more_than_found(draft, group, now.total - was.total)
    set_counts(draft, group.id, now)
    draft.set(Content.instar, group.id, instar(new) if new else "")
    if now.total == 0:
        leave(draft, group.id, when)
    _larvae_now(draft, given.subject, when)
    changed(draft, "count", name(ledger, group))


@act(
    "hatched",
    "hatch seen",
    Field("count", "counts", "how many larvae were seen (at least 1 unless given)", default="at least 1"),
    _FROM,
    ON,
    on="brood",
    about="Eggs of this brood were seen to have hatched; the day stands from now on.",
    stages=("eggs", "laying"),
    caution="Do not move larvae whose heads are wider than their bodies.",
)
def hatched(draft: Draft, given: ActInput) -> None:
    ledger, when, count = draft.ledger, given["on"], given["count"]
    brood = ledger.row(Brood, given.subject)
    boxes = [
        content.enclosure
        for content in ledger.rows(
            Content, Content.brood.is_(given.subject), Content.instar.is_("eggs"), Content.until.is_(None)
        )
    ]
    box: int | None = given["from"] if given["from"] is not None else (boxes[0] if len(boxes) == 1 else None)
    if box is None or box not in boxes:
        there = ", ".join(code(ledger, b) for b in boxes)
        raise ActRefused(
            FieldError(
                "from" if boxes else "brood",
                "is missing." if boxes and given["from"] is None else f"no eggs of {brood.name} are there.",
                f"Its eggs are in: {there}." if there else "Record `counted` for larvae.",
            )
        )
    group = groups(ledger, box, brood=given.subject, instar="eggs")[0]
    eggs = counted(group)
    slips = []
    if count.males or count.females or not count.total:
        slips.append(
            FieldError(
                "count", f"{said(count)} is not a count of new larvae.", "Expected a plain count, 1 or more."
            )
        )
    if brood.found is not None and when.latest < brood.found.earliest:
        slips.append(
            FieldError("on", f"is before the eggs were found ({words(brood.found)}).", "Give a later day.")
        )
    if count.total > eggs.total and not eggs.at_least:
        slips.append(
            FieldError("count", f"is more than the {eggs.total} eggs there are.", "Record `counted` first.")
        )
    refuse(*slips)
    # Looking at hatched eggs is not digging among them, so only a lock against opening is asked about.
    doubts = barred(ledger, box, ("open",), given, "on")
    before = brood.hatch
    seen_before = any(
        True for _ in ledger.rows(Content, Content.brood.is_(given.subject), Content.instar.is_("L1"))
    )
    if before is not None and not seen_before and before.meet(when) is None:
        doubts.append(("on", f"It was expected to hatch {words(before)}."))
    ask(given, doubts)
    draft.set(Brood.hatch, given.subject, before.hull(when) if before and seen_before else when)
    take_out(draft, group, Counts(0, 0, count.total), when)
    if count.total > eggs.total:
        _more_than_found(draft, group, count.total - eggs.total)
    put_some(draft, group.changed(Content.instar, "L1"), count, box, when)
    _larvae_now(draft, box, when)


def _larvae_now(draft: Draft, box: int, when: Span) -> None:
    """A pot of eggs in which something has hatched is cared for as larvae."""
    there = [content.instar for content in inside(draft.ledger, box)]
    if draft.ledger.row(Enclosure, box).stage == "eggs" and any(i in AGES[1:4] for i in there):
        set_stage(draft, box, "larvae", when)
