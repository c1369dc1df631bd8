"""The last good config, kept beside the book: its files, what was parsed from them, and their mark.

A start whose files are those of the mark, to the byte, need not check them again, nor parse
what every walk needs; a start whose files are bad has them to fall back to.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from pathlib import Path

from rounds import __version__
from rounds.settings import where
from rounds.settings.layers import Found, Layer, files

NAMES = ("shipped", "own")
"""The folders of a kept copy, one a layer."""


def _mark(fingerprint: str) -> str:
    """What a kept copy is marked with: another version of the program may find other things wrong."""
    return f"{fingerprint} {__version__}"


def is_kept(book: Path, fingerprint: str) -> bool:
    """Whether these very files were found good by this program and are kept beside the book."""
    mark = where.kept_config(book) / "fingerprint"
    try:
        return mark.read_text(encoding="utf-8") == _mark(fingerprint)
    except (OSError, ValueError):
        return False  # there is none, or nobody can read it: everything is checked again


WALK, PRESETS = "parsed.json", "presets.json"
PARTS_OF = {WALK: ("settings.yaml", "readings.yaml", "keys", "rules"), PRESETS: ("species", "checklists")}
"""What is remembered beside the book, parsed once: what every start of a walk needs, and what is read later."""


def remembering(found: Sequence[Found], book: Path, which: str) -> Sequence[Found]:
    """The files of ``WALK`` or of ``PRESETS`` with what was parsed from them before, where the kept copy has it.

    They are known to be good, so that only their data is needed, not the place of each
    value; and the YAML parser need not even be imported.
    """
    import json  # what only checks a config need not have it

    try:
        raw = (where.kept_config(book) / which).read_text(encoding="utf-8")
        plain = json.loads(raw)
    except (OSError, ValueError):
        return found  # none there, or not whole: the files themselves are parsed
    if not isinstance(plain, dict):
        return found
    return [
        {
            part: [f._replace(known=plain.get(f.shown)) for f in some] if part in PARTS_OF[which] else some
            for part, some in layer.items()
        }
        for layer in found
    ]


def keep(good: Sequence[Layer], found: Sequence[Found], book: Path, fingerprint: str) -> None:
    """Copy the files of a good config beside the book, and what was parsed from them."""
    import json

    if not book.exists():
        return
    home = where.kept_config(book)
    fresh = home.with_name(home.name + ".new")
    try:
        shutil.rmtree(fresh, ignore_errors=True)
        for layer, folder in zip(good, NAMES, strict=False):
            for path, name in files(layer):
                to = fresh / folder / name
                to.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
                shutil.copyfile(path, to)
        for which, parts in PARTS_OF.items():
            plain = {f.shown: f.document().data for layer in found for part in parts for f in layer[part]}
            (fresh / which).write_text(json.dumps(plain, ensure_ascii=False), encoding="utf-8")
        (fresh / "fingerprint").write_text(_mark(fingerprint), encoding="utf-8")
        os.chmod(fresh, 0o700)
        shutil.rmtree(home, ignore_errors=True)
        fresh.rename(home)
    except OSError:
        # A full or read-only disk: the book's own checks speak of that.
        shutil.rmtree(fresh, ignore_errors=True)


def kept_layers(book: Path) -> list[Layer]:
    """The layers of the copy beside a book; none where there is no copy."""
    folder = where.kept_config(book)
    return [Layer(folder / name, name) for name in NAMES if (folder / name).is_dir()]
