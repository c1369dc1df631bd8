"""What is said of rows that make no pedigree, and what to check in one that they make."""

from __future__ import annotations

from rounds.problems import Refusal, nearest

KEEP_ONE = "Keep one."
KEEP_ONE_ROW = "Keep one row."
CHECK_QUOTES = "Check the quotes."

NO_NAME = Refusal("the animal has no name.", "Write the number on its tub.")


def check_this(message: str) -> str:
    """A problem that does not stop the computing."""
    return f"Check this: {message}"


def not_in_pedigree(name: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"`{name}` is not in the pedigree.", nearest(name, known))


def and_more(number: int) -> str:
    return f"… and {number} more."


# Names.


def written_two_ways(name: str, other: str) -> Refusal:
    said = f"`{name}` and `{other}` differ only in capitals or blanks."
    return Refusal(said, "If they are one animal, write it one way.")


def unknown_as_parent(name: str, rows: int) -> Refusal:
    said = f"`{name}` is named as a parent in {rows} row{'s' * (rows > 1)} and has no row of its own."
    return Refusal(said, "Leave the cell blank for an unknown parent.")


def line_of_file(number: int) -> str:
    return f"line {number}" if number else "an earlier row"


def couple(sires: tuple[str, ...], dam: str) -> str:
    return f"`{' or '.join(sires) or 'unknown'}` × `{dam or 'unknown'}`"


def two_sets_of_parents(animal: str, here: str, there: str, where: str) -> Refusal:
    said = f"`{animal}` has two sets of parents: {here} here, {there} in {where}."
    return Refusal(said, "Keep the right one.")


def given_differently(animal: str, where: str) -> Refusal:
    return Refusal(f"`{animal}` is given again, and differently from {where}.", KEEP_ONE_ROW)


def given_again(animal: str, where: str) -> Refusal:
    return Refusal(f"`{animal}` is given again as in {where}.", "Drop one.")


# Parents.


def parent_of_wrong_sex(role: str, parent: str, animal: str, sex: str, sexed_in: int) -> Refusal:
    """``role``: sire or dam; ``sex``: the one recorded; ``sexed_in``: the line of the file, 0 for none."""
    hint = (
        f"It is sexed in line {sexed_in}; correct one of the two." if sexed_in else "Correct one of the two."
    )
    return Refusal(f"the {role} `{parent}` of `{animal}` is a {sex}.", hint)


def both_parents(animal: str, parent: str) -> Refusal:
    said = f"`{animal}` has `{parent}` as father and as mother."
    return Refusal(said, "Beetles cannot; if it is a group, give it the sex `group`.")


def sire_and_dam(name: str, here: str, there: str, line_number: int) -> Refusal:
    """``here`` and ``there``: sire and dam, or dam and sire."""
    said = f"`{name}` is a {here} here and a {there} in line {line_number}."
    return Refusal(said, "One of them is wrong, or it is a group.")


def own_ancestor(animal: str, ring: tuple[str, ...]) -> Refusal:
    """``ring``: from the animal by its ancestors to itself."""
    shown = ring if len(ring) <= 9 else (*ring[:4], f"… {len(ring) - 8} more …", *ring[-4:])
    said = f"`{animal}` is its own ancestor: {' from '.join(shown)}."
    return Refusal(said, "One of these parents is wrong.")


# Founders declared related.


def declared(message: str) -> str:
    return f"declared related: {message}"


def number_of_several(name: str, animals: tuple[str, ...]) -> Refusal:
    more = " and more" if len(animals) > 20 else ""
    return Refusal(f"`{name}` is the number of {', '.join(animals[:20])}{more}.", "Name the line, too.")


def no_founder(name: str) -> Refusal:
    return Refusal(f"`{name}` is no founder, its parents are recorded.", "Take it out.")


def no_such_kinship(one: str, other: str, kinship: float, least: float, most: float) -> Refusal:
    said = f"the kinship of `{one}` and `{other}` is {kinship:g}, expected {least:g} to {most:g}."
    return Refusal(said, "Full sibs are 0.25, half sibs 0.125.")


def declared_twice(one: str, other: str) -> Refusal:
    return Refusal(f"`{one}` and `{other}` are given twice, differently.", KEEP_ONE)


def closer_than_to_itself(one: str, other: str, kinship: float, own: float, others_own: float) -> Refusal:
    said = f"`{one}` and `{other}` cannot have the kinship {kinship:g}: with themselves it is {own:g} and {others_own:g}."
    return Refusal(said, f"Inbred founders are declared first: --related {one} {one} {kinship:g}.")


def not_all_true(names: tuple[str, ...]) -> Refusal:
    said = f"the kinships of {', '.join(f'`{name}`' for name in names[:20])} cannot all be true together."
    return Refusal(said, "Two that are each near a third are near each other: check their kinship.")


# What animals and groups are called.

UNKNOWN_PARENT = "unknown"
SOMEONE = "?"
ANCESTOR_OF_BOTH = "* ancestor of both"


def both(one: str, other: str) -> str:
    return f"{one} and {other}"


def one_of(names: tuple[str, ...]) -> str:
    return " or ".join(names)


def group(name: str) -> str:
    return f"{name} (group)"


def group_called_as_animal(name: str) -> str:
    return f"group {name}"


def line_in_box(line: str, box: str) -> str:
    return f"{line} in {box}".strip()


# What cannot be worked out.


def too_many_open_sires(open_: int, animals: int) -> str:
    return f"{open_} animals with more than one possible father stand behind these {animals}: too many to reckon with at once."


def retention_of_open_sire(name: str) -> str:
    return f"`{name}` has several possible fathers; retention needs one."


def retention_of_group(name: str) -> str:
    return f"`{name}` is a group; retention needs single animals."
