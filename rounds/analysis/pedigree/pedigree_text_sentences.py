"""What is said of a text that is no table of a pedigree, or of counts: what any such table may not hold."""

from __future__ import annotations

from rounds.analysis.pedigree.pedigree_sentences import CHECK_QUOTES, KEEP_ONE
from rounds.problems import Refusal, nearest

ONLY_HEADER = Refusal("holds a header and no animals.", "Write a line for each animal below it.")
NUL = Refusal("holds a NUL character.", "Save the file as plain text.")
ZERO_AS_ANIMAL = Refusal("`0` stands for an unknown parent and cannot name an animal.")


def no_animals(columns: tuple[str, ...]) -> Refusal:
    return Refusal("holds no animals.", f"The first line is `{','.join(columns)}`.")


def cells_not_as_header(cells: int, expected: int) -> Refusal:
    return Refusal(f"has {cells} cells, expected {expected} as in the header.")


def columns_not_six(cells: int) -> Refusal:
    return Refusal(
        f"has {cells} columns, expected 6: family, individual, father, mother, sex, value.",
    )


def not_readable(why: str) -> Refusal:
    return Refusal(f"is not readable as a table: {why}.", CHECK_QUOTES)


def no_column(name: str, known: tuple[str, ...]) -> Refusal:
    said = f"`{name}` is no column of a pedigree, expected {', '.join(known)}."
    return Refusal(said, nearest(name, known))


def column_missing(name: str, needed: tuple[str, ...]) -> Refusal:
    return Refusal(f"the column `{name}` is missing; the first line is `{','.join(needed)}`.")


def column_twice(name: str) -> Refusal:
    return Refusal(f"the column `{name}` is given twice.", KEEP_ONE)


def line_break(cell: str) -> Refusal:
    return Refusal(f"{cell!r:.40} holds a line break.", CHECK_QUOTES)


def sire_without_name(someone: str) -> Refusal:
    said = "one of the possible fathers has no name."
    return Refusal(said, f"Write `{someone}` for someone not recorded.")


def bar_in_name(animal: str) -> Refusal:
    return Refusal(
        f"the name `{animal}` holds a |, which stands between possible fathers.", "Name one animal."
    )


def several_dams(group: str) -> Refusal:
    said = "several possible mothers cannot be given here."
    return Refusal(said, f"Record them as one animal with the sex `{group}`.")


def no_sex(sex: str, known: tuple[str, ...]) -> Refusal:
    said = f"`{sex}` is no sex, expected m, f, group or blank."
    return Refusal(said, nearest(sex.lower(), known))


def no_sex_of_six(sex: str) -> Refusal:
    return Refusal(f"`{sex}` is no sex here, expected 1 (male), 2 (female) or 0 (unknown).")


def no_state(state: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"`{state}` is no state, expected {', '.join(known)}.", nearest(state, known))


def neither_yes_nor_no(founder: str) -> Refusal:
    return Refusal(f"`{founder}` is neither yes nor no.")


def founder_with_parent(animal: str) -> Refusal:
    return Refusal(f"`{animal}` is called a founder and has a parent.", "Keep one of the two.")
