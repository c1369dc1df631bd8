"""``python -m rounds`` and the ``rounds`` script."""

from __future__ import annotations

import os
import sys

from rounds import __version__


def main() -> None:
    """Run the command line; problems end in one sentence and an exit code, never a traceback."""
    argv = sys.argv[1:]
    if argv[-1:] == ["walk"]:
        argv = argv[:-1]
    asked = "_ROUNDS_COMPLETE" in os.environ  # by a shell: see rounds.commands.completing
    if not asked and (not argv or (len(argv) == 2 and argv[0] == "--book")):
        sys.exit(daily(argv[1] if argv else None))
    if not asked and argv == ["--version"]:
        from rounds.program_exit import ended

        sys.exit(ended(version))
    from rounds.cli import run

    sys.exit(run(sys.argv[1:]))


def version() -> int:
    """What ``--version`` prints wherever else it stands; alone it need not wait for the command line."""
    print(f"rounds, version {__version__}")
    return 0


def daily(book: str | None) -> int:
    """`rounds` itself, the way it is started every morning: nothing is parsed that need not be."""
    from pathlib import Path

    from rounds.problems import DayInDoubt
    from rounds.program_exit import ended
    from rounds.screens.run import run_walk
    from rounds.settings import where

    path = Path(book).expanduser() if book else where.default_book()
    if not book and not path.exists():  # a first start: it asks first
        from rounds.cli import run

        return run(["walk"])

    def begin() -> int:
        try:
            return run_walk(path, None, None, "", (), "")
        except DayInDoubt:  # the command asks which day it is
            from rounds.cli import run

            return run([*(("--book", book) if book else ()), "walk"])

    return ended(begin)


if __name__ == "__main__":
    main()
