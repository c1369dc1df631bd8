"""What is said of saving: saved, not saved, saved now; and waiting for any of it.

A line ``saved: …`` comes only after the commit. What cannot be saved is said to be NOT SAVED,
and said again once it is; the walk goes on meanwhile.
"""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable

from rounds.line_ui import read_out, round_sentences
from rounds.text.cleaning import clean
from rounds.walk.core import Walk

SAVE_SECONDS = 5.0  # that an answer waits for its commit before it is said not to be there yet
AGAIN_SECONDS = 0.5  # the same while nothing can be saved: the keeper is not held up at every answer
SLICE = 0.05


class SaveReport:
    """Says, with ``say``, what became of what a walk recorded; ``stopped``: nothing is waited for any more."""

    def __init__(self, walk: Walk, say: Callable[..., None], stopped: Callable[[], bool]) -> None:
        self.walk, self._say, self._stopped = walk, say, stopped
        self._woken = threading.Event()
        self._unsaved: deque[tuple[int, str]] = deque()  # ticket, and what it recorded
        self._trouble: str | None = None  # as it was said last
        walk.saving.wake = self._woken.set

    def saved(self, text: str) -> None:
        """Say that it was saved, once it is; or that it is not."""
        walk = self.walk
        ticket = walk.saving.put_up_to
        wait = AGAIN_SECONDS if walk.saving.said else SAVE_SECONDS
        self.until(lambda: walk.saving.saved_up_to >= ticket or bool(walk.saving.said), wait)
        if walk.saving.said and walk.saving.saved_up_to < ticket:
            self.until(lambda: walk.saving.saved_up_to >= ticket, AGAIN_SECONDS)
        if self._refused():
            return
        if walk.saving.saved_up_to >= ticket:
            self.news()
            self._say(read_out.sentence(round_sentences.saved(text)))
        elif not self._stopped() or walk.saving.said:
            # Who ends the program hears at its end whether all is saved.
            self._unsaved.append((ticket, text))
            self._say(read_out.sentence(round_sentences.not_saved(text)), self._why())

    def _refused(self) -> bool:
        """Say what the books did not allow when it was written; False when there is nothing to say."""
        self.walk.take_refusals()
        refusal, self.walk.refusal = self.walk.refusal, ""
        self._say(read_out.sentence(clean(refusal, read_out.WHOLE)))
        return bool(refusal)

    def _why(self) -> str:
        """Why nothing can be saved, in full when it was not said like this before."""
        walk = self.walk
        if walk.saving.said == self._trouble:
            return round_sentences.waiting(walk.saving.waiting)
        self._trouble = walk.saving.said
        reason = clean(walk.saving.said, read_out.WHOLE) or round_sentences.SLOW_DISK
        return read_out.sentence(round_sentences.waiting_because(walk.saving.waiting, reason))

    def news(self) -> None:
        """What the writer and the due work came to meanwhile."""
        walk = self.walk
        late = []
        while self._unsaved and self._unsaved[0][0] <= walk.saving.saved_up_to:
            late.append(self._unsaved.popleft()[1])
        if late:
            self._say(read_out.sentence(round_sentences.saved_now(tuple(late))))
        if not self._unsaved:
            self._trouble = None
        walk.take_dues()
        walk.take_found()
        self._refused()
        walk.look_ahead()

    def settle(self, seconds: float) -> bool:
        """Wait until all that was recorded is saved; False when it is not."""
        walk = self.walk
        ticket = walk.saving.put_up_to
        self.until(lambda: walk.saving.saved_up_to >= ticket or bool(walk.saving.said), seconds)
        self.news()
        return not walk.saving.waiting

    def stuck(self) -> list[str]:
        """What is said when the walk is left while not all is saved."""
        what = "; ".join(text for _, text in self._unsaved) or round_sentences.WHAT_CAME_LAST
        return [read_out.sentence(round_sentences.not_saved(what)), self._why()]

    def until(self, there: Callable[[], bool], seconds: float) -> bool:
        """Wait for something that the writer or the due work wakes us for."""
        end = time.monotonic() + seconds
        while not there():
            left = end - time.monotonic()
            if left <= 0 or self._stopped():
                return there()
            self._woken.wait(min(SLICE, left))
            self._woken.clear()
        return True
