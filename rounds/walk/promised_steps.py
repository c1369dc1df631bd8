"""Steps that the instruction of an open action names and the program can take, for the walk to offer."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from rounds.acts import due_acts, enclosure_sentences
from rounds.due.kinds import DueWork
from rounds.records.observations import Action
from rounds.rules.rule import OFFERED_STEPS, OTHERWISE, Rule
from rounds.values.spans import iso
from rounds.walk import walk_sentences
from rounds.walk.act_queries import ActDesk
from rounds.walk.machine.state import PromisedStep
from rounds.walk.rule_monitor import Watch

REASON_ROOM = 160
"""Characters of an action's reason that go into the books as the reason of the step."""


def promised(watch: Watch, acts: ActDesk, enclosure: int, stage: str) -> Iterator[PromisedStep]:
    """What open actions at an enclosure promise and was not done yet, the worst action first."""
    works = acts.works(enclosure)
    fitting = {o.act for o in acts.offers(enclosure) if not o.unfit}
    seen = set[str]()
    for action in watch.open_at(enclosure):
        rule = watch.rule(action.rule)
        todo = None if rule is None else rule.do.get(stage, rule.do.get(OTHERWISE))
        if rule is None or todo is None:
            continue
        for name in todo.offers:
            step = _step(name, rule, action, acts.day, fitting)
            known = step.act in fitting or (step.act == due_acts.OFF and _quarantined(works))
            if known and name not in seen and not _taken(step, works, acts.day):
                seen.add(name)
                yield step


def _step(name: str, rule: Rule, action: Action, today: int, fitting: Collection[str]) -> PromisedStep:
    found = OFFERED_STEPS[name]
    if found.instead in fitting and found.act not in fitting:
        found = found._replace(act=found.instead)
    told = [(field, iso(today + int(text)) if text.startswith("+") else text) for field, text in found.told]
    if found.act in ("look-again", "search-sooner", due_acts.OFF):
        told.append(("because", action.reason[:REASON_ROOM].rstrip(" .")))
    if found.act == "look-again":
        told.append(("about", _about(rule)))
    return PromisedStep(found.act, tuple(told), walk_sentences.STEPS_OF_RULES[name], rule.title)


def _about(rule: Rule) -> str:
    return rule.title[:1].lower() + rule.title[1:]


def _quarantined(works: list[DueWork]) -> bool:
    return any(w.kind == "quarantine-end" and w.done is None for w in works)


def _taken(step: PromisedStep, works: list[DueWork], today: int) -> bool:
    """Was it done already, for the same reason or for another?"""
    told = dict(step.told)
    if step.act == "look-again":
        return any(w.what == enclosure_sentences.look_again(told["about"]) for w in works)
    if step.act == "search-sooner":
        return any(w.kind in due_acts.SEARCHES and w.planned(today) <= today + 1 for w in works)
    if step.act == due_acts.OFF:
        return all(w.put_off(today) for w in works if w.kind == "quarantine-end")
    return False
