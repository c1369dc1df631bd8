"""A document as Markdown (CommonMark, with the tables of GitHub's extension), fit for a message.

Only signs that would be markup where they stand are escaped, so that what was typed reads
well in a program that shows the source, too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rounds.reports.cell_values import CELL_LIMIT, read_text
from rounds.reports.report import Report, ReportDocument, ReportRow, TextBlock
from rounds.reports.report_columns import people_columns
from rounds.reports.report_sentences import NOTHING
from rounds.text.cleaning import clean

_ALWAYS = re.compile(r"[\\`]")
_RUN = re.compile(r"\*+|_+")
_LINK = re.compile(r"\](?=[(\[:])")
_TAG = re.compile(r"<(?=[A-Za-z/!?]|[^\s<>]*@)")
_ENTITY = re.compile(r"&(?=(?:#[0-9]+|#[xX][0-9A-Fa-f]+|[A-Za-z][A-Za-z0-9]*);)")
_START = re.compile(r"(#{1,6}(?=\s|$)|>|[-+*](?=\s|$)|[-_*=](?=[\s\-_*=]*$)|\[(?=[ xX]\]))")
_NUMBERED = re.compile(r"([0-9]{1,9})([.)](?=\s|$))")


_COMMAND = re.compile(r"(`rounds(?: [^`\\|]+)?`)")
"""A command that a sentence names: code in Markdown, too."""


def escaped(text: str) -> str:
    """A text inside a line, such as a cell, that Markdown shows as it stands; a command in it is code."""
    out = _escaped(_COMMAND.sub("\0", text))
    for command in _COMMAND.findall(text):
        out = out.replace("\0", command, 1)
    return out


def _escaped(text: str) -> str:
    out = _ALWAYS.sub(r"\\\g<0>", text)
    out = _RUN.sub(_escaped_run, out)
    for sign in (_LINK, _TAG, _ENTITY):
        out = sign.sub(r"\\\g<0>", out)
    return out.replace("~", r"\~") if out.count("~") > 1 else out


def _escaped_run(found: re.Match[str]) -> str:
    """Stars or underscores, which mark nothing between blanks (a line to write on), nor underscores inside a word."""
    run, before, after = found[0], found.string[: found.start()][-1:], found.string[found.end() :][:1]
    harmless = not before.strip() and not after.strip()
    inside = run[0] == "_" and before.isalnum() and after.isalnum()
    return run if harmless or inside else re.sub(".", r"\\\g<0>", run)


def escaped_line(text: str) -> str:
    """The same for a whole line, whose beginning could make it a heading, a list or a quotation."""
    text = text.strip(" ")
    out = escaped(text)
    numbered = _NUMBERED.match(out)
    if numbered:
        return f"{numbered[1]}\\{out[numbered.end(1) :]}"
    return f"\\{out}" if _START.match(out) else out


def as_markdown(document: ReportDocument) -> str:
    """Headings, paragraphs, lists and tables; a report without rows says so."""
    out = [f"# {_heading(document.title or document.kind.title)}"]
    out += _paragraphs(document.said)
    if document.result is not None and not document.said:
        out.append(_result(document))
    for part in document.parts:
        out += _part(part)
    out += _notes(document.notes)
    return "\n\n".join(filter(None, out)) + "\n"


def _heading(text: str) -> str:
    line = escaped_line(clean(text, CELL_LIMIT))
    return f"{line[:-1]}\\#" if line.endswith("#") and not line.endswith("\\#") else line


def _paragraphs(texts: Sequence[str]) -> list[str]:
    return [escaped_line(clean(t, CELL_LIMIT)) for t in texts if t]


def _notes(texts: Sequence[str]) -> list[str]:
    """One as a paragraph, several as a list."""
    lines = _paragraphs(texts)
    return lines if len(lines) < 2 else ["\n".join(f"- {line}" for line in lines)]


def _result(document: ReportDocument) -> str:
    return "\n".join(
        f"- {escaped_line(c.heading)}: {escaped(read_text(c, value))}".rstrip()
        for c, value in document.shown_fields
    )


def _part(part: Report | TextBlock) -> Iterator[str]:
    if part.title:
        yield f"## {_heading(part.title)}"
    if isinstance(part, TextBlock):
        yield _fenced(part.lines)
        return
    if not part.for_people:
        return
    yield from _paragraphs(part.said)
    if not part.rows:
        yield escaped_line(part.empty or NOTHING)
    for headings, rows in part.runs():
        for depth, heading in headings:
            yield f"{'#' * min(6, depth + 2 + bool(part.title))} {_heading(heading)}"
        yield _table(part, rows) if people_columns(part.columns) else _list(rows)
    yield from _notes(part.notes)


def _fenced(lines: Sequence[str]) -> str:
    shown = [clean(line, CELL_LIMIT).rstrip() for line in lines]
    longest = max((len(run) for line in shown for run in re.findall("`+", line)), default=0)
    fence = "`" * max(3, longest + 1)
    return "\n".join([fence, *shown, fence])


def _table(report: Report, rows: Sequence[ReportRow]) -> str:
    shown = report.shown
    columns = [report.columns[i] for i in shown]
    out = [_cells(c.heading for c in columns)]
    out.append("|" + "|".join(" ---: " if c.right else " --- " for c in columns) + "|")
    out += [_cells(read_text(report.columns[i], row.cells[i]) for i in shown) for row in rows]
    return "\n".join(out)


def _cells(texts: Iterator[str]) -> str:
    return (
        "| " + " | ".join(escaped(clean(t, CELL_LIMIT).strip(" ")).replace("|", r"\|") for t in texts) + " |"
    )


def _list(rows: Sequence[ReportRow]) -> str:
    out = []
    for row in rows:
        out.append(f"- {escaped_line(clean(row.line, CELL_LIMIT))}")
        out += [f"  - {escaped_line(clean(text, CELL_LIMIT))}" for text in row.below]
    return "\n".join(out)
