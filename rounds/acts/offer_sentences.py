"""Why an act of the stage does not fit an enclosure today."""

from __future__ import annotations

NOT_HERE = "nothing here for it"
NOBODY_IN = {
    "animal": "no numbered animal here",
    "brood": "no counted brood here",
    "line": "no line is open yet",
    "pairing": "no open pairing here",
    "plan": "nothing planned here",
    "batch": "no batch of substrate is known",
    "trial": "no trial is running",
}
"""By what the act is done to."""
NOBODY = {
    "found": "nobody is missing",
    "came-back": "nobody is lent out",
    "went-back": "nobody here is on loan",
    "mark-lost": "nobody here has a mark",
    "promise-over": "nobody here is promised",
    "trial-out": "nobody here is in a trial",
    "lift": "no lock of its own",
    "mating-seen": "no open pairing here",
    "to-laying": "no female here",
    "eclosed": "nobody here is yet to eclose",
    "emerged": "nobody here is yet to emerge",
    "first-feed": "nobody here is yet to feed",
    "mature": "nobody here is yet to be ready",
    "weigh-one": "no counted group here",
    "split-some": "no counted group here but broods",
    "sexed-some": "no counted group here",
    "move-some": "no counted group here",
    "dead-some": "no counted group here",
    "given-away-some": "no counted group here",
    "missing-some": "no counted group here",
}
"""By act, where more can be said."""


def group_of(count: str, instar: str) -> str:
    return f"{count} {instar}".rstrip()


def brood_here(name: str, groups: tuple[str, ...]) -> str:
    return f"{name}: {', '.join(groups)}"
