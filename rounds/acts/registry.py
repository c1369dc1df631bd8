"""The registry of acts, planning one of them, and taking one back.

The command line, the forms of the walk, loading and undo all work from it. What an act is
stands in :mod:`rounds.acts.act`, the acts themselves by topic in the modules of :mod:`rounds.acts.all_acts`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rounds.acts import fields, life, movement_checks, shared_act_sentences, species_checks
from rounds.acts.act import (
    ACTS,
    NO_SETTINGS,
    Act,
    ActInput,
    ActRefused,
    BadAct,
    ConfirmationRequired,
    PlannedAct,
    Recorded,
    Settings,
)
from rounds.acts.act_checks import ask
from rounds.acts.fields import FieldError
from rounds.problem_sentences import did_you_mean
from rounds.problems import nearest
from rounds.records.invariants import faults
from rounds.records.ledger import Add, Change, Draft, Ledger, Set
from rounds.records.naming import table_word
from rounds.records.tables import TABLES


def known(name: str) -> Act:
    """The act of this name. Raises BadAct with the nearest name, which may be what the act is called."""
    every = all_acts()
    if name not in every:
        called = called_like(name)
        near = did_you_mean(called) if called else nearest(name, every)
        raise BadAct("record", [FieldError.of("act", shared_act_sentences.no_such_act(name, near))])
    return every[name]


def called_like(words: str) -> str:
    """The name of the act that is shown by these words, typed with blanks or hyphens; "" for none."""
    return next((a.id for a in all_acts().values() if _plain(a.title) == _plain(words)), "")


def _plain(words: str) -> str:
    return words.casefold().replace("-", " ")


def all_acts() -> dict[str, Act]:
    """The whole registry (importing the modules that fill it)."""
    from rounds.acts.all_acts import MODULES

    assert MODULES  # importing them has filled the registry
    return ACTS


def plan(
    name: str,
    subject: str,
    typed: Mapping[str, str],
    ledger: Ledger,
    today: int,
    keeper: str = "",
    *,
    sure: bool = False,
    settings: Settings = NO_SETTINGS,
) -> PlannedAct:
    """Plan an act from what was typed. Raises BadAct with all that is wrong, or ConfirmationRequired."""
    found = known(name)
    values, slips = fields.read(found.fields, typed, ledger, today, settings.about, found.id)
    row = 0
    if found.on and subject:
        try:
            row = fields.ref(found.on, subject, ledger)
        except ValueError as e:
            slips.insert(0, FieldError(found.on, str(e), getattr(e, "hint", "")))
    elif found.on:
        slips.insert(
            0, FieldError.of(found.on, shared_act_sentences.subject_missing(name, table_word(found.on)))
        )
    elif subject:
        slips.insert(0, FieldError.of("act", shared_act_sentences.concerns_the_house(name, subject)))
    if slips:
        raise BadAct(name, slips)
    given = ActInput(row, values, today, keeper, sure=sure, settings=settings, act=found.id)
    draft = _drafted(found, ledger, given)
    return PlannedAct(found, row, tuple(draft.changes))


def _drafted(found: Act, ledger: Ledger, given: ActInput) -> Draft:
    """The changes an act makes, after everything doubtful about it was asked in one question.

    What the act asks by itself is not all: whatever it moves is checked as well
    (:mod:`rounds.acts.movement_checks`), and so is a species it names; a yes is a yes to all.
    """
    asked: ConfirmationRequired | None = None
    draft = Draft(ledger)
    try:
        found.plan(draft, given)
        life.after_act(ledger, draft, given)
    except ActRefused as e:
        raise BadAct(found.id, e.slips) from e
    except ConfirmationRequired as e:
        asked = e
        draft = _drafted(found, ledger, given.agreed())
    if given.sure:
        return draft
    doubtful = [*movement_checks.doubts(ledger, draft, given), *species_checks.doubts(ledger, draft, given)]
    if asked is None and doubtful:
        ask(given, doubtful)
    if asked is not None:
        also = [told for _, told in doubtful]
        text = shared_act_sentences.and_is_this_right(asked.text, also) if also else asked.text
        raise ConfirmationRequired(asked.field, text)
    return draft


def reversal(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """The changes that take ``changes`` back: what was set is set back, what was added is void."""
    out: list[Change] = []
    for change in reversed(changes):
        if isinstance(change, Add):
            out.append(Set(change.table, change.id, "void", before=False, after=True))
        else:
            out.append(Set(change.table, change.id, change.column, change.after, change.before))
    return tuple(out)


def depending(done: Recorded, later: Iterable[Recorded]) -> list[Recorded]:
    """Acts recorded after ``done`` that rest on it: it cannot be taken back before they are.

    Resting on it means changing a value it set, or changing or referring to a row it added.
    ``later`` leaves out acts that were taken back.
    """
    cells = {(c.table, c.id, c.column) for c in done.changes if isinstance(c, Set)}
    added = {(c.table, c.id) for c in done.changes if isinstance(c, Add) or _taken_up(c)}
    return [act_ for act_ in later if any(_rests(c, cells, added) for c in act_.changes)]


def _taken_up(change: Set) -> bool:
    """A void row was taken back into use: to what comes later that is as good as a new row."""
    return change.column == "void" and change.after is False


def take_back(done: Recorded, later: Iterable[Recorded], ledger: Ledger) -> tuple[Change, ...]:
    """The changes that undo ``done`` in these books.

    Raises BadAct naming the acts that rest on it, or, when none changes the same thing,
    what would be wrong with the books without it (an animal its own ancestor, say).
    """
    resting = depending(done, later)
    if resting:
        raise BadAct(
            "undo",
            [FieldError.of(r.name, shared_act_sentences.other_acts_rest_on_it(done.name)) for r in resting],
        )
    back = reversal(done.changes)
    before = set(faults(ledger))
    wrong = [f for f in faults(ledger.after(back)) if f not in before]
    if wrong:
        raise BadAct(
            "undo", [FieldError.of(done.name, shared_act_sentences.cannot_be_taken_back(w)) for w in wrong]
        )
    return back


def _rests(change: Change, cells: set[tuple[str, int, str]], added: set[tuple[str, int]]) -> bool:
    refs = {c.name: c.of for c in TABLES[change.table].columns if c.type == "ref"}
    if isinstance(change, Add):
        return any((of, change.values[name]) in added for name, of in refs.items())
    if (change.table, change.id, change.column) in cells or (change.table, change.id) in added:
        return True
    return (refs.get(change.column), change.after) in added
