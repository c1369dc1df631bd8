"""What each mode of the walk offers, as numbered lines and one question: for reading out and for typing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from rounds.keys.commands import ABOUT, PER_PAGE
from rounds.presenters import footer
from rounds.text.cleaning import clean, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import act_modes, menu_mode, steps, when_mode
from rounds.walk.machine.modes import MAX_DAYS
from rounds.walk.machine.state import MAX_TEXT

LEVEL_WORDS = {"now": "act now", "today": "today", "look": "look at it"}
"""The levels of harm as they are said, worst first."""


class Offers(NamedTuple):
    """``names`` are the things to choose from, in the order of their digits over all pages of nine.

    ``question`` is read last; ``free`` modes take the rest of a line as text instead.
    """

    question: str
    names: tuple[str, ...] = ()
    free: bool = False
    typed: tuple[str, ...] = ()  # what else a name may be typed as, one for each


def offers(walk: Walk) -> Offers:
    """What the walk's mode offers now; of a mode that has no words here, what the screen shows."""
    return BY_MODE.get(walk.state.mode, _as_on_screen)(walk)


def lines(walk: Walk) -> list[str]:
    """The page of names in sight, numbered by the digits that choose them."""
    names = offers(walk).names
    first = walk.state.page * PER_PAGE if len(names) > PER_PAGE and walk.state.mode in PAGED else 0
    out = [f"{i}: {name}" for i, name in enumerate(names[first : first + PER_PAGE], 1)]
    if walk.state.mode in PAGED and len(names) > PER_PAGE:
        out.append(f"0: more, {len(names)} in all")
    return out


def _as_on_screen(walk: Walk) -> Offers:
    shown = " ".join("".join(text for text, _ in line).strip() for line in footer.answers(walk, 1000))
    return Offers(f"{' '.join(shown.split())}; {footer.HINTS.get(walk.state.mode, '')}".strip("; "))


def _go(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers("Go to which number or code? Enter alone stays here.", free=True)


def _scan(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers("Scan a label, or type its code? Enter alone stays here.", free=True)


def _menu(walk: Walk) -> Offers:
    listed = tuple(ABOUT[command] for _, command in menu_mode.entries(walk))
    return Offers("Do which? Enter alone: nothing.", listed)


def _skip(walk: Walk) -> Offers:
    return Offers(
        "Skip it why? Enter alone: it is not skipped.", tuple(clean(c.title, 400) for c in walk.skips)
    )


def _note(walk: Walk) -> Offers:
    so_far = clean(walk.state.buffer, 2100)
    at = walk.state.at
    here = f" for {clean(walk.stops[at].enclosure.code, 400)}" if at < walk.count() else ""
    if so_far:
        return Offers(
            f"The note{here} so far: {so_far}. What you type is added; Enter alone keeps it; erase alone empties it.",
            free=True,
        )
    return Offers(f"The note{here}, on one line? Enter alone: no note.", free=True)


def _earlier(walk: Walk) -> Offers:
    days = tuple(long_day(v.day) for v in walk.earlier(walk.state.at))
    return Offers("Correct which visit? Enter alone: none.", days)


def _pick(walk: Walk) -> Offers:
    listed = walk.actions(walk.state.at)[:PER_PAGE] if not walk.over else ()
    what = "Which is done?" if walk.state.picking == "done" else "Which is put off?"
    return Offers(
        f"{what} Enter alone: none.",
        tuple(f"{LEVEL_WORDS.get(a.level, a.level)}: {clean(a.reason, 1200)}" for a in listed),
    )


def _days(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers(
        f"Put it off for how many days, 1 to {MAX_DAYS}? Enter alone: 1 day; back: it is not put off.",
        free=True,
    )


def _why(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers("Why is it put off, in a word or two? Enter alone: it is not put off.", free=True)


def _acts(walk: Walk) -> Offers:
    found = walk.offers(walk.state.at)
    day = f"On {clean(walk.state.on, 200)}, record" if walk.state.on else "Record"
    return Offers(
        f"{day} which? Type on and a day first when it was not today. Enter alone: nothing is recorded.",
        tuple(clean(o.title, 400) for o in found),
        typed=tuple(o.act for o in found),
    )


def _when(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers(
        "When was it: so many days ago, or a day such as 2026-03-01? Enter alone: today.", free=True
    )


def _whom(walk: Walk) -> Offers:
    people = act_modes.offer(walk.state, walk).whom
    return Offers(
        "Of whom? Enter alone: nothing is recorded.",
        tuple(clean(shown, 400) for _, shown in people),
        typed=tuple(typed for typed, _ in people),
    )


def _field(walk: Walk) -> Offers:
    asked = act_modes.wanted(walk.state, walk)
    about = clean(f"{asked.name}, {asked.about}", 1200) if asked else ""
    ends = "Enter alone: nothing is recorded."
    if asked and asked.words:
        return Offers(f"Which {about}? {ends}", tuple(clean(w, 400) for w in asked.words))
    return Offers(f"{about}? {ends}", free=True)


def _sure(walk: Walk) -> Offers:  # noqa: ARG001
    return Offers("Record it all the same? Enter alone: nothing is recorded.", ("yes", "no"))


def _other(walk: Walk) -> Offers:
    kinds = steps.others(walk.state, walk)
    return Offers(
        "Read which? Enter alone: none.",
        tuple(clean(k.title, 400) for k in kinds),
        typed=tuple(k.id for k in kinds),
    )


BY_MODE: Mapping[str, Callable[[Walk], Offers]] = {
    "go": _go, "skip": _skip, "note": _note, "earlier": _earlier, "pick": _pick, "days": _days, "why": _why,
    "acts": _acts, "whom": _whom, "field": _field, "sure": _sure, "other": _other,
    "scan": _scan, "menu": _menu, "when": _when,
}  # fmt: skip
"""Every mode of the machine but help, which is read out whole and closed at once."""
PAGED = ("acts", "whom", "other", "menu", "field")
LIMITS = {"why": 200, "when": when_mode.MOST, "field": 200, "note": MAX_TEXT}
"""Characters of one text, as the machine takes them."""
