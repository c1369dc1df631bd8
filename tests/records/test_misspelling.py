"""A misspelt column, or a value of another type, is an error of the type checker wherever records are used.

Each case is a small module that mypy (https://mypy.readthedocs.io) checks with the project's own settings, all in
one run. An error must stand at every line marked ``# wrong`` and at no other.
"""

from __future__ import annotations

import os
import re
from collections import defaultdict
from pathlib import Path

import pytest

from rounds.records.tables import Batch, Line

HEAD = """\
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Content, Enclosure, Line
from rounds.values.spans import Span


"""

CASES = {
    "reading": """\
def read(animal: Animal, box: Enclosure) -> str:
    number: str = animal.number
    days: Span | None = animal.born
    print(animal.nmber)  # wrong
    print(animal.code, box.code)  # wrong
    grams: int = animal.number  # wrong
    print(animal["number"], animal.get("number"))  # wrong
    return animal.born  # wrong
""",
    "reading_what_may_be_missing": """\
def read(animal: Animal, ledger: Ledger) -> int:
    if animal.last_seen is not None:
        print(animal.last_seen + 1)
    print(ledger.row(Line, animal.line).name, ledger.row(Line, animal.line).code)  # wrong
    return animal.last_seen + 1  # wrong
""",
    "columns": """\
def named() -> None:
    print(Animal.number.name, Animal.void.is_(True))
    print(Animal.nmber)  # wrong
    print(Enclosure.number.is_(3), Enclosure.number.nmae)  # wrong
""",
    "conditions": """\
def found(ledger: Ledger) -> list[Animal]:
    right = list(ledger.rows(Animal, Animal.number.is_("3"), Animal.sire.is_(None)))
    list(ledger.rows(Animal, Animal.nmber.is_("3")))  # wrong
    list(ledger.rows(Animal, Animal.number.is_(3)))  # wrong
    list(ledger.rows(Animal, nmber="3"))  # wrong
    list(ledger.rows("animal"))  # wrong
    ledger.row("animal", 1)  # wrong
    boxes: list[Enclosure] = list(ledger.rows(Animal))  # wrong
    return right
""",
    "writing_through_a_draft": """\
def write(draft: Draft) -> None:
    draft.set(Animal.number, 1, "3")
    draft.set(Animal.born, 1, None)
    draft.set(Animal.nmber, 1, "3")  # wrong
    draft.set(Animal.number, 1, 3)  # wrong
    draft.set(Animal.number, "1", "3")  # wrong
    draft.set(Animal.number, 1, None)  # wrong
    draft.set("animal", 1, "number", "3")  # wrong
    draft.add("line", name="LOCH")  # wrong
""",
    "constructing": """\
def made(draft: Draft) -> Animal:
    draft.add(Animal(line=1, number="3", sex="f"))
    Animal(line=1, nmber="3", number="3")  # wrong
    Animal(line=1)  # wrong
    Animal(line="1", number="3")  # wrong
    Animal(1, "3")  # wrong
    draft.add(Line(name="LOCH", number="3"))  # wrong
    return Animal(line=1, number="3", sire=None, born=Span(1, 2))
""",
    "changing_a_value": """\
def changed(content: Content) -> Content:
    content.changed(Content.instr, "L1")  # wrong
    content.changed(Content.instar, 1)  # wrong
    content.changed(instar="L1")  # wrong
    return content.changed(Content.instar, "L1").changed(Content.line, None)
""",
    "assigning": """\
def write(animal: Animal) -> None:
    animal.number = "4"  # wrong
    animal.nmber = "4"  # wrong
    del animal.nmber  # wrong
""",
    "spelt_right": """\
def all_of_it(ledger: Ledger, draft: Draft, animal: Animal) -> None:
    for content in ledger.rows(Content, Content.enclosure.is_(3), Content.until.is_(None)):
        print(content.total, content.males + content.females, content.since)
    draft.set(Enclosure.stage, draft.add(Enclosure(code="T-07", number=7, stage="empty")), "laying")
    print(animal.value(Animal.sex).upper(), ledger.find(Animal, 1, "3"), Animal.column("sex").words)
""",
}

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def errors(
    tmp_path_factory: pytest.TempPathFactory, pytestconfig: pytest.Config
) -> dict[str, dict[int, list[str]]]:
    """What mypy says, by case and line."""
    from mypy import api

    folder = tmp_path_factory.mktemp("misspelt")
    for name, body in CASES.items():
        (folder / f"case_{name}.py").write_text(HEAD + body, encoding="utf-8")
    # pytest has no cache folder where its cache plugin is off.
    cache = getattr(pytestconfig, "cache", None)
    before = Path.cwd()
    os.chdir(ROOT)
    try:
        told, trouble, _ = api.run(
            [
                "--config-file=pyproject.toml",
                f"--cache-dir={cache.mkdir('mypy') if cache else folder}",
                "--no-error-summary",
                "--hide-error-context",
                *sorted(map(str, folder.glob("case_*.py"))),
            ]
        )
    finally:
        os.chdir(before)
    assert trouble == ""
    found: dict[str, dict[int, list[str]]] = defaultdict(lambda: defaultdict(list))
    for line in told.splitlines():
        place = re.fullmatch(r".*?case_(\w+)\.py:(\d+): (error|note): (.*)", line)
        assert place, line
        if place[3] == "error":
            found[place[1]][int(place[2])].append(place[4])
    return found


@pytest.mark.parametrize("case", CASES)
def test_the_type_checker_tells_exactly_the_lines_that_are_wrong(
    case: str, errors: dict[str, dict[int, list[str]]]
) -> None:
    lines = (HEAD + CASES[case]).splitlines()
    wrong = [n for n, line in enumerate(lines, 1) if line.endswith("# wrong")]
    assert sorted(errors[case]) == wrong, dict(errors[case])
    assert bool(wrong) == (case != "spelt_right")


def test_a_column_of_another_table_is_refused_when_it_is_used() -> None:
    """The one slip that the type checker lets pass: both columns have the same type."""
    line = Line(name="LOCH")
    assert line.changed(Line.name, "UMBER").changed(Line.void, True).values == {
        **line.values,
        "name": "UMBER",
        "void": True,
    }
    with pytest.raises(KeyError, match=r"batch\.name"):
        line.changed(Batch.name, "UMBER")
