"""How every command ends: one sentence on stderr and an exit code, whatever happened."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

from rounds import program_sentences
from rounds.problems import EXIT_INTERRUPTED, RoundsError


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
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as e:
        if debug:
            raise
        from rounds.crash import EXIT_CRASH, report

        _tell(report(e))
        return EXIT_CRASH
    return code


def _tell(message: str) -> None:
    """On stderr. Messages quote what somebody typed, and it must not steer the terminal."""
    from rounds.text.cleaning import clean_lines

    print(clean_lines(message), file=sys.stderr)
