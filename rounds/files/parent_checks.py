"""Parents in a table of animals: of the right sex, older than their young, nobody's own ancestor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from rounds.files import row_sentences as sentences
from rounds.files.typed_tables import Sheet, TypedRow
from rounds.problems import nearest
from rounds.values.spans import Span
from rounds.values.value_sentences import shown

Kin = tuple[str, str]
LIFE = ("born", "wandering", "cell", "eclosed", "emerged", "first_feed", "mature")


def name(who: Kin) -> str:
    return f"{shown(who[0])}/{shown(who[1])}"


def check(
    sheet: Sheet, known: Mapping[Kin, tuple[str, Span | None]], held_parents: Mapping[Kin, tuple[Kin, ...]]
) -> None:
    """Problems with sires, dams and the order of a life go to the sheet's sink.

    ``known`` is the sex and birth of every animal of the tables and the book,
    ``held_parents`` the parents of those that are only in the book.
    """
    parents: dict[Kin, tuple[Kin, ...]] = dict(held_parents)
    rows: dict[Kin, TypedRow] = {}
    names = [f"{a}/{b}" for a, b in known]
    for row in sheet.rows:
        if row["line"] is None or row["animal"] is None:
            continue
        me: Kin = (row["line"], row["animal"])
        rows.setdefault(me, row)
        found: list[Kin] = []
        for role, wrong in (("sire", "f"), ("dam", "m")):
            parent: Kin | None = row[role]
            if parent is None:
                continue
            if parent not in known:
                close = nearest(f"{parent[0]}/{parent[1]}", names)
                sheet.problem(row, role, *sentences.no_parent(name(parent), close))
                continue
            found.append(parent)
            sex, born = known[parent]
            if sex == wrong:
                sheet.problem(row, role, *sentences.parent_of_wrong_sex(name(parent), role))
            own: Span | None = row["born"]
            if own and born and own.latest <= born.earliest and parent != me:
                told = sentences.parent_too_young(name(parent), str(born), name(me), str(own))
                sheet.problem(row, role, *told)
        parents[me] = tuple(found)
        _life(sheet, row)
    for loop in _loops(parents):
        # Told once, at the loop's first animal that stands in this table.
        row = min((rows[a] for a in loop if a in rows), key=lambda r: r.line)
        chain = tuple(name(a) for a in (*loop, loop[0]))
        role = "sire" if row["sire"] in loop else "dam"
        sheet.problem(row, role, *sentences.own_ancestor(chain))


def _life(sheet: Sheet, row: TypedRow) -> None:
    before: tuple[str, Span] | None = None
    for step in LIFE:
        span: Span | None = row[step]
        if span is None:
            continue
        if before and span.latest < before[1].earliest:
            sheet.problem(row, step, *sentences.step_before(str(span), before[0], str(before[1])))
        before = (step, span)


def _loops(parents: Mapping[Kin, Iterable[Kin]]) -> Iterator[list[Kin]]:
    """Every loop once, without recursion: a pedigree may be deeper than Python's stack."""
    state: dict[Kin, int] = {}  # 1: on the path, 2: done
    for start in parents:
        if start in state:
            continue
        path: list[Kin] = [start]
        ways = [iter(parents[start])]
        state[start] = 1
        while ways:
            step = next(ways[-1], None)
            if step is None:
                state[path.pop()] = 2
                ways.pop()
            elif state.get(step) == 1:
                yield path[path.index(step) :]
            elif step not in state:
                state[step] = 1
                path.append(step)
                ways.append(iter(parents.get(step, ())))
