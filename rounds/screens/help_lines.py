"""What the keys of the walk do and what each reading means, made from the config in force."""

from __future__ import annotations

from rounds.husbandry import entry_steps
from rounds.husbandry.entry_state import ABOUT
from rounds.screens import legend
from rounds.screens.lines import BLANK, Line, cut, wrap
from rounds.screens.walk_lines import flags_here, title
from rounds.shown import clean
from rounds.walk import Walk


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines; ``walk.state.page`` turns the page."""
    text = _text(walk, width)
    foot = legend.foot(walk, width)[:2]
    room = max(1, height - 1 - len(foot))
    pages = max(1, -(-len(text) // room))
    page = min(walk.state.page, pages - 1)
    shown = text[page * room : page * room + room]
    shown += [BLANK] * (room - len(shown))
    full = [title(walk, width), *shown, *foot]
    return [cut(line, width) for line in full[:height]]


def _text(walk: Walk, width: int) -> list[Line]:
    out: list[Line] = []
    flags = flags_here(walk) if walk.state.at < walk.count() else ()
    for flag in flags:
        for i, x in enumerate(wrap(clean(f"{flag.reason} → {flag.todo} {flag.withheld}", 800), width - 4, 8)):
            out.append(((("  " if i else "! ") + x, flag.level),))
    out.append(((" keys", "strong"),))
    for command, about in ABOUT.items():
        keys = " ".join(legend.ARROWS.get(k, k) for k, c in walk.commands.items() if c == command)
        out.append(((f"  {keys:<14}", "key"), (about, "")))
    shown = entry_steps.rows(walk.state, walk)
    out.append(BLANK)
    out.append(((" readings here   (what is in brackets was confirmed as expected, not read)", "strong"),))
    for ask in shown:
        k = ask.kind
        key = f"{k.ask_key} " if k.ask_key else ""
        for i, x in enumerate(wrap(clean(k.about, 400), width - 26, 3)):
            out.append(((f"  {key if not i else '':<3}{clean(k.title, 18) if not i else '':<19}", "key"), (x, "")))
    return out
