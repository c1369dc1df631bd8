"""How tables that can be loaded are told."""

from __future__ import annotations


def table(file: str, meaning: str, *, required: bool) -> str:
    return f"{file}  {meaning}{_required(required=required)}"


def column(name: str, meaning: str, words: tuple[str, ...], *, required: bool) -> str:
    told = f" [{', '.join(words)}]" if words else ""
    return f"{name:<19}{meaning}{told}{_required(required=required)}"


def _required(*, required: bool) -> str:
    return " (required)" if required else ""


def rows(table: str, n: int) -> str:
    return f"{table} {n}"
