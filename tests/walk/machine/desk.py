"""A house of three enclosures for tests of the walk's machine."""

from __future__ import annotations

from rounds.acts.card import SERIES, SERIES_ON, WHOM, Card, CardAnswer, CardField
from rounds.acts.offer import Offer
from rounds.husbandry.readings import Choice, ReadingKind, Vocabulary
from rounds.husbandry.stages import Depth
from rounds.keys.layout_file import layout
from rounds.records.observations import Action
from rounds.settings import yamlfile
from rounds.settings.where import shipped
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.state import (
    Drafted,
    DueHere,
    Earlier,
    LastCup,
    OlderAct,
    PromisedStep,
    State,
    ToldByRow,
)

KINDS = (
    ReadingKind("jelly_gone", "jelly eaten", "count", ask_key="j", high=9),
    ReadingKind("jelly_in", "jelly given", "count", high=40),
    ReadingKind(
        "moisture",
        "moisture",
        "choice",
        ask_key="m",
        choices=tuple(Choice(w, w, str(i)) for i, w in enumerate(("dry", "right", "wet", "water"), 1)),
    ),
    ReadingKind(
        "smell",
        "smell",
        "choice",
        ask_key="e",
        choices=(Choice("earthy", "earthy", "1"), Choice("sour", "sour", "2")),
    ),
    ReadingKind("on_back", "on its back", "tick"),
    ReadingKind("surfaced", "surfaced", "count", high=9, at_least=True),
    ReadingKind("lid", "lid fastened", "tick"),
    ReadingKind("shelf_temp", "shelf °C", "count", subject="shelf", high=45, decimals=1),
)


def shipped_keys(layout_name: str) -> dict[str, str]:
    """The commands by key of a shipped layout: a command that is new is known here with it."""
    path = shipped("config") / "keys" / f"{layout_name}.yaml"
    return dict(layout(yamlfile.read(path, path.name), Vocabulary({}, {})).commands)


def shipped_card_keys(layout_name: str) -> dict[str, str]:
    """The commands of a card by key of a shipped layout."""
    path = shipped("config") / "keys" / f"{layout_name}.yaml"
    return dict(layout(yamlfile.read(path, path.name), Vocabulary({}, {})).card)


def _answers(*texts: str) -> tuple[CardAnswer, ...]:
    return tuple(CardAnswer(t, t) for t in texts)


Told = tuple[tuple[str, str], ...]
CARD_KEYS = {name: shipped_card_keys(name) for name in ("letters", "numbers")}
LETTERS, PAD = shipped_keys("letters"), shipped_keys("numbers")


class SmallDesk:
    """Stop 0 holds feeding adults (or, with ``first=1``, larvae); 1 and 2 hold larvae."""

    def __init__(self, first=0, locked="", past=(), open_=(), shelf_first=False):
        self.kinds = {k.id: k for k in KINDS}
        self.skips = (Choice("leave", "must not be disturbed", "1"), Choice("time", "no time", "2"))
        self.put_offs = (Choice("lacking", "nothing here for it", "1"), Choice("watch", "watching it", "2"))
        self.day = 739_000
        self.call_instead = ""
        self.first, self.locked, self.past, self.open_, self.shelf_first = (
            first,
            locked,
            past,
            open_,
            shelf_first,
        )
        self.kept: set[int] = set()
        self.empty: set[int] = set()
        self.commands = dict(LETTERS)
        self.card_keys = dict(CARD_KEYS["letters"])
        self.cup: LastCup | None = None
        self.caution, self.proposed, self.weighs = "", "", False
        self.due: tuple[DueHere, ...] = ()
        self.doubt = "an odd mark?"
        self.steps_named: tuple[PromisedStep, ...] = ()
        self.older: tuple[OlderAct, ...] = ()
        self.resting: set[bytes] = set()
        self._asked_for = 0

    def call_for_help(self, stop: int, seq: int) -> Action | None:
        called = any(a.rule == "call-for-help" for a in self.actions(stop))
        return None if called else Action(bytes([seq]), 100 + stop, "call-for-help", "now", "", "", self.day)

    @property
    def version(self) -> int:
        """Tests change this desk in place: nothing worked out from it is kept."""
        self._asked_for += 1
        return self._asked_for

    def count(self) -> int:
        return 3

    def passed_over(self, stop: int) -> bool:
        return stop in self.empty

    def find(self, text: str) -> int | None:
        names = {"1": 0, "2": 1, "3": 2, "tl-001": 0, "tl-002": 1, "tl-003": 2}
        return names.get(text.casefold())

    def enclosure_of(self, stop: int) -> int:
        return 100 + stop

    def stop_of(self, enclosure: int) -> int | None:
        return enclosure - 100 if 100 <= enclosure < 103 else None

    def page(self, opened: OpenPage) -> Page:
        """Every page lists the three enclosures and one row that leads nowhere; ``find`` is typed on."""
        rows = [ListRow((f"TL-00{i + 1}",), Link("enclosure", 100 + i), enclosure=100 + i) for i in range(3)]
        at = int(opened.link.id) if opened.link.kind == "enclosure" else None
        go = [ListRow(("go there",), Link("stop", at))] if at is not None else []
        part = PageSection("all", (ListColumn("", 8),), [*go, *rows, ListRow(("nowhere",))])
        return Page(opened.link.kind, parts=(part,), enclosure=at, typed=opened.link.kind == "find")

    def first_row(self, link: Link, stop: int) -> int:
        return 0

    def label(self, stop: int) -> str:
        return f"TL-00{stop + 1}"

    def starts_at(self, stop: int) -> Depth:
        return Depth.LID if stop + self.first == 0 else Depth.WALL

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        k = self.kinds
        wall = (Ask(k["moisture"], Depth.WALL, "right"),)
        if stop + self.first == 0:
            rows = (
                Ask(k["jelly_gone"], Depth.LID, (1.0, 3.0), "each time"),
                Ask(k["jelly_in"], Depth.LID),
                *wall,
            )
        else:
            rows = (*wall, Ask(k["surfaced"], Depth.WALL, (0.0, 0.0)))
            if depth >= Depth.LID:
                rows = (Ask(k["smell"], Depth.LID, "earthy"), *rows)
        rows = (*rows, Ask(k["lid"], Depth.WALL, True))
        if self.shelf_first and stop == 0:
            rows = (*rows, Ask(k["shelf_temp"], Depth.WALL, None, "once a shelf"))
        return rows

    def asks_of_shelf(self, stop: int) -> tuple[int, tuple[Ask, ...]]:
        asked = (Ask(self.kinds["shelf_temp"], Depth.WALL, None, "once a shelf"),)
        return (0 if self.shelf_first else stop), asked

    def withheld(self, stop: int, depth: Depth) -> str:
        return self.locked

    def earlier(self, stop: int) -> tuple[Earlier, ...]:
        return self.past if stop == 0 else ()

    def last_cup(self, stop: int) -> LastCup | None:
        return self.cup if stop == 0 else None

    def actions(self, stop: int) -> tuple[Action, ...]:
        return self.open_ if stop == 0 else ()

    def listed(self) -> tuple[tuple[int, Action | None], ...]:
        return (*((0, a) for a in self.open_), (1, None), (2, None))

    def offers(self, stop: int) -> tuple[Offer, ...]:
        """Three acts at the first stop: one told nothing, one of two animals and told a word and a text, one not today."""
        if stop and not self.weighs:
            return ()
        pair = (("UMBER/3", "UMBER 3 m"), ("UMBER/5", "UMBER 5 f"))
        weigh = (Offer("weigh", "weighed", pair[:1]),) if self.weighs else ()
        return (
            Offer("fed", "first feed", pair[:1]),
            Offer("sexed", "sexed", pair),
            Offer("lost", "has lost its mark", (), unfit="nobody here has a mark"),
            *weigh,
        )

    def card(self, stop: int, act: str, whom: str, told: Told, instead: bytes = b"") -> Card:
        """Whom, a word and a text that are needed, a count that is asked for, a text that may be told, and the day."""
        day = CardField(
            "on", "day", "On which day?", "text", _answers("2025-05-11"), otherwise="today", typed_as="15 Oct"
        )
        if act == "weigh":
            grams = CardField("grams", "weight in g", "Weight in g?", "number", needed=True)
            then = CardField(SERIES, "then", "The next one?", "choice", _answers(SERIES_ON, "no"))
            return Card(act, "weighed", "", (grams, then, day))
        if act != "sexed":
            return Card(act, act, "", (day,))
        who = CardField(WHOM, "who", "Whom?", "text", _answers("UMBER/3", "UMBER/5"), needed=True)
        how = CardField("how", "how", "How?", "choice", _answers("by spot", "as adult"), needed=True)
        mark = CardField("mark", "mark", "Which mark?", "text", needed=True)
        many = CardField("many", "how many", "How many?", "count", asked=True, proposed=self.proposed)
        note = CardField("note", "note", "Anything else?", "text")
        return Card(act, "sexed", self.caution, (who, how, mark, many, note, day))

    def read_answer(self, stop: int, act: str, field: str, text: str) -> tuple[str, str]:
        """A mark cannot be ``unreadable``."""
        return ("", "mark: that cannot be read") if text == "unreadable" else (text.strip(), "")

    def due_here(self, stop: int) -> tuple[DueHere, ...]:
        return self.due

    def promised(self, stop: int) -> tuple[PromisedStep, ...]:
        return self.steps_named if stop == 0 else ()

    def to_say(self, stop: int, seq: int) -> tuple[tuple[str, Ask], ...]:
        return ()

    def told_by(self, stop: int, row: str, choice: str, seq: int) -> ToldByRow | None:
        return None

    def older_acts(self, stop: int) -> tuple[OlderAct, ...]:
        return self.older

    def keeps_older(self, uid: bytes) -> str:
        return "other acts rest on it" if uid in self.resting else ""

    def draft(
        self,
        act: str,
        whom: str,
        typed: Told,
        sure: bool,
        instead: bytes = b"",
    ) -> Drafted:
        told = dict(typed)
        if told.get("mark") == "bad":
            return Drafted(refused="mark: cannot be `bad`.", wrong=(("mark", "mark: cannot be `bad`."),))
        if told.get("mark") == "odd" and not sure:
            return Drafted(question=self.doubt)
        return Drafted(said=act)

    def act_said(self, seq: int) -> str:
        return ""

    def keeps(self, seq: int) -> str:
        return "other acts rest on it" if seq in self.kept else ""


def half_typed(state: State) -> str:
    """What is being typed in the state's mode, "" in one that takes no text."""
    return getattr(state.mode, "buffer", "")
