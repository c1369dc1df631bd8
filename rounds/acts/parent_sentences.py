"""Sentences of the act that says whose offspring a brood is."""

from __future__ import annotations


def another_pairing_known(brood: str, known: str, pairing: str) -> str:
    return f"{brood} is of {known} in the book. Is it of {pairing}?"


def began_later(pairing: str, when: str) -> str:
    return f"{pairing} began on {when}, after the brood was found."


def other_line(brood: str, pairing: str) -> str:
    return f"{brood} is counted in a line that neither parent in {pairing} is of; its line stays."
