"""Where config, demo data and books live, in a checkout, an editable install or a wheel."""

from __future__ import annotations

import os
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped(name: str) -> Path:
    """The shipped folder ``config`` or ``demo_data``.

    A wheel carries both as package data; a checkout and an editable install read them at
    the top level, so an edit there counts at once and no stale copy can be read instead.
    """
    packed = _PACKAGE / "_shipped" / name
    return packed if packed.is_dir() else _PACKAGE.parent / name


def user_config(given: str | None = None) -> Path:
    """The keeper's own config folder (it need not exist)."""
    chosen = given or os.environ.get("ROUNDS_CONFIG")
    if chosen:
        return Path(chosen).expanduser()
    import platformdirs

    return Path(platformdirs.user_config_dir("rounds"))


def default_book() -> Path:
    """The book that is meant when none is named."""
    chosen = os.environ.get("ROUNDS_BOOK")
    if chosen:
        return Path(chosen).expanduser()
    import platformdirs

    return Path(platformdirs.user_data_dir("rounds")) / "book.sqlite"


def kept_config(book: Path) -> Path:
    """The last good copy of the config, beside the book it was used with."""
    return book.with_name(book.name + ".config")
