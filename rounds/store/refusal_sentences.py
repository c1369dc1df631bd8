"""What is said of an entry that the book no longer allows, because somebody else was quicker."""

from __future__ import annotations

SOMEBODY = "somebody else"
DECIDED = {"done": "done", "off": "put off", "open": "open again", "withdrawn": "no longer called for"}


def decided_meanwhile(reason: str, state: str, keeper: str) -> str:
    return f"it is {DECIDED.get(state, state)} already, by {keeper or SOMEBODY}: {reason}"
