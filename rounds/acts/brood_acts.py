"""Acts on what becomes of a brood: counted again, hatch seen."""

from __future__ import annotations

from rounds.acts import brood_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ask, barred, changed, refuse
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.groups import (
    AGES,
    IN,
    WHICH,
    YOUNG,
    counted,
    groups,
    instar,
    more_than_found,
    name,
    put_some,
    said,
    set_counts,
    take_out,
    the_group,
)
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON, leave
from rounds.husbandry.hatching import FOUND
from rounds.husbandry.life_table import HERE
from rounds.records.ledger import Draft
from rounds.records.naming import code
from rounds.records.tables import Brood, Content, Fewer
from rounds.values.spans import told


@act(
    "counted",
    "counted again",
    Field(
        "count", "counts", "how many there are now: 12, at least 12, or males.females.unsexed", required=True
    ),
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
        slips.append(FieldError.of("on", shared_act_sentences.before_they_came_on(told(group.since))))
    if now.at_least and not now.total:
        slips.append(FieldError.of("count", shared_act_sentences.at_least_none()))
    if given["instar"] is not None and not group.instar:
        slips.append(FieldError.of("instar", brood_sentences.group_is_grown(name(ledger, group))))
    if new in ("eggs", "L1") and (now.males or now.females):
        slips.append(FieldError.of("count", brood_sentences.not_to_be_sexed_yet(new)))
    refuse(*slips)
    doubts = barred(ledger, given.subject, ("dig",), given, "on")
    if now.total > was.total and not was.at_least:
        doubts.append(("count", brood_sentences.more_than_there_were(said(now), said(was))))
    if new in AGES and group.instar in AGES and AGES.index(new) < AGES.index(group.instar):
        doubts.append(("instar", brood_sentences.were_that_old_already(group.instar)))
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
    more_than_found(draft, group, now.total - was.total)
    set_counts(draft, group.id, now)
    draft.set(Content.instar, group.id, instar(new) if new else "")
    if now.total == 0:
        leave(draft, group.id, when)
    follow(draft, given, HERE, given.subject)
    changed(draft, "count", name(ledger, group))


@act(
    "hatched",
    "hatch seen",
    Field("count", "counts", "how many larvae were seen (at least 1 unless given)", default="at least 1"),
    IN,
    ON,
    on="brood",
    about="Eggs of this brood were seen to have hatched; the day stands from now on.",
    stages=("eggs", "laying"),
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
        there = [code(ledger, b) for b in boxes]
        if boxes and given["from"] is None:
            raise ActRefused.at("from", brood_sentences.eggs_in_several(there))
        raise ActRefused.at("from" if boxes else "brood", brood_sentences.no_eggs_there(brood.name, there))
    group = groups(ledger, box, brood=given.subject, instar="eggs")[0]
    eggs = counted(group)
    slips = []
    if count.males or count.females or not count.total:
        slips.append(FieldError.of("count", brood_sentences.not_new_larvae(said(count))))
    if brood.found is not None and when.latest < brood.found.earliest:
        slips.append(FieldError.of("on", brood_sentences.before_the_eggs_were_found(told(brood.found))))
    if count.total > eggs.total and not eggs.at_least:
        slips.append(FieldError.of("count", brood_sentences.more_than_the_eggs(eggs.total)))
    refuse(*slips)
    # Looking at hatched eggs is not digging among them, so only a lock against opening is asked about.
    doubts = barred(ledger, box, ("open",), given, "on")
    before = brood.hatch
    seen_before = any(
        True for _ in ledger.rows(Content, Content.brood.is_(given.subject), Content.instar.is_("L1"))
    )
    if before is not None and not seen_before and before.meet(when) is None:
        doubts.append(("on", brood_sentences.hatch_was_expected(told(before))))
    ask(given, doubts)
    draft.set(Brood.hatch, given.subject, before.hull(when) if before and seen_before else when)
    take_out(draft, group, Counts(0, 0, count.total), when)
    if count.total > eggs.total:
        more_than_found(draft, group, count.total - eggs.total)
    put_some(draft, group.changed(Content.instar, "L1"), count, box, when)
