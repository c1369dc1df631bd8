"""What the help page says that is in no table: of the columns here, and of keys that no command has."""

from __future__ import annotations

KEYS = " keys"
SHELF = (
    "the shelf in the title: a mark for each box, yours in brackets; ✓ seen, · not yet, s skipped,"
    " - empty, ! something urgent is open there"
)
KEYS_OF_A_CARD = " keys of a card; digits and letters are answers there"
FIELDS = " what you can say here; where answers are listed, their digit gives them"
SIGNS = " signs on a card"
NEEDED_FIELD = "needed: without it nothing is recorded"
FIELD_NOT_SAID = "not said yet; left like this, it stays unknown"
PROPOSED_ANSWER = "recorded like this, unless you answer otherwise"
WHAT_IT_OTHERWISE_MEANS = "in brackets: what is recorded if you say nothing"
AT_LEAST_SO_MANY = "at least so many"
SHORT_WORDS_HERE = " signs and short words"
SHORT_WORDS = (
    ("✓ …", "saved on the disk; still being saved. On the rack and the shelf: seen today"),
    ("!!! !! !", "do it now; do it today; watch it. Before a usual value: look at it this time"),
    ("a → b", "what is seen → what to do; what it was → what it is"),
    ("·", "nothing noted that day"),
    ("0 to 3", "the usual range"),
    ("≥3", "at least 3"),
    ("(dry)", "taken as usual with one key, not looked at"),
    ("*", "beside a visit: others lived here then. Beside an ancestor: it is one of both"),
    ("¼ cup", "a quarter of a cup of jelly"),
    ("UMBER 3 m", "line, number and sex: m male, f female"),
    ("1.2.3", "1 male, 2 females, 3 not sexed"),
    ("L1 L2 L3", "a larva before its first moult, before its second, and after it"),
    ("B3-2", "where a box stands: bay B, shelf 3 from the top, slot 2 from the left"),
    ("no. 14", "the short number of a box: type it to go there"),
    ("l g mm cm d", "litres, grams, millimetres, centimetres, days"),
    ("F", "chance that both copies of a gene are from one ancestor; 0.25 for young of full sibs"),
    ("at most", "the highest F it can be, if parents that are not recorded were close kin"),
    ("kinship", "F that the young of these two would have"),
    ("WF1 CBF1 F2", "the generation as it was told with the animals; it does not give F"),
    ("one × other", "a pair"),
)
"""What stands on the screens without being a word, and what it means; on every help page."""
READINGS_HERE = (
    "readings here: usual is what is normal at this stage; in brackets: taken as usual with one key;"
    " !: look at it this time; *: others lived here then, or the stage was another, so that day is left out of usual;"
    " to correct an answer, go to its row and type over it"
)
ALONG_SHELF = (
    "along a shelf, and from the end of one to the next; an arrow up or down goes to the shelf there"
)
ALONG_SHELF_WITH_ARROWS = "along a shelf, and from the end of one to the next, where the keyboard has arrows"
SHELF_BY_SHELF = "the shelf above or below; page up and page down another bay, home and end to the ends"
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
