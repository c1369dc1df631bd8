"""Checked access to a parsed config file: every slip becomes a Problem with its place."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rounds.problems import Problem, Refusal, nearest
from rounds.settings import config_sentences as sentences
from rounds.settings.document import Document, Path_

_WORDS = {
    str: sentences.A_TEXT,
    int: sentences.A_WHOLE_NUMBER,
    float: sentences.A_NUMBER,
    bool: sentences.TRUE_OR_FALSE,
    list: sentences.A_LIST,
    dict: sentences.A_MAPPING,
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
            self.problem((), *sentences.no_mapping(what, _shown(data)))

    @property
    def full(self) -> bool:
        """So much is wrong that the rest is not looked at."""
        return len(self.problems) > MOST

    def problem(self, path: Path_, message: str, hint: str = "") -> None:
        if len(self.problems) < MOST:
            self.problems.append(self.doc.problem((*self.path, *path), message, hint))
        elif not self.full:
            self.problems.append(Problem(self.doc.file, 0, 0, *sentences.too_much_is_wrong(MOST)))

    def refuse(self, path: Path_, refusal: Refusal) -> None:
        """A problem under the name of what is read here."""
        self.problem(path, f"{self.what}: {refusal.message}", refusal.hint)

    def only(self, known: Iterable[str]) -> None:
        """Refuse fields that nobody reads, with the nearest known name."""
        if self.doc.found_good:
            return
        known = list(known)
        for key in self.data:
            if self.full:
                return
            if key not in known:
                hint = nearest(key, known) or _one_of(known)
                self.problem((key,), *sentences.unknown_field(self.what, key, hint))

    def get(self, key: str, type_: type, default: Any = None, *, required: bool = False) -> Any:
        """The field as ``type_`` (float takes whole numbers too), or ``default`` with a problem."""
        if key not in self.data:
            if required:
                self.problem((), *sentences.field_missing(self.what, key))
            return default
        value = self.data[key]
        if type_ is float and isinstance(value, int) and not isinstance(value, bool):
            return float(value)
        if isinstance(value, type_) and not (type_ is int and isinstance(value, bool)):
            return value
        quotes = type_ is str and isinstance(value, (int, float))
        hint = sentences.put_in_quotes(str(value)) if quotes else ""
        refusal = sentences.of_another_kind(self.what, key, _WORDS[type_], _shown(value), hint)
        self.problem((key,), *refusal)
        return default

    def word(self, key: str, known: Iterable[str], default: str = "", *, required: bool = False) -> str:
        """A text out of a fixed set."""
        value = self.get(key, str, default, required=required)
        known = list(known)
        if key in self.data and isinstance(self.data[key], str) and value not in known:
            hint = nearest(value, known) or _one_of(known)
            self.problem((key,), *sentences.cannot_be(self.what, key, value, hint))
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
                self.problem((key, i), *sentences.takes_texts(self.what, key, _shown(value)))
            elif options is not None and value not in options:
                hint = nearest(value, options) or _one_of(options)
                self.problem((key, i), *sentences.unknown_word(self.what, value, key, hint))
            else:
                out.append(value)
        return tuple(out)


def items(doc: Document, key: str, what: str, problems: list[Problem]) -> Iterable[Fields]:
    """The mappings of the list at top-level ``key``."""
    data = doc.data.get(key) if isinstance(doc.data, dict) else None
    if data is None:
        return
    if not isinstance(data, list):
        problems.append(doc.problem((key,), *sentences.no_list(key, what)))
        return
    for i in range(len(data)):
        yield Fields(doc, (key, i), what, problems)


def _shown(value: object) -> str:
    if isinstance(value, (dict, list)):
        return _WORDS[type(value)]
    if value is None:
        return sentences.NOTHING
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return f"`{text[:40]}…`" if len(text) > 40 else f"`{text}`"


def _one_of(known: list[str]) -> str:
    return sentences.one_of(tuple(known[:16]), more=len(known) > 16)
