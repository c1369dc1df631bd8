"""Which signs the terminal can show: all of them, or only plain letters (ASCII).

Its locale and its kind say so, where neither the settings nor ROUNDS_SIGNS do.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from io import TextIOWrapper

FITTING, ASCII, ALL = "fitting", "ascii", "all"
SIGN_CHOICES = (FITTING, ASCII, ALL)
"""What ``signs`` in the settings and ROUNDS_SIGNS may say; ``fitting`` asks the terminal."""
VARIABLE = "ROUNDS_SIGNS"

CONSOLE = "linux"
"""The kernel's own console: 256 or 512 signs, which of them depends on its font."""
COERCED = ("C.UTF-8", "C.utf8", "UTF-8")
"""What Python makes of a C locale, and writes into LC_CTYPE, when it starts (PEP 538)."""
PLAIN_LOCALES = ("", "C", "POSIX")


def only_ascii(chosen: str = FITTING, variables: Mapping[str, str] = os.environ) -> bool:
    """Must the terminal get nothing but ASCII?

    ``chosen`` is the setting, which ROUNDS_SIGNS goes before. A variable with any other word
    than SIGN_CHOICES is passed over.
    """
    asked = variables.get(VARIABLE, "")
    chosen = asked if asked in SIGN_CHOICES else chosen
    if chosen != FITTING:
        return chosen == ASCII
    if sys.platform == "win32":  # its console takes Unicode, and no variable says so
        return False
    return variables.get("TERM") == CONSOLE or not _in_utf8(variables)


def _in_utf8(variables: Mapping[str, str]) -> bool:
    """Does the locale say UTF-8? Where no variable says anything, most terminals are in UTF-8 all the same."""
    everything, letters, usual = (variables.get(name, "") for name in ("LC_ALL", "LC_CTYPE", "LANG"))
    if not everything and letters in COERCED and usual in PLAIN_LOCALES and sys.flags.utf8_mode:
        letters = ""  # Python put it there: the keeper's own locale is the plain one
        said = usual
    else:
        said = everything or letters or usual
    return not said or "utf8" in said.lower().replace("-", "")


def write_only_ascii(*, columns: bool = True) -> None:
    """Have what is printed to a terminal written in ASCII, with stand-ins; a file or a pipe gets UTF-8 as ever.

    ``columns``: each stand-in takes as many cells as what it stands for.
    """
    from rounds.text.stand_ins import IN_COLUMNS, IN_LINES, register

    register()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper) and stream.isatty():
            stream.reconfigure(encoding="ascii", errors=IN_COLUMNS if columns else IN_LINES)
