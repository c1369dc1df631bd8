"""The walk's keys once more, as plainly as they can be said, to check the real machine against.

Nothing here is shared with the machine but the facts of the house (what is asked where,
which actions are open, which keys give which command). A round is a handful of ordinary
mutable things; undo puts back a copy taken before the step. That is slow and wasteful,
and easy to believe.
"""

from __future__ import annotations

import copy
from typing import Any

AS_EXPECTED, NOTE, SKIPPED = "as_expected", "note", "skipped"
DEEPEST = 2
DIGITS = tuple("0123456789")
NOT_WHILE_CORRECTING = {"fresh_cup", "deeper", "skip", "go", "done", "put_off", "summary"}


class Model:
    """A round over ``house``, an object that answers what the machine may ask of one.

    ``cells[stop]`` is what this round recorded, ``corrected[visit]`` what it put into earlier
    visits, ``acted[action uid]`` the state it left an action in.
    """

    def __init__(self, house: Any) -> None:
        self.house = house
        self.at = 0
        self.came_from = 0
        self.mode = "walk"
        self.typing = ""
        self.row = 0
        self.warned = False
        self.cells: dict[int, dict[str, Any]] = {}
        self.corrected: dict[bytes, dict[str, Any]] = {}
        self.touched: dict[bytes, dict[str, None]] = {}
        self.acted: dict[bytes, tuple[str, Any, str, Any]] = {}
        self.depth: dict[int, int] = {}
        self.extra: dict[int, list[str]] = {}
        self.correcting: bytes | None = None
        self.before: list[tuple[Any, ...]] = []  # one copy per step, newest last
        self.page = 0
        self.older = b""  # the act to correct
        self.wanted = ""
        self.picked: Any = None
        self.days = 1
        self.after_scan = False
        self.note_open = False  # this session of typing has its step already
        self.first_row()

    # Facts

    def looks_at(self) -> int:
        return self.depth.get(self.at, int(self.house.starts_at(self.at)))

    def rows(self) -> list[Any]:
        """The questions on the screen: (reading, must, what one key confirms)."""
        if self.at >= self.house.count():
            return []
        asked = [(a.kind, a.must, a.confirms) for a in self.house.asks(self.at, self._depth(self.looks_at()))]
        first, of_shelf = self.house.asks_of_shelf(self.at)
        names = [a.kind.id for a in of_shelf]
        before = [
            {k for k, v in self.cells.get(i, {}).items() if v is not None} for i in range(first, self.at)
        ]
        passed = [bool(had & {SKIPPED, AS_EXPECTED}) and not had & set(names) for had in before]
        if self.correcting is None and first < self.at:
            mine = self.cells.get(self.at, {})
            asked += [(a.kind, a.must, a.confirms) for a in of_shelf if all(passed) or a.kind.id in mine]
        more = list(self.extra.get(self.at, ()))
        if self.correcting is not None:
            more = [k for k in self.here() if k in self.house.kinds] + more
        for name in more:
            if name not in [k.id for k, _, _ in asked]:
                asked.append((self.house.kinds[name], "", None))
        return asked

    def _depth(self, depth: int) -> Any:
        return type(self.house.starts_at(0))(depth)

    def here(self) -> dict[str, Any]:
        """What the visit on the screen holds, taken-back cells too (as None)."""
        if self.correcting is None:
            return self.cells.get(self.at, {})
        then = next((dict(e.cells) for e in self.house.earlier(self.at) if e.uid == self.correcting), {})
        touched = self.touched.get(self.correcting, {})  # a row once answered stays, its answer taken back
        return {**then, **touched, **then, **self.corrected.get(self.correcting, {})}

    def filled(self, name: str) -> bool:
        return self.here().get(name) is not None

    def first_row(self) -> None:
        """To the first question that must be typed, else the first that waits."""
        self.typing, self.warned = "", False
        rows = self.rows()
        waiting = [i for i, (k, _, _) in enumerate(rows) if not self.filled(k.id)]
        pressing = [i for i in waiting if rows[i][1] and rows[i][1] != "once a shelf"]
        self.row = (pressing or waiting or [len(rows)])[0]

    def open_here(self) -> list[Any]:
        if self.at < self.house.count():
            return list(self.house.actions(self.at))
        listed = self.house.listed()
        return [listed[self.row][1]] if self.row < len(listed) and listed[self.row][1] is not None else []

    # Recording

    def remember(self, stop: int, kind: str) -> None:
        self.before.append(
            (
                stop,
                self.correcting,
                kind,
                copy.deepcopy(self.cells),
                copy.deepcopy(self.corrected),
                dict(self.acted),
            )
        )

    def put(self, kind: str, value: Any) -> None:
        if self.correcting is None:
            self.cells.setdefault(self.at, {})[kind] = value
        else:
            self.corrected.setdefault(self.correcting, {})[kind] = value
            self.touched.setdefault(self.correcting, {})[kind] = None

    def go(self, stop: int) -> None:
        if self.at < self.house.count():
            self.came_from = self.at
        self.at = max(0, min(stop, self.house.count()))
        self.mode, self.correcting, self.page = "walk", None, 0
        self.first_row()

    # Keys

    def press(self, key: str) -> None:
        if self.mode == "left":
            return
        after_scan, self.after_scan = self.after_scan, False
        if self.house.commands.get(key) == "scan":
            self.mode, self.typing, self.page, self.warned = "scan", "", 0, False
            return
        if after_scan and key == "enter":
            return
        half_typed = self.mode in ("go", "days", "why") or (self.mode == "walk" and self.typing)
        if key == "*" and half_typed and self.house.commands.get(key) == "undo":
            key = "backspace"
        if self.mode != "walk":
            getattr(self, f"in_{self.mode}")(key)
            self.warned = False
        elif self.at >= self.house.count():
            self.on_summary(key)
            self.warned = False
        elif self.typing:
            self.number_key(key)
        else:
            self.walk_key(key)

    def walk_key(self, key: str) -> None:
        command = self.house.commands.get(key)
        if command != "next":
            self.warned = False
        if key in DIGITS:
            self.digit(key)
        elif command is not None:
            if self.correcting is None or command not in NOT_WHILE_CORRECTING:
                getattr(self, f"do_{command}")()
        else:
            wanted = [k for k in self.house.kinds.values() if k.ask_key == key and not k.retired]
            if wanted:
                self.ask(wanted[0])

    def digit(self, key: str) -> None:
        rows = self.rows()
        if self.row >= len(rows):
            return
        kind = rows[self.row][0]
        if kind.type == "tick":
            if key in "01":
                self.answer(key == "1")
        elif kind.type == "choice":
            found = [c.id for c in kind.choices if c.key == key]
            if found:
                self.answer(found[0])
        elif kind.high <= 9 and not kind.decimals:
            if kind.low <= int(key) <= kind.high:
                self.answer(int(key))
        else:
            self.typing = key

    def number_key(self, key: str) -> None:
        kind = self.rows()[self.row][0]
        self.warned = False
        if key in DIGITS and len(self.typing) < 8:
            self.typing += key
        elif key in (".", ",") and kind.decimals and "." not in self.typing:
            self.typing += "."
        elif key == "backspace":
            self.typing = self.typing[:-1]
        else:
            number = self.whole_number(kind)
            command = self.house.commands.get(key)
            if number is None:
                if command != "next":
                    self.typing = ""
                    self.press(key)
                return
            self.answer(number)
            if command != "next":
                self.press(key)

    def whole_number(self, kind: Any) -> Any:
        whole, dot, part = self.typing.partition(".")
        if (dot and not part) or len(part.rstrip("0")) > kind.decimals:  # noughts say nothing
            return None
        value = float(f"{whole or 0}.{part or 0}")
        if not kind.low <= value <= kind.high:
            return None
        return value if kind.decimals else int(value)

    def answer(self, value: Any) -> None:
        self.typing = ""
        rows = self.rows()
        self.remember(self.at, rows[self.row][0].id)
        self.put(rows[self.row][0].id, value)
        if self.correcting is None and self.filled(SKIPPED):
            self.put(SKIPPED, None)
        self.row = next(
            (i for i in range(self.row + 1, len(rows)) if not self.filled(rows[i][0].id)), len(rows)
        )

    def ask(self, kind: Any) -> None:
        shown = [k.id for k, _, _ in self.rows()]
        if kind.id in shown:
            self.row, self.typing = shown.index(kind.id), ""
            return
        for deeper in range(self.looks_at() + 1, DEEPEST + 1):
            if kind.id in [a.kind.id for a in self.house.asks(self.at, self._depth(deeper))]:
                if self.house.withheld(self.at, self._depth(deeper)):
                    return
                self.depth[self.at] = deeper
                self.row, self.typing = [k.id for k, _, _ in self.rows()].index(kind.id), ""
                return
        if kind.subject == "enclosure":
            self.extra.setdefault(self.at, []).append(kind.id)
            self.row, self.typing = len(self.rows()) - 1, ""

    # Commands on the walk

    def do_fresh_cup(self) -> None:
        cup = self.house.last_cup(self.at)
        if cup is None or cup.day == self.house.day or self.filled("jelly_in"):
            return
        rows = [k.id for k, _, _ in self.rows()]
        self.remember(self.at, "jelly_in")
        self.put("jelly_in", cup.amount)
        if self.filled(SKIPPED):
            self.put(SKIPPED, None)
        if "jelly_in" not in rows:
            self.extra.setdefault(self.at, []).append("jelly_in")
            if self.row >= len(rows):
                self.row = len(rows) + 1
        elif self.row == rows.index("jelly_in"):
            self.row = next(
                (i for i in range(self.row + 1, len(rows)) if not self.filled(rows[i])), len(rows)
            )

    def do_next(self) -> None:
        if self.correcting is not None:
            self.correcting = None
            self.first_row()
            return
        rows = self.rows()
        lacking = [
            i
            for i, (k, must, _) in enumerate(rows)
            if must not in ("", "once a shelf") and not self.filled(k.id)
        ]
        if lacking and not self.warned and not self.filled(SKIPPED):
            self.row, self.warned = lacking[0], True
            return
        if not self.filled(SKIPPED):
            usual = {k.id: c for k, must, c in rows if not must and c is not None and not self.filled(k.id)}
            usual = {k: list(c) if isinstance(c, tuple) else c for k, c in usual.items()}
            had = self.here().get(AS_EXPECTED)
            if had is None or set(usual) - set(had):
                self.remember(self.at, AS_EXPECTED)
                self.put(AS_EXPECTED, {**usual, **(had or {})})
        self.go(self.at + 1)

    def do_back(self) -> None:
        if self.correcting is not None:
            self.do_next()
        elif self.at > 0:
            self.go(self.at - 1)

    def do_reading_up(self) -> None:
        self.row = max(0, self.row - 1)

    def do_reading_down(self) -> None:
        self.row = min(len(self.rows()), self.row + 1)

    def do_deeper(self) -> None:
        now = self.looks_at()
        asked = [len(self.house.asks(self.at, self._depth(d))) for d in range(DEEPEST + 1)]
        closer = [d for d in range(now + 1, DEEPEST + 1) if asked[d] > asked[now]]
        if closer and self.house.withheld(self.at, self._depth(closer[0])):
            return
        if not closer and now == int(self.house.starts_at(self.at)):
            return
        self.depth[self.at] = closer[0] if closer else int(self.house.starts_at(self.at))
        self.first_row()

    def do_other(self) -> None:
        if self.other_kinds():
            self.mode, self.page = "other", 0

    def other_kinds(self) -> list[Any]:
        shown = [k.id for k, _, _ in self.rows()]
        return [
            k
            for k in self.house.kinds.values()
            if k.id not in shown and not k.retired and k.subject == "enclosure"
        ]

    def in_other(self, key: str) -> None:
        kinds = self.other_kinds()
        if key == "0":
            self.page = (self.page + 1) % ((len(kinds) + 8) // 9)
        elif key in DIGITS:
            page = kinds[9 * self.page :]
            if int(key) <= len(page):
                self.mode = "walk"
                self.ask(page[int(key) - 1])
        else:
            self.mode = "walk"

    def do_skip(self) -> None:
        if not any(v is not None for k, v in self.here().items() if k not in (SKIPPED, NOTE)):
            self.mode = "skip"

    def in_skip(self, key: str) -> None:
        self.mode = "walk"
        for choice in self.house.skips:
            if choice.key == key:
                self.remember(self.at, SKIPPED)
                self.put(SKIPPED, choice.id)
                self.go(self.at + 1)
                return

    def do_go(self) -> None:
        self.mode, self.typing = "go", ""

    def in_go(self, key: str) -> None:
        if key == "enter" or (key == "space" and self.typing):
            stop = self.house.find(self.typing.strip())
            if stop is None:
                self.mode, self.typing = "walk", ""
            else:
                self.go(stop)
        elif key == "backspace" and not self.typing:
            self.mode = "walk"
        else:
            self.text(key, 40)

    def text(self, key: str, limit: int) -> None:
        if key == "backspace":
            self.typing = self.typing[:-1]
        elif key == "space" or (len(key) == 1 and key.isprintable()):
            self.typing = (self.typing + (" " if key == "space" else key))[:limit]

    def do_note(self) -> None:
        self.mode, self.typing, self.note_open = "note", str(self.here().get(NOTE) or ""), False

    def in_note(self, key: str) -> None:
        if key == "enter":
            self.mode, self.typing = "walk", ""
            return
        was = self.typing
        self.text(key, 2000)
        if self.typing != was:
            if not self.note_open:
                self.remember(self.at, NOTE)
                self.note_open = True
            self.put(NOTE, self.typing or None)

    def do_undo(self) -> None:
        if not self.before:
            return
        self.at, self.correcting, kind, self.cells, self.corrected, self.acted = self.before.pop()
        self.mode = "walk"
        self.first_row()
        shown = [k.id for k, _, _ in self.rows()]
        if kind in shown:
            self.row = shown.index(kind)

    def do_correct(self) -> None:
        if self.correcting is not None:
            self.do_next()
        elif self.house.earlier(self.at) or self.house.older_acts(self.at):
            self.mode, self.page = "earlier", 0

    def in_earlier(self, key: str) -> None:
        """The last visits, then the older acts, nine to a page; only a key that is no digit leaves the list."""
        visits, acts = self.house.earlier(self.at), self.house.older_acts(self.at)
        row = 9 * self.page + int(key) - 1 if key in DIGITS else 0
        if key not in DIGITS:
            self.mode = "walk"
        elif key == "0":
            self.page = (self.page + 1) % ((len(visits) + len(acts) + 8) // 9)
        elif row < len(visits):
            self.mode, self.correcting, self.typing, self.row = "walk", visits[row].uid, "", 0
        elif row < len(visits) + len(acts):
            self.mode, self.older = "older", acts[row - len(visits)].uid

    def in_older(self, key: str) -> None:
        """Left as it is: what corrects an act or takes it back is not in the model (see ``acts``)."""
        assert not self.acts(key)
        self.mode = "walk"

    def acts(self, key: str) -> bool:
        """Would the key begin an act or take one back, of which the model knows nothing?"""
        return self.mode == "older" and key in ("1", "2") and not self.house.keeps_older(self.older)

    def do_done(self) -> None:
        self.pick("done")

    def do_put_off(self) -> None:
        self.pick("off")

    def pick(self, wanted: str) -> None:
        found = self.open_here()
        self.wanted = wanted if found else self.wanted
        if len(found) == 1:
            self.chosen(found[0])
        elif found:
            self.mode = "pick"

    def in_pick(self, key: str) -> None:
        self.mode = "walk"
        found = self.open_here()
        if key in DIGITS and 1 <= int(key) <= len(found):
            self.chosen(found[int(key) - 1])

    def chosen(self, action: Any) -> None:
        if self.wanted == "off":
            self.mode, self.picked, self.typing = "days", action.uid, ""
        else:
            self.act(action, ("done", action.until, action.why, self.house.day))

    def act(self, action: Any, after: tuple[str, Any, str, Any]) -> None:
        stop = self.at if self.at < self.house.count() else self.house.listed()[self.row][0]
        self.before.append(
            (stop, None, "", copy.deepcopy(self.cells), copy.deepcopy(self.corrected), dict(self.acted))
        )
        self.before[-1][5].setdefault(action.uid, (action.state, action.until, action.why, action.closed))
        self.acted[action.uid] = after
        self.mode = "walk"

    def in_days(self, key: str) -> None:
        if key in ("enter", "space"):
            wanted = int(self.typing or "1")
            if 1 <= wanted <= 365:
                self.mode, self.days = "why", wanted
            self.typing = ""
        elif key in DIGITS and len(self.typing) < 3:
            self.typing += key
        elif key == "backspace":
            if not self.typing:
                self.mode = "walk"
            self.typing = self.typing[:-1]

    def in_why(self, key: str) -> None:
        reasons = {str(i): c.title for i, c in enumerate(self.house.put_offs, 1)}
        why = self.typing.strip()
        if key == "enter" and why in DIGITS and reasons:
            why = reasons.get(why, "")
        if key == "enter" and why:
            self.typing, self.mode = "", "walk"
            for action in self.open_here():
                if action.uid == self.picked:
                    self.act(action, ("off", self.house.day + self.days, why, action.closed))
        elif key == "enter":
            return
        elif key == "backspace" and not self.typing:
            self.mode = "walk"
        else:
            if self.typing in reasons and len(key) == 1 and key.isalpha():  # words in place of a ready reason
                self.typing = ""
            self.text(key, 200)

    def do_summary(self) -> None:
        self.go(self.house.count())

    def do_help(self) -> None:
        self.mode = "help"

    def in_help(self, key: str) -> None:
        if self.house.commands.get(key) not in ("reading_up", "reading_down"):
            self.mode = "walk"

    def do_quit(self) -> None:
        self.mode = "left"

    def do_menu(self) -> None:
        self.mode, self.page = "menu", 0

    def in_menu(self, key: str) -> None:
        """``/`` opened it; its entries are the keys that begin so, in their order."""
        entries = [k for k in self.house.commands if k[0] == "/" and k != "/"]
        if key == "0" and len(entries) > 9:
            self.page = (self.page + 1) % ((len(entries) + 8) // 9)
        elif key not in DIGITS:
            self.mode, self.page = "walk", 0
        elif key != "0" and self.page * 9 + int(key) <= len(entries):
            entry = entries[self.page * 9 + int(key) - 1]
            self.mode, self.page = "walk", 0
            self.press(entry)

    def in_scan(self, key: str) -> None:
        if key == "enter":
            self.after_scan = True
            text = self.typing.strip()
            stop = self.house.find(text) if text and len(self.typing) <= 40 else None
            self.mode, self.typing = "walk", ""
            if stop is not None:
                self.go(stop)
        elif key == "space" or (len(key) == 1 and key.isprintable()):
            self.typing = (self.typing + (" " if key == "space" else key))[:41]
        else:
            self.mode, self.typing = "walk", ""

    # Past the last enclosure

    def on_summary(self, key: str) -> None:
        listed = self.house.listed()
        last = max(0, len(listed) - 1)
        self.row = min(self.row, last)
        command = self.house.commands.get(key)
        if command == "reading_up":
            self.row = max(0, self.row - 1)
        elif command == "reading_down":
            self.row = min(last, self.row + 1)
        elif command == "next":
            if listed:
                self.go(listed[self.row][0])
        elif command == "back":
            self.go(self.house.count() - 1)
        elif command == "summary":
            self.go(min(self.came_from, max(0, self.house.count() - 1)))
        elif command in ("done", "put_off", "go", "undo", "menu", "help", "quit"):
            getattr(self, f"do_{command}")()
