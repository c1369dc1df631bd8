"""The forms a document can be printed in, by the names that ``--as`` takes."""

from __future__ import annotations

from importlib import import_module

from rounds.reports.report import ReportDocument

FORMS = ("text", "markdown", "csv", "html", "json")
"""What ``--as`` takes; each is the function ``as_FORM`` of the module of that name."""


def rendered(document: ReportDocument, form: str, width: int | None = None) -> str:
    """The whole text to print, its last line ended. Only text is broken at ``width``. Raises KeyError."""
    if form not in FORMS:
        raise KeyError(form)
    if form == "text":
        from rounds.reports.as_text import as_text

        return as_text(document, width)
    made: str = getattr(import_module(f"rounds.reports.as_{form}"), f"as_{form}")(document)
    return made
