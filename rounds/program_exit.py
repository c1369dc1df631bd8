"""How every command ends: one sentence on stderr and an exit code, whatever happened."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Callable

from rounds import program_sentences
from rounds.problems import EXIT_INPUT, EXIT_INTERRUPTED, RoundsError

NOT_TAKEN = (errno.ENOSPC, errno.EDQUOT, errno.EIO)
"""What the system says of a full or broken disk. Where it holds the book, the book's own errors speak of it."""


def ended(call: Callable[[], int], *, debug: bool = False) -> int:
    """The exit code of ``call``, or what its error comes to.

    0 fine, 1 found, 2 input, 3 book, 70 a mistake of ours, 130 interrupted. With ``debug``
    errors are raised on.
    """
    try:
        code = call()
        sys.stdout.flush()
    except RoundsError as e:
        if debug:
            raise
        _tell(str(e))
        return e.exit_code
    except KeyboardInterrupt:
        print(program_sentences.STOPPED, file=sys.stderr)
        return EXIT_INTERRUPTED
    except BrokenPipeError:
        # The reader of our output went away; nothing more can be said to it.
        _say_no_more()
        return 0
    except MemoryError:
        if debug:
            raise
        _tell(program_sentences.NO_MEMORY)
        return EXIT_INPUT
    except Exception as e:
        if debug:
            raise
        if isinstance(e, OSError) and e.errno in NOT_TAKEN:
            _say_no_more()
            _tell(program_sentences.not_taken(e.strerror or str(e)))
            return EXIT_INPUT
        from rounds.crash import EXIT_CRASH, report

        _tell(report(e))
        return EXIT_CRASH
    return code


def _say_no_more() -> None:
    """What Python would still write to the output at its end goes nowhere: it could not be written either."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _tell(message: str) -> None:
    """On stderr. Messages quote what somebody typed, and it must not steer the terminal."""
    from rounds.text.cleaning import clean_lines

    with contextlib.suppress(OSError):  # a closed window hears nothing; the exit code still tells
        print(clean_lines(message), file=sys.stderr)
