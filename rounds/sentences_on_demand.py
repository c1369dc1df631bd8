"""Modules of sentences, ``*_sentences``, run when the first of their sentences is needed.

Most of what they hold are refusals, and a start of the walk that goes well refuses nothing, so it
need not read them. They are imported like all others; only reading and running the file waits for
the first look at one of its names. (Python 3.15 has ``lazy import`` for this.)
"""

import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from threading import RLock
from types import ModuleType
from typing import Any


class _OnDemand(SourceFileLoader):
    """Runs a module when a name of it is first looked up.

    Until then the module has a ``__getattr__`` (PEP 562). Another thread that looks up a name
    while the file runs waits for its end; as no modules import each other in a circle, no two
    threads can wait for each other.
    """

    def exec_module(self, module: ModuleType) -> None:
        running = RLock()
        run = super().exec_module

        def first_look(name: str) -> Any:
            with running:
                if module.__dict__.get("__getattr__") is first_look:
                    run(module)
                    del module.__dict__["__getattr__"]
            return getattr(module, name)

        module.__dict__["__getattr__"] = first_look


class _Finder:
    """Finds modules of sentences where all others are found, and has them run on demand."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if not (fullname.endswith("_sentences") and fullname.startswith("rounds.")):
            return None
        found = PathFinder.find_spec(fullname, path, target)
        if found is not None and found.origin is not None:
            found.loader = _OnDemand(fullname, found.origin)
        return found


def has_run(module: ModuleType) -> ModuleType:
    """The same module with all its names, for whoever lists them (``vars`` and ``dir`` are no look)."""
    hasattr(module, "__all__")  # which it has not, so that it runs
    return module


def install() -> None:
    """From here on, for all modules of the package."""
    sys.meta_path.insert(0, _Finder())
