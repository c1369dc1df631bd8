"""All modes of the walk's machine, found by loading every module of it: a new one is found by itself."""

from __future__ import annotations

import pkgutil
from importlib import import_module

from rounds.walk import machine
from rounds.walk.machine.mode import MODES, Mode


def every_mode() -> dict[str, type[Mode]]:
    for module in pkgutil.iter_modules(machine.__path__):
        import_module(f"{machine.__name__}.{module.name}")
    return dict(MODES)
