"""Asks which day it is, before a round whose day by the clock hardly follows that of the last one."""

from __future__ import annotations

import sys

from rounds.line_ui import first_start_sentences as sentences
from rounds.line_ui.run_lines import Door, columns, signals, use_utf8
from rounds.problems import DayInDoubt
from rounds.text.cleaning import long_day


def asked(doubt: DayInDoubt) -> int | None:
    """The day that the keeper chose; None when they leave to set the clock, or nobody answers.

    Raises ``doubt`` itself where nobody sits at a terminal who could be asked.
    """
    streams = (sys.stdin, sys.stdout, sys.stderr)
    if not all(stream is not None and stream.isatty() for stream in streams):
        raise doubt
    use_utf8()
    door = Door(sys.stdin, sys.stdout, columns("terminal"))
    clock, last = long_day(doubt.day), long_day(doubt.last)
    with signals(door.on_signal):
        door.say(sentences.which_day(clock, last, earlier=doubt.day < doubt.last))
        while (line := door.ask(sentences.days_to_choose(clock, last))) is not None:
            answer = line.strip()
            if answer in ("1", "2"):
                return doubt.day if answer == "1" else doubt.last
            if answer == "3":
                break
            door.say(sentences.ONE_TO_THREE)
        door.say(sentences.CLOCK_IS_WRONG)
    return None
