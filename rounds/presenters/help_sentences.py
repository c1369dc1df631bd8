"""What the help page says that is in no table: of the columns here, and of keys that no command has."""

from __future__ import annotations

KEYS = " keys"
SHELF = (
    "the shelf in the title: a mark for each box, yours in brackets; ✓ seen, · not yet, s skipped,"
    " - empty, ! something urgent is open there"
)
KEYS_OF_A_CARD = " keys of a card, on which an act is told; digits and letters are answers there"
FIELDS = " what it can be told, with the answers that a digit gives"
SIGNS = " signs on a card"
NEEDED_FIELD = "needed: without it nothing is recorded"
FIELD_NOT_SAID = "not said yet; left so it stays unknown"
PROPOSED_ANSWER = "recorded as it stands, unless you answer otherwise"
WHAT_IT_OTHERWISE_MEANS = "in brackets: what is meant where you say nothing"
AT_LEAST_SO_MANY = "at least so many"
READINGS_HERE = (
    "readings here: expected is what is usual at this stage; in brackets: confirmed as usual, not looked at;"
    " !: look at it this time; *: others lived here then, or the stage was another, so expected leaves that day out;"
    " to correct an answer, go to its row and type over it"
)
ALONG_SHELF = (
    "along a shelf, and from the end of one to the next; an arrow up or down goes to the shelf there"
)
ALONG_SHELF_WITH_ARROWS = "along a shelf, and from the end of one to the next, where the keyboard has arrows"
SHELF_BY_SHELF = "the shelf above or below; page up and page down another bay, home and end to the ends"
BOX_BY_BOX = "the box before or behind, along all shelves"
LOOKED_FOR = "what is looked for; several words in any order, a blank between them"
LAST_LETTER_BACK = "takes the last letter back"
ALONG_FOUND = "along what was found; page up and page down ten, home and end to the ends"
OPEN_ROW = "open the page behind the row"
PAGE_BEFORE = "back to the page before"
THIS_PAGE = "this page, while nothing is typed"
ALSO_RIGHT = " (also the right arrow)"


def field(question: str, answers: tuple[str, ...]) -> str:
    listed = ", ".join(f"{i} {answer}" for i, answer in enumerate(answers, 1))
    return f"{question} {listed}".rstrip()


def here_and_now(does: str, here: str) -> str:
    return f"{does}; here: {here}"


def page_of(page: int, pages: int) -> str:
    return f" page {page} of {pages}"
