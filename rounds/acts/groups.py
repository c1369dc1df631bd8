"""Groups counted males.females.unsexed: which one is meant, taking some out, moving some, sexing.

What leaves a group is written down beside it (table ``fewer``), so that its present counts
and what became of the others always add up to what was found. Taking out never needs more
than is known: an animal that cannot be sexed may be taken out of a group that was.
"""

from __future__ import annotations

from typing import Protocol

from rounds.acts import groups_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused
from rounds.acts.fields import Counts, Field
from rounds.acts.moving_and_locks import leave
from rounds.records.column import Condition
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import Brood, Content, Fewer, Line, Lot
from rounds.records.whereabouts import inside
from rounds.values.spans import Span

AGES = ("eggs", "L1", "L2", "L3", "adults")
"""What a group may be; adults are stored as no instar."""

SAME_INSTAR = 21
"""Days after which a larva recorded as L1 or L2 may have moulted (estimate)."""

YOUNG = ("eggs", "larvae")
"""Stages in which young are raised."""

WHICH = (
    Field("line", "ref", "the group's line, when there are several groups", of="line"),
    Field("brood", "ref", "the group's brood, when there are several groups", of="brood"),
    Field("age", "word", "eggs, L1, L2, L3 or adults, when there are several groups", words=AGES),
)
"""Fields that say which group of an enclosure is meant; none are needed where there is one."""


IN = Field("from", "ref", "the box it is in, when it is in several", of="enclosure")
"""Which enclosure, for an act on a brood."""


def instar(age: str | None) -> str:
    """As it is stored."""
    return "" if age in (None, "adults") else str(age)


class _Counted(Protocol):
    @property
    def high(self) -> int | None: ...
    @property
    def count_words(self) -> str: ...
    @property
    def males(self) -> int: ...
    @property
    def females(self) -> int: ...
    @property
    def unsexed(self) -> int: ...
    @property
    def at_least(self) -> bool: ...


def counted(group: _Counted) -> Counts:
    return Counts(group.males, group.females, group.unsexed, group.at_least, group.high, group.count_words)


def said(counts: Counts) -> str:
    """``at least 0.0.12``; ``ca. 20 (0.0.18-22)``."""
    return shared_act_sentences.counts(*counts[:3], counts.high, counts.words, at_least=counts.at_least)


def name(ledger: Ledger, group: Content) -> str:
    """``LOCH-01 L2 (at least 0.0.12)``."""
    if group.brood is not None:
        of = ledger.row(Brood, group.brood).name
    elif group.line is not None:
        of = ledger.row(Line, group.line).name
    else:
        of = ledger.row(Lot, group.lot).name if group.lot is not None else "unnamed"
    return f"{of} {group.instar or 'adults'} ({said(counted(group))})"


def groups(
    ledger: Ledger,
    box: int,
    line: int | None = None,
    brood: int | None = None,
    lot: int | None = None,
    instar: str | None = None,
) -> list[Content]:
    """The groups in an enclosure now; whatever is not None must match."""
    return [
        content
        for content in inside(ledger, box)
        if content.animal is None
        and line in (None, content.line)
        and brood in (None, content.brood)
        and lot in (None, content.lot)
        and instar in (None, content.instar)
    ]


def the_group(ledger: Ledger, given: ActInput) -> Content:
    """The group an act on an enclosure means, by the fields :data:`WHICH`. Refused when it is open."""
    box = given.subject
    every = groups(ledger, box)
    age = given["age"]
    found = groups(
        ledger, box, line=given["line"], brood=given["brood"], instar=None if age is None else instar(age)
    )
    if len(found) == 1:
        return found[0]
    field = next((f for f in ("brood", "line", "age") if given[f] is not None), "brood")
    if not every:
        raise ActRefused.at("enclosure", groups_sentences.no_counted_group(code(ledger, box)))
    refusal = groups_sentences.several_meant if found else groups_sentences.no_such_group
    raise ActRefused.at(field, refusal(code(ledger, box), [name(ledger, g) for g in (found or every)]))


def rest_of(there: Counts, out: Counts, field: str = "count") -> Counts:
    """What is left of ``there`` once ``out`` are gone. Refused when there are not as many.

    Those known as males come from the males, then from the unsexed. Unsexed ones come from
    the unsexed; when there are too few, they were males or females, nobody knows which, and
    as many of the rest are unsexed again. A lower bound without an upper one never refuses, it
    stops at none. Of a rough count both bounds fall.
    """
    if there.most is not None and out.total > there.most:
        raise ActRefused.at(field, groups_sentences.more_than_there_are(said(out), said(there)))
    males, females, unsexed = there[:3]
    unsexed -= max(0, out.males - males) + max(0, out.females - females)
    males, females = max(0, males - out.males), max(0, females - out.females)
    if unsexed < 0 and not there.at_least:
        raise ActRefused.at(field, groups_sentences.cannot_come_out(said(out), said(there)))
    unsexed = max(0, unsexed)
    short = max(0, out.unsexed - unsexed)
    if not short:
        return _at_most(Counts(males, females, unsexed - out.unsexed, there.at_least), there, out)
    left = max(0, males + females - short)
    males, females = max(0, males - short), max(0, females - short)
    return _at_most(Counts(males, females, left - males - females, there.at_least), there, out)


def _at_most(left: Counts, there: Counts, out: Counts) -> Counts:
    """What is left of a rough count is rough, until only one number can be left."""
    if there.high is None or there.most is None:
        return left
    high = there.most - out.total - left.males - left.females
    if high <= left.unsexed:
        return left._replace(at_least=False)
    return left._replace(high=high)


def some_of(there: Counts, out: Counts, field: str = "count") -> Counts:
    """Like :func:`rest_of`, for a number that a keeper typed: one or more, and exact."""
    if out.total < 1:
        raise ActRefused.at(field, groups_sentences.nothing_taken())
    if out.at_least:
        # What is left would be "at most", which nobody can count on.
        raise ActRefused.at(field, groups_sentences.says_not_how_many_are_left(said(out)))
    return rest_of(there, out, field)


def take_out(
    draft: Draft,
    group: Content,
    out: Counts,
    when: Span,
    how: str = "",
    field: str = "count",
    animal: int | None = None,
    last_seen: int | None = None,
    cause: str = "",
) -> None:
    """Take some out of a group; ``how`` is what became of them ("" when they are elsewhere as a group).

    ``animal`` is the one that got a number, ``last_seen`` the day they were last seen alive.

    An emptied group has left. One that was "at least" stays, since nobody knows the rest.
    """
    content = draft.ledger.row(Content, group.id)
    left = some_of(counted(content), out, field)
    if content.since is not None and when.latest < content.since.earliest:
        raise ActRefused.at("on", shared_act_sentences.before_they_came())
    more_than_found(draft, content, out.total - counted(content).total)
    set_counts(draft, group.id, left)
    if how:
        draft.add(
            Fewer(
                content=group.id,
                line=content.line,
                brood=content.brood,
                lot=content.lot,
                how=how,
                made=when,
                males=out.males,
                females=out.females,
                unsexed=out.unsexed,
                instar=content.instar,
                animal=animal,
                last_seen=last_seen,
                cause=cause,
            )
        )
    if left.most == 0:
        leave(draft, group.id, when)


def added(one: Counts, other: Counts) -> Counts:
    counts = Counts(
        one.males + other.males,
        one.females + other.females,
        one.unsexed + other.unsexed,
        one.at_least or other.at_least,
    )
    if not counts.at_least or one.most is None or other.most is None:
        return counts
    return counts._replace(high=one.most + other.most - counts.males - counts.females)


def set_counts(draft: Draft, content: int, counts: Counts) -> None:
    draft.set(Content.males, content, counts.males)
    draft.set(Content.females, content, counts.females)
    draft.set(Content.unsexed, content, counts.unsexed)
    draft.set(Content.at_least, content, counts.at_least)
    draft.set(Content.high, content, counts.high)
    draft.set(Content.count_words, content, counts.words)


def _kind(group: Content) -> tuple[int | None, int | None, int | None, str]:
    """What two groups must share to become one."""
    return group.line, group.brood, group.lot, group.instar


def put_some(draft: Draft, like: Content, some: Counts, box: int, when: Span) -> int:
    """Put some of a group like ``like`` into an enclosure; they join their own kind there."""
    for content in inside(draft.ledger, box):
        if content.animal is None and _kind(content) == _kind(like):
            set_counts(draft, content.id, added(counted(content), some))
            if content.since is not None and when.earliest < content.since.earliest:
                draft.set(Content.since, content.id, content.since.hull(when))
            for column in (Content.sexed_how, Content.sexed_sure):
                if content.value(column) != like.value(column):
                    draft.set(column, content.id, "")
            return content.id
    return draft.add(
        Content(
            enclosure=box,
            line=like.line,
            brood=like.brood,
            lot=like.lot,
            instar=like.instar,
            males=some.males,
            females=some.females,
            unsexed=some.unsexed,
            at_least=some.at_least,
            high=some.high,
            count_words=some.words,
            since=when,
            sexed_how=like.sexed_how,
            sexed_sure=like.sexed_sure,
            doubt=like.doubt,
        )
    )


def more_than_found(draft: Draft, group: Content, more: int) -> None:
    """There were more than were found: the first count was a lower bound."""
    if more <= 0:
        return
    ledger, brood, lot = draft.ledger, group.brood, group.lot
    if brood is not None:
        known = _accounted_for(ledger, Content.brood.is_(brood), Fewer.brood.is_(brood))
        at_least = known + more > ledger.row(Brood, brood).total
        if at_least:
            draft.set(Brood.at_least, brood, at_least)
    if lot is not None:
        known = _accounted_for(ledger, Content.lot.is_(lot), Fewer.lot.is_(lot))
        at_least = known + more > ledger.row(Lot, lot).total
        if at_least:
            draft.set(Lot.at_least, lot, at_least)


def _accounted_for(ledger: Ledger, there: Condition, gone: Condition) -> int:
    """How many of a brood or an arrival are in groups now, or are known to have left theirs."""
    here = ledger.rows(Content, Content.until.is_(None), Content.animal.is_(None), there)
    return sum(content.total for content in here) + sum(fewer.total for fewer in ledger.rows(Fewer, gone))


def instar_still(content: Content, when: Span) -> str:
    """The recorded instar, as long as those recorded may be in it still; "" later, or where nobody knows since when."""
    since = content.since
    return content.instar if since is not None and when.latest - since.earliest <= SAME_INSTAR else ""
