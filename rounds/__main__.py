"""``python -m rounds`` and the ``rounds`` script."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line; problems end in one sentence and an exit code, never a traceback."""
    from rounds.cli import run

    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
