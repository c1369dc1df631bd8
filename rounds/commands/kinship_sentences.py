"""What ``rounds kinship`` refuses, and what is said about animals named by their number alone."""

from __future__ import annotations

NOBODY = "there is no animal with a number to look at. Give one: rounds record number, or load a table."
NOBODY_LIVES = "there are no living animals with a number to look at."
PLOT_NEEDS_BETWEEN = "--plot draws the tree of two animals: it needs --between."
LIVING_OF_A_FILE = "--living names who is alive in a table: it goes with --colony and --pedigree."
NAME_THE_LINE = "Name the line, too."


def one_question(options: tuple[str, ...]) -> str:
    return f"{' and '.join(options)} are two questions. Ask one at a time."


def no_further_animals(option: str) -> str:
    return f"{option} takes no further animals."


def number_of_several(number: str, animals: tuple[str, ...], more: int) -> str:
    """``more`` animals are not named."""
    return f"`{number}` is the number of {', '.join(animals)}{f' and {more} more' if more else ''}."


def no_kinship(text: str) -> str:
    return f"--related: `{text}` is no kinship. Full sibs are 0.25, half sibs 0.125."


def large_matrix(animals: int, most: int) -> str:
    return f"a matrix of {animals} animals: name the ones you want, {most} at the most."


def tree_title(animals: tuple[str, ...]) -> str:
    return f"Ancestors of {' and '.join(animals)}"
