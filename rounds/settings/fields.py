"""Checked access to a parsed config file: every slip becomes a Problem with its place."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rounds.problems import Problem, Refusal, nearest
from rounds.settings.document import Document, Path_

_WORDS = {
    str: "a text",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    list: "a list",
    dict: "a mapping",
}


MOST = 200
"""Problems after which a file is given up: nobody mends more at once, and finding nearest names takes time."""


class Fields:
    """One mapping of a document, read field by field; problems collect in ``problems``."""

    def __init__(self, doc: Document, path: Path_, what: str, problems: list[Problem]) -> None:
        self.doc, self.path, self.what, self.problems = doc, path, what, problems
        data = doc.data
        for step in path:
            data = data[step]
        self.data: dict[str, Any] = data if isinstance(data, dict) else {}
        if not isinstance(data, dict):
            self.problem((), f"{what}: a mapping was expected, not {_shown(data)}.")

    @property
    def full(self) -> bool:
        """So much is wrong that the rest is not looked at."""
        return len(self.problems) > MOST

    def problem(self, path: Path_, message: str, hint: str = "") -> None:
        if len(self.problems) < MOST:
            self.problems.append(self.doc.problem((*self.path, *path), message, hint))
        elif not self.full:
            self.problems.append(
                Problem(self.doc.file, 0, 0, f"has more than {MOST} problems; the rest is not shown.")
            )

    def refuse(self, path: Path_, refusal: Refusal) -> None:
        """A problem under the name of what is read here."""
        self.problem(path, f"{self.what}: {refusal.message}", refusal.hint)

    def only(self, known: Iterable[str]) -> None:
        """Refuse fields that nobody reads, with the nearest known name."""
        known = list(known)
        for key in self.data:
            if self.full:
                return
            if key not in known:
                self.problem(
                    (key,), f"{self.what}: unknown field `{key}`.", nearest(key, known) or _one_of(known)
                )

    def get(self, key: str, type_: type, default: Any = None, *, required: bool = False) -> Any:
        """The field as ``type_`` (float takes whole numbers too), or ``default`` with a problem."""
        if key not in self.data:
            if required:
                self.problem((), f"{self.what}: the field `{key}` is missing.")
            return default
        value = self.data[key]
        if type_ is float and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        if isinstance(value, type_) and not (type_ is int and isinstance(value, bool)):
            return value
        hint = f"Put it in quotes: '{value}'." if type_ is str and isinstance(value, (int, float)) else ""
        self.problem((key,), f"{self.what}: `{key}` must be {_WORDS[type_]}, not {_shown(value)}.", hint)
        return default

    def word(self, key: str, known: Iterable[str], default: str = "", *, required: bool = False) -> str:
        """A text out of a fixed set."""
        value = self.get(key, str, default, required=required)
        known = list(known)
        if key in self.data and isinstance(self.data[key], str) and value not in known:
            self.problem(
                (key,), f"{self.what}: `{key}` cannot be `{value}`.", nearest(value, known) or _one_of(known)
            )
            return default
        return str(value)

    def words(self, key: str, known: Iterable[str] | None = None) -> tuple[str, ...]:
        """A list of texts, each out of ``known`` where that is given."""
        out = []
        options = None if known is None else list(known)
        for i, value in enumerate(self.get(key, list, [])):
            if self.full:
                break
            if not isinstance(value, str):
                self.problem((key, i), f"{self.what}: `{key}` takes texts, not {_shown(value)}.")
            elif options is not None and value not in options:
                self.problem(
                    (key, i),
                    f"{self.what}: unknown `{value}` in `{key}`.",
                    nearest(value, options) or _one_of(options),
                )
            else:
                out.append(value)
        return tuple(out)


def items(doc: Document, key: str, what: str, problems: list[Problem]) -> Iterable[Fields]:
    """The mappings of the list at top-level ``key``."""
    data = doc.data.get(key) if isinstance(doc.data, dict) else None
    if data is None:
        return
    if not isinstance(data, list):
        problems.append(doc.problem((key,), f"`{key}` must be a list of {what}s."))
        return
    for i in range(len(data)):
        yield Fields(doc, (key, i), what, problems)


def _shown(value: object) -> str:
    if isinstance(value, (dict, list)):
        return _WORDS[type(value)]
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return f"`{text[:40]}…`" if len(text) > 40 else f"`{text}`"


def _one_of(known: list[str]) -> str:
    return "Expected one of: " + ", ".join(known[:16]) + ("…" if len(known) > 16 else "") + "."
