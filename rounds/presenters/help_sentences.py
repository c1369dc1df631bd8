"""What the help page says that is in no table: of the columns here, and of keys that no command has."""

from __future__ import annotations

KEYS = " keys"
KEYS_OF_A_CARD = " keys of a card; digits and letters are answers there"
FIELDS = " what you can say here; a digit gives the answer beside it"
SIGNS = " signs on a card"
NEEDED_FIELD = "needed: without it nothing is recorded"
FIELD_NOT_SAID = "not said yet; left like this, it stays unknown"
PROPOSED_ANSWER = "recorded like this, unless you answer otherwise"
WHAT_IT_OTHERWISE_MEANS = "in brackets: what is recorded if you say nothing"
AT_LEAST_SO_MANY = "at least so many"
READINGS_HERE = (
    "readings here: usual is what is normal at this stage; in brackets: taken as usual with one key;"
    " !: look at it this time; *: others lived here then, or the stage was another, so that day is left out of usual;"
    " to correct an answer, go to its row and type over it"
)
ALONG_SHELF = (
    "along a shelf, and from the end of one to the next; an arrow up or down goes to the shelf there"
)
ALONG_SHELF_WITH_ARROWS = "along a shelf, and from the end of one to the next, where the keyboard has arrows"
BOX_BY_BOX = "one box back or on, along all shelves"
LOOKED_FOR = "what you look for; several words in any order, with blanks between"
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
