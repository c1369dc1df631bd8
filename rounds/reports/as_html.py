"""A document as one HTML file without scripts or links, fit to print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from rounds.reports.cell_values import CELL_LIMIT, read_text
from rounds.reports.report import Report, ReportDocument, ReportRow, TextBlock
from rounds.reports.report_columns import ReportColumn, people_columns
from rounds.reports.report_sentences import NOTHING
from rounds.text.cleaning import clean

_STYLE = (
    "body{font:14px/1.4 sans-serif;margin:1.5em;color:#000;background:#fff}"
    "table{border-collapse:collapse;margin:.5em 0 1.5em}"
    "th,td{border:1px solid #666;padding:.2em .5em;text-align:left;vertical-align:top}"
    "th.number,td.number{text-align:right;font-variant-numeric:tabular-nums}tr{break-inside:avoid}"
    "h2.page{break-before:page}"
)
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


def as_html(document: ReportDocument) -> str:
    """The whole file. Every text of the document is escaped; nothing in it is read as markup."""
    title = document.title or document.kind.title
    out = [
        "<!DOCTYPE html>",
        '<html lang="en"><head><meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
        f"<title>{_h(title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{_h(title)}</h1>",
        *_paragraphs(document.said),
    ]
    if document.result is not None and not document.said:
        out += _result(document)
    for part in document.parts:
        out += _part(part)
    return "\n".join([*out, *_notes(document.notes), "</body></html>"]) + "\n"


def _h(text: str) -> str:
    return escape(clean(text, CELL_LIMIT))


def _paragraphs(texts: Sequence[str]) -> list[str]:
    return [f"<p>{_h(t)}</p>" for t in texts if t]


def _notes(texts: Sequence[str]) -> list[str]:
    """One as a paragraph, several as a list."""
    if len(texts) < 2:
        return _paragraphs(texts)
    return ["<ul>", *(f"<li>{_h(text)}</li>" for text in texts if text), "</ul>"]


def _result(document: ReportDocument) -> list[str]:
    rows = [
        f"<tr><th>{_h(c.heading)}</th>{_cell('td', c, read_text(c, value))}</tr>"
        for c, value in document.shown_fields
    ]
    return ["<table><tbody>", *rows, "</tbody></table>"]


def _part(part: Report | TextBlock) -> Iterator[str]:
    if part.title:
        page = ' class="page"' if isinstance(part, Report) and part.own_page else ""
        yield f"<h2{page}>{_h(part.title)}</h2>"
    if isinstance(part, TextBlock):
        yield f"<pre>{chr(10).join(_h(line) for line in part.lines)}</pre>"
        return
    if not part.for_people:
        return
    yield from _paragraphs(part.said)
    if not part.rows:
        yield f"<p>{_h(part.empty or NOTHING)}</p>"
    for headings, rows in part.runs():
        for depth, heading in headings:
            level = min(6, depth + 2 + bool(part.title))
            yield f"<h{level}>{_h(heading)}</h{level}>"
        yield from _table(part, rows) if people_columns(part.columns) else _list(rows)
    yield from _notes(part.notes)


def _table(report: Report, rows: Sequence[ReportRow]) -> Iterator[str]:
    shown = report.shown
    columns = [report.columns[i] for i in shown]
    yield "<table><thead><tr>" + "".join(_cell("th", c, c.heading) for c in columns) + "</tr></thead><tbody>"
    for row in rows:
        cells = (_cell("td", report.columns[i], read_text(report.columns[i], row.cells[i])) for i in shown)
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody></table>"


def _cell(element: str, column: ReportColumn, text: str) -> str:
    right = ' class="number"' if column.right else ""
    return f"<{element}{right}>{_h(text)}</{element}>"


def _list(rows: Sequence[ReportRow]) -> Iterator[str]:
    yield "<ul>"
    for row in rows:
        below = "".join(f"<li>{_h(text)}</li>" for text in row.below)
        yield f"<li>{_h(row.line)}{f'<ul>{below}</ul>' if below else ''}</li>"
    yield "</ul>"
