"""Read one YAML file that a keeper may have broken, and keep where every value stood.

A deliberate subset of YAML 1.2: plain mappings, lists and scalars. Anchors, aliases, tags,
merge keys and repeated keys are refused; only ``true``/``false``/``null`` and decimal
numbers are more than text, so ``no``, ``12:30``, ``010`` and ``2026-03-01`` stay what was
typed. The C parser's event stream is walked once without recursion, so a file can cost
neither the stack nor more than the caps below.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from rounds.problems import BadInput, Problem, Refusal
from rounds.settings import yaml_sentences
from rounds.settings.document import MAX_BYTES as MAX_BYTES
from rounds.settings.document import Data, Document, Path_

MAX_DEPTH = 20
MAX_VALUES = 10_000
"""Far above any real file (30 rules are about 1,000 values), low enough to refuse in a blink."""
MAX_TEXT = 4_000
"""Characters of one key or value: a long paragraph. What reads values may take its time per character."""

_PARSER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]{0,17})(\.[0-9]{1,18})?\Z")
_WORDS = {"true": True, "false": False, "null": None, "~": None, "": None}


class _Refused(Exception):
    def __init__(self, event: Any, refusal: Refusal) -> None:
        super().__init__(refusal.message)
        self.line, self.column = event.start_mark.line + 1, event.start_mark.column + 1
        self.refusal = refusal


def read(path: Path, shown: str | None = None) -> Document:
    """Read and parse ``path``; ``shown`` is the name used in problems.

    Raises BadInput with one problem when the file cannot be read or is not in the subset.
    """
    name = shown or str(path)
    try:
        with path.open("rb") as f:
            raw = f.read(MAX_BYTES + 1)
    except OSError as e:
        raise BadInput([Problem(name, 0, 0, yaml_sentences.cannot_be_read(e.strerror or str(e)))]) from e
    return parse(raw, name)


def parse(raw: bytes | str, name: str) -> Document:
    """Parse the text of a file; see :func:`read`."""
    if isinstance(raw, str):
        raw = raw.encode("utf-8", "surrogatepass")
    if len(raw) > MAX_BYTES:
        raise BadInput([Problem(name, 0, 0, *yaml_sentences.TOO_LARGE)])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        line = raw[: e.start].count(b"\n") + 1
        column = e.start - raw.rfind(b"\n", 0, e.start)
        raise BadInput([Problem(name, line, column, *yaml_sentences.NOT_UTF8)]) from e
    try:
        return _build(_events(text), name)
    except _Refused as e:
        raise BadInput([Problem(name, e.line, e.column, *e.refusal)]) from e
    except yaml.MarkedYAMLError as e:
        mark = e.problem_mark or e.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
        what = (e.problem or yaml_sentences.NOT_YAML).replace("\n", " ")
        refusal = yaml_sentences.not_readable(what, tabs="\t" in _line(text, line))
        raise BadInput([Problem(name, line, column, *refusal)]) from e
    except yaml.reader.ReaderError as e:
        line, column = _place(text, e)
        held = yaml_sentences.bad_character(_ordinal(e.character))
        raise BadInput([Problem(name, line, column, held)]) from e
    except (yaml.YAMLError, ValueError, RecursionError) as e:
        raise BadInput(
            [Problem(name, 0, 0, *yaml_sentences.not_readable(type(e).__name__, tabs=False))]
        ) from e


def _place(text: str, e: yaml.reader.ReaderError) -> tuple[int, int]:
    """Line and column of the bad character. The C parser counts bytes, the other one characters."""
    at = text.find(chr(_ordinal(e.character)))
    if at < 0:
        return 0, 0
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)


def _ordinal(character: Any) -> int:
    return character if isinstance(character, int) else ord(str(character)[:1] or "\0")


def _line(text: str, number: int) -> str:
    lines = text.split("\n", number)
    return lines[number - 1] if 0 < number <= len(lines) else ""


def _events(text: str) -> Iterator[Any]:
    loader = _PARSER(text)
    try:
        while loader.check_event():
            yield loader.get_event()
    finally:
        loader.dispose()


def _scalar(event: Any) -> Data:
    if event.style in (None, "") and event.implicit[0]:
        if event.value in _WORDS:
            return _WORDS[event.value]
        if match := _NUMBER.match(event.value):
            return float(event.value) if match[1] else int(event.value)
    return event.value


class _Open:
    """One mapping or list that is still being filled; ``waiting`` for a key, in a mapping."""

    __slots__ = ("data", "key", "path", "waiting")

    def __init__(self, data: Data, path: Path_) -> None:
        self.data, self.path, self.key, self.waiting = data, path, "", isinstance(data, dict)


def _build(events: Iterator[Any], name: str) -> Document:
    building = _Building()
    documents = 0
    for event in events:
        kind = type(event)
        if kind is yaml.DocumentStartEvent:
            documents += 1
            if documents > 1:
                raise _Refused(event, yaml_sentences.SECOND_DOCUMENT)
        elif kind in (yaml.SequenceEndEvent, yaml.MappingEndEvent):
            building.close()
        elif kind is yaml.AliasEvent:
            raise _Refused(event, yaml_sentences.ALIAS)
        elif kind in (yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent):
            building.take(event)
    return Document(name, building.root, building.marks)


class _Building:
    """What the keys and values taken so far make, and where each of them stands."""

    def __init__(self) -> None:
        self.root: Data = None
        self.marks: dict[Path_, tuple[int, int]] = {}
        self._stack: list[_Open] = []
        self._values = 0

    def close(self) -> None:
        """The innermost mapping or list is over."""
        self._stack.pop()

    def take(self, event: Any) -> None:
        self._check(event)
        top = self._stack[-1] if self._stack else None
        here = (event.start_mark.line + 1, event.start_mark.column + 1)
        if top is not None and top.waiting:
            top.key = _key(event, top)
            self.marks[(*top.path, top.key)] = here
            top.waiting = False
            return
        kind = type(event)
        value = _scalar(event) if kind is yaml.ScalarEvent else ({} if kind is yaml.MappingStartEvent else [])
        path = self._put(value, top, here)
        if kind is not yaml.ScalarEvent:
            if len(self._stack) >= MAX_DEPTH:
                raise _Refused(event, yaml_sentences.too_deep(MAX_DEPTH))
            self._stack.append(_Open(value, path))

    def _check(self, event: Any) -> None:
        """Refuse what the subset leaves out, and what is too much."""
        if event.anchor:
            raise _Refused(event, yaml_sentences.ANCHOR)
        if event.tag:
            raise _Refused(event, yaml_sentences.TAG)
        self._values += 1
        if self._values > MAX_VALUES:
            raise _Refused(event, yaml_sentences.too_many_values(MAX_VALUES))
        if type(event) is yaml.ScalarEvent and len(event.value) > MAX_TEXT:
            raise _Refused(event, yaml_sentences.too_long(len(event.value), MAX_TEXT))

    def _put(self, value: Data, top: _Open | None, here: tuple[int, int]) -> Path_:
        """Put a value where it belongs, and say where that is."""
        if top is None:
            self.root = value
            self.marks[()] = here
            return ()
        if isinstance(top.data, dict):
            top.data[top.key] = value
            top.waiting = True
            return (*top.path, top.key)
        path = (*top.path, len(top.data))
        self.marks[path] = here
        top.data.append(value)
        return path


def _key(event: Any, top: _Open) -> str:
    if not isinstance(event, yaml.ScalarEvent):
        raise _Refused(event, yaml_sentences.KEY_NO_TEXT)
    key: str = event.value
    if key == "<<":
        raise _Refused(event, yaml_sentences.MERGE_KEY)
    if key in top.data:
        raise _Refused(event, yaml_sentences.key_twice(key))
    return key
