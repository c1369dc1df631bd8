"""What the walk says of acts and actions: recorded, ticked off, put off, or not."""

from __future__ import annotations

NOTHING_RECORDED = "nothing recorded"
NOTHING_RECORDED_YET = "nothing recorded yet"
CORRECTING_FIRST = "you are correcting an earlier visit; end that first"
NO_ACT, NO_ANSWER, NO_WORK, NO_STEP = "no act", "no answer", "no work", "no step"
NO_ACT_OFFERED = "nothing can be recorded at this stage"
NO_KEY_RECORDS = "no key of this layout records what happened"
DONE = "done"
NOTHING_TICKED_OFF = "nothing ticked off"
NOT_PUT_OFF = "not put off"
HOW_MANY_DAYS = "how many days? then enter"
A_REASON = "a reason"
NOTHING_OPEN_OR_DUE = "no action is open here, and nothing is due"


def acts_are_explained(card_key: str, all_key: str) -> str:
    return f"{card_key} and then an act opens its card; {all_key} there says all about it. Nothing is recorded yet"


def does_not_fit(act: str, why: str) -> str:
    return f"{act}: not today, {why}"


def recorded(on: str, said: str) -> str:
    return f"recorded{f' on {on}' if on else ''}: {said}"


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
