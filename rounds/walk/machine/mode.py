"""What the walk's keys mean at the moment: the type every mode is made from, and the walk's own mode.

A mode is one frozen type in a module of its own (``go_mode``, ``act_modes`` ...). It holds only
what it needs itself, knows what each key does in it (``press``) and says what it asks (``prompt``).
Whoever opens it puts a value of it into ``State.mode``; nothing else has to be told of it. Modules
of modes are loaded when a mode of theirs is first opened: no start needs them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    from rounds.walk.machine.prompts import Prompt
    from rounds.walk.machine.state import Desk, Result, State

MODES: dict[str, type[Mode]] = {}
"""The modes by name, of all modules that are loaded: see ``Mode.__init_subclass__``."""


class Mode(ABC):
    """The base of all modes; a type without a ``name`` is a base of some of them."""

    name: ClassVar[str] = ""
    takes_keys: ClassVar[bool] = True
    broken_off: ClassVar[str] = ""
    """What a scan that breaks the mode off leaves undone, as it is told; "" where that is nothing."""

    records_an_act: ClassVar[bool] = False
    """True: leaving the mode without an effect gives an act up, which holds the next undo back."""
    any_key_leaves: ClassVar[bool] = False
    """True: a key that is no answer closes the mode, and the walk says that the key did nothing else."""
    opened_by: ClassVar[str] = ""
    """The command whose key opens the mode and closes it again without a word; "" where it is called as the mode is."""

    def __init_subclass__(cls) -> None:
        if cls.name:
            MODES[cls.name] = cls

    @abstractmethod
    def press(self, state: State, key: str, desk: Desk) -> Result:
        """What the key does; ``state`` is without the message of the key before."""

    @abstractmethod
    def prompt(self, state: State, desk: Desk) -> Prompt:
        """What is asked, how it can be answered, and how the mode is left."""

    @property
    def layout_rubs_out(self) -> bool:
        """Does the layout's own sign for it take back the last thing typed? (A note takes every sign.)"""
        return False

    def way_back(self, state: State, desk: Desk) -> str:
        """What to press instead of Escape, which does nothing here; "" where any key not offered leaves."""
        return ""


@dataclass(frozen=True)
class Walking(Mode):
    """On the walk itself, its summary or a page of the books: commands mean what the layout says."""

    name: ClassVar[str] = "walk"
    buffer: str = ""
    """A number of several digits that is half typed, and not saved until it ends."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        from rounds.walk.machine import walking

        return walking.press(self, state, key, desk)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        from rounds.walk.machine import walking_prompt

        return walking_prompt.prompt(self, state, desk)

    @property
    def layout_rubs_out(self) -> bool:
        return bool(self.buffer)

    def way_back(self, state: State, desk: Desk) -> str:
        from rounds.walk.machine import walking

        return walking.way_back(state, desk)
