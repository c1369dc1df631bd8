"""The kinds of pages: which module builds each. A new page is one file and one line here."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from rounds.views.page import OpenPage, Page
from rounds.views.sources import Sources

Builder = Callable[[OpenPage, Sources], Page]

KINDS = (
    "actions",
    "animal",
    "animals",
    "brood",
    "corrections",
    "couple",
    "due",
    "enclosure",
    "find",
    "line",
    "lines",
    "lot",
    "lots",
    "match",
    "pairing",
    "pairings",
    "rack",
)
"""Each is built by ``build(opened, sources)`` of the module `NAME_page` beside this one."""


def build(opened: OpenPage, sources: Sources) -> Page:
    """The page as the books are now. Gone (rounds.views.sources) when what it is about is no longer in the books."""
    builder: Builder = import_module(f"rounds.views.{opened.link.kind}_page").build
    return builder(opened, sources)
