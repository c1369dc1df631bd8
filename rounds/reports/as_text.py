"""A document as plain text: sentences, lists and tables for a terminal, a pipe or a mail."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rounds.reports.cell_values import CELL_LIMIT, read_text
from rounds.reports.report import Report, ReportDocument, TextBlock
from rounds.reports.report_columns import ReportColumn, people_columns
from rounds.reports.text_width import broken, padded, text_width, widest_piece
from rounds.text.cleaning import clean

GAP = "  "
"""Between two columns of a table."""
INDENT = "  "
BELOW = "    "
"""Sentences below a row are indented by this, further than the row."""


def as_text(document: ReportDocument, width: int | None = None) -> str:
    """The document with lines of at most ``width`` columns, broken between words; None breaks none.

    A table that does not fit is wrapped inside its columns; where even their longest words do not
    fit, each row is printed as lines ``heading: value``. Empty reports are left out unless
    they say what to print instead.
    """
    sections = [_sentences((document.title, *document.said), width)]
    if document.result is not None and not document.said:
        sections.append(_result(document, width))
    sections += [_part(part, width) for part in document.parts]
    sections.append(_sentences(document.notes, width))
    return "".join(f"{line}\n" for line in _spaced(sections))


def _spaced(sections: Sequence[Sequence[str]]) -> Iterator[str]:
    """The lines of all sections, with an empty one between two of them."""
    first = True
    for section in filter(None, sections):
        if not first:
            yield ""
        yield from section
        first = False


def _sentences(texts: Sequence[str], width: int | None, indent: str = "") -> list[str]:
    return [line for text in texts if text for line in _wrapped(text, width, indent)]


def _wrapped(text: str, width: int | None, indent: str = "") -> list[str]:
    """One sentence as lines; spaces it begins with count as further indent, which its other lines get too."""
    whole = clean(text, CELL_LIMIT)
    words = whole.lstrip(" ")
    indent += " " * (len(whole) - len(words))
    if width is None:
        return [f"{indent}{words}".rstrip(" ")]
    return broken(words, width, indent, indent + INDENT)


def _result(document: ReportDocument, width: int | None) -> list[str]:
    """The fields that people read, one a line: what it is, then its value."""
    shown = [(clean(c.heading), read_text(c, value)) for c, value in document.shown_fields]
    wide = max((text_width(heading) for heading, _ in shown), default=0)
    lines = []
    for heading, value in shown:
        start = f"{padded(heading, wide)}{GAP}"
        lines += broken(value, width, start, " " * len(start)) if width else [f"{start}{value}".rstrip(" ")]
    return lines


def _part(part: Report | TextBlock, width: int | None) -> list[str]:
    if isinstance(part, TextBlock):
        return [
            *_sentences((part.title,), width),
            *(clean(line, CELL_LIMIT).rstrip(" ") for line in part.lines),
        ]
    if not part.rows and not part.empty and not part.said and not part.notes:
        return []
    indent = INDENT if part.title else ""
    out = _sentences((part.title,), width) + _sentences(part.said, width, indent)
    if not part.rows:
        out += _sentences((part.empty,), width, indent)
    elif part.is_list:
        out += _list(part, width, indent)
    elif people_columns(part.columns):
        out += _table(part, width, indent)
    return out + _sentences(part.notes, width, indent)


def _list(report: Report, width: int | None, indent: str) -> list[str]:
    out: list[str] = []
    above: tuple[str, ...] = ()
    for row in report.rows:
        out += _headings(above, row.under, width, indent, spaced=bool(out))
        above = row.under
        inner = indent + INDENT * len(row.under)
        out += _wrapped(row.line, width, inner)
        out += _sentences(row.below, width, inner + BELOW)
    return out


def _headings(
    above: tuple[str, ...], under: tuple[str, ...], width: int | None, indent: str, *, spaced: bool
) -> list[str]:
    """The headings that begin here; an empty line comes before one of the widest."""
    same = next(
        (i for i, (a, b) in enumerate(zip(above, under, strict=False)) if a != b), min(len(above), len(under))
    )
    out = [""] if same == 0 and under and spaced else []
    for depth in range(same, len(under)):
        out += _wrapped(under[depth], width, indent + INDENT * depth)
    return out


def _table(report: Report, width: int | None, indent: str) -> list[str]:
    shown = report.shown
    columns = [report.columns[i] for i in shown]
    heads = [clean(c.heading, CELL_LIMIT) for c in columns]
    rows = [[read_text(report.columns[i], row.cells[i]) for i in shown] for row in report.rows]
    deepest = max(len(row.under) for row in report.rows)
    space = None if width is None else width - len(indent) - len(INDENT) * deepest
    widths = _widths(columns, [heads, *rows], space)
    out: list[str] = []
    above: tuple[str, ...] = ()
    inner = indent + INDENT * deepest
    if widths is not None:
        out += _line(columns, heads, widths, inner)
    for row, cells in zip(report.rows, rows, strict=True):
        out += _headings(above, row.under, width, indent, spaced=bool(above))
        above = row.under
        if widths is not None:
            out += _line(columns, cells, widths, inner)
        else:
            out += _stacked(heads, cells, width or 0, inner)
        out += _sentences(row.below, width, inner + BELOW)
    return out[:-1] if out[-1:] == [""] else out


def _widths(
    columns: Sequence[ReportColumn], rows: Sequence[Sequence[str]], space: int | None
) -> list[int] | None:
    """How wide each column is printed; None when the longest words do not fit beside each other."""
    across = list(zip(*rows, strict=True))
    widths = [max(map(text_width, cells)) for cells in across]
    if space is None:
        return widths
    least = [
        wide if column.right else max(map(widest_piece, cells))
        for column, wide, cells in zip(columns, widths, across, strict=True)
    ]
    over = sum(widths) + len(GAP) * (len(widths) - 1) - space
    while over > 0:
        spare, at = max(
            (wide if wide > low else 0, i) for i, (wide, low) in enumerate(zip(widths, least, strict=True))
        )
        if not spare:
            return None
        widths[at] -= 1
        over -= 1
    return widths


def _line(
    columns: Sequence[ReportColumn], cells: Sequence[str], widths: Sequence[int], indent: str
) -> list[str]:
    """One row of a table; a cell that was wrapped goes on in the next line."""
    stacks = [broken(cell, wide) for cell, wide in zip(cells, widths, strict=True)]
    out = []
    for level in range(max(map(len, stacks))):
        texts = [
            padded(stack[level] if level < len(stack) else "", wide, right=column.right)
            for column, stack, wide in zip(columns, stacks, widths, strict=True)
        ]
        out.append(f"{indent}{GAP.join(texts)}".rstrip(" "))
    return out


def _stacked(heads: Sequence[str], cells: Sequence[str], width: int, indent: str) -> list[str]:
    """A row as lines ``heading: value``, an empty line after it."""
    out = []
    for head, cell in zip(heads, cells, strict=True):
        if cell:
            out += broken(f"{head}: {cell}", width, indent, indent + INDENT)
    return [*out, ""]
