"""A page of the books as lines: what it is about, then its lists with the cursor always in sight.

Only the rows in sight are made into lines, so a list of ten thousand costs what one of
twenty does. On a wide screen the page behind the row at the cursor is shown beside it.
"""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.presenters import footer, list_columns, screen_sentences
from rounds.presenters.lines import BLANK, Line, cut, fit, shortened, wrap
from rounds.text.cleaning import clean, long_day
from rounds.views.page import ListRow, OpenPage, Page, PageSection
from rounds.walk.core import Walk

LABEL = 14
WIDE, LIST, BESIDE = 120, 80, 44
"""From ``WIDE`` cells on, up to ``BESIDE`` of them show what is behind the row at the cursor.

The list keeps ``LIST`` cells, so that nothing is cut that is whole on a narrow screen.
"""
NOT_BESIDE = ("stop", "match", "find", "corrections", "due", "actions", "rack")
WHOLE = 6  # lines under the row at the cursor for what its columns cut


class Placed(NamedTuple):
    """A part and the line it begins at."""

    at: int
    part: PageSection
    first: int  # the number of its first row on the page

    @property
    def top(self) -> int:
        """Lines above its rows: its title and its column heads, where it has any."""
        return bool(self.part.title) + (len(self.part.rows) > 0 and any(c.head for c in self.part.columns))

    @property
    def height(self) -> int:
        return self.top + max(1, len(self.part.rows)) + 1

    @property
    def rows_at(self) -> int:
        return self.at + self.top


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells for the page in sight."""
    opened = walk.state.pages[-1]
    page = walk.pages.page(opened)
    foot = footer.foot(walk, width, height)
    body = max(0, height - 1 - len(foot))
    wide = width >= WIDE and not page.shelves
    beside = min(BESIDE, width - LIST - 1)  # one for the line between them
    main = width - beside if wide else width
    if page.shelves:
        from rounds.presenters import rack_lines

        out = rack_lines.lines(page, opened.cursor, width, body)
    else:
        out = _body(page, opened, main - wide, body, whole=not wide)
    if wide:
        side = _beside(walk, page, opened, beside - 2, body)
        out = [cut((*cut(a, main), ("│ ", "faint"), *b), width) for a, b in zip(out, side, strict=True)]
    return [cut(line, width) for line in [_title(walk, page, width), *out, *foot][:height]]


def _title(walk: Walk, page: Page, width: int) -> Line:
    way = (
        screen_sentences.back_to(clean(walk.pages.page(walk.state.pages[-2]).title, 40))
        if len(walk.state.pages) > 1
        else screen_sentences.TO_THE_WALK
    )
    name = clean(page.title, 60)
    right = f"{long_day(walk.day)} " if width >= 60 else ""
    left = f" {name}{way if width >= 60 else ''}"
    return ((fit(left, max(0, width - len(right))), "bar"), (fit(right, min(width, len(right))), "bar"))


def _body(page: Page, opened: OpenPage, width: int, room: int, *, whole: bool) -> list[Line]:
    """The window of the page in which the cursor is; ``whole``: its row in full, on lines of its own."""
    if page.typed and room > 1:  # what was typed stays in sight
        typed: Line = ((screen_sentences.LOOK_FOR, "strong"), (f"{clean(opened.query, 80)}_", "cursor"))
        wait = f"   {clean(page.wait, 200)}" if page.wait else ""
        rest = page._replace(typed=False, wait="")
        return [cut((*typed, (wait, "faint")), width), *_body(rest, opened, width, room - 1, whole=whole)]
    head = _head(page, width, room)
    parts: list[Placed] = []
    at, first = len(head), 0
    for part in page.parts:
        placed = Placed(at, part, first)
        parts.append(placed)
        at += placed.height
        first += len(part.rows)
    total = max(at - 1, 0) if parts else len(head)
    cursor = min(opened.cursor, max(0, first - 1))
    holder = next((p for p in parts if p.first <= cursor < p.first + len(p.part.rows)), None)
    where = 0 if holder is None else holder.rows_at + cursor - holder.first
    more: list[Line] = []
    if whole and holder:
        columns = list_columns.laid(page, holder.part, width - 2)
        more = _cut_cells(columns, holder.part.rows[cursor - holder.first], width, room)
    fits = where + len(more) + 1 < room  # then the page is read from its top
    start = 0 if fits else max(0, min(where - room // 2, total - room))
    if where + len(more) >= start + room:
        start = where + len(more) - room + 1
    out: list[Line] = []
    for y in range(start, min(total, start + room)):
        out.append(_line(y, page, head, parts, cursor, width))
        if y == where:
            out += more
    out = out[:room]
    above = next(
        (p for p in parts if p.rows_at <= start < p.rows_at + len(p.part.rows) and p.part.title), None
    )
    if above is not None and out and room > 4 and start < where:
        out[0] = _columns(page, above.part, width, screen_sentences.from_above(above.part.title))
    return out + [BLANK] * (room - len(out))


def _cut_cells(columns: list_columns.Laid, row: ListRow, width: int, room: int) -> list[Line]:
    """The cells of a row that its columns cut, in full: at most six lines, half of what there is."""
    out = [x for told in columns.cut_cells(row) for x in wrap(told, width - 6, WHOLE)]
    most = max(1, min(WHOLE, room // 2))
    if len(out) > most:
        out = [*out[: most - 1], fit(f"{out[most - 1]} …", width - 6)]
    return [((f"    {x}", ""),) for x in out]


def _head(page: Page, width: int, room: int) -> list[Line]:
    """What the page is about; all of it stands behind the key of help.

    Where it would push the list away a fact gets one line, and of a drawing only what is said below it stands.
    """
    most = room // 2 if page.parts else room
    out = _facts(page, width, 6, page.drawn)
    if len(out) > most:
        out = _facts(page, width, 1, page.drawn)
    if len(out) > most:
        out = _facts(page, width, 1, page.drawn[-1:])
    if out and page.parts:
        out.append(BLANK)
    return out


def _facts(page: Page, width: int, most: int, drawn: tuple[str, ...]) -> list[Line]:
    out = facts(page, width, most)
    out += [((f" {clean(line, 400)}", ""),) for line in drawn]
    if page.wait:
        out.append(((f" {clean(page.wait, 200)}", "strong"),))
    if page.hint:
        out += [((f" {x}", "strong"),) for x in wrap(clean(page.hint, 600), width - 2, 6)]
    return out


def facts(page: Page, width: int, most: int) -> list[Line]:
    """The facts of a page, each in at most so many lines beside its label."""
    out: list[Line] = []
    for label, text in page.facts:
        out += [((" ", ""), *line) for line in _labelled(label, clean(text, 600) or " ", width - 2, most)]
    return out


def _line(y: int, page: Page, head: list[Line], parts: list[Placed], cursor: int, width: int) -> Line:
    if y < len(head):
        return head[y]
    placed = next(p for p in reversed(parts) if p.at <= y)
    part, i = placed.part, y - placed.rows_at
    if i >= 0 and part.rows:
        return (
            _row(page, part, part.rows[i], width, at=placed.first + i == cursor)
            if i < len(part.rows)
            else BLANK
        )
    if i >= 0:
        return ((f"   {clean(part.empty or 'none', 200)}", "faint"),) if i == 0 else BLANK
    if y == placed.at and part.title:
        count = f"  {len(part.rows):,}" if part.counted and len(part.rows) > 1 else ""
        return ((f" {clean(part.title, 60)}", "strong"), (count, "faint"))
    return _columns(page, part, width)


def _columns(page: Page, part: PageSection, width: int, instead: str = "") -> Line:
    said = list_columns.laid(page, part, width - 2).heads()
    if instead and len(instead) + 4 < width:
        said = f"{shortened(said.rstrip(), width - 6 - len(instead))}  {instead}"
    return ((f"  {said}", "faint"),)


def _row(page: Page, part: PageSection, row: ListRow, width: int, *, at: bool) -> Line:
    cells = fit(list_columns.laid(page, part, width - 2).cells(row), max(0, width - 2))
    return ((f"{'>' if at else ' '} ", "cursor" if at else ""), (cells, "cursor" if at else row.style))


def _beside(walk: Walk, page: Page, opened: OpenPage, width: int, height: int) -> list[Line]:
    """The row at the cursor in full, and the facts of the page behind it."""
    row = page.at(opened.cursor)
    out: list[Line] = []
    if isinstance(row, ListRow):
        for head, text in zip(_heads_at(page, opened.cursor), row.cells, strict=True):
            out += _labelled(head, clean(text, list_columns.MOST), width, 12) if text else []
        if row.link is not None and row.link.kind not in NOT_BESIDE:
            behind = walk.pages.page(OpenPage(row.link))
            out += [BLANK, ((clean(behind.title, 60), "strong"),)]
            for label, text in behind.facts:
                out += _labelled(label, clean(text, 300), width, 4)
            for part in behind.parts:
                if part.rows and part.title and part.counted:
                    out.append(((f"{clean(part.title, 40)}: {len(part.rows)}", "faint"),))
    out = [cut(line, width) for line in out[:height]]
    return out + [cut(BLANK, width)] * (height - len(out))


def _labelled(label: str, text: str, width: int, most: int) -> list[Line]:
    """A text beside its label, which stands over the first of its lines alone; without a label in the whole width."""
    if not label:
        return [((x, ""),) for x in wrap(text, width, most)]
    pieces = wrap(text, max(8, width - LABEL), most)
    return [
        ((f"{shortened(label if not i else '', LABEL - 1)} ", "faint"), (x, "")) for i, x in enumerate(pieces)
    ]


def _heads_at(page: Page, cursor: int) -> tuple[str, ...]:
    """The headings of the columns of the row at the cursor."""
    for part in page.parts:
        if cursor < len(part.rows):
            return tuple(c.head for c in part.columns)
        cursor -= len(part.rows)
    return ()
