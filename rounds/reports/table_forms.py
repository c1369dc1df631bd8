"""Tables in the forms people print or load: text, Markdown, HTML, CSV.

Texts come from the book and may hold anything. Each form has one function that makes a text
harmless in it: nothing steers a terminal, is run by a spreadsheet, or is read as markup.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from rounds.files.cells_out import guarded, line
from rounds.text.cleaning import clean

LIMIT = 4000  # characters of one cell

Cell = str | int | float | bool | None


class Part(NamedTuple):
    """A titled table; every row has as many cells as there are columns."""

    title: str
    columns: tuple[str, ...]
    rows: Sequence[Sequence[Cell]]


class Page(NamedTuple):
    """What is printed: a title, sentences above the tables, the tables."""

    title: str
    said: tuple[str, ...]
    parts: tuple[Part, ...]


def shown(cell: Cell) -> str:
    """A cell as a person reads it."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return f"{cell:g}" if isinstance(cell, float) else clean(str(cell), LIMIT)


def wrapped(text: str, width: int) -> str:
    """``text`` with lines of at most ``width`` signs, broken between words and indented as they began.

    A word that is wider stays whole: a code cut in two could not be found again.
    """
    return "\n".join(
        part for line in text.split("\n") for part in ([line] if len(line) <= width else _parts(line, width))
    )


def _parts(line: str, width: int) -> list[str]:
    from textwrap import wrap

    words = line.lstrip(" ")
    indent = line[: len(line) - len(words)]
    return wrap(
        words, width, initial_indent=indent, subsequent_indent=f"{indent}  ", expand_tabs=False,
        replace_whitespace=False, break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def as_text(page: Page) -> str:
    """Columns side by side, as wide as they need to be; empty tables are left out."""
    out = [shown(page.title), *map(shown, page.said)]
    for part in page.parts:
        if not part.rows:
            continue
        cells = [[shown(c) for c in row] for row in part.rows]
        widths = [max(len(name), *(len(row[i]) for row in cells)) for i, name in enumerate(part.columns)]
        out += ["", shown(part.title)]
        for row in [list(part.columns), *cells]:
            out.append("  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip())
    return "\n".join(out)


_MARKUP = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~&])")


def markdown(text: str) -> str:
    """Text that Markdown shows as it stands: every sign of its own is escaped."""
    return _MARKUP.sub(r"\\\1", text)


def as_markdown(page: Page) -> str:
    """GitHub-flavoured Markdown (its tables extension), one table under each heading."""
    out = [f"# {markdown(shown(page.title))}", "", *(f"{markdown(shown(s))}\n" for s in page.said)]
    for part in page.parts:
        out += [f"## {markdown(shown(part.title))}", ""]
        if not part.rows:
            out += ["nothing", ""]
            continue
        out.append("| " + " | ".join(part.columns) + " |")
        out.append("|" + " --- |" * len(part.columns))
        out += ["| " + " | ".join(markdown(shown(c)) for c in row) + " |" for row in part.rows]
        out.append("")
    return "\n".join(out).rstrip("\n")


_STYLE = (
    "body{font:14px/1.4 sans-serif;margin:1.5em;color:#000;background:#fff}table{border-collapse:collapse;margin:.5em 0 1.5em}"
    "th,td{border:1px solid #666;padding:.2em .5em;text-align:left;vertical-align:top}tr{break-inside:avoid}"
)


def as_html(page: Page) -> str:
    """One file without scripts or links, fit to print."""
    from html import escape

    def h(text: str) -> str:
        return escape(shown(text))

    out = [
        '<!DOCTYPE html>', '<html lang="en"><head><meta charset="utf-8">',
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">',
        f"<title>{h(page.title)}</title><style>{_STYLE}</style></head><body>", f"<h1>{h(page.title)}</h1>",
        *(f"<p>{h(s)}</p>" for s in page.said),
    ]  # fmt: skip
    for part in page.parts:
        out.append(f"<h2>{h(part.title)}</h2>")
        if not part.rows:
            out.append("<p>nothing</p>")
            continue
        out.append(
            "<table><thead><tr>" + "".join(f"<th>{h(c)}</th>" for c in part.columns) + "</tr></thead><tbody>"
        )
        out += ["<tr>" + "".join(f"<td>{escape(shown(c))}</td>" for c in row) + "</tr>" for row in part.rows]
        out.append("</tbody></table>")
    return "\n".join([*out, "</body></html>"])


def as_csv(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> str:
    """One table as CSV, texts guarded so that no spreadsheet runs them; without the last line's end."""

    def cell(value: Cell) -> str:
        # Numbers in full: only texts can be formulas.
        plain = isinstance(value, (int, float)) and not isinstance(value, bool)
        return str(value) if plain else guarded(shown(value))

    return "".join(line(map(cell, row)) for row in [tuple(columns), *rows]).rstrip("\n")


def pages(page: Page, form: str) -> str:
    """A page in the form asked for: text, markdown or html. Raises KeyError for another."""
    return {"text": as_text, "markdown": as_markdown, "html": as_html}[form](page)
