"""Sentences about how animals come from one another, and whether a female had mated."""

from __future__ import annotations

CAME_WITH_IT = "came with it"
OF_ITS_LINE = "of the line founded from it"
RECORD_DOUBTFUL = "her record is doubtful"
BRED_HERE = "she was bred here and is not recorded with another male"
NOT_RECORDED = "where she was before is not recorded"
A_GROUP = "a group of adults"
NO_MALE = "no male is recorded"


def young_of(animal: str) -> str:
    return f"young of {animal}"


def was_with(males: str, pairing: str) -> str:
    return f"she was with {males} in {pairing}"


def shared_an_enclosure(animal: str) -> str:
    return f"she was in one box with {animal}"


def grown_here(lot: str) -> str:
    return f"she came with {lot} before she was grown"


def had_not_mated(lot: str) -> str:
    return f"she had not mated before she came with {lot}"


def had_mated(lot: str) -> str:
    return f"she had mated before she came with {lot}"


def may_have_mated(lot: str) -> str:
    return f"she may have mated before she came with {lot}"


def several_males(males: int) -> str:
    return f"{males} males"
