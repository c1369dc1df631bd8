"""A config file once it is plain data, with the place of every value in it.

Apart from the parser, so that whoever only uses a document does not pay for importing YAML.
"""

from __future__ import annotations

from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.problems import Problem

MAX_BYTES = 1 << 20  # of one config file

Path_ = tuple[str | int, ...]
Data = Any  # nested dict[str, Data] | list[Data] | str | int | float | bool | None


class Document(NamedTuple):
    """A parsed file: plain data, and the (line, column) of every key and list item by path.

    ``found_good``: this program checked the same file before, to the byte, so that what a check
    alone would tell is not looked for again.
    """

    file: str
    data: Data
    marks: dict[Path_, tuple[int, int]]
    found_good: bool = False

    def problem(self, path: Path_, message: str, hint: str = "") -> Problem:
        """A problem at ``path``, or at the closest enclosing path that has a position."""
        while path and path not in self.marks:
            path = path[:-1]
        line, column = self.marks.get(path, (1, 1))
        return Problem(self.file, line, column, message, hint)
