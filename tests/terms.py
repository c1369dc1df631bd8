"""One thing has one name: the words that keepers read, and the synonyms that must not stand for them.

Names of data (columns, ids, files, options) stay as they are and are not words for a keeper: what stands in
backticks or in a code block is not looked at.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from rounds.acts.registry import all_acts
from rounds.due.kinds import DUE_KINDS
from rounds.keys.card_commands import CARD_COMMANDS
from rounds.keys.commands import COMMANDS
from tests import sentences

ROOT = Path(__file__).parents[1]

TERMS: dict[str, tuple[str, ...]] = {
    "the book": (r"\bthe books\b",),
    "box": (r"\benclosures?\b", r"\bcontainers?\b", r"\bcages?\b", r"\bterrari"),
    "substrate": (r"\b(the|old|fresh|dry) mix\b", r"\bbedding\b", r"\bsoil\b", r"\bcompost\b"),
    "change all substrate": (r"\bafresh\b", r"\bre-bed", r"\bbedded\b"),
    "brood": (r"\bclutch(es)?\b", r"\blitters?\b"),
    "droppings": (r"\bfrass\b",),
    "missing": (r"\bwhereabouts\b", r"\bgone missing\b"),
    "visit": (r"\b(last|this|earlier|such|each|every) looks?\b", r"\blooks in a row\b"),
    "father, mother": (r"\b(sires?|dams?)\b",),
    "as usual": (r"\bas expected\b",),
    "jelly eaten, given, removed": (r"\bjelly (gone|put in|taken out|left over)\b",),
    "has to wait": (r"\bwithheld\b",),
    "correct": (r"\bmend(s|ed|ing)?\b",),
    "lock": (r"\boverruled\b", r"\bembargo"),
    "not seen today: fixed?": (r"\bno longer seen\b",),
    "due": (r"\bpending\b",),
    "keeper": (r"\busers?\b", r"\boperator"),
}
"""The word that is used, and patterns of others for the same thing."""

ALLOWED = {
    "father, mother": re.compile(r"animal,sire,dam|sire and dam|`[^`]*`"),
}


def spoken() -> Iterator[tuple[str, str]]:
    """Every text for keepers with where it stands, a line or a value each."""
    for line in sentences.text().splitlines():
        name, colon, said = line.partition(": ")
        if colon:
            yield name, said
    for act in all_acts().values():
        for said in (act.title, act.about, act.caution, *(f.about for f in act.fields)):
            yield f"act {act.id}", said
    for command in COMMANDS.values():
        for said in (command.does, command.label, command.on_page, command.on_summary):
            yield f"command {command.id}", said
    yield from ((f"card command {c.id}", f"{c.does} {c.label}") for c in CARD_COMMANDS.values())
    yield from ((f"due {k.id}", k.what) for k in DUE_KINDS.values())
    for path in sorted((ROOT / "config").rglob("*.yaml")):
        if "tests" in path.parts:
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if not line.lstrip().startswith("#"):
                yield f"{path.name}:{number}", line
    for path in sorted((ROOT / "rounds/topics").glob("*.md")):
        if path.name != "changes.md":  # it tells what words were before
            text = re.sub(r"```.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
            yield path.name, text


def synonyms() -> list[str]:
    """Each word that stands for a thing that has another name, with its place."""
    found = []
    for where, said in spoken():
        plain = re.sub(r"`[^`]*`|\{[^}]*\}|‹[^›]*›", " ", said)
        for term, patterns in TERMS.items():
            text = ALLOWED[term].sub(" ", plain) if term in ALLOWED else plain
            found += [
                f"{where}: {m[0]!r} for {term}" for p in patterns for m in re.finditer(p, text, re.IGNORECASE)
            ]
    return found
