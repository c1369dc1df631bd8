"""What an act is: everything durable that is not a reading, with its fields and its plan.

An act's ``plan`` looks at the books and at what was given, and drafts the changes that
follow; it never writes. The acts themselves stand by topic in modules of their own, each
registered by the decorator :func:`act`; :mod:`rounds.acts.registry` knows them all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from rounds.acts.fields import Field, FieldError
from rounds.husbandry import cautions
from rounds.husbandry.hatching import Times
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem, Refusal, RoundsError
from rounds.records.ledger import Change, Draft
from rounds.values.rough_width import USUAL, RoughWidth

if TYPE_CHECKING:
    from rounds.due.planned_pairings import PlansAgain
    from rounds.husbandry.species import Species


class ActRefused(Exception):
    """An act's precondition does not hold: the slips say which field, why, and what to do."""

    def __init__(self, *slips: FieldError) -> None:
        self.slips = slips
        super().__init__("; ".join(map(str, slips)))

    @classmethod
    def at(cls, field: str, refusal: Refusal) -> ActRefused:
        """One field is wrong."""
        return cls(FieldError.of(field, refusal))


class Settings(NamedTuple):
    """What the house's config says, as acts need it. The defaults know nothing.

    ``times`` gives a species' times by its Latin name, ``days`` a value of its file in days
    (``("Pachnoda marginata", "next_search_days")`` to shortest, longest, source); None where
    there is no such file or value. ``checklists`` are the steps of each list, by their ids;
    ``species`` is all that is known of each, for work that follows from it. ``about`` says how
    far a rough count reaches. ``open_actions`` gives what is still to be done at an enclosure,
    in words (the books do not hold it). ``plans_again`` gives the open plans whose F is another by now.
    """

    times: Callable[[str], Times | None] = lambda _: None
    days: Callable[[str, str], tuple[float, float, str] | None] = lambda *_: None
    checklists: Mapping[str, tuple[str, ...]] = {}
    species: Mapping[str, Species] = {}
    about: RoughWidth = USUAL
    open_actions: Callable[[int], tuple[str, ...]] = lambda _: ()
    plans_again: PlansAgain = lambda *_: {}


NO_SETTINGS = Settings()


class ActInput:
    """What an act is planned from; fields are read as ``given["name"]``.

    ``subject`` is the row it is done to (0 for an act of the house). ``sure`` is True when
    the keeper has said yes to a doubtful value. ``act`` is the act's id.
    """

    __slots__ = ("act", "keeper", "settings", "subject", "sure", "today", "values")

    def __init__(
        self,
        subject: int,
        values: Mapping[str, Any],
        today: int,
        keeper: str = "",
        *,
        sure: bool = False,
        settings: Settings = NO_SETTINGS,
        act: str = "",
    ) -> None:
        self.act = act
        self.subject, self.values, self.today, self.keeper, self.sure = subject, values, today, keeper, sure
        self.settings = settings

    def __getitem__(self, field: str) -> Any:
        return self.values[field]

    def agreed(self) -> ActInput:
        """The same, after the keeper has said yes."""
        return ActInput(
            self.subject,
            self.values,
            self.today,
            self.keeper,
            sure=True,
            settings=self.settings,
            act=self.act,
        )


class ConfirmationRequired(Exception):
    """A value that may be a slip of the finger: asked about once, never refused."""

    def __init__(self, field: str, text: str) -> None:
        self.field, self.text = field, text
        super().__init__(text)


class Act(NamedTuple):
    """One kind of act.

    ``on`` is the table of its subject ("enclosure", "animal", "line", ...; "" for the
    house). ``stages`` are those in which the walk offers it. ``caution`` is shown beside it
    and comes from the table in :mod:`rounds.husbandry.cautions`. ``plan`` drafts the changes;
    it may raise ActRefused or ConfirmationRequired.
    """

    id: str
    title: str
    about: str
    on: str
    fields: tuple[Field, ...]
    plan: Callable[[Draft, ActInput], None]
    stages: tuple[str, ...] = ()
    caution: str = ""


ACTS: dict[str, Act] = {}


def act(
    id: str, title: str, *fields: Field, on: str, about: str, stages: tuple[str, ...] = ()
) -> Callable[[Callable[[Draft, ActInput], None]], Callable[[Draft, ActInput], None]]:
    """Register the decorated plan as an act."""

    def register(plan: Callable[[Draft, ActInput], None]) -> Callable[[Draft, ActInput], None]:
        if id in ACTS:
            raise ValueError(f"two acts are called {id}")
        ACTS[id] = Act(id, title, about, on, fields, plan, stages, cautions.text_of(cautions.of_act(id)))
        return plan

    return register


class PlannedAct(NamedTuple):
    """What an act will change, and the row it is done to."""

    act: Act
    subject: int
    changes: tuple[Change, ...]


class BadAct(RoundsError):
    """An act that cannot be recorded: all that is wrong with it."""

    def __init__(self, what: str, slips: list[FieldError] | tuple[FieldError, ...]) -> None:
        self.what, self.slips = what, tuple(slips)
        super().__init__("\n".join(str(Problem(what, 0, 0, str(s))) for s in slips))


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
