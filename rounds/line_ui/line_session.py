"""One round in lines: says where the walk is, takes a line, presses its keys, says what came of them."""

from __future__ import annotations

import time
from collections.abc import Callable

from rounds.line_ui import (
    card_words,
    mode_prompts,
    read_out,
    read_out_pages,
    read_out_summary,
    round_sentences,
    spoken_words,
    typed_lines,
)
from rounds.line_ui.save_report import SLICE, SaveReport
from rounds.text.cleaning import clean, long_day
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from rounds.walk.machine import walking_sentences
from rounds.walk.machine.state import State

PAGE_SECONDS = 3.0  # that a page waits for what is worked out beside the keys
DUE_SECONDS = 5.0  # that the first enclosure waits for its due work
UNMENDED = walking_sentences.mended_by("backspace")
"""What the machine says of a number that it did not take: here the whole number is typed again."""


class Session:
    """Takes lines for a walk and says lines of its own.

    ``say`` is given one line without its end; ``stopped`` says whether somebody asked the
    program to end, and then nothing is waited for. ``pressed`` holds every key, in order.
    """

    def __init__(
        self, walk: Walk, say: Callable[[str], None], stopped: Callable[[], bool] = lambda: False
    ) -> None:
        self.walk, self._say, self._stopped = walk, say, stopped
        self.pressed: list[str] = []
        self.brief = False
        self.saves = SaveReport(walk, self.say, stopped)
        self._card = ""  # the title of the card that was read out
        self._told = ""  # what others did, as it was said last
        self._usual: dict[str, str] = {}  # what Enter alone confirms, as it was said last, by stage
        commands = walk.desk.commands
        if commands.get("enter") == "next":  # the walk's own messages then name the key that is pressed here
            others = {k: c for k, c in commands.items() if k != "enter"}
            commands = {"enter": "next", **others}
        walk.desk.commands = spoken_words.with_words(commands)

    def say(self, *texts: str) -> None:
        for text in texts:
            if text:
                self._say(text)

    # Beginning, asking, ending

    def begin(self) -> None:
        """The round, what is to be known before it, and the first enclosure."""
        walk = self.walk
        walk.look_up_dues()
        self.saves.until(lambda: walk.dues.finder is None or walk.dues.finder.wait(0), DUE_SECONDS)
        walk.take_dues()
        self.say(
            round_sentences.begins(
                long_day(walk.day),
                clean(walk.name, 400),
                clean(walk.keeper, 400),
                walk.round.seen_count,
                walk.route.count(),
            ),
            round_sentences.OPENS,
            read_out.sentence(clean(walk.banner, read_out.WHOLE)),
            read_out.sentence(clean(walk.state.message, read_out.WHOLE)),
        )
        if not walk.route.count():
            bays = ", ".join(clean(b, 40) for b in walk.bays)
            self.say(read_out.sentence(round_sentences.nothing_in_bays(bays) if bays else NO_BOX))
            return
        self._arrive()

    def prompt(self) -> str:
        """What is asked now, as one line; what a mode offers was said before."""
        walk = self.walk
        self.saves.news()
        self._others()
        if walk.state.mode.name != "card":
            self._card = ""
        if walk.state.mode.name != "walk":
            found = mode_prompts.asked(walk)
            if found.card is not None and found.card.title != self._card:
                self.say(*card_words.opening(found.card))
            self._card = found.card.title if found.card is not None else ""
            self.say(*mode_prompts.lines(walk), card_words.will(found.card) if found.card is not None else "")
            return mode_prompts.question(walk)
        if walk.state.pages:
            return read_out_pages.prompt(walk)
        if walk.over:
            return read_out_summary.prompt(walk)
        return read_out.question(walk, brief=self.brief)

    def _others(self) -> None:
        """What others did since the last line: said before the next is asked for, never into one that is typed."""
        self.walk.look_about()
        if self.walk.news != self._told:
            self._told = self.walk.news
            self.say(read_out.sentence(clean(self._told, read_out.WHOLE)))

    @property
    def over(self) -> bool:
        """Whether the walk was left."""
        return not self.walk.state.mode.takes_keys

    def line(self, text: str) -> None:
        """Take one typed line."""
        walk, line = self.walk, text.strip()
        walk.look_about()  # what others did at the next box is said as it is come to
        if not line:
            self._press(typed_lines.alone(walk))
            return
        scanned = typed_lines.scan(walk, text.rstrip())
        if scanned:
            self._press(scanned)
            return
        on_walk = walk.state.mode.name == "walk" and not walk.state.pages
        wrong = spoken_words.unknown(walk, line) if on_walk else ""
        rest, command = line, ""
        while rest and not wrong and not self.over:
            mode = walk.state.mode.name
            word = spoken_words.first(walk, rest) if mode == "walk" else None
            command = spoken_words.command_of(walk, word) if word is not None else command
            piece = typed_lines.piece(walk, rest)
            went_on = not piece.refused
            if piece.own:
                self._own(piece.own)
            elif piece.keys:
                went_on = self._press(piece.keys, more=bool(piece.rest))
            self.say(piece.refused)
            if piece.refused and not piece.keys:
                self._leave_out(rest if mode == "walk" and rest != line else "")
                return
            rest = piece.rest
            asked = walk.state.mode.name != "walk" or bool(walk.state.pages)
            if (
                not went_on
                or piece.refused
                or (mode == "walk" and spoken_words.asks_more(command) and not asked)
            ):
                if rest or piece.refused:  # else the whole line was taken, and what it warned of stands
                    self._leave_out(rest)
                return
            if spoken_words.ends_line(command) and not asked:
                self._leave_out(rest)
                return
        if wrong:
            self.say(wrong)
            self._press(typed_lines.idle(walk), silent=True)

    def _leave_out(self, rest: str) -> None:
        """Say what of a line was not taken; a warning given before it is over."""
        self.say(round_sentences.not_taken(clean(rest, 2100)) if rest else "")
        self._press(typed_lines.idle(self.walk), silent=True)

    def _own(self, word: str) -> None:
        if word in (spoken_words.HERE, spoken_words.ALL) and self.walk.state.pages:
            self.say(*read_out_pages.lines(self.walk))
        elif word in (spoken_words.HERE, spoken_words.ALL):
            self._arrive(again=True, whole=word == spoken_words.ALL)
        else:
            self.brief = word == spoken_words.BRIEF
            self.say(round_sentences.SHORTER if self.brief else round_sentences.IN_FULL)

    # Pressing and what came of it

    def _press(self, keys: tuple[str, ...], *, silent: bool = False, more: bool = False) -> bool:
        """Press keys, wait until what they recorded is saved, and say what came of it.

        False when the walk did not take them, so that the rest of the line must not be. ``more``
        of the line is to come: a page is read when it has come to its end.
        """
        walk = self.walk
        if not keys:
            return True
        before, flags = walk.state, self._flags(walk.state)
        for key in keys:
            self.pressed.append(key)
            walk.press(key)
        message = walk.state.message
        for _ in walk.state.half_typed:  # a number that was refused
            self.pressed.append("backspace")
            walk.press("backspace")
        if walk.state.mode.name == "card":
            for _ in mode_prompts.asked(walk).typed:  # an answer that was refused: it is typed again
                self.pressed.append("backspace")
                walk.press("backspace")
        after = walk.state._replace(message=message)
        done = read_out.recorded(walk, before, after)
        if done is not None:
            self.saves.saved(done.text)
        self._say_flags(before, flags)
        if message and done is None and not self.over and not silent:
            self.say(read_out.sentence(clean(message.removesuffix(UNMENDED), read_out.WHOLE)))
        if after.mode.name == "help":
            self.say(*read_out_summary.help_of(walk))
            self._close_help()
        moved = walk.state.at != before.at
        turned = walk.state.pages != before.pages
        if turned and not self.over and not more:
            self._turned(before)
        elif walk.state.pages and done is not None and walk.state.mode.name == "walk":
            self.say(*read_out_pages.lines(walk))
        if moved and not self.over:
            self._arrive()
        elif (
            walk.over
            and not walk.state.pages
            and walk.state.cursor != before.cursor
            and after.mode.name == "walk"
        ):
            self.say(read_out_summary.row(walk))
        return (
            done is not None
            or moved
            or turned
            or after.earlier != before.earlier
            or after.mode.name != before.mode.name
            or not message
        )

    def _turned(self, before: State) -> None:
        """Read the page that was opened or gone back to, or the row that was moved to."""
        walk = self.walk
        if not walk.state.pages:
            if walk.state.at == before.at and not walk.over:
                self.say(round_sentences.back_on_the_walk(clean(walk.route.label(walk.state.at), 400)))
            return
        if walk.state.mode.name != "walk":
            return
        end = time.monotonic() + PAGE_SECONDS  # making a page begins what it rests on
        while read_out_pages.unfinished(walk) and time.monotonic() < end and not self._stopped():
            self.saves.until(lambda: walk.pages.lookup.behind.wait(0), SLICE)
            walk.take_found()
            walk.take_dues()
        old, new = before.pages[-1] if before.pages else None, walk.state.pages[-1]
        if len(walk.state.pages) < len(before.pages):
            self.say(*read_out_pages.again(walk))
        elif old is None or old.link != new.link or old.query != new.query:
            self.say(*read_out_pages.lines(walk))
        elif new.cursor - old.cursor == read_out_pages.MOST:
            self.say(*read_out_pages.rows(walk))
        else:
            self.say(read_out_pages.row(walk))

    def _close_help(self) -> None:
        key = spoken_words.key_of(self.walk, "help")
        if key:
            self.pressed.append(key)
            self.walk.press(key)

    def _arrive(self, *, again: bool = False, whole: bool = False) -> None:
        walk = self.walk
        if walk.over:
            self.say(*read_out_summary.summary(walk, whole=whole))
            return
        if walk.state.earlier is None:
            short = self.brief and not again
            self.say(*read_out.arrival(walk, brief=short), walk.lesson.strip())
            usual, stage = read_out.confirms(walk), walk.route.stops[walk.state.at].enclosure.stage
            if usual and (again or self._usual.get(stage) != usual):
                self.say(round_sentences.enter_alone(usual))
                self._usual[stage] = usual
            elif usual and not short:
                self.say(round_sentences.THE_USUAL)

    def _flags(self, state: State) -> dict[str, str]:
        return dict(read_out.raised(self.walk, state.at)) if state.at < self.walk.route.count() else {}

    def _say_flags(self, before: State, old: dict[str, str]) -> None:
        """Flags that rose or went at the enclosure where the keys began."""
        now = self._flags(before)
        self.say(*(text for rule, text in now.items() if old.get(rule) != text))
        self.say(*(round_sentences.no_longer_raised(text) for rule, text in old.items() if rule not in now))
