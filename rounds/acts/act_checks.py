"""What acts refuse and what they ask about: locks in the way, doubts told at once, books that must stay right.

Acts say what was done. What was done against a lock belongs into the books all the more, so
a lock is asked about and never refuses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rounds.acts import identity_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired
from rounds.acts.fields import FieldError
from rounds.acts.moving_and_locks import last_day
from rounds.husbandry.locks import holds, of_stage
from rounds.records.invariants import sexes
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import Animal, Content, Enclosure, Lock
from rounds.records.whereabouts import is_vacated, where_is
from rounds.text.cleaning import day_and_year
from rounds.values.spans import LAST, Span

ActWarning = tuple[str, str]
"""A field, and a sentence saying what is odd about it."""


_DONE = {"dig": "dug", "open": "opened", "move": "moved", "wet": "wetted"}


def refuse(*slips: FieldError) -> None:
    """Raise ActRefused with all slips, if there are any."""
    if slips:
        raise ActRefused(*slips)


def ask(given: ActInput, doubts: Iterable[ActWarning]) -> None:
    """Raise one ConfirmationRequired with all doubts, unless the keeper has said yes."""
    found = list(dict.fromkeys(doubts))
    if found and not given.sure:
        raise ConfirmationRequired(found[0][0], shared_act_sentences.is_that_right(told for _, told in found))


def may(draft: Draft, box: int, what: str, given: ActInput) -> None:
    """Ask about what a lock forbids (``what`` is dig, open, move or wet), set or brought by the stage."""
    if given.sure:
        return
    own = of_stage(draft.ledger.row(Enclosure, box).stage, vacated=is_vacated(draft.ledger, box))
    reasons = [own.reason] if own and what in own.forbids else []
    for lock in draft.ledger.rows(Lock, Lock.enclosure.is_(box)):
        until: Span | None = lock.until
        over = until is not None and until.latest < given.today
        if lock.lifted is None and not over and what in str(lock.forbids).split():
            end = day_and_year(until.latest) if until and until.latest < LAST else ""
            reasons.append(shared_act_sentences.reason_until(lock.reason, end))
    if reasons:
        raise ConfirmationRequired(
            "on", shared_act_sentences.was_it_all_the_same(code(draft.ledger, box), _DONE[what], reasons)
        )


def barred(ledger: Ledger, box: int, what: tuple[str, ...], given: ActInput, field: str) -> list[ActWarning]:
    """A doubt for each lock of an enclosure, its own or its stage's, that forbids any of ``what``."""
    day = last_day(given["on"], given.today)
    out = []
    for lock in ledger.rows(Lock, Lock.enclosure.is_(box), Lock.lifted.is_(None)):
        held = holds(day, lock.until, lock.from_day)
        word = next((w for w in what if w in str(lock.forbids).split()), "")
        if word and held:
            until = day_and_year(lock.until.latest) if lock.until is not None else ""
            out.append((field, shared_act_sentences.is_locked(code(ledger, box), word, until, lock.reason)))
    stage = str(ledger.row(Enclosure, box).stage)
    own = of_stage(stage, vacated=is_vacated(ledger, box))
    word = next((w for w in what if own is not None and w in own.forbids), "")
    if own is not None and word:
        out.append((field, shared_act_sentences.stage_forbids(code(ledger, box), stage, word, own.reason)))
    return out


def kept_in(ledger: Ledger, animal: int, given: ActInput, field: str) -> list[ActWarning]:
    """Doubts about taking an animal out of where it is.

    A female that lays is below: she is not got out of a laying enclosure without digging.
    """
    here = where_is(ledger, animal)
    if here is None:
        return []
    box = ledger.row(Content, here).enclosure
    below = ledger.row(Enclosure, box).stage == "laying" and ledger.row(Animal, animal).sex != "m"
    return barred(ledger, box, ("move", "open", *(("dig",) if below else ())), given, field)


def stays_right(
    before: Ledger, draft: Draft, check: Callable[[Ledger], Iterable[str]], field: str, todo: str
) -> None:
    """Refuse an act after which the books would be wrong in a way they were not before."""
    known = set(check(before))
    wrong = [f for f in check(draft.ledger) if f not in known]
    if wrong:
        raise ActRefused(*(FieldError.of(field, shared_act_sentences.would_be_wrong(w, todo)) for w in wrong))


def sexes_stay_right(before: Ledger, draft: Draft) -> None:
    """Refuse an act after which a sex would contradict the books in a way it did not before."""
    stays_right(before, draft, sexes, "sex", identity_sentences.UNDO_THE_OTHER_ACT)


def changed(draft: Draft, field: str, who: str) -> None:
    """Refuse an act that says only what is in the book already."""
    if not draft.changes:
        raise ActRefused.at(field, shared_act_sentences.changes_nothing(who))
