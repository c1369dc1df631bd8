"""What the walk's machine asks (rounds.walk.machine.state.Desk), each answered by the part of the walk that knows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from rounds.acts.offer import Offer
from rounds.config import Config
from rounds.husbandry.readings import Choice, ReadingKind
from rounds.husbandry.stages import Depth
from rounds.records.observations import CALL, Action, Visit
from rounds.store.ids import call_id
from rounds.walk import walk_sentences
from rounds.walk.books import Books
from rounds.walk.lazy_pages import Pages
from rounds.walk.machine.questions import JELLY_IN, Ask
from rounds.walk.machine.state import Drafted, DueHere, Earlier, LastCup, OlderAct, PromisedStep, ToldByRow
from rounds.walk.past import Past
from rounds.walk.round_state import RoundState
from rounds.walk.route import Route
from rounds.walk.rule_monitor import Watch
from rounds.walk.stage_questions import StageQuestions
from rounds.walk.undo_steps import UndoSteps

if TYPE_CHECKING:
    from rounds.acts import checklists
    from rounds.acts.card import Card
    from rounds.views.page import Link, OpenPage, Page
    from rounds.walk.act_queries import ActDesk


class WalkDesk:
    """``commands`` are the keys of the layout in force, each with what it does."""

    def __init__(
        self,
        config: Config,
        commands: Mapping[str, str],
        route: Route,
        past: Past,
        questions: StageQuestions,
        watch: Watch,
        books: Books,
        round: RoundState,
        undo: UndoSteps,
        pages: Pages,
    ) -> None:
        self.config, self.commands, self.books, self.pages = config, commands, books, pages
        self.route, self.past, self.questions = route, past, questions
        self.watch, self.round, self.undo = watch, round, undo
        vocabulary = config.vocabulary
        self.day, self.card_keys = round.day, config.card_keys
        self.call_instead = ""
        self.others_today: Callable[[int], Sequence[Visit]] = lambda _: ()
        """Visits of other keepers to a stop today, also those committed since it was last read."""
        self.kinds: Mapping[str, ReadingKind] = vocabulary.kinds
        self.skips: tuple[Choice, ...] = vocabulary.skips
        self.put_offs: tuple[Choice, ...] = vocabulary.put_offs

    @cached_property
    def acts(self) -> ActDesk:
        """Acts in the books, from the first that is offered on: no start needs them."""
        from rounds.walk.act_queries import ActDesk

        return ActDesk(self.books, self.config, self.day, self.watch.open_at)

    # Stops, and what is asked there

    def count(self) -> int:
        return self.route.count()

    def find(self, text: str) -> int | None:
        return self.route.find(text)

    def label(self, stop: int) -> str:
        return self.route.label(stop)

    def enclosure_of(self, stop: int) -> int:
        return self.route.enclosure_of(stop)

    def stop_of(self, enclosure: int) -> int | None:
        return self.route.stop_of(enclosure)

    def starts_at(self, stop: int) -> Depth:
        return self.questions.starts_at(stop)

    @property
    def version(self) -> int:
        return self.route.times_put + self.questions.times_forgotten + self.watch.times_set

    def passed_over(self, stop: int) -> bool:
        return self.round.passed_over(stop)

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        return self.questions.asks(stop, depth)

    def asks_of_shelf(self, stop: int) -> tuple[int, tuple[Ask, ...]]:
        return self.questions.asks_of_shelf(stop)

    def withheld(self, stop: int, depth: Depth) -> str:
        return self.questions.withheld(stop, depth)

    def earlier(self, stop: int) -> tuple[Earlier, ...]:
        return self.past.earlier(stop)

    def last_cup(self, stop: int) -> LastCup | None:
        changed = self.route.stops[stop].enclosure.changed
        visits = sorted((*self.past.of(stop), *self.others_today(stop)), key=lambda v: (v.day, v.at_ms))
        for v in reversed(visits):
            amount = v.read.get(JELLY_IN)
            if v.day >= changed and isinstance(amount, (int, float)) and amount > 0:
                return LastCup(amount, v.day, v.keeper)
        return None

    # Actions and acts

    def call_for_help(self, stop: int, seq: int) -> Action | None:
        box = self.route.enclosure_of(stop)
        if any(action.rule == CALL for action in self.watch.open_at(box)):
            return None
        return Action(
            call_id(self.undo.walk, box, seq),
            box,
            CALL,
            "now",
            walk_sentences.calls_for_help(self.round.keeper, self.call_instead),
            walk_sentences.look_and_read_the_note(self.route.label(stop)),
            self.day,
        )

    def actions(self, stop: int) -> tuple[Action, ...]:
        return self.watch.open_at(self.route.enclosure_of(stop))

    def listed(self) -> tuple[tuple[int, Action | None], ...]:
        return self.round.listed()

    def offers(self, stop: int) -> tuple[Offer, ...]:
        return self.acts.offers(self.route.enclosure_of(stop)) if stop < self.route.count() else ()

    def card(
        self, stop: int, act: str, whom: str, told: tuple[tuple[str, str], ...], instead: bytes = b""
    ) -> Card:
        return self.acts.card(self.route.enclosure_of(stop), act, whom, told, instead)

    def read_answer(self, stop: int, act: str, field: str, text: str) -> tuple[str, str]:
        return self.acts.read_answer(self.route.enclosure_of(stop), act, field, text)

    def draft(
        self,
        act: str,
        whom: str,
        typed: tuple[tuple[str, str], ...],
        *,
        sure: bool,
        instead: bytes = b"",
    ) -> Drafted:
        return self.acts.draft(act, whom, dict(typed), sure=sure, instead=instead)

    def due_here(self, stop: int) -> tuple[DueHere, ...]:
        return self.acts.due_here(self.route.enclosure_of(stop)) if stop < self.route.count() else ()

    def promised(self, stop: int) -> tuple[PromisedStep, ...]:
        if stop >= self.route.count():
            return ()
        from rounds.walk.promised_steps import promised  # no start needs it

        box = self.route.stops[stop].enclosure
        return tuple(promised(self.watch, self.acts, box.id, box.stage))

    def to_say(self, stop: int, seq: int) -> tuple[tuple[str, Ask], ...]:
        act = self.undo.act_of(seq) if self.books.at_hand is not None else None
        if act is None and not any(d.what.startswith("say ") for d in self.route.stops[stop].dues):
            return ()
        from rounds.walk.to_say import rows  # no start needs it

        return tuple(rows(self.acts, self.route.enclosure_of(stop), act))

    def told_by(self, stop: int, row: str, choice: str, seq: int) -> ToldByRow | None:
        from rounds.walk.to_say import told

        return told(self.acts, row, choice, self.undo.act_of(seq), self.label(stop))

    def older_acts(self, stop: int) -> tuple[OlderAct, ...]:
        return self.acts.older(self.route.enclosure_of(stop)) if stop < self.route.count() else ()

    def keeps_older(self, uid: bytes) -> str:
        return self.acts.keeps(uid)

    def act_said(self, seq: int) -> str:
        act = self.undo.act_of(seq)
        return "" if act is None else self.acts.said(act)

    def keeps(self, seq: int) -> str:
        """Why a step cannot be taken back: other acts rest on the one it recorded ("" when it can)."""
        act = self.undo.act_of(seq)
        return "" if act is None else self.acts.keeps(act)

    def begun(self, stop: int) -> tuple[checklists.Begun, ...]:
        """Checklists begun at a stop, once the books have been read; reading them is not waited for."""
        return self.acts.begun(self.route.enclosure_of(stop)) if self.books.at_hand is not None else ()

    # The books as pages

    def page(self, opened: OpenPage) -> Page:
        return self.pages.page(opened)

    def first_row(self, link: Link, stop: int) -> int:
        return self.pages.first_row(link, stop)
