"""One round in lines: says where the walk is, takes a line, presses its keys, says what was saved.

A line ``saved: …`` comes only after the commit. What cannot be saved is said to be NOT SAVED,
and said again once it is; the walk goes on meanwhile.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from rounds.line_ui import mode_prompts, read_out, read_out_pages, read_out_summary, typed_lines, words
from rounds.text.cleaning import clean, long_day
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from rounds.walk.machine.state import State

SAVE_SECONDS = 5.0  # that an answer waits for its commit before it is said not to be there yet
AGAIN_SECONDS = 0.5  # the same while nothing can be saved: the keeper is not held up at every answer
PAGE_SECONDS = 3.0  # that a page waits for what is worked out beside the keys
DUE_SECONDS = 5.0  # that the first enclosure waits for its due work
SLICE = 0.05
UNMENDED = "; backspace mends it"
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
        self._woken = threading.Event()
        self._unsaved: deque[tuple[int, str]] = deque()  # ticket, and what it recorded
        self._trouble: str | None = None  # as it was said last
        self._usual: dict[str, str] = {}  # what Enter alone confirms, as it was said last, by stage
        self._told_flags: dict[int, dict[str, str]] = {}
        walk.saving.wake = self._woken.set
        if (
            walk.commands.get("enter") == "next"
        ):  # the walk's own messages then name the key that is pressed here
            walk.commands = {"enter": "next", **{k: c for k, c in walk.commands.items() if k != "enter"}}

    def say(self, *texts: str) -> None:
        for text in texts:
            if text:
                self._say(text)

    # Beginning, asking, ending

    def begin(self) -> None:
        """The round, what is to be known before it, and the first enclosure."""
        walk = self.walk
        walk.look_up_dues()
        self._until(lambda: walk.due_work is None or walk.due_work.wait(0), DUE_SECONDS)
        walk.take_dues()
        name = f", {clean(walk.name, 400)} round" if walk.name else ""
        self.say(
            f"Round of {long_day(walk.day)}{name}, walked by {clean(walk.keeper, 400)}: "
            f"{walk.seen_count} of {walk.count()} seen.",
            "The word help lists what can be typed; undo takes the last thing back, brief makes it shorter, quit leaves.",
            read_out.sentence(clean(walk.config.banner, read_out.WHOLE)),
            read_out.sentence(clean(walk.state.message, read_out.WHOLE)),
        )
        if not walk.count():
            bays = ", ".join(clean(b, 40) for b in walk.bays)
            self.say(read_out.sentence(f"There is no enclosure in bays {bays}" if bays else NO_BOX))
            return
        self._arrive()

    def prompt(self) -> str:
        """What is asked now, as one line; what a mode offers was said before."""
        walk = self.walk
        self._news()
        if walk.state.mode.name != "walk":
            self.say(*mode_prompts.lines(walk))
            return mode_prompts.question(walk)
        if walk.state.pages:
            return read_out_pages.prompt(walk)
        if walk.over:
            return read_out_summary.prompt(walk)
        return read_out.question(walk, brief=self.brief)

    @property
    def over(self) -> bool:
        """Whether the walk was left."""
        return not self.walk.state.mode.takes_keys

    def line(self, text: str) -> None:
        """Take one typed line."""
        walk, line = self.walk, text.strip()
        if not line:
            self._press(typed_lines.alone(walk))
            return
        scanned = typed_lines.scan(walk, text.rstrip())
        if scanned:
            self._press(scanned)
            return
        on_walk = walk.state.mode.name == "walk" and not walk.state.pages
        wrong = words.unknown(walk, line) if on_walk else ""
        rest, command = line, ""
        while rest and not wrong and not self.over:
            mode = walk.state.mode.name
            word = words.first(walk, rest) if mode == "walk" else None
            command = words.command_of(walk, word) if word is not None else command
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
            if not went_on or piece.refused or (mode == "walk" and words.asks_more(command) and not asked):
                self._leave_out(rest)
                return
            if words.ends_line(command) and not asked:
                self._leave_out(rest)
                return
        if wrong:
            self.say(wrong)
            self._press(typed_lines.idle(walk), silent=True)

    def _leave_out(self, rest: str) -> None:
        """Say what of a line was not taken; a warning given before it is over."""
        self.say(f"Not taken: {clean(rest, 2100)}" if rest else "")
        self._press(typed_lines.idle(self.walk), silent=True)

    def _own(self, word: str) -> None:
        if word in (words.HERE, words.ALL) and self.walk.state.pages:
            self.say(*read_out_pages.lines(self.walk))
        elif word in (words.HERE, words.ALL):
            self._arrive(again=True, whole=word == words.ALL)
        else:
            self.brief = word == words.BRIEF
            self.say("Shorter from now on." if self.brief else "In full from now on.")

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
        after = walk.state._replace(message=message)
        done = read_out.recorded(walk, before, after)
        if done is not None:
            self._saved(done.text)
        self._say_flags(before, flags)
        if message and done is None and not self.over and not silent:
            self.say(read_out.sentence(clean(message.removesuffix(UNMENDED), read_out.WHOLE)))
        if after.mode.name == "help":
            self.say(*read_out_summary.help_lines(walk))
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
                self.say(f"Back on the walk at {clean(walk.label(walk.state.at), 400)}.")
            return
        if walk.state.mode.name != "walk":
            return
        end = time.monotonic() + PAGE_SECONDS  # making a page begins what it rests on
        while read_out_pages.unfinished(walk) and time.monotonic() < end and not self._stopped():
            self._until(lambda: walk.lookup.behind.wait(0), SLICE)
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
        key = words.key_of(self.walk, "help")
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
            self.say(*read_out.arrival(walk, brief=short))
            usual, stage = read_out.confirms(walk), walk.stops[walk.state.at].enclosure.stage
            if usual and (again or self._usual.get(stage) != usual):
                self.say(f"Enter alone {usual}")
                self._usual[stage] = usual
            elif usual and not short:
                self.say("Enter alone: the usual.")

    def _flags(self, state: State) -> dict[str, str]:
        return dict(read_out.raised(self.walk, state.at)) if state.at < self.walk.count() else {}

    def _say_flags(self, before: State, old: dict[str, str]) -> None:
        """Flags that rose or went at the enclosure where the keys began."""
        now = self._flags(before)
        self.say(*(text for rule, text in now.items() if old.get(rule) != text))
        self.say(*(f"No longer raised: {text}" for rule, text in old.items() if rule not in now))

    # Saving

    def _saved(self, text: str) -> None:
        """Say that it was saved, once it is; or that it is not."""
        walk = self.walk
        ticket = walk.saving.put_up_to
        wait = AGAIN_SECONDS if walk.said else SAVE_SECONDS
        self._until(lambda: walk.saving.saved_up_to >= ticket or bool(walk.said), wait)
        if walk.said and walk.saving.saved_up_to < ticket:
            self._until(lambda: walk.saving.saved_up_to >= ticket, AGAIN_SECONDS)
        walk.take_refusals()
        if walk.refusal:
            self.say(read_out.sentence(clean(walk.refusal, read_out.WHOLE)))
            walk.refusal = ""
        elif walk.saving.saved_up_to >= ticket:
            self._news()
            self.say(read_out.sentence(f"saved: {text}"))
        elif not self._stopped() or walk.said:  # who ends the program hears at its end whether all is saved
            self._unsaved.append((ticket, text))
            self.say(read_out.sentence(f"NOT SAVED: {text}"), self._why())

    def _why(self) -> str:
        """Why nothing can be saved, in full when it was not said like this before."""
        walk = self.walk
        if walk.said == self._trouble:
            return f"{walk.waiting} waiting."
        self._trouble = walk.said
        reason = clean(walk.said, read_out.WHOLE) or "the disk is slow"
        return read_out.sentence(f"{walk.waiting} waiting, tried again without your doing. {reason}")

    def _news(self) -> None:
        """What the writer and the due work came to meanwhile."""
        walk = self.walk
        late = []
        while self._unsaved and self._unsaved[0][0] <= walk.saving.saved_up_to:
            late.append(self._unsaved.popleft()[1])
        if late:
            self.say(read_out.sentence(f"saved now: {'; '.join(late)}"))
        if not self._unsaved:
            self._trouble = None
        walk.take_dues()
        walk.take_found()
        walk.take_refusals()
        if walk.refusal:
            self.say(read_out.sentence(clean(walk.refusal, read_out.WHOLE)))
            walk.refusal = ""
        walk.look_ahead()

    def settle(self, seconds: float) -> bool:
        """Wait until all that was recorded is saved; False when it is not."""
        walk = self.walk
        ticket = walk.saving.put_up_to
        self._until(lambda: walk.saving.saved_up_to >= ticket or bool(walk.said), seconds)
        self._news()
        return not walk.waiting

    def stuck(self) -> list[str]:
        """What is said when the walk is left while not all is saved."""
        return [
            read_out.sentence(
                f"NOT SAVED: {'; '.join(text for _, text in self._unsaved) or 'what came last'}"
            ),
            self._why(),
        ]

    def _until(self, there: Callable[[], bool], seconds: float) -> bool:
        """Wait for something that the writer or the due work wakes us for."""
        end = time.monotonic() + seconds
        while not there():
            left = end - time.monotonic()
            if left <= 0 or self._stopped():
                return there()
            self._woken.wait(min(SLICE, left))
            self._woken.clear()
        return True
