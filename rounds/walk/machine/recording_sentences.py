"""What the walk says of acts and actions: recorded, ticked off, put off, or not."""

from __future__ import annotations

NOTHING_RECORDED = "nothing recorded"
CORRECTING_FIRST = "an earlier visit is being corrected; end that first"
NO_ACT, NOBODY, NO_ANSWER = "no act", "nobody", "no answer"
NO_ACT_OFFERED = "no act is offered at this stage"
NO_KEY_RECORDS = "no key of this layout records acts"
TODAY_THEN = "today, then"
DONE = "done"
NOTHING_TICKED_OFF = "nothing ticked off"
NOT_PUT_OFF = "not put off"
HOW_MANY_DAYS = "how many days? then enter"
A_REASON = "a reason"
NOTHING_OPEN_OR_DUE = "no action is open here, and nothing is due"


def is_told_no_day(act: str, day_key: str) -> str:
    return f"{act}: is told no day; {day_key} and enter is today again"


def digit_chooses(rub_key: str) -> str:
    return f"a digit chooses; {_leaves_it(rub_key)}"


def expected(what: str, rub_key: str) -> str:
    return f"expected {what}; {_leaves_it(rub_key)}"


def _leaves_it(rub_key: str) -> str:
    return f"{rub_key} leaves it unrecorded"


def recorded(on: str, said: str) -> str:
    return f"recorded{f' on {on}' if on else ''}: {said}"


def no_day(reason: str, hint: str) -> str:
    return f"{reason}. Type days ago, or a day such as 2026-03-01. {hint}".rstrip(" .")


def not_come_yet(typed: str) -> str:
    return f"{typed} has not come yet"


def on_day(on: str) -> str:
    return f"on {on}: what was it?"


def days_range(most: int) -> str:
    return f"1 to {most} days"


def put_off(days: int) -> str:
    return f"put off {days} days"


def no_reason_under(typed: str) -> str:
    return f"no reason under {typed}"


def leaves_as_it_was(missing: str, rub_key: str) -> str:
    return f"{missing}; {rub_key} leaves it as it was"


def carried_out(said: str, todo: str) -> str:
    return f"{said}: {todo}"
