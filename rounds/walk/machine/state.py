"""The walk's machine: its state, what a key can bring about, and what it asks of the house."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Protocol

from rounds.acts.offer import Offer
from rounds.husbandry.readings import Choice, ReadingKind
from rounds.husbandry.stages import Depth
from rounds.named_tuple import NamedTuple
from rounds.records.entries import Cell
from rounds.records.observations import Action
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.questions import Ask

if TYPE_CHECKING:
    from rounds.acts.card import Card
    from rounds.views.page import Link, OpenPage, Page

MAX_TEXT = 2000  # characters of one note
NO_CELLS: Mapping[str, Cell] = {}
WALKING = Walking()


class VisitDraft(NamedTuple):
    """What this round has recorded at one stop, and how closely it is looking."""

    cells: Mapping[str, Cell] = NO_CELLS
    depth: Depth | None = None  # None: the stage's own
    extra: tuple[str, ...] = ()  # readings asked for on top of the stage's


class Undoable(NamedTuple):
    """What one step changed, newest first in ``State.steps``; steps may share a number."""

    seq: int
    stop: int
    visit: bytes | None  # None: this round's visit at the stop
    kind: str  # empty: an action
    depth: Depth
    before: Cell
    action: Action | None = None  # as it was before, for an action's step


class BackTo(NamedTuple):
    """The pages that lay over the walk, and where the walk stood under them."""

    pages: tuple[OpenPage, ...]
    at: int
    cursor: int


class State(NamedTuple):
    """Where the walk stands. ``at`` equal to the number of stops is the summary.

    What only one mode needs is in ``mode``: a half typed number, the act being recorded ...
    """

    at: int = 0
    mode: Mode = WALKING
    cursor: int = 0
    message: str = ""
    warned: bool = False  # the next key was pressed once with answers missing
    looks: Mapping[int, VisitDraft] = {}
    steps: tuple[Undoable, ...] = ()  # newest last
    seq: int = 0
    earlier: bytes | None = None  # the earlier visit being corrected
    corrected: Mapping[tuple[bytes, str], Cell] = {}
    came_from: int = 0  # the stop the summary was opened from
    pages: tuple[OpenPage, ...] = ()  # the pages of the books that lie over the walk, the one in sight last
    back_to: BackTo | None = None  # the pages that asked for what is being told now, to return to
    said: int = 0
    """The step of the newest act that a row told: who was found dead."""
    unrecorded: bool = False
    """An act was just given up or refused: who takes that back would take back the reading before it."""
    scanned: bool = False  # a scan has just ended: an Enter now is the scanner's second, not a keeper's

    @property
    def half_typed(self) -> str:
        """A number of several digits that is half typed at the cursor, "" when there is none."""
        return self.mode.buffer if isinstance(self.mode, Walking) else ""


class Earlier(NamedTuple):
    """An earlier visit that can be corrected."""

    uid: bytes
    day: int
    cells: Mapping[str, Cell]


class LastCup(NamedTuple):
    """The newest fresh jelly that was given at a stop: how many quarter cups, on which day, by whom."""

    amount: float
    day: int
    keeper: str


class Drafted(NamedTuple):
    """Whether an act may be recorded as typed: it may when only ``said``, what it is, is there.

    ``asks`` is a field that it needs as things are, though not always. ``wrong`` are the fields
    that ``refused`` is about, each with what is wrong there.
    """

    said: str = ""
    refused: str = ""
    question: str = ""
    asks: str = ""
    wrong: tuple[tuple[str, str], ...] = ()


class DueHere(NamedTuple):
    """Work that is planned or due at a stop, by its name; ``act`` does it ("" where it is only ticked off).

    ``whom`` is whom that act concerns, where it need not be asked; ``told`` is what the work
    itself says of it.
    """

    name: str
    act: str = ""
    whom: str = ""
    told: tuple[tuple[str, str], ...] = ()


class PromisedStep(NamedTuple):
    """A step that an open action's instruction names: the act that does it, what that is told, and its words.

    ``headline`` is the title of the rule that raised the action.
    """

    act: str
    told: tuple[tuple[str, str], ...]
    title: str
    headline: str


class ToldByRow(NamedTuple):
    """What the answer of a row tells: an act, in the place of an older one where ``instead`` is that act's uid.

    ``by_reading``: the act is stated by the reading that was answered last, which states it anew.
    """

    act: str
    whom: str
    told: tuple[tuple[str, str], ...] = ()
    instead: bytes = b""
    by_reading: bool = False


class OlderAct(NamedTuple):
    """An act that concerned a box and can be corrected there: what it was told, and how it is shown."""

    uid: bytes
    act: str
    whom: str
    told: tuple[tuple[str, str], ...]
    shown: str


class Put(NamedTuple):
    """Put ``after`` into a visit's cell."""

    seq: int
    stop: int
    visit: bytes | None
    kind: str
    depth: Depth
    before: Cell
    after: Cell
    why: str = ""
    told: tuple[tuple[str, str], ...] = ()
    """What the act that the reading states is told beside what its value says."""


class SetAction(NamedTuple):
    """An action was carried out, put off, or either was taken back."""

    seq: int
    stop: int
    after: Action


class RecordAct(NamedTuple):
    """An act is recorded at a stop, in the place of an older one where ``instead`` is that act's uid."""

    seq: int
    stop: int
    act: str
    whom: str
    typed: tuple[tuple[str, str], ...]
    sure: bool
    instead: bytes = b""


class UndoOlderAct(NamedTuple):
    """An act that was recorded before, on any day, is taken back."""

    stop: int
    uid: bytes


class UndoAct(NamedTuple):
    """The act of this step is taken back."""

    seq: int
    stop: int


class Undone(NamedTuple):
    """The steps with this number are taken back (their reversal came before)."""

    seq: int


class Move(NamedTuple):
    """The walk stands at this stop now."""

    stop: int


class Leave(NamedTuple):
    """Quit, once everything is saved."""


Effect = Put | SetAction | RecordAct | UndoAct | UndoOlderAct | Undone | Move | Leave
Result = tuple[State, tuple[Effect, ...]]


class Starts(Protocol):
    """Knows how closely each stop is looked at unless asked otherwise."""

    def starts_at(self, stop: int) -> Depth:
        """How closely the stage is looked at."""


class Desk(Starts, Protocol):
    """What the machine may ask about the house; all of it plain values."""

    commands: Mapping[str, str]
    card_keys: Mapping[str, str]
    kinds: Mapping[str, ReadingKind]
    skips: tuple[Choice, ...]
    put_offs: tuple[Choice, ...]
    day: int
    call_instead: str
    """Whom a stand-in calls for what is not theirs to do; "" where a keeper walks."""

    @property
    def version(self) -> int:
        """Another number whenever what is asked anywhere, or which stops are passed over, may have changed."""

    def call_for_help(self, stop: int, seq: int) -> Action | None:
        """The open action by which a stand-in asks for the keeper, made by this step; None where one is open."""

    def count(self) -> int:
        """How many stops the walk has."""

    def find(self, text: str) -> int | None:
        """The stop with this short number or code."""

    def label(self, stop: int) -> str:
        """The stop's code."""

    def passed_over(self, stop: int) -> bool:
        """Is it an empty box at which nothing is open? The walk does not stop there; one can go to it."""

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        """The stage's questions at a depth."""

    def asks_of_shelf(self, stop: int) -> tuple[int, tuple[Ask, ...]]:
        """Which stop is the first of this one's shelf, and what is read once for the shelf."""

    def withheld(self, stop: int, depth: Depth) -> str:
        """Why one may not look so closely now ("" when one may)."""

    def earlier(self, stop: int) -> tuple[Earlier, ...]:
        """The last three visits before this round, newest first."""

    def last_cup(self, stop: int) -> LastCup | None:
        """The newest cup that those at the stop were given, by whomever; None where none is known."""

    def actions(self, stop: int) -> tuple[Action, ...]:
        """Open actions at the stop, worst first."""

    def listed(self) -> tuple[tuple[int, Action | None], ...]:
        """The summary's rows: a stop, and its action (None: a stop not yet seen)."""

    def offers(self, stop: int) -> tuple[Offer, ...]:
        """Acts of the stage, the likeliest first; each has its place every day."""

    def card(
        self, stop: int, act: str, whom: str, told: tuple[tuple[str, str], ...], instead: bytes = b""
    ) -> Card:
        """The card of an act as it stands with what was told."""

    def read_answer(self, stop: int, act: str, field: str, text: str) -> tuple[str, str]:
        """What a field is told by what was typed and "", or "" and what is wrong with it."""

    def draft(
        self,
        act: str,
        whom: str,
        typed: tuple[tuple[str, str], ...],
        *,
        sure: bool,
        instead: bytes = b"",
    ) -> Drafted:
        """Whether an act may be recorded as it was typed; nothing is recorded by asking."""

    def due_here(self, stop: int) -> tuple[DueHere, ...]:
        """Work that is planned or due at a stop, the most urgent first."""

    def promised(self, stop: int) -> tuple[PromisedStep, ...]:
        """Steps that open actions at a stop name and that can be taken with a key, the worst action first."""

    def to_say(self, stop: int, seq: int) -> tuple[tuple[str, Ask], ...]:
        """What a look left to be said at a stop, each row with the act of the reading it stands below.

        ``seq`` is the step that was taken last there by a reading that states an act, or by such a row; else 0.
        """

    def told_by(self, stop: int, row: str, choice: str, seq: int) -> ToldByRow | None:
        """What the answer of such a row tells; None when it is not asked any more."""

    def older_acts(self, stop: int) -> tuple[OlderAct, ...]:
        """Acts that concerned the enclosure of a stop, the newest first."""

    def keeps_older(self, uid: bytes) -> str:
        """Why an older act cannot be taken back ("" when it can)."""

    def act_said(self, seq: int) -> str:
        """The act that a step recorded, in words: its title, and whom it concerned."""

    def keeps(self, seq: int) -> str:
        """Why the act of a step cannot be taken back yet ("" when it can)."""

    def enclosure_of(self, stop: int) -> int:
        """The id of the enclosure at a stop."""

    def stop_of(self, enclosure: int) -> int | None:
        """The stop of an enclosure, None when it is not on this walk."""

    def page(self, opened: OpenPage) -> Page:
        """An open page of the books as they are now."""

    def first_row(self, link: Link, stop: int) -> int:
        """The row a page opens at, for who stands at a stop."""
