"""Acts as lines and as data: the list of them, their fields, what one changed, a history."""

from __future__ import annotations

import csv
import io
import shlex
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from rounds.acts.act import Act, Recorded
from rounds.acts.fields import Field
from rounds.acts.registry import all_acts
from rounds.acts.running_trials import masked
from rounds.files.cells_out import guarded
from rounds.husbandry.spans import Span, text
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.tables import TABLES
from rounds.store.read_acts import subject
from rounds.text.cleaning import clean, json_text

WIDE = 400  # characters of one line at the most


def listing(rows: Sequence[dict[str, Any]], form: str) -> str:
    """Rows as csv or json (a list of objects)."""
    if form == "json":
        return json_text(list(rows))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]) if rows else [], lineterminator="\r\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _cell(value) for name, value in row.items()})
    return out.getvalue().rstrip("\r\n")


def _cell(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        said = ", ".join(map(str, value))
    elif isinstance(value, dict):
        said = " ".join(f"{k}={shlex.quote(v)}" for k, v in value.items())
    else:
        said = "" if value is None else ("yes" if value else "no") if isinstance(value, bool) else str(value)
    return guarded(clean(said, WIDE * 10))


# Which acts there are, and what each must be told


def topic(act: Act) -> str:
    """What the module of an act says it is about: the heading it stands under."""
    said = (sys.modules[act.plan.__module__].__doc__ or "").strip().partition("\n")[0]
    return said.partition(":")[0].rstrip(".")


def acts_by_topic() -> str:
    lines: list[str] = []
    for title, found in _topics().items():
        lines += ["", f"{title}:"] if lines else [f"{title}:"]
        lines += [f"  {act.id:<18}{act.on.upper():<11}{act.about or act.title}" for act in found]
    return "\n".join(lines)


def _topics() -> dict[str, list[Act]]:
    out: dict[str, list[Act]] = {}
    for act in all_acts().values():
        out.setdefault(topic(act), []).append(act)
    return {title: out[title] for title in sorted(out)}


def act_rows() -> list[dict[str, Any]]:
    return [
        {"act": a.id, "on": a.on, "title": a.title, "about": a.about, "topic": title,
         "fields": [f.name for f in a.fields]}
        for title, found in _topics().items()
        for a in found
    ]  # fmt: skip


def usage(act: Act) -> str:
    """How an act is typed: ``rounds record dead ANIMAL [on=…]``."""
    fields = [f"{f.name}=…" if f.required else f"[{f.name}=…]" for f in act.fields]
    return " ".join(["rounds record", act.id, *([act.on.upper()] if act.on else []), *fields])


def fields(act: Act) -> str:
    lines = [usage(act), act.about or act.title]
    lines += [f"  {f.name:<16}{_about(f)}" for f in act.fields]
    return "\n".join([*lines, *([act.caution] if act.caution else [])])


def field_rows(act: Act) -> list[dict[str, Any]]:
    return [
        {"field": f.name, "required": f.required, "type": f.type, "of": f.of, "many": f.many,
         "words": list(_words(f)), "default": f.default, "about": f.about}
        for f in act.fields
    ]  # fmt: skip


def _words(field: Field) -> tuple[str, ...]:
    return {"stage": STAGES, "yesno": ("yes", "no")}.get(field.type, field.words)


def _about(field: Field) -> str:
    more = ["required"] if field.required else []
    if _words(field):
        more.append("one of " + ", ".join(_words(field)))
    if field.many:
        more.append("several with commas")
    if field.default and "unless given" not in field.about:
        more.append(f"{field.default} unless given")
    return field.about + (f" ({'; '.join(more)})" if more else "")


# What was recorded


def one(act: Recorded, ledger: Ledger) -> str:
    """One line: its number, day and keeper, and how it was typed; ``taken back`` when it was.

    Here and in what follows the arms of a running trial are left out.
    """
    act = masked(act, ledger)
    words = [act.name, *([str(act.undoes)] if act.undoes else [])]
    words += [shlex.quote(subject(ledger, act.table, act.subject))] if act.table else []
    words += [] if act.undoes else [f"{k}={shlex.quote(v)}" for k, v in act.given.items()]
    line = f"{act.id:>5}  {_iso(act.day)}  {act.keeper:<10}  {' '.join(words)}"
    return clean(line + ("  (taken back)" if act.undone else ""), WIDE)


def row(act: Recorded, ledger: Ledger) -> dict[str, Any]:
    act = masked(act, ledger)
    return {
        "act": act.id, "uid": act.uid.hex(), "day": _iso(act.day), "at_ms": act.at_ms, "keeper": act.keeper,
        "name": act.name, "on": act.table, "which": subject(ledger, act.table, act.subject),
        "given": dict(act.given), "sure": act.sure, "taken_back": act.undone, "takes_back": act.undoes or None, "changes": changed(act.changes, ledger),
    }  # fmt: skip


def changed(changes: Iterable[Change], ledger: Ledger) -> list[str]:
    """A line for each change: ``animal UMBER/3: state alive -> dead``; a new row with what it holds."""
    out = []
    for change in changes:
        who = f"{change.table} {named(ledger, change.table, change.id)}".rstrip()
        if isinstance(change, Add):
            known = [
                f"{c.name} {_value(ledger, change.table, c.name, change.values[c.name])}"
                for c in TABLES[change.table].columns
                if change.values[c.name] != c.default and c.name not in TABLES[change.table].key
            ]
            out.append(f"new {who}" + (f": {', '.join(known)}" if known else ""))
        elif change.column == "void":
            out.append(f"{who}: {'counts no more' if change.after else 'counts again'}")
        else:
            before, after = (
                _value(ledger, change.table, change.column, v) for v in (change.before, change.after)
            )
            out.append(f"{who}: {change.column} {before} -> {after}")
    return [clean(line, WIDE) for line in out]


def named(ledger: Ledger, table: str, id_: int) -> str:
    """A row as people would say it; one without a name by what it refers to first."""
    if TABLES[table].key and table != "place":
        return subject(ledger, table, id_)
    found = ledger.row(table, id_)
    if table == "place":
        return f"{found['bay']}{found['shelf']}-{found['slot']}"
    refs = [
        (c.of, found[c.name]) for c in TABLES[table].columns if c.type == "ref" and found[c.name] is not None
    ]
    if any(of == "animal" for of, _ in refs):
        refs = [r for r in refs if r[0] != "line"]  # its name says the line
    return " ".join(named(ledger, of, i) for of, i in refs[:2])


def _value(ledger: Ledger, table: str, column: str, value: Any) -> str:
    kind = TABLES[table].column(column)
    if value is None or value == "":
        return "nothing"
    if isinstance(value, Span):
        return text(value)
    if kind.type == "ref":
        return named(ledger, kind.of, value)
    if kind.type == "day":
        return _iso(value)
    return ("yes" if value else "no") if kind.type == "yesno" else str(value)


def _iso(day: int) -> str:
    return text(Span(day, day))
