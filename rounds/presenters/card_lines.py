"""A card as lines of the screen: the act's title, its cautions, and one field a line.

Pure: the card of the prompt and a size in, lines out. A caution of more than two lines stands as
its headlines, all of them where the screen has 80 cells and 24 lines, with the key that shows it
in full; of the fields those around the cursor are in sight.
"""

from __future__ import annotations

from rounds.presenters import card_line_sentences as sentences
from rounds.presenters.lines import Line, Run, cut, fit, wrap
from rounds.text.cleaning import clean
from rounds.walk.machine.prompts import CardRow, CardShown

LABEL = 14
CAUTION = 2
"""Lines of a caution that is shown in full: the fields are what one came for."""
LEAST_ROWS = 5
"""Fields that stay in sight however long the caution is."""


def lines(card: CardShown, width: int, space: int, all_key: str) -> list[Line]:
    """At most ``space`` lines. ``all_key`` shows what there is no room for, and is said where the caution is cut."""
    title: Line = ((f" {clean(card.title, 60)}", "strong"),)
    if card.caution and space < 2:
        return [cut(((f" ! {sentences.caution_behind(all_key)} ", "today"), *title), width)]
    least = max(1, space - 1 - min(LEAST_ROWS, len(card.rows)))
    # On a screen too small for all of it something of every part is in sight.
    warned = _caution(card, width, space - 1 - len(card.rows), least, all_key)
    room = max(1, space - 1 - len(warned))
    return [cut(line, width) for line in [title, *warned, *_rows(card.rows, room)][:space]]


def _caution(card: CardShown, width: int, room: int, least: int, all_key: str) -> list[Line]:
    """All of it where it is short and every field stays in sight beside it, else its headlines and the key to the rest."""
    if not card.caution:
        return []
    whole = wrap(clean(card.caution, 4000), width - 3, 100)
    if len(whole) > min(room, CAUTION):
        short = sentences.headlines(tuple(clean(x, 200) for x in card.headlines))
        ending = f" {sentences.shows_all(all_key)}"
        whole = wrap(f"{short};{ending}", width - 3, 100)
        if len(whole) > least:
            last = fit(" ".join(whole[least - 1 :]), max(0, width - 3 - len(ending))).rstrip("… ;")
            whole = [*whole[: least - 1], f"{last}…{ending}"]
    return [((f" ! {x}" if i == 0 else f"   {x}", "today"),) for i, x in enumerate(whole)]


def _rows(rows: tuple[CardRow, ...], room: int) -> list[Line]:
    at = next((i for i, row in enumerate(rows) if row.at), 0)
    # How many are out of sight is said in the last line, which then is no field's.
    shown = room if len(rows) <= room else max(1, room - 1)
    first = max(0, min(at - shown // 2, len(rows) - shown))
    out = [_row(row) for row in rows[first : first + shown]]
    if len(rows) > shown and room > 1:
        out.append(((sentences.fields_in_sight(first + 1, first + len(out), len(rows)), "faint"),))
    return out


def _row(row: CardRow) -> Line:
    mark = "*" if row.needed else " "
    runs: list[Run] = [
        (f"{'>' if row.at else ' '} ", "cursor" if row.at else ""),
        (f"{mark} {fit(clean(row.label, 20), LABEL)} ", "cursor" if row.at else "strong" if row.said else ""),
    ]
    said = clean(row.said, 200)
    match row.how:
        case "typed":
            runs.append((said, "cursor"))
        case "told":
            runs.append((said, "strong"))
        case "proposed":
            runs += [(said, ""), (sentences.PROPOSED, "faint")]
        case "waits":
            runs.append(
                (sentences.NEEDED if row.needed else sentences.NOT_SAID, "today" if row.needed else "faint")
            )
        case _:
            runs.append((sentences.otherwise(said) if said else "", "faint"))
    return tuple(runs)
