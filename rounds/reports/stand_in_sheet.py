"""The sheet of a stand-in: box by box what may be done, what never, and only what cannot harm.

What that is stands in ``config/standin/*.yaml``; the last layer that has such a file counts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from rounds.husbandry import locks as locked
from rounds.husbandry.cautions import CAUTIONS
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.problems import BadInput, Problem, nearest
from rounds.records.observations import EnclosureState
from rounds.reports import day_sentences
from rounds.reports.day_kinds import STAND_IN
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document
from rounds.text.cleaning import long_day

FOLDER = "standin"


class PermittedTask(NamedTuple):
    """Something a stand-in may do; a lock on any of ``needs`` keeps it back."""

    do: str
    needs: tuple[str, ...]


class StageRule(NamedTuple):
    may: tuple[str, ...]
    never: tuple[str, ...]


class Sheet(NamedTuple):
    """What the file says; every stage has its rule."""

    first: tuple[str, ...]
    cautions: tuple[str, ...]
    call: str
    acts: Mapping[str, PermittedTask]
    stages: Mapping[str, StageRule]


def parse(documents: Sequence[Document]) -> Sheet:
    """The sheet of the last document. Raises BadInput with every problem of every document."""
    problems: list[Problem] = []
    found = [_one(doc, problems) for doc in documents]
    if not documents:
        problems.append(Problem(f"config/{FOLDER}", 0, 0, day_sentences.NO_SHEET, day_sentences.PUT_IT_BACK))
    if problems:
        raise BadInput(problems)
    return found[-1]


def _one(doc: Document, problems: list[Problem]) -> Sheet:
    Fields(doc, (), doc.file, problems).only(("sheet",))
    if not isinstance(doc.data, dict) or "sheet" not in doc.data:
        problems.append(doc.problem((), day_sentences.FIELD_MISSING))
        return Sheet((), (), "", {}, {})
    top = Fields(doc, ("sheet",), "sheet", problems)
    top.only(("first", "cautions", "call", "acts", "stages"))
    first = top.words("first")
    careful = tuple(CAUTIONS[id_].text for id_ in top.words("cautions", CAUTIONS))
    call = top.get("call", str, "", required=True)
    acts: dict[str, PermittedTask] = {}
    for name in top.get("acts", dict, {}, required=True):
        one = Fields(doc, ("sheet", "acts", name), f"acts: {name}", problems)
        one.only(("do", "needs"))
        acts[name] = PermittedTask(one.get("do", str, "", required=True), one.words("needs", FORBIDS))
    stages: dict[str, StageRule] = {}
    for stage in top.get("stages", dict, {}, required=True):
        if stage not in STAGES:
            top.problem(("stages", stage), day_sentences.no_stage(stage), nearest(stage, STAGES))
            continue
        one = Fields(doc, ("sheet", "stages", stage), f"stages: {stage}", problems)
        one.only(("may", "never"))
        stages[stage] = StageRule(one.words("may", acts), one.words("never"))
    for stage in STAGES:
        if stage not in stages:
            top.problem(("stages",), day_sentences.stage_missing(stage), day_sentences.SAY_WHAT_MAY_BE_DONE)
    return Sheet(first, careful, call, acts, stages)


def stand_in_sheet(
    sheet: Sheet,
    house: str,
    day: int,
    enclosures: Sequence[EnclosureState],
    locks: Mapping[int, Sequence[ActiveLock]],
) -> ReportDocument:
    """The sheet for a day, shelf by shelf in the order of the walk."""
    shelves: dict[str, list[ReportRow]] = {}
    for e in enclosures:
        if e.stage == "empty":
            continue
        rule = sheet.stages[e.stage]
        held = locked.in_force(e.stage, locks.get(e.id, ()), day, vacated=e.vacated)
        forbidden = {what for lock in held for what in lock.forbids}
        may = [a for a in rule.may if not forbidden.intersection(sheet.acts[a].needs)]
        never = [*rule.never, *(day_sentences.never(locked.words(k)) for k in locks.get(e.id, ()))]
        where, shelf = (e.place.address, e.place.shelf_name) if e.place else ("", day_sentences.NO_PLACE)
        row = ReportRow((where, e.code, e.stage, ", ".join(may), " ".join(never)))
        shelves.setdefault(shelf, []).append(row)
    columns = STAND_IN.table(ROWS).columns
    return document(
        STAND_IN,
        day_sentences.sheet_title(house, long_day(day)),
        *(Report(day_sentences.shelf(name), columns, rows) for name, rows in shelves.items()),
        said=(
            *sheet.cautions,
            *sheet.first,
            *(day_sentences.may_do(name, task.do) for name, task in sheet.acts.items()),
            sheet.call,
        ),
    )
