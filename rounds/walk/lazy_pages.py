"""The books as pages, from the first look at one on: no start needs them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rounds.views.page import Link, OpenPage, Page
    from rounds.walk.page_cache import LookUp


class Pages:
    """``make`` makes what is behind them when the first is looked at; until then there is nothing to keep up."""

    def __init__(self, make: Callable[[], LookUp]) -> None:
        self._make = make
        self.made: LookUp | None = None

    @property
    def lookup(self) -> LookUp:
        if self.made is None:
            self.made = self._make()
        return self.made

    def page(self, opened: OpenPage) -> Page:
        """An open page of the books as they are now."""
        return self.lookup.page(opened)

    def first_row(self, link: Link, stop: int) -> int:
        """The row a page opens at, for who stands at a stop."""
        return self.lookup.first_row(link, stop)

    def changed(self, *, books: bool = False) -> None:
        """Something was recorded, or worked out: pages are made again. ``books``: acts were recorded."""
        if self.made is not None:
            self.made.changed(books=books)

    def saved(self, up_to: int) -> None:
        """So many keys' entries are committed."""
        if self.made is not None:
            self.made.saved(up_to)

    def visits_changed(self) -> None:
        """Somebody else's visits came: what was looked up in them is looked up again."""
        if self.made is not None:
            self.made.visits_changed()

    def stop(self) -> None:
        """Nobody looks any more."""
        if self.made is not None:
            self.made.behind.stop()
