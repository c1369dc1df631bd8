"""The config in force: a broken file never stops a walk, and never changes it unseen."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from rounds.config import files, in_force, layers, read
from rounds.problems import BadInput
from rounds.settings import where

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
        ("rules/mine.yaml", "rules:\n  - id: standing-water\n    when: {reading: moistur, is: water}\n    level: now\n    because: x\n"),
        ("rules/mine.yaml", "rules: [*x]\n"),
        ("rules/mine.yaml", "\trules:\n"),
        ("rules/mine.yaml", "x" * ((1 << 20) + 1)),
        ("readings.yaml", "readings:\n  - {id: moisture, type: tik}\n"),
        ("keys/mine.yaml", "layout: mine\ncommands: {next: [q], quit: [q]}\n"),
    ],
    ids=["unknown reading", "alias", "tab", "too large", "readings", "keys"],
)
def test_with_a_bad_file_the_last_good_copy_stays_in_force_and_says_so(book: Path, own: Path, part: str, text: str) -> None:
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


def test_bad_shipped_files_are_an_error_and_not_a_silence(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(where.shipped("config"), tmp_path / "shipped")
    (tmp_path / "shipped" / "readings.yaml").write_text("readings: 3\n", encoding="utf-8")
    monkeypatch.setattr(where, "shipped", lambda name: tmp_path / "shipped")  # noqa: ARG005
    with pytest.raises(BadInput):
        in_force(None, book)


def test_a_config_folder_that_is_not_there_is_refused_when_it_was_asked_for(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        layers(str(tmp_path / "nowhere"))
    assert "is not a folder" in str(caught.value)


def test_only_known_parts_of_a_folder_are_read(own: Path) -> None:
    (own / "notes.yaml").write_text("nothing: here\n", encoding="utf-8")
    (own / "rules" / "old.yml~").write_text("rules: 7\n", encoding="utf-8")
    assert [shown for _, shown in files(layers(str(own))[1])] == [f"{own}/rules/mine.yaml"]
