"""The sheet of a stand-in: box by box what may be done, what never, and only what cannot harm.

What that is stands in ``config/standin/*.yaml``; the last layer that has such a file counts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.husbandry import locks as locked
from rounds.husbandry.cautions import CAUTIONS
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, nearest
from rounds.records.observations import Action, EnclosureState, Visit
from rounds.reports import day_sentences
from rounds.reports.day_kinds import STAND_IN
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document
from rounds.text.cleaning import day_words, long_day

FOLDER = "standin"


class PermittedTask(NamedTuple):
    """Something a stand-in may do; a lock on any of ``needs`` keeps it back."""

    do: str
    needs: tuple[str, ...]
    food: bool = False  # what to give is said with it


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
    after: tuple[str, ...] = ()


class SheetFacts(NamedTuple):
    """What the book says that day, by the id of an enclosure."""

    keeper: str
    open_actions: Mapping[int, Sequence[Action]]
    visits: Mapping[int, Sequence[Visit]]
    """Of the last weeks, the oldest first."""


WEEKS_BACK = 6 * 7
"""Days of visits to look back for what was given last."""


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
    top.only(("first", "cautions", "call", "acts", "stages", "after"))
    first = top.words("first")
    careful = tuple(CAUTIONS[id_].text for id_ in top.words("cautions", CAUTIONS))
    call = top.get("call", str, "", required=True)
    acts: dict[str, PermittedTask] = {}
    for name in top.get("acts", dict, {}, required=True):
        one = Fields(doc, ("sheet", "acts", name), f"acts: {name}", problems)
        one.only(("do", "needs", "food"))
        acts[name] = PermittedTask(
            one.get("do", str, "", required=True), one.words("needs", FORBIDS), one.get("food", bool, False)
        )
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
    return Sheet(first, careful, call, acts, stages, top.words("after"))


def stand_in_sheet(
    sheet: Sheet,
    house: str,
    day: int,
    enclosures: Sequence[EnclosureState],
    locks: Mapping[int, Sequence[ActiveLock]],
    facts: SheetFacts,
) -> ReportDocument:
    """The sheet for a day: what goes for all, then a page for each bay in the order of the walk."""
    bays: dict[str, list[ReportRow]] = {}
    for e in enclosures:
        if e.stage == "empty":
            continue
        rule = sheet.stages[e.stage]
        held = locked.in_force(e.stage, locks.get(e.id, ()), day, vacated=e.vacated)
        forbidden = {what for lock in held for what in lock.forbids}
        seen = facts.visits.get(e.id, ())
        urgent = _urgent(facts.open_actions.get(e.id, ()), seen)
        if urgent:  # foul, hot or wet: nobody opens it alone
            forbidden.add("open")
        may = [a for a in rule.may if not forbidden.intersection(sheet.acts[a].needs)]
        never = [*rule.never, *(day_sentences.never(locked.words(k)) for k in locks.get(e.id, ()))]
        if urgent:
            never.insert(0, day_sentences.leave_shut(facts.keeper))
        where, shelf = (e.place.address, e.place.shelf_name) if e.place else ("", day_sentences.NO_PLACE)
        feeds = any(sheet.acts[name].food for name in may)
        cells = (
            where,
            e.code,
            e.stage,
            urgent,
            ", ".join(may),
            _give(seen, facts.keeper) if feeds else "",
            " ".join(never),
            day_sentences.ROOM_TO_WRITE,
        )
        bay = day_sentences.bay(e.place.bay) if e.place else day_sentences.NO_PLACE
        bays.setdefault(bay, []).append(ReportRow(cells, under=(day_sentences.shelf(shelf),)))
    called = day_sentences.call_whom(facts.keeper)
    columns = STAND_IN.table(ROWS).columns
    return document(
        STAND_IN,
        day_sentences.sheet_title(house, long_day(day)),
        *(
            Report(name, columns, rows, said=(sheet.call, called), own_page=True)
            for name, rows in bays.items()
        ),
        said=(
            *sheet.cautions,
            *sheet.first,
            *(day_sentences.may_do(name, task.do) for name, task in sheet.acts.items()),
            sheet.call,
            called,
            *sheet.after,
        ),
    )


def _urgent(actions: Sequence[Action], visits: Sequence[Visit]) -> str:
    """What is open and cannot wait, and water that stood there at the last look that told."""
    said = [action.reason for action in actions if action.level == "now"]
    wet = next((v for v in reversed(visits) if "moisture" in v.read), None)
    if not said and wet is not None and wet.read["moisture"] == "water":
        said.append(day_sentences.standing_water(day_words(wet.day)))
    return " ".join(said)


def _give(visits: Sequence[Visit], keeper: str) -> str:
    """As much jelly as was given last; the keeper is asked where nobody wrote it down."""
    for visit in reversed(visits):
        given = visit.read.get("jelly_in")
        if isinstance(given, (int, float)) and given > 0:
            return day_sentences.give(given, day_words(visit.day))
    return day_sentences.ask_how_much(keeper)
