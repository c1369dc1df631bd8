"""What rules raise during a walk, kept up key by key: flags of each visit, open actions.

Pure bookkeeping over :mod:`rounds.rules`: it says which flag and action rows change, and
never writes any itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rounds.husbandry import lock_sentences
from rounds.husbandry.locks import ActiveLock
from rounds.records import carry_sentences
from rounds.records.entries import Entry, SetActionEntry, SetFlag
from rounds.records.observations import Action, EnclosureState, Flag
from rounds.records.round_summary import Need, harm, urgency
from rounds.rules.evaluate import Finding, RuleSet, evaluate
from rounds.rules.headlines import line_to_do
from rounds.rules.rule import CARRY, PER_ADULT, PerLitre, Rule, measured, of_looking_alone, readings
from rounds.rules.scene import Scene

UNDONE = ("state", "until", "why", "closed")


def state_of(action: Action) -> dict[str, object]:
    """What undo must remember of an action; :meth:`Watch.restored` reads it back."""
    return {name: getattr(action, name) for name in UNDONE}


class Watch:
    """Flags and actions of one round.

    ``open_`` are the actions open on the round day, by enclosure. While an action is open
    or put off, its rule raises no other at that enclosure. An action born at a visit whose
    flag falls away (undo, a corrected key) is withdrawn; one from before only has its
    cause marked as gone, for it is the keeper's to tick off. Where the cause is that nobody
    looked, it ends with the look. ``action_id`` gives the id of an action that a rule raises at
    an enclosure.
    """

    def __init__(
        self,
        rules: Sequence[Rule],
        day: int,
        fingerprint: str,
        action_id: Callable[[int, str], bytes],
        open_: Mapping[int, Sequence[Action]],
    ) -> None:
        self.rules = RuleSet(r for r in rules if r.level != CARRY)
        self._carries = RuleSet(r for r in rules if r.level == CARRY)
        self._given_before: dict[tuple[str, str], frozenset[str]] = {}  # by stage and species
        self.day, self.fingerprint, self._action_id = day, fingerprint, action_id
        self._rule = {r.id: r for r in rules}
        self._of_looking = {r.id for r in rules if of_looking_alone(r)}
        self._actions: dict[bytes, Action] = {}
        self.times_set = 0  # how often a flag or an action became another
        self._at: dict[int, dict[bytes, Action]] = {}  # the same by enclosure: asked for several times a key
        for action in (a for some in open_.values() for a in some):
            self.set(action)
        self._flags: dict[int, dict[str, Flag]] = {}
        self._born: dict[tuple[bytes, str], bytes] = {}  # (visit, rule) -> the action it raised

    def open_at(self, enclosure: int) -> tuple[Action, ...]:
        """Open actions there, worst first."""
        there = self._at.get(enclosure)
        return tuple(sorted((a for a in there.values() if a.state == "open"), key=_worst)) if there else ()

    def every_open(self) -> dict[int, tuple[Action, ...]]:
        """Open actions of the house by enclosure, worst first."""
        found: dict[int, list[Action]] = {}
        for a in self._actions.values():
            if a.state == "open":
                found.setdefault(a.enclosure, []).append(a)
        return {box: tuple(sorted(some, key=_worst)) for box, some in found.items()}

    def flags_at(self, enclosure: int) -> tuple[Flag, ...]:
        """Flags of this round's visit there, worst first."""
        return tuple(sorted(self._flags.get(enclosure, {}).values(), key=lambda f: harm(f.level)))

    def outlived(self, enclosure: int, stage: str, *, of_animals: frozenset[str]) -> list[Action]:
        """Open actions there that have no cause any more, as its stage is another now.

        ``of_animals`` are the readings that nobody is asked there, where everybody has left: what
        rests on nothing else has gone with them.
        """
        gone = self.resting_on(enclosure, of_animals)
        return [
            action
            for action in self.open_at(enclosure)
            if (rule := self._rule.get(action.rule)) is not None
            and ((rule.stages and stage not in rule.stages) or action in gone)
        ]

    def resting_on(self, enclosure: int, kinds: frozenset[str]) -> list[Action]:
        """Open actions there that rest on these readings and on nothing else."""
        rests_on = {a: readings(self._rule[a.rule]) for a in self.open_at(enclosure) if a.rule in self._rule}
        return [action for action, asked in rests_on.items() if asked and asked <= kinds]

    def pressing(self, enclosure: int) -> frozenset[str]:
        """Readings that an open action rests on: they are asked again, not confirmed."""
        found: set[str] = set()
        for action in self.open_at(enclosure):
            if action.rule in self._rule:
                found |= readings(self._rule[action.rule])
        return frozenset(found)

    def overrides(self, enclosure: int) -> bool:
        """Whether something foul, hot or flooded sets the locks there aside."""
        rules = [*self._flags.get(enclosure, ()), *(a.rule for a in self.open_at(enclosure))]
        return any(r in self._rule and self._rule[r].over_locks for r in rules)

    def findings(self, scene: Scene, locks: Sequence[ActiveLock]) -> list[Finding]:
        return evaluate(self.rules, scene, locks)

    def preview(self, scene: Scene, locks: Sequence[ActiveLock]) -> tuple[Flag, ...]:
        """What stands before anything is read: shown, not stored."""
        flags = [f.flag for f in self.findings(scene, locks) if f.flag is not None]
        return tuple(sorted(flags, key=lambda f: harm(f.level)))

    def bring(
        self, scene: Scene, locks: Sequence[ActiveLock], unasked: frozenset[str] = frozenset()
    ) -> tuple[Need, ...]:
        """What the carry rules want brought to an enclosure, each amount with its rule.

        ``unasked`` are the readings that nobody is asked there: what rests on nothing else is not wanted.
        """
        return tuple(
            Need(what, amount, amount, why=f.reason.rstrip("."), how=_reckoned(f.rule, what))
            for f in evaluate(self._carries, scene, locks)
            if not (unasked and readings(f.rule) <= unasked)
            for what, amount in f.bring.items()
        )

    def given_before(self, enclosure: EnclosureState) -> frozenset[str]:
        """The readings of earlier visits that what is to be brought to an enclosure rests on."""
        kind = (enclosure.stage, enclosure.species)
        known = self._given_before.get(kind)
        if known is None:
            wanted = (measured(ready.rule) for ready in self._carries.at(*kind).rules)
            known = self._given_before[kind] = frozenset().union(*wanted)
        return known

    def rule(self, id_: str) -> Rule | None:
        """A rule in force; None for one that was there when an action was raised and is no more."""
        return self._rule.get(id_)

    def held_back(self, rule: str, stage: str, withheld: str, *, likely_cell: bool) -> str:
        """Why what a rule wants done at a box in ``stage`` has to wait ("" when nothing keeps it back).

        ``withheld`` is what a lock says; ``likely_cell``: digging may break a cell, so that what the rule says of a
        cell is done until then. What is urgent enough to set locks aside does not wait.
        """
        found = self._rule.get(rule)
        if withheld or not likely_cell or found is None or found.over_locks:
            return withheld
        todo = found.todo(stage)
        if todo is None or "dig" not in todo.needs:
            return ""
        of_cell = found.todo("cell")
        if of_cell is None or "dig" in of_cell.needs or not all(isinstance(x, str) for x in of_cell.text):
            return lock_sentences.MAY_BE_IN_CELL
        return lock_sentences.in_cell_until_then(line_to_do(of_cell, "".join(map(str, of_cell.text))))

    def as_told(self, action: Action, stage: str, *, likely_cell: bool) -> Action:
        """An action with what keeps it back today, for lists and reports."""
        held = self.held_back(action.rule, stage, action.withheld, likely_cell=likely_cell)
        return action._replace(withheld=held)

    def ends_with_a_look(self, rule: str) -> bool:
        """Does what a rule raises end once somebody has looked?"""
        return rule in self._of_looking

    def ended_by_looking(self, enclosure: int) -> tuple[Action, ...]:
        """Actions from before, that nobody looked there, which a look of this walk has ended."""
        there = self._at.get(enclosure)
        if not there:
            return ()
        return tuple(
            a
            for a in there.values()
            if a.state == "withdrawn" and a.opened < self.day and a.rule in self._of_looking
        )

    def set(self, action: Action) -> None:
        """An action as it is now: raised, ticked off, put off, or that taken back."""
        self.times_set += 1
        self._actions[action.uid] = action
        self._at.setdefault(action.enclosure, {})[action.uid] = action

    def known(self, uid: bytes) -> Action | None:
        """An action as it is known here, whatever its state."""
        return self._actions.get(uid)

    def recall(self, enclosure: int, visit: bytes, flags: Sequence[Flag]) -> None:
        """Take up what an interrupted round had raised at a visit, in the order the rules stand in."""
        order = {rule: at for at, rule in enumerate(self._rule)}
        self.times_set += 1
        self._flags[enclosure] = {
            f.rule: f for f in sorted(flags, key=lambda f: order.get(f.rule, len(order)))
        }
        for action in self._at.get(enclosure, {}).values():
            if action.opened == self.day:
                self._born.setdefault((visit, action.rule), action.uid)

    def restored(self, uid: bytes, before: object) -> Action | None:
        """The action as a step remembers it, or None when it is not known here."""
        action = self._actions.get(uid)
        if action is None or not isinstance(before, Mapping):
            return None
        return action._replace(**{k: before[k] for k in UNDONE if k in before})

    def judge(
        self, scene: Scene, locks: Sequence[ActiveLock], visit: bytes, at_ms: int, keeper: str
    ) -> list[Entry]:
        """Judge a visit again and return the rows that change, flags first."""
        enclosure = scene.enclosure.id
        entries: list[Entry] = []
        before = self._flags.get(enclosure, {})
        found = self.findings(scene, locks)
        now = {f.rule.id: f.flag for f in found if f.flag is not None}
        self.times_set += now != before
        self._flags[enclosure] = now
        for rule, flag in before.items():
            if rule not in now:
                entries.append(SetFlag(visit, flag, stands=False, fingerprint=self.fingerprint))
                entries += self._fallen(visit, rule, at_ms, keeper)
        for rule, flag in now.items():
            if before.get(rule) != flag:
                entries.append(SetFlag(visit, flag, stands=True, fingerprint=self.fingerprint))
                entries += self._raised(enclosure, visit, flag, at_ms, keeper)
        gone = {f.rule.id: f.verdict is False for f in found}
        seen = scene.present and bool(scene.visits[-1].confirmed)
        for action in self.open_at(enclosure):
            if action.rule in self._of_looking and (seen or gone.get(action.rule, False)):
                entries.append(self._change(action._replace(state="withdrawn"), visit, at_ms, keeper))
            elif (
                action.rule in gone
                and (visit, action.rule) not in self._born
                and action.cause_gone != gone[action.rule]
            ):
                entries.append(
                    self._change(action._replace(cause_gone=gone[action.rule]), visit, at_ms, keeper)
                )
        for rule in self._of_looking & now.keys():
            born = self._actions.get(self._born.get((visit, rule), b""))
            if born is not None and born.state == "withdrawn" and not seen:  # the look was taken back
                entries.append(self._change(born._replace(state="open"), visit, at_ms, keeper))
        return entries

    def _raised(self, enclosure: int, visit: bytes, flag: Flag, at_ms: int, keeper: str) -> list[Entry]:
        born = self._born.get((visit, flag.rule))
        if born is not None:
            action = self._actions[born]
            again = action._replace(
                level=flag.level,
                reason=flag.reason,
                todo=flag.todo,
                withheld=flag.withheld,
                state="open" if action.state == "withdrawn" else action.state,
            )
            return [self._change(again, visit, at_ms, keeper)] if again != action else []
        held = [a for a in self._at.get(enclosure, {}).values() if a.rule == flag.rule]
        if any(a.state in ("open", "off") or (a.state == "done" and a.closed == self.day) for a in held):
            return []  # it is being dealt with, or was dealt with at this very look
        action = Action(
            self._action_id(enclosure, flag.rule),
            enclosure,
            flag.rule,
            flag.level,
            flag.reason,
            flag.todo,
            self.day,
            withheld=flag.withheld,
        )
        self._born[(visit, flag.rule)] = action.uid
        return [self._change(action, visit, at_ms, keeper)]

    def _fallen(self, visit: bytes, rule: str, at_ms: int, keeper: str) -> list[Entry]:
        born = self._born.get((visit, rule))
        if born is None or self._actions[born].state != "open":
            return []
        return [self._change(self._actions[born]._replace(state="withdrawn"), visit, at_ms, keeper)]

    def _change(self, action: Action, visit: bytes, at_ms: int, keeper: str) -> SetActionEntry:
        self.set(action)
        return SetActionEntry(action, visit, at_ms, keeper, by_rule=True)


def _reckoned(rule: Rule, what: str) -> str:
    """How a carry rule comes to its amount, in a few words."""
    given, title = rule.bring[what], rule.title[:1].lower() + rule.title[1:]
    if isinstance(given, PerLitre):
        return carry_sentences.by_the_litre(given.per_litre, title)
    return (
        carry_sentences.an_adult(title) if given == PER_ADULT else carry_sentences.a_box(float(given), title)
    )


def _worst(action: Action) -> tuple[int, bool, int]:
    return *urgency(action), action.opened
