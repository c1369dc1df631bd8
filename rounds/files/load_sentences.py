"""What is said about a folder that is loaded or written, and what the keeper is told of it afterwards."""

from __future__ import annotations

from rounds.problems import Refusal

NO_FOLDER = "there is no such folder"
NO_FILE = Refusal("is not a file.", "A table is a CSV file.")


def cannot_be_loaded(why: str) -> str:
    return f"cannot be loaded: {why}."


def hours_passed_twice(visits: int) -> str:
    which = "One visit is" if visits == 1 else f"{visits} visits are"
    return (
        f"{which} in an hour that the clocks passed twice; the first passing was taken."
        " Add the offset (+01:00) to the time to say which."
    )


def kept_before(backup: str) -> str:
    return f"The book as it was before is kept in {backup}."


def no_visits(folder: str) -> str:
    return f"{folder} has no visits, so there is no last day to shift from."


def table_missing(meaning: str, folder: str) -> Refusal:
    return Refusal(f"is missing: {meaning}.", f"Put it into {folder}.")


def listed_and_missing(name: str, package: str) -> Refusal:
    return Refusal(
        f"lists {name}, which is not there: the folder is not whole.",
        f"Bring {name} back, or take {package} away.",
    )


def no_name_of_a_table(nearest: str) -> Refusal:
    return Refusal("is not the name of a table.", f"Did you mean `{nearest}`? Rename it or take it away.")


# Writing.


def folder_is_there(folder: str) -> str:
    return f"{folder} is there already and not an empty folder. Name a new one; nothing is overwritten."


def could_not_be_written(folder: str, why: str) -> str:
    return f"{folder} could not be written: {why}. Nothing was left behind."
