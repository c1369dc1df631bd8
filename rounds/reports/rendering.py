"""The forms a document can be printed in, by the names that ``--as`` takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rounds.reports.report import ReportDocument


def _text(document: ReportDocument, width: int | None) -> str:
    from rounds.reports.as_text import as_text

    return as_text(document, width)


def _markdown(document: ReportDocument, _: int | None) -> str:
    from rounds.reports.as_markdown import as_markdown

    return as_markdown(document)


def _csv(document: ReportDocument, _: int | None) -> str:
    from rounds.reports.as_csv import as_csv

    return as_csv(document)


def _html(document: ReportDocument, _: int | None) -> str:
    from rounds.reports.as_html import as_html

    return as_html(document)


def _json(document: ReportDocument, _: int | None) -> str:
    from rounds.reports.as_json import as_json

    return as_json(document)


_FORMS: Mapping[str, Callable[[ReportDocument, int | None], str]] = {
    "text": _text,
    "markdown": _markdown,
    "csv": _csv,
    "html": _html,
    "json": _json,
}
FORMS = tuple(_FORMS)
"""What ``--as`` takes; a form is imported only when it is asked for."""


def rendered(document: ReportDocument, form: str, width: int | None = None) -> str:
    """The whole text to print, its last line ended. Only text is broken at ``width``. Raises KeyError."""
    return _FORMS[form](document, width)
