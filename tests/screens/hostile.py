"""Texts that try to steer a terminal, to run an action or to break a layout, in every cell that takes text."""

from __future__ import annotations

from pathlib import Path

from rounds.config import Config, read
from rounds.records.observations import House
from rounds.settings.layers import Layer, layers
from rounds.store.book import create
from tests.files.folders import csv_text, write

LONG = "very long " * 1000
TEXTS = {
    "bold": "[bold]b",
    "closing": "x[/]y",
    "unopened": "[/oops]",
    "click": "[@click=app.quit]quit[/]",
    "csi": "a\x1b[2J\x1b[31mred",
    "osc": "a\x1b]0;title\x07b\x1b]8;;file:///x\x1b\\c",
    "c1": "a\x9b31mb\x9d0;title\x9cc\x84\x85d",
    "bidi": "a\u202eb\u2066c\u200f\u061cd",
    "zwj": "👩\u200d👩\u200d👧 🏳\ufe0f\u200d🌈 👍🏽 🇩🇪 ❤\ufe0f",
    "wide": "黒いカブトムシ한국어",
    "combining": "e" + "\u0301" * 40 + "\u0e33\u0903",
    "invisible": "a\u200bb\u00adc\ufeffd\U000e0041e\u115ff\u2028g",
    "del": "a\x7fb\x08c\rd",
    "tab": "a\tb\vc\fd",
    "long": LONG,
}
NUMBER = {name: i for i, name in enumerate(TEXTS, 1)}
"""The short number of the enclosure that holds each text."""


def short(name: str) -> str:
    """The text as an id, which may have no blank at its ends and 100 characters."""
    return TEXTS[name].strip()[:90].strip()


def tables() -> dict[str, bytes]:
    """A house whose every text is hostile: one enclosure for each of ``TEXTS``, all on one shelf."""
    names = list(TEXTS)
    codes = {n: short(n) for n in names}
    # Line names may hold no "/", which parts line and number.
    line = {n: f"{short(n).replace('/', chr(0x2044))}" for n in names}
    day = "2026-02-"
    rows = {
        "house": (["name", "zone"], [[TEXTS["click"] + TEXTS["c1"] + TEXTS["bidi"], "Europe/Berlin"]]),
        "keepers": (["keeper"], [[short("csi") + short("click")], [short("wide")]]),
        "places": (["bay", "shelf", "slot"], [["A", "1", str(i)] for i in NUMBER.values()]),
        "lines": (
            ["line", "species", "origin", "generation", "note", "subspecies", "locality"],
            [[line[n], *[TEXTS[n]] * 6] for n in names],
        ),
        "animals": (
            ["line", "animal", "sex", "sexed_how", "note", "emerged", "promised"],
            [
                [line[n], a, "f", TEXTS[n], TEXTS[n], "2026-01-01", TEXTS[n]]
                for n in names
                for a in (short(n), short(n) + "2")
            ],
        ),
        "enclosures": (
            ["code", "number", "stage", "stage_since", "place", "species", "litres", "note"],
            [
                [codes[n], str(i), "laying", "2026-02-01", f"A1-{i}", TEXTS[n], "8", TEXTS[n]]
                for n, i in NUMBER.items()
            ],
        ),
        "contents": (
            ["enclosure", "line", "animal"],
            [[codes[n], line[n], a] for n in names for a in (short(n), short(n) + "2")],
        ),
        "locks": (
            ["enclosure", "animal", "forbids", "from", "until", "reason"],
            [[codes[n], "", "dig move", "2026-02-01", "2026-05-23", TEXTS[n]] for n in names]
            + [["", f"{line[n]}/{short(n)}", "move", "2026-02-01", "", TEXTS[n]] for n in names],
        ),
        "due": (
            ["enclosure", "what", "earliest", "latest", "why"],
            [[codes[n], TEXTS[n], "2026-02-20", "2026-03-04", TEXTS[n]] for n in names],
        ),
        "plans": (
            ["plan", "female", "male", "chosen", "why"],
            [
                [short(n), f"{line[n]}/{short(n)}", f"{line[n]}/{short(n)}2", "2026-02-20", TEXTS[n]]
                for n in names
            ],
        ),
        "visits": (
            ["visit", "at", "keeper", "enclosure", "note"],
            [
                [f"v{d}-{i}", f"{day}{d}T07:{i:02}", short("csi") + short("click"), codes[n], TEXTS[n]]
                for d in (26, 27, 28)
                for n, i in NUMBER.items()
            ],
        ),
        "readings": (
            ["visit", "reading", "depth", "value", "how"],
            [
                row
                for d in (26, 27, 28)
                for i in NUMBER.values()
                for row in (
                    [f"v{d}-{i}", "moisture", "wall", "water", "read"],
                    [f"v{d}-{i}", "smell", "lid", "sour", "read"],
                    [f"v{d}-{i}", "jelly_gone", "lid", "2", "read"],
                )
            ],
        ),
    }
    return {
        name: csv_text(head, body).encode("utf-8", "surrogatepass") for name, (head, body) in rows.items()
    }


def _quoted(text: str) -> str:
    """The text in YAML's double quotes, every sign that is not plain written as its number."""
    return '"' + "".join(c if c.isascii() and c.isalnum() else f"\\U{ord(c):08x}" for c in text) + '"'


def config(folder: Path) -> Config:
    """The shipped config with hostile titles, units, texts, reasons and skips laid over it."""
    quoted = {n: _quoted(t[:300]) for n, t in TEXTS.items()}
    folder.mkdir(parents=True)
    (folder / "rules").mkdir()
    readings = []
    for id_, name in zip(("smell", "moisture", "mites", "flies", "mould", "activity"), TEXTS, strict=False):
        answers = {
            "smell": "earthy sour ammonia eggs",
            "moisture": "dry right wet water",
            "activity": "out still below unseen",
        }
        values = answers.get(id_, "none few many").split()
        titled = ", ".join(
            f"{{id: {v}, title: {quoted[n]}}}" for v, n in zip(values, list(TEXTS)[2:], strict=False)
        )
        readings.append(
            f"  - {{id: {id_}, title: {quoted[name]}, type: choice, about: {quoted['osc']}, values: [{titled}]}}"
        )
    for id_, name in (("jelly_in", "wide"), ("jelly_gone", "zwj"), ("jelly_out", "c1")):
        readings.append(
            f"  - {{id: {id_}, title: {quoted[name]}, type: count, unit: {quoted[name]}, limits: [0, 40], about: {quoted['bidi']}}}"
        )
    reasons = ("leave", "reach", "time", "away", "own1", "own2", "own3", "own4", "own5")
    skips = ", ".join(f"{{id: {id_}, title: {quoted[n]}}}" for id_, n in zip(reasons, TEXTS, strict=False))
    (folder / "readings.yaml").write_text(
        "readings:\n" + "\n".join(readings) + f"\nskips: [{skips}]\n", encoding="utf-8"
    )
    hostile = _quoted(" ".join(t[:60] for t in TEXTS.values() if "{" not in t))
    (folder / "rules" / "own.yaml").write_text(
        f"rules:\n  - id: standing-water\n    title: {quoted['click']}\n    when: {{reading: moisture, is: water}}\n    level: now\n"
        f"    because: {hostile}\n    do: {{otherwise: {hostile}}}\n",
        encoding="utf-8",
    )
    return read([*layers(None)[:1], Layer(folder, str(folder))])


def book(folder: Path, with_config: Config) -> Path:
    """The hostile house, loaded by the same path as anyone's data."""
    from rounds.files.load import load_folder
    from rounds.store.apply_entries import apply
    from rounds.store.ids import Ids
    from rounds.walk.daily_summary import judge_newest

    path = folder / "hostile.sqlite"
    with create(path, House("", "UTC")) as made:
        load_folder(write(folder / "tables", tables()), made, with_config.vocabulary)
        entries = judge_newest(made, with_config, Ids().new)
        with made.writing():
            apply(made, entries)
    return path
