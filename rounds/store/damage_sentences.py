"""What is said when a book is found to be damaged."""

from __future__ import annotations

from rounds.text.plurals import many

WAY_BACK = "Leave it as it is. `rounds restore` lists the backups to go back to; `rounds checkup` says more."


def damaged(book: str, what: str) -> str:
    return f"{book}: the book is damaged ({what}). {WAY_BACK}"


def rows(first: tuple[str, ...], all_of_them: int) -> str:
    """``first`` are some of them by table and number."""
    more = all_of_them - len(first)
    named = ", ".join(first) + (f" and {more} more" if more else "")
    return f"{many(all_of_them, 'row')} {'is' if all_of_them == 1 else 'are'} not what was written: {named}"


def written_all_the_same(what: str) -> str:
    """Before a damaged book's tables are left as they were written out."""
    return f"The book is damaged ({what}); everything that could be read was written. {WAY_BACK}"
