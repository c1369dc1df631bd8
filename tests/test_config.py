"""The config in force: a broken file never stops a walk, and never changes it unseen."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from rounds.cli import run
from rounds.config import Presets, for_acts, in_force, read
from rounds.problems import BadInput, Problem
from rounds.settings import where
from rounds.settings.layers import READ_APART, files, layers
from rounds.settings.yamlfile import parse
from tests.sampled import sampled

SHIPPED_FOLDER = where.shipped("config")

OWN = """\
rules:
  - id: standing-water
    title: Mine
    when: {reading: moisture, is: water}
    level: look
    because: My own words.
    do: {otherwise: My own way.}
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "book.sqlite"
    path.write_bytes(b"any book")
    return path


@pytest.fixture
def own(tmp_path: Path) -> Path:
    folder = tmp_path / "own"
    (folder / "rules").mkdir(parents=True)
    (folder / "rules" / "mine.yaml").write_text(OWN, encoding="utf-8")
    return folder


def mine(config) -> str:
    return next(r.title for r in config.rules if r.id == "standing-water")


def test_the_shipped_config_is_right_and_needs_no_banner(book: Path) -> None:
    config = in_force(None, book)
    assert config.banner == ""
    assert len(config.rules) >= 12
    assert len(config.fingerprint) == 12


def test_a_keepers_own_files_are_laid_over_by_id_and_change_the_fingerprint(book: Path, own: Path) -> None:
    config = in_force(str(own), book)
    assert mine(config) == "Mine"
    assert config.fingerprint != in_force(None, book).fingerprint
    assert len(config.rules) == len(in_force(None, book).rules)


@pytest.mark.parametrize(
    ("part", "text"),
    [
        (
            "rules/mine.yaml",
            "rules:\n  - id: standing-water\n    when: {reading: moistur, is: water}\n    level: now\n    because: x\n",
        ),
        ("rules/mine.yaml", "rules: [*x]\n"),
        ("rules/mine.yaml", "\trules:\n"),
        ("rules/mine.yaml", "x" * ((1 << 20) + 1)),
        ("readings.yaml", "readings:\n  - {id: moisture, type: tik}\n"),
        ("keys/mine.yaml", "layout: mine\ncommands: {next: [q], quit: [q]}\n"),
    ],
    ids=["unknown reading", "alias", "tab", "too large", "readings", "keys"],
)
def test_with_a_bad_file_the_last_good_copy_stays_in_force_and_says_so(
    book: Path, own: Path, part: str, text: str
) -> None:
    good = in_force(str(own), book)
    path = own / part
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput):
        read(layers(str(own)))
    config = in_force(str(own), book)
    assert mine(config) == "Mine", "not the shipped rule: the one that was in force yesterday"
    assert "the last good config stays in force" in config.banner
    assert part.rsplit("/", 1)[-1] in config.banner
    assert config._replace(banner="", fingerprint="") == _placeless(config, good)


def _placeless(config, good):
    """The good config with the places of its rules as the copy has them (a rule knows its file)."""
    files_ = {r.id: (r.file, r.line) for r in config.rules}
    rules = tuple(r._replace(file=files_[r.id][0], line=files_[r.id][1]) for r in good.rules)
    return good._replace(rules=rules, banner="", fingerprint="")


def test_without_any_good_copy_the_shipped_config_is_in_force_and_says_so(book: Path, own: Path) -> None:
    (own / "rules" / "mine.yaml").write_text("rules: 7\n", encoding="utf-8")
    config = in_force(str(own), book)
    assert mine(config) != "Mine"
    assert "the shipped config is in force, without your own" in config.banner


def test_every_problem_is_counted_in_the_banner(book: Path, own: Path) -> None:
    (own / "rules" / "mine.yaml").write_text("rules: 7\n", encoding="utf-8")
    (own / "readings.yaml").write_text("redings: []\nreadings: 3\n", encoding="utf-8")
    assert "more)" in in_force(str(own), book).banner


def test_a_mended_file_is_in_force_again_at_once(book: Path, own: Path) -> None:
    in_force(str(own), book)
    (own / "rules" / "mine.yaml").write_text("rules: 7\n", encoding="utf-8")
    assert in_force(str(own), book).banner
    (own / "rules" / "mine.yaml").write_text(OWN.replace("Mine", "Mended"), encoding="utf-8")
    config = in_force(str(own), book)
    assert (mine(config), config.banner) == ("Mended", "")


def test_a_broken_copy_is_no_reason_to_fail(book: Path, own: Path) -> None:
    in_force(str(own), book)
    (own / "rules" / "mine.yaml").write_text("rules: 7\n", encoding="utf-8")
    for path in where.kept_config(book).rglob("*.yaml"):
        path.write_text("rules: 7\n", encoding="utf-8")
    assert "the shipped config is in force" in in_force(str(own), book).banner


def test_the_copy_is_kept_beside_a_book_that_is_there_and_is_nobody_elses(book: Path, own: Path) -> None:
    in_force(str(own), book)
    kept = where.kept_config(book)
    assert sorted(p.name for p in (kept / "own").rglob("*.yaml")) == ["mine.yaml"]
    assert kept.stat().st_mode & 0o077 == 0
    nowhere = book.with_name("nowhere.sqlite")
    in_force(str(own), nowhere)
    assert not where.kept_config(nowhere).exists()


def test_bad_shipped_files_are_an_error_and_not_a_silence(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(where.shipped("config"), tmp_path / "shipped")
    (tmp_path / "shipped" / "readings.yaml").write_text("readings: 3\n", encoding="utf-8")
    monkeypatch.setattr(where, "shipped", lambda name: tmp_path / "shipped")
    with pytest.raises(BadInput):
        in_force(None, book)


def test_a_config_folder_that_is_not_there_is_refused_when_it_was_asked_for(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        layers(str(tmp_path / "nowhere"))
    assert "is not a folder" in str(caught.value)


def test_only_known_parts_of_a_folder_are_read(own: Path) -> None:
    (own / "notes.yaml").write_text("nothing: here\n", encoding="utf-8")
    (own / "rules" / "old.yml~").write_text("rules: 7\n", encoding="utf-8")
    assert [name for _, name in files(layers(str(own))[1])] == ["rules/mine.yaml"]


# Species and checklists: checked when they changed, read when they are needed

BAD = {
    "species/pachnoda-marginata.yaml": "species: Pachnoda marginata\negg_days: {range: [11, 9], source: estimate}\n",
    "checklists/mine.yaml": "checklists:\n  - {id: mine, title: Mine, use: set-upp, stages: [laying], steps: []}\n",
}


def parsings(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is parsed from here on, one entry for each time."""
    seen: list[str] = []
    parsed = Presets._parsed

    def counted(self):
        seen.append("presets")
        return parsed(self)

    monkeypatch.setattr(Presets, "_parsed", counted)
    return seen


def test_files_found_good_before_are_not_checked_again_until_they_are_needed(
    book: Path, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = parsings(monkeypatch)
    in_force(str(own), book)
    assert seen == ["presets"], "never seen before: checked at once"
    config = in_force(str(own), book)
    assert seen == ["presets"]
    assert "Pachnoda marginata" in config.species
    assert config.checklists
    assert for_acts(config).species is config.species
    assert seen == ["presets"] * 2, "once for all who ask"


@pytest.mark.parametrize("part", BAD)
def test_a_bad_species_or_checklist_file_is_told_at_the_start_and_the_good_copy_stays(
    book: Path, own: Path, part: str
) -> None:
    good = in_force(str(own), book)
    path = own / part
    path.parent.mkdir()
    path.write_text(BAD[part], encoding="utf-8")
    for _ in range(2):  # not only at the first start after the mistake
        config = in_force(str(own), book)
        assert f"{part}:" in config.banner
        assert "the last good config stays in force" in config.banner
        assert (config.species, config.checklists) == (good.species, good.checklists)
    path.unlink()
    assert in_force(str(own), book).banner == ""


def test_what_changes_after_the_start_does_not_change_what_is_read_later(book: Path, own: Path) -> None:
    in_force(str(own), book)
    config = in_force(str(own), book)
    (own / "species").mkdir()
    (own / "species" / "new.yaml").write_text("nothing: good\n", encoding="utf-8")
    assert "Pachnoda marginata" in config.species
    assert config.presets.banner == ""


def test_files_that_only_turn_out_bad_later_are_replaced_by_good_ones_and_it_is_said(
    book: Path, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program that has become stricter without a new version: the mark beside the book is no proof then."""
    in_force(str(own), book)
    config = in_force(str(own), book)
    parsed = Presets._parsed

    def stricter(self):
        if any("mine.yaml" in f.shown for layer in self._found for f in layer.get("rules", ())):
            raise BadInput([Problem("own", 1, 1, "is not strict enough.")])
        return parsed(self)

    monkeypatch.setattr(Presets, "_parsed", stricter)
    assert "Pachnoda marginata" in config.species
    assert "is not strict enough" in config.presets.banner
    assert "the shipped config is in force" in config.presets.banner


def test_another_version_of_the_program_checks_everything_again(
    book: Path, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_force(str(own), book)
    seen = parsings(monkeypatch)
    monkeypatch.setattr("rounds.settings.last_good.__version__", "99")
    in_force(str(own), book)
    assert seen == ["presets"]


def test_a_config_found_good_before_is_remembered_as_it_was_parsed(book: Path, own: Path) -> None:
    """The second start takes the parsed data from beside the book: the same config, without YAML, species too."""
    first = in_force(str(own), book)
    assert (where.kept_config(book) / "parsed.json").is_file()
    second = in_force(str(own), book)
    assert second.vocabulary == first.vocabulary
    assert second.commands == first.commands
    assert [r._replace(line=0) for r in second.rules] == [r._replace(line=0) for r in first.rules]
    assert (second.fingerprint, second.banner) == (first.fingerprint, "")
    assert (second.species, second.checklists) == (first.species, first.checklists)


@pytest.mark.parametrize("harm", ["not json", "[1, 2]", "{}"])
def test_a_broken_memory_is_no_harm(book: Path, own: Path, harm: str) -> None:
    first = in_force(str(own), book)
    for memory in ("parsed.json", "presets.json"):
        (where.kept_config(book) / memory).write_text(harm, encoding="utf-8")
    assert in_force(str(own), book).rules == first.rules
    assert in_force(str(own), book).species == first.species


def test_the_second_start_imports_no_yaml(book: Path, own: Path) -> None:
    import subprocess
    import sys

    said = (
        "import sys; from pathlib import Path; from rounds.config import in_force; "
        f"config = in_force({str(own)!r}, Path({str(book)!r})); "
        "assert config.species and config.checklists; print('yaml' in sys.modules)"
    )
    out = [
        subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    ]
    assert [x.strip() for x in out] == ["True", "False"]


VALUES = (
    *(
        None,
        True,
        -1,
        10**17,
        1e17,
        1e-17,
        40_000_000,
        3_652_060,
        "",
        " ",
        "x" * 3999,
        "\u202e",
        "\ud7ff",
        "\u0661",
    ),
    *(
        "{x}",
        "{",
        "{days:d}",
        "[b]",
        "2026-02-30",
        "9999-12-31",
        "..",
        "5..",
        "1..2",
        "99999999999..9",
        "nan",
        "1e400",
    ),
    *("space", "Q", "\t", "\n", "../../x", "all", [], {}, [[]], [None], {"a": None}, [1, [2, [3]]]),
)
PIECES = (
    b"",
    b"\0",
    b"&a ",
    b"*a",
    b"!x ",
    b"{",
    b"[",
    b"- ",
    b": ",
    b"\t",
    b"\xff",
    b"'",
    b"#",
    b"|\n",
    b"9" * 30,
)
SHIPPED = [
    *files(layers(None)[0]),
    *((p, f"{d}/{p.name}") for d in READ_APART for p in SHIPPED_FOLDER.glob(f"{d}/*")),
]


def damaged(random: Random) -> tuple[str, bytes]:
    """A shipped file with some of its bytes or values replaced, and its name."""
    path, name = random.choice(SHIPPED)
    raw = path.read_bytes()
    if random.random() < 0.3:
        for _ in range(random.randrange(1, 6)):
            at = random.randrange(len(raw))
            raw = raw[:at] + random.choice(PIECES) + raw[at + random.randrange(5) :]
        return name, raw
    data = parse(raw, name).data
    for _ in range(random.randrange(1, 4)):
        inner, key = random.choice([*_places(data)])
        if random.random() < 0.2:
            del inner[key]
        else:
            inner[key] = random.choice(VALUES)
        if not data:
            break
    return name, yaml.safe_dump(data, allow_unicode=True, sort_keys=False, width=10**6).encode()


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    """Every value that is inside another, as that and its key."""
    for key in [*data] if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ():
        yield data, key
        yield from _places(data[key])


@pytest.mark.parametrize("seed", range(sampled(6, 600)))
def test_a_damaged_file_is_told_with_its_name_or_taken(
    seed: int, own: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    random = Random(seed)
    name, raw = damaged(random)
    path = own / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(raw)
    start = time.process_time()
    code = run(["--config", str(own), "rules", "check"])
    assert time.process_time() - start < 10
    out, err = capsys.readouterr()
    assert code in (0, 2), err
    assert (code == 0) == err.endswith("nothing wrong.\n"), err
    assert code == 0 or str(path) in err, "and not another file, which is as it was"
    assert out == ""
    assert all(line.isprintable() for line in err.splitlines())


def test_the_damage_is_told_in_most_files_and_harmless_in_some(own: Path) -> None:
    """The control of the test above: what it draws is of both kinds."""
    told = 0
    for seed in range(12):
        name, raw = damaged(Random(seed))
        path = own / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw)
        told += run(["--config", str(own), "rules", "check"]) == 2
        path.unlink()
    assert 3 <= told < 12
