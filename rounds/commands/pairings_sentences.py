"""What ``rounds pairings`` refuses and says beside its list."""

from __future__ import annotations

ONLY_WITH_CHOOSE = "--into and --sure go with --choose."
PLANS_OR_CHOOSE = "--plans lists and --choose records: ask one at a time."
NAME_IT_ONCE = "Name it once."
WRITE_A_COUNT = "Write a whole number, 0 or more."
SEARCH_STOPPED = "Stopped: the best plan found by then is above. Nothing was recorded."
NOTHING_CHOSEN = "Stopped before the plan was ready. Nothing was recorded."
NOBODY_MOVED = "Nobody moves yet. The round offers each pairing at the rack."


def no_animal(name: str) -> str:
    return f"`{name}` is no animal of this book."


def no_count(text: str) -> str:
    return f"`{text}` is no count."


def boxes_for_pairs(boxes: int, pairs: int) -> str:
    return f"--into: {boxes} boxes for {pairs} pairs. Name one for each, in their order."


def doubtful(asked: str) -> str:
    """``asked`` is what the act is doubtful about, as a sentence."""
    return f"--choose: {asked} Say yes with --sure. Nothing was recorded."


def recorded(acts: tuple[int, ...]) -> str:
    back = ", then ".join(f"rounds record undo {act}" for act in acts)
    return f"Recorded. To take it back: {back}"


def not_in_list(text: str) -> str:
    return f"`{text}` is no number of the list."


def numbers_of_list(last: int) -> str:
    return f"It goes from 1 to {last}." if last else "It is empty."


def twice(text: str) -> str:
    return f"{text} is there twice."
