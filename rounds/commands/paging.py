"""What a command prints, a page at a time where it is longer than the terminal.

Only for a person at a terminal: into a file or a pipe everything goes as it is, and nothing is imported for it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping

import click

from rounds.commands import command_line_sentences
from rounds.commands.options import CliContext
from rounds.text.cleaning import clean
from rounds.text.terminal_signs import only_ascii

PAGERS = ("less", "more")
"""Tried in this order where ``PAGER`` names none."""
OF_LESS = {"LESS": "FRX", "LESSCHARSET": "utf-8"}
"""What less is told where its own variables say nothing: leave the text on the screen; it is UTF-8."""


def show(text: str) -> None:
    """Print ``text`` as UTF-8, through a pager if both ends are a terminal and it does not fit there.

    A terminal that shows plain letters only gets those.
    """
    if sys.stdout.isatty() and only_ascii():
        from rounds.text.stand_ins import plain

        text = plain(text)
    pager = _pager() if _does_not_fit(text) else []
    if pager and _paged(text, pager):
        return
    # A stream that somebody put in the place of stdout may take text only.
    click.echo(text.encode("utf-8") if hasattr(sys.stdout, "buffer") else text, nl=False)
    if pager:
        click.echo(clean(command_line_sentences.no_pager(pager[0])), err=True)


def _does_not_fit(text: str) -> bool:
    """Would lines scroll off a terminal that a person reads? The last row is the prompt's."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    import shutil

    size = shutil.get_terminal_size()
    rows = sum(max(1, -(-len(line) // size.columns)) for line in text.splitlines())
    return rows >= size.lines


def _pager() -> list[str]:
    """The pager as words, or none: not wanted, none found, or a terminal that cannot move its cursor."""
    context = click.get_current_context(silent=True)
    given = context.find_root().obj if context is not None else None
    if isinstance(given, CliContext) and not given.pager:
        return []
    if os.environ.get("TERM") == "dumb":
        return []
    return chosen(os.environ)


def chosen(variables: Mapping[str, str]) -> list[str]:
    """What ``PAGER`` says, as words: an empty one and `cat` mean none. Without it, the first of ``PAGERS`` there is.

    One whose quotes do not close is taken as a single word, which no program is called by.
    """
    import shlex
    import shutil

    named = variables.get("PAGER")
    if named is None:
        return next(([name] for name in PAGERS if shutil.which(name)), [])
    try:
        words = shlex.split(named)
    except ValueError:
        words = [named]
    return [] if words == ["cat"] else words


def _paged(text: str, pager: list[str]) -> bool:
    """Wait until the pager is left, as early as the reader likes. False if there is none of that name."""
    import shutil
    import signal
    import subprocess

    if shutil.which(pager[0]) is None:
        return False
    sys.stdout.flush()
    try:
        reader = subprocess.Popen(pager, stdin=subprocess.PIPE, env={**OF_LESS, **os.environ})
    except OSError:
        return False
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the pager while it is open
    try:
        reader.communicate(text.encode("utf-8"))
    finally:
        signal.signal(signal.SIGINT, before)
    return True
