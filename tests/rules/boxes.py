"""Small vocabularies, rules and histories for the tests of rules."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from rounds.husbandry.readings import Choice, ReadingKind, Vocabulary
from rounds.problems import Problem
from rounds.records.observations import NOTHING, EnclosureState, Occupant, Visit
from rounds.rules.rule import Rule
from rounds.rules.rule_parser import parse
from rounds.rules.scene import Scene
from rounds.settings import yamlfile
from rounds.settings.document import Document
from rounds.values.spans import Span

DAY_MS = 86_400_000
TODAY = 700_100


def _choice(id_: str, *answers: str) -> ReadingKind:
    return ReadingKind(
        id_, id_, "choice", choices=tuple(Choice(a, a, str(i + 1)) for i, a in enumerate(answers))
    )


KINDS = (
    ReadingKind("jelly_gone", "jelly eaten", "count", high=9),
    ReadingKind("jelly_in", "jelly given", "count", high=40),
    ReadingKind("jelly_out", "jelly removed", "count", high=40),
    ReadingKind("fruit_in", "fruit given", "tick"),
    _choice("fruit_gone", "untouched", "some", "gone"),
    _choice("moisture", "dry", "right", "wet", "water"),
    _choice("activity", "out", "still", "below", "unseen"),
    ReadingKind("on_back", "on its back", "tick"),
    ReadingKind("mating", "mating", "tick"),
    ReadingKind("surfaced", "surfaced", "count", high=9, at_least=True),
    ReadingKind("shelf_temp", "shelf °C", "count", subject="shelf", high=45, decimals=1, plausible=(8, 38)),
    ReadingKind("gone_out_of_use", "old", "tick", retired=True),
)
VOCABULARY = Vocabulary({k.id: k for k in KINDS}, {}, (Choice("time", "no time", "1"),))


def doc(text: str, name: str = "mine.yaml") -> Document:
    return yamlfile.parse(textwrap.dedent(text), name)


def parsed(*texts: str) -> tuple[list[Rule], list[Problem]]:
    """Each text is one layer of one file."""
    return parse([[doc(t, f"{i}.yaml")] for i, t in enumerate(texts)], VOCABULARY)


def one(fields: str) -> Rule:
    """The only rule of a file, given by its fields; it must parse."""
    rules, problems = parsed(
        "rules:\n  - " + textwrap.indent(textwrap.dedent(fields).strip(), "    ").strip()
    )
    assert problems == []
    return rules[0]


def said(*texts: str) -> list[str]:
    """Every problem as `line:column message hint`."""
    return [f"{p.line}:{p.column} {p.message} {p.hint}".strip() for p in parsed(*texts)[1]]


def seen(ago: float, *, confirmed: Mapping[str, Any] | None = None, skipped: str = "", **read: Any) -> Visit:
    """A visit ``ago`` days back (parts of a day for a second round)."""
    at_ms = round((TODAY - ago) * DAY_MS + DAY_MS / 3)
    return Visit(
        b"%d" % at_ms,
        1,
        at_ms // DAY_MS,
        at_ms,
        read,
        NOTHING if confirmed is None else confirmed,
        skipped=skipped,
        shelf="A1",
    )


def box(stage: str = "holding", days: int | None = None, **more: Any) -> EnclosureState:
    since = None if days is None else Span(TODAY - days, TODAY - days)
    return EnclosureState(1, "UMB-01", 1, stage, since, None, 1, more.pop("species", ""), **more)


def scene(
    *visits: Visit,
    at: EnclosureState | None = None,
    shelf: Sequence[Visit] | None = None,
    present: bool = True,
) -> Scene:
    last = visits[-1] if visits and present else None
    return Scene(
        at or box(),
        visits,
        last.day if last else TODAY,
        last.at_ms if last else TODAY * DAY_MS + DAY_MS // 3,
        visits if shelf is None else shelf,
        present and bool(visits),
    )


def group(males: int = 0, females: int = 0, unsexed: int = 0, **more: Any) -> Occupant:
    return Occupant("UMBER", males=males, females=females, unsexed=unsexed, **more)
