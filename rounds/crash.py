"""When the program fails by a mistake of its own: a report on disk, and one sentence that names it."""

from __future__ import annotations

import os
import platform
import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path

from rounds import __version__, program_sentences

EXIT_CRASH = 70  # EX_SOFTWARE of sysexits.h: an internal error


def report(error: BaseException) -> str:
    """Write a report of ``error`` and return the sentence to print.

    The report holds the program's own call stack and versions: no values, no notes, no
    keys that were typed. It is readable by its owner alone.
    """
    import platformdirs

    text = "".join(traceback.format_exception(error))
    head = f"rounds {__version__}, Python {platform.python_version()}, {sys.platform}\n\n"
    name = f"crash-{datetime.now(UTC):%Y%m%dT%H%M%S%fZ}.txt"
    try:
        folder = Path(platformdirs.user_log_dir("rounds"))
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        descriptor = os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w", encoding="utf-8") as f:
            f.write(head + text)
    except OSError as e:
        where = program_sentences.no_report(e.strerror or str(e))
    else:
        where = program_sentences.report_in(str(folder / name))
    return program_sentences.crashed(type(error).__name__, where)
