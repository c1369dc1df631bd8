"""The registry of acts: everything durable that is not a reading, each with its fields and its plan.

An act's ``plan`` looks at the books and at what was given, and drafts the changes that
follow; it never writes. The command line, the forms of the walk, loading and undo all work
from :data:`ACTS`. The acts themselves stand by topic in the ``acts_*`` modules.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from rounds.books import act_fields
from rounds.books.act_fields import Field, Slip
from rounds.books.ledger import TABLES, Add, Change, Draft, Ledger, Set
from rounds.books.sound import faults
from rounds.husbandry.hatch import Times
from rounds.problems import Problem, RoundsError, nearest

if TYPE_CHECKING:
    from rounds.husbandry.species import Species


class Refused(Exception):
    """An act's precondition does not hold: the slips say which field, why, and what to do."""

    def __init__(self, *slips: Slip) -> None:
        self.slips = slips
        super().__init__("; ".join(map(str, slips)))


class Settings(NamedTuple):
    """What the house's config says, as acts need it. The defaults know nothing.

    ``times`` gives a species' times by its Latin name, ``days`` a value of its file in days
    (``("Pachnoda marginata", "next_search_days")`` to shortest, longest, source); None where
    there is no such file or value. ``checklists`` are the steps of each list, by their ids;
    ``species`` is all that is known of each, for work that follows from it.
    """

    times: Callable[[str], Times | None] = lambda _: None
    days: Callable[[str, str], tuple[float, float, str] | None] = lambda *_: None
    checklists: Mapping[str, tuple[str, ...]] = {}
    species: Mapping[str, Species] = {}


NO_SETTINGS = Settings()


class Given:
    """What an act is planned from; fields are read as ``given["name"]``.

    ``subject`` is the row it is done to (0 for an act of the house). ``sure`` is True when
    the keeper has said yes to a doubtful value.
    """

    __slots__ = ("keeper", "settings", "subject", "sure", "today", "values")

    def __init__(
        self,
        subject: int,
        values: Mapping[str, Any],
        today: int,
        keeper: str = "",
        sure: bool = False,
        settings: Settings = NO_SETTINGS,
    ) -> None:
        self.subject, self.values, self.today, self.keeper, self.sure = subject, values, today, keeper, sure
        self.settings = settings

    def __getitem__(self, field: str) -> Any:
        return self.values[field]


class Question(Exception):
    """A value that may be a slip of the finger: asked about once, never refused."""

    def __init__(self, field: str, text: str) -> None:
        self.field, self.text = field, text
        super().__init__(text)


class Act(NamedTuple):
    """One kind of act.

    ``on`` is the table of its subject ("enclosure", "animal", "line", ...; "" for the
    house). ``stages`` are those in which the walk offers it. ``caution`` is shown once
    beside it. ``plan`` drafts the changes; it may raise Refused or Question.
    """

    id: str
    title: str
    about: str
    on: str
    fields: tuple[Field, ...]
    plan: Callable[[Draft, Given], None]
    stages: tuple[str, ...] = ()
    caution: str = ""


ACTS: dict[str, Act] = {}


def act(
    id: str, title: str, *fields: Field, on: str, about: str, stages: tuple[str, ...] = (), caution: str = ""
) -> Callable[[Callable[[Draft, Given], None]], Callable[[Draft, Given], None]]:
    """Register the decorated plan as an act."""

    def register(plan: Callable[[Draft, Given], None]) -> Callable[[Draft, Given], None]:
        if id in ACTS:
            raise ValueError(f"two acts are called {id}")
        ACTS[id] = Act(id, title, about, on, fields, plan, stages, caution)
        return plan

    return register


class Plan(NamedTuple):
    """What an act will change, and the row it is done to."""

    act: Act
    subject: int
    changes: tuple[Change, ...]


class BadAct(RoundsError):
    """An act that cannot be recorded: all that is wrong with it."""

    def __init__(self, what: str, slips: list[Slip] | tuple[Slip, ...]) -> None:
        self.what, self.slips = what, tuple(slips)
        super().__init__("\n".join(str(Problem(what, 0, 0, str(s))) for s in slips))


def known(name: str) -> Act:
    """The act of this name. Raises BadAct with the nearest."""
    every = all_acts()
    if name not in every:
        raise BadAct(
            "record", [Slip("act", f"there is no act `{name}`.", nearest(name, every) or _list(every))]
        )
    return every[name]


def _list(every: Mapping[str, Act]) -> str:
    return "Acts: " + ", ".join(sorted(every)) + "."


def all_acts() -> dict[str, Act]:
    """The whole registry (importing the modules that fill it)."""
    from rounds.books import acts_all  # noqa: F401

    return ACTS


def plan(
    name: str,
    subject: str,
    typed: Mapping[str, str],
    ledger: Ledger,
    today: int,
    keeper: str = "",
    sure: bool = False,
    settings: Settings = NO_SETTINGS,
) -> Plan:
    """Plan an act from what was typed. Raises BadAct with every slip, or Question."""
    found = known(name)
    values, slips = act_fields.read(found.fields, typed, ledger, today)
    row = 0
    if found.on and subject:
        try:
            row = act_fields.ref(found.on, subject, ledger)
        except ValueError as e:
            slips.insert(0, Slip(found.on, str(e), getattr(e, "hint", "")))
    elif found.on:
        slips.insert(0, Slip(found.on, "is missing.", f"`{name}` is recorded for one {found.on}."))
    elif subject:
        slips.insert(0, Slip("act", f"`{name}` concerns the house, not `{subject}`.", "Leave it out."))
    if slips:
        raise BadAct(name, slips)
    draft = Draft(ledger)
    try:
        found.plan(draft, Given(row, values, today, keeper, sure, settings))
    except Refused as e:
        raise BadAct(name, e.slips) from e
    return Plan(found, row, tuple(draft.changes))


def reversal(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """The changes that take ``changes`` back: what was set is set back, what was added is void."""
    out: list[Change] = []
    for change in reversed(changes):
        if isinstance(change, Add):
            out.append(Set(change.table, change.id, "void", False, True))
        else:
            out.append(Set(change.table, change.id, change.column, change.after, change.before))
    return tuple(out)


class Recorded(NamedTuple):
    """An act as the book holds it, with what it changed.

    ``id`` is its number in the book, by which people name it. ``subject`` is a row of
    ``table`` (None and "" for the house). ``given`` is what was typed. ``visit`` is the uid
    of the visit at which it was recorded, b"" outside a walk. ``undone``: it was taken back;
    ``undoes``: the number of the act that it took back itself (0: it is no undo).
    """

    uid: bytes
    name: str
    changes: tuple[Change, ...]
    id: int = 0
    table: str = ""
    subject: int | None = None
    given: Mapping[str, str] = {}
    day: int = 0
    at_ms: int = 0
    keeper: str = ""
    visit: bytes = b""
    sure: bool = False
    undone: bool = False
    undoes: int = 0


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
            [Slip(r.name, f"rests on `{done.name}`.", "Undo this one first, newest first.") for r in resting],
        )
    back = reversal(done.changes)
    before = set(faults(ledger))
    wrong = [f for f in faults(ledger.after(back)) if f not in before]
    if wrong:
        raise BadAct(
            "undo", [Slip(done.name, f"cannot be taken back: {w}.", "Mend that first.") for w in wrong]
        )
    return back


def _rests(change: Change, cells: set[tuple[str, int, str]], added: set[tuple[str, int]]) -> bool:
    refs = {c.name: c.of for c in TABLES[change.table].columns if c.type == "ref"}
    if isinstance(change, Add):
        return any((of, change.values[name]) in added for name, of in refs.items())
    if (change.table, change.id, change.column) in cells or (change.table, change.id) in added:
        return True
    return (refs.get(change.column), change.after) in added
