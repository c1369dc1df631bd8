"""What is said about the command line itself."""

from __future__ import annotations

THIS_NEEDS = "this needs"
STAND_IN_OR_KEEPER = "--stand-in names who walks, and so does --keeper: give one of them."


def no_command(name: str, meant: str) -> str:
    """``meant`` is the hint with the nearest one, if any is near."""
    return f"there is no command `{name}`. {meant}".rstrip()


def before_the_command(option: str, typed: str, command: str) -> str:
    """``typed`` is the option with its value as the shell takes it."""
    return f"put {option} before the command: rounds {typed} {command}"


def misused(problem: str) -> str:
    return f"{problem} (rounds --help lists what there is.)"


def too_late_for_today(year: int) -> str:
    return f"--today: a day after the year {year} cannot be today."


def no_pager(name: str) -> str:
    return f"`{name}`, which the variable PAGER names, is not here: all of it is printed at once."


def no_completion(shell: str) -> str:
    return f"there is no completion for {shell}."
