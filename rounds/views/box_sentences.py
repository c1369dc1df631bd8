"""What the rack, the page of an enclosure, of open actions and of due work say."""

from __future__ import annotations

from rounds.husbandry import lock_sentences

# The rack.
ABOUT_RACK = (
    "Every shelf as it stands. Each box shows its code, its stage, the worst open action (!!! now, !! today, ! watch it),"
    " due when work is due, lock when something must not be done there, and when somebody last looked: ✓ today,"
    " ░ one or two days ago, ▒ three or more, ▓? never. A skip is no visit. Below the shelves, or beside"
    " them: all of it for the box at the cursor. A free slot has no box. Where the whole rack does not fit, one bay"
    " of it is shown, with the worst open action of the others above it."
)
SEEN_TODAY = "seen today"
SEEN_LATELY = "1 or 2 days ago"
SEEN_LONG_AGO = "3 or more days"
NEVER_SEEN = "never"
OPEN_NOW, OPEN_TODAY, OPEN_WATCH = "act now", "today", "watch it"
WORK_DUE = "work to do"
LOCKED = "do not disturb"
WITHOUT_A_PLACE = "boxes without a place"
FREE = "free"
DUE = "due"
LOCK = "lock"
NEVER_LOOKED = "Nobody has looked yet."
LOOKED_TODAY = "Seen today."


def rack(boxes: int) -> str:
    return f"the rack, {boxes:,} box{'es' * (boxes != 1)}"


def nothing_stands(place: str) -> str:
    return f"{place}: nothing stands here"


def box(place: str, code: str, number: int, stage: str, contents: str, looked: str) -> str:
    return f"{place}  {code}, no. {number}: {stage}, {contents}. {looked}"


def looked(day: str, ago: str) -> str:
    return f"Last seen {day}, {ago}."


def action(sign: str, action: str) -> str:
    return f"{sign} {action}"


def lock(words: str) -> str:
    return f"lock: {words}"


def due(what: str, window: str, withheld: str) -> str:
    kept = f", has to wait: {withheld}" if withheld else ""
    return f"due: {what}, {window}{kept}"


def larvae_of(instar: str) -> str:
    return f"larvae {instar}"


# An enclosure.
ABOUT_BOX = (
    "One box with its whole past. A row about an animal, a group's line or a brood opens its page."
    " Done and put off are about the action or the due work of the row."
)
GO_THERE = "go there on the walk"
IN_IT = "in it"
LOOKS = "visits"
WAS_IN_IT = "was in it"
STAGES_BEFORE = "stages before"
TO_DO_HERE = "to do here"
NOBODY_LOOKED = "nobody has looked yet"
NOBODY_BEFORE = "nobody before"
STAGE_SINCE_NOT_RECORDED = "since when is not recorded"
TAKEN_BACK = "taken back"


def enclosure(code: str) -> str:
    return f"box {code}"


def stage(name: str, since: str | None) -> str:
    return f"{name}, {STAGE_SINCE_NOT_RECORDED}" if since is None else f"{name} since {since}"


def stands_at(place: str, number: int, litres: float | None) -> str:
    size = f", {litres:g} litres" if litres else ""
    return f"{place}, no. {number}{size}"


def trial(name: str, whom: str) -> str:
    return f"{name}: {whom}"


def forbidden(what: tuple[str, ...], until: str, why: str) -> str:
    return f"{lock_sentences.any_of(what)} {until}: {why}"


def lock_set_aside(may: str, otherwise: str, why: str) -> str:
    """What one may do now although it is locked, until when it is locked otherwise, and why it is."""
    return f"{may}, {otherwise}{f': {why}' if why else ''}"


def last_look(day: str, ago: str) -> str:
    return f"{day}, {ago}"


def skipped(why: str) -> str:
    return f"skipped: {why}"


def note(text: str) -> str:
    return f"note: {text}"


def as_expected(values: str) -> str:
    return f"(as usual: {values})"


# Open actions.
ABOUT_ACTIONS = (
    "Every open action of the house: !!! now, !! today, ! watch it, each with its reason and what to do. Done and put off"
    " are about the action of the row. It stays until somebody says so, also when it was not seen again."
)
NO_ACTIONS = "Nothing is open. Actions come from rules, while you walk; `rounds rules explain BOX` says what is watched at a box."
TO_DO = "to do"
OPEN_ACTIONS = "open actions"


def open_action(reason: str, todo: str, withheld: str, *, cause_gone: bool) -> str:
    gone = " (not seen today: fixed?)" if cause_gone else ""
    return f"{reason}{gone} → {lock_sentences.instruction(todo, withheld)}"


# Due work.
ABOUT_DUE = (
    "Work with its first and last day, listed under the likeliest day, in shelf order: what follows from the book and"
    " the species files, and what keepers asked for. It can be done on any of those days; overdue means the last one"
    " is past. This week is the next seven days. It has to wait where a lock forbids it on"
    " that day. Done and put off are about the work of the row; work that begins later than a week from"
    " now is only shown."
)
FURTHER_ON = "further on"
NEAREST_DUE = "overdue, today and this week"
NOTHING_YET = "nothing yet"
WAIT = "still being worked out: try again in a moment"
NO_BOX_OF_WORK = "this work belongs to no box"


def nothing_due(days: int) -> str:
    return (
        f"Nothing is due in the next {days} days. Work follows from what is recorded (a female put to lay, a brood found, a"
        " quarantine begun) and from a species file; record look-again reminds you of something of your own."
    )


def next_days(days: int) -> str:
    return f"the next {days} days"


def later(number: int, last: str, days: int) -> str:
    return f"{number} more begin later, the last of them {last}; rounds due --until +{days} lists them"


def work(what: str, who: str, withheld: str, why: str) -> str:
    """``first search (UMBER 3 f); withheld: do not dig …; 28 days after she went in``."""
    said = f"{what} ({who})" if who else what
    return "; ".join(x for x in (said, f"has to wait: {withheld}" if withheld else "", why) if x)


SEVERAL_BOXES = "one line for several boxes: open one of them to tick it off or put it off"


def and_more(code: str, more: int) -> str:
    return f"{code} +{more}"


def at_boxes(what: str, codes: str) -> str:
    return f"{what}; at {codes}"


def put_off(reason: str, why: str) -> str:
    return f"put off: {reason}; {why}"


def begins_later(day: str) -> str:
    return f"it begins {day}: done and put off are asked for from a week before on"
