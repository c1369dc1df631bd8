"""The kinds of pages, and what builds each. A new page is one file, and one entry here.

A page's module is loaded when a page of its kind is first opened: the press that opens one
must not wait for the modules of all the others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rounds.views.page import OpenPage, Page
from rounds.views.sources import Sources

Builder = Callable[[OpenPage, Sources], Page]


def build(opened: OpenPage, sources: Sources) -> Page:
    """The page as the books are now. Gone (rounds.views.sources) when what it is about is no longer in the book."""
    return PAGE_KINDS[opened.link.kind]()(opened, sources)


def _actions() -> Builder:
    from rounds.views.actions_page import build

    return build


def _animal() -> Builder:
    from rounds.views.animal_page import build

    return build


def _animals() -> Builder:
    from rounds.views.animals_page import build

    return build


def _brood() -> Builder:
    from rounds.views.brood_page import build

    return build


def _corrections() -> Builder:
    from rounds.views.corrections_page import build

    return build


def _couple() -> Builder:
    from rounds.views.couple_page import build

    return build


def _due() -> Builder:
    from rounds.views.due_page import build

    return build


def _enclosure() -> Builder:
    from rounds.views.enclosure_page import build

    return build


def _find() -> Builder:
    from rounds.views.find_page import build

    return build


def _line() -> Builder:
    from rounds.views.line_page import build

    return build


def _lines() -> Builder:
    from rounds.views.lines_page import build

    return build


def _lot() -> Builder:
    from rounds.views.lot_page import build

    return build


def _lots() -> Builder:
    from rounds.views.lots_page import build

    return build


def _match() -> Builder:
    from rounds.views.match_page import build

    return build


def _pairing() -> Builder:
    from rounds.views.pairing_page import build

    return build


def _pairings() -> Builder:
    from rounds.views.pairings_page import build

    return build


def _rack() -> Builder:
    from rounds.views.rack_page import build

    return build


PAGE_KINDS: Mapping[str, Callable[[], Builder]] = {
    "actions": _actions,
    "animal": _animal,
    "animals": _animals,
    "brood": _brood,
    "corrections": _corrections,
    "couple": _couple,
    "due": _due,
    "enclosure": _enclosure,
    "find": _find,
    "line": _line,
    "lines": _lines,
    "lot": _lot,
    "lots": _lots,
    "match": _match,
    "pairing": _pairing,
    "pairings": _pairings,
    "rack": _rack,
}
"""By the kind of their link: the function that loads a page's builder."""
