"""The headline of a rule and its one line of what to do; what a keeper's own file lacks is taken from its text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rounds.problems import Problem
from rounds.rules import rule_sentences as sentences
from rounds.rules.rule import Rule, Slot, Todo
from rounds.text.headlines import HEADLINE, ONE_LINE, first_clause, first_sentence


def title_from(id_: str, because: Sequence[str | Slot]) -> str:
    """A title for a rule that has none: the first clause of its reason, up to a value that is filled in."""
    plain = because[0] if because and isinstance(because[0], str) else ""
    whole = len(because) == 1 or bool(plain.rstrip().endswith((".", "!", "?", ",", ";", ":")))
    found = first_clause(plain, HEADLINE).rstrip(".,;:") if whole else ""
    return found or id_.replace("-", " ").capitalize()


def headline(rule: Rule) -> str:
    """What is wrong, in at most :data:`HEADLINE` characters."""
    return first_clause(rule.title, HEADLINE)


def line_to_do(todo: Todo, text: str) -> str:
    """What to do now, in at most :data:`ONE_LINE` characters; ``text`` is the whole, with its values filled in."""
    return todo.short or first_clause(text, ONE_LINE)


def shortened(rule: Rule, told: str) -> str:
    """The one line of an instruction as it was told; the whole where its file gives no line, or another one was told."""
    own = (t for t in rule.do.values() if t.short and all(isinstance(part, str) for part in t.text))
    return next((t.short for t in own if "".join(map(str, t.text)) == told), told)


def remarks(rules: Iterable[Rule]) -> Iterator[Problem]:
    """What ``rounds rules check`` says about headlines and lines that were not written: nothing is wrong with it."""
    for rule in rules:
        if not rule.titled:
            yield Problem(rule.file, rule.line, 0, *sentences.no_title(rule.id, headline(rule), HEADLINE))
        elif len(rule.title) > HEADLINE:
            yield Problem(rule.file, rule.line, 0, *sentences.long_title(rule.id, headline(rule), HEADLINE))
        told: set[str] = set()
        for todo in rule.do.values():
            text = "".join(part if isinstance(part, str) else "…" for part in todo.text)
            line = line_to_do(todo, text)
            if not todo.short and len(first_sentence(text)) > ONE_LINE and line not in told:
                told.add(line)
                yield Problem(rule.file, rule.line, 0, *sentences.no_short(rule.id, line, ONE_LINE))
