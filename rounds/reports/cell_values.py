"""A cell's value as JSON has it, as text of a CSV cell, and as people read it.

Values that do not fit the type of their column raise TypeError or ValueError: the command
that made the report is wrong, and printing something else would hide it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import isfinite

from rounds.reports.report_columns import CellValue, DaySpan, ReportColumn
from rounds.text.cleaning import clean, day_and_year
from rounds.values.spans import FIRST, LAST, span_words

CELL_LIMIT = 4000
"""Characters of one cell as people read it; longer ones end in an ellipsis. Programs get all of it."""

JsonValue = str | int | float | bool | None | list["JsonValue"] | dict[str, "JsonValue"]


def json_value(column: ReportColumn, value: CellValue) -> JsonValue:
    """The value as plain data for JSON."""
    if not column.many:
        return _one_json(column, value)
    if value is None:
        return []
    if isinstance(value, (str, Mapping, DaySpan)) or not isinstance(value, Sequence):
        raise _misfit(column, value)
    return [_one_json(column, v) for v in value]


def _one_json(column: ReportColumn, value: CellValue) -> JsonValue:
    out = None if value is None else _JSON[column.type](column, value)
    if out is None and column.always:
        raise ValueError(f"column `{column.name}` always has a value, but got {value!r}")
    return out


def _misfit(column: ReportColumn, value: object) -> TypeError:
    return TypeError(f"column `{column.name or column.heading}` ({column.type}) cannot hold {value!r}")


def _text(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, str):
        raise _misfit(column, value)
    if column.words and value not in column.words:
        raise ValueError(f"column `{column.name}` holds one of {', '.join(column.words)}, not {value!r}")
    return value


def _whole(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _misfit(column, value)
    return value


def _number(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        raise _misfit(column, value)
    return value if isfinite(value) else None


def _day(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _misfit(column, value)
    return None if value <= FIRST or value >= LAST else date.fromordinal(value).isoformat()


def _span(column: ReportColumn, value: CellValue) -> JsonValue:
    """An ISO 8601 interval of dates; ``..`` is an open end."""
    if not isinstance(value, DaySpan):
        raise _misfit(column, value)
    return "/".join(str(_day(column, FIRST if end is None else end) or "..") for end in value)


def _yesno(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, bool):
        raise _misfit(column, value)
    return value


def _mapping(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, Mapping):
        raise _misfit(column, value)
    out: dict[str, JsonValue] = {}
    for name, inner in value.items():
        if not isinstance(inner, (str, int, float)) or isinstance(inner, bool):
            raise _misfit(column, value)
        out[name] = inner if isinstance(inner, str) or isfinite(inner) else None
    return out


def _object(column: ReportColumn, value: CellValue) -> JsonValue:
    if not isinstance(value, Mapping):
        raise _misfit(column, value)
    unknown = value.keys() - {c.name for c in column.of}
    if unknown:
        raise ValueError(f"column `{column.name}` has no fields {', '.join(sorted(unknown))}")
    return {c.name: json_value(c, value.get(c.name)) for c in column.of}


_JSON: dict[str, Callable[[ReportColumn, CellValue], JsonValue]] = {
    "text": _text,
    "whole": _whole,
    "number": _number,
    "day": _day,
    "span": _span,
    "yesno": _yesno,
    "mapping": _mapping,
    "object": _object,
}


def plain_text(column: ReportColumn, value: CellValue) -> str:
    """The value as the text of a CSV cell, not yet guarded against spreadsheets; numbers in full."""
    text = _plain(column, json_value(column, value))
    # Texts were cleaned one by one; the names in a mapping or an object were not.
    return _whole_text(text) if column.type in ("mapping", "object") else text


def _plain(column: ReportColumn, value: JsonValue) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return column.joined.join(_plain(column, v) for v in value)
    if isinstance(value, dict):
        if column.type == "object":
            import json

            return json.dumps(value, ensure_ascii=False)
        from shlex import quote

        return " ".join(f"{name}={quote(_plain(column, v))}" for name, v in value.items())
    return _whole_text(value) if isinstance(value, str) else str(value)


def _whole_text(text: str) -> str:
    """The whole text on one line, without what steers a terminal."""
    return clean(text, 4 * len(text) + 1)  # composing can lengthen a text, threefold at the most


def read_text(column: ReportColumn, value: CellValue) -> str:
    """The value as people read it: on one line, at most :data:`CELL_LIMIT` characters."""
    if value is None:
        return ""
    if column.many and isinstance(value, Sequence) and not isinstance(value, (str, DaySpan)):
        return clean(column.joined.join(_read(column, v) for v in value), CELL_LIMIT)
    return _read(column, value)


def _read(column: ReportColumn, value: CellValue) -> str:
    if isinstance(value, DaySpan):
        ends = (
            FIRST if value.earliest is None else value.earliest,
            LAST if value.latest is None else value.latest,
        )
        return span_words(*ends)
    if column.type == "number" and isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{value:g}" if column.places is None else f"{value:.{column.places}f}"
    out = _one_json(column, value)
    if column.type == "day" and isinstance(value, int) and out is not None:
        return day_and_year(value)
    return clean(_plain(column, out), CELL_LIMIT)
