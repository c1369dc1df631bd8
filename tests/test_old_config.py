"""A keeper's own config folder as version 0.1.0 took it is taken today, and means the same.

``settings/config_0_1_0`` was written for that version and run with it: `rules check` and `rules test` found nothing
wrong there. The names below are what its parsers accepted. Where one of them has to go, say so in
``rounds help changes`` and let the parser name what takes its place; then this test changes with it.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import cast

import pytest

from rounds.cli import run
from rounds.config import Config, in_force, read
from rounds.husbandry.readings import SUBJECTS, TYPES
from rounds.husbandry.species import PLAIN_SOURCES, PRESETS
from rounds.husbandry.stages import FORBIDS, STAGES, Depth
from rounds.keys.command import Command
from rounds.keys.commands import COMMANDS
from rounds.keys.key_names import NAMED
from rounds.keys.menu_keys import chord, keys_of_entry
from rounds.problems import BadInput
from rounds.reports import stand_in_sheet
from rounds.rules import rule
from rounds.rules.measures import MEASURES
from rounds.settings import where, yamlfile
from rounds.settings.choices import PALETTE_NAMES
from rounds.settings.layers import layers
from rounds.walk.machine import run_command
from rounds.walk.machine.press import press
from rounds.walk.machine.state import State
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import SmallDesk

OLD = Path(__file__).with_name("settings") / "config_0_1_0"

NAMES_0_1_0 = {
    "commands of the walk": (
        "next back reading_up reading_down other deeper skip go scan note record pages find undo correct done "
        "put_off summary menu help quit",
        COMMANDS,
    ),
    "keys": (
        "space enter backspace up down left right tab home end pageup pagedown",
        NAMED,
    ),
    "looks": ("dark light terminal red", PALETTE_NAMES),
    "types of a reading": ("count choice tick", TYPES),
    "subjects of a reading": ("enclosure shelf room", SUBJECTS),
    "stages": (
        "quarantine holding pairing laying eggs larvae wandering cell resting colony prepared empty",
        STAGES,
    ),
    "locks": ("dig open move wet", FORBIDS),
    "fields of a rule": (
        "id title applies when level because do lasting ends_after over_locks bring off",
        rule.FIELDS,
    ),
    "levels": ("now today look carry", rule.RULE_LEVELS),
    "comparisons": (
        "is is_not any_of none_of over under at_least at_most known plausible",
        rule.COMPARISONS,
    ),
    "what a rule brings": ("cups fruit water tubs substrate", rule.BRING),
    "measures": (
        "hours_since_visit days_since_visit days_in_stage previous change_since_last same_for_visits same_for_days "
        "days_since days_since_read days_since_sign adults males females larvae instar litres_per_larva gone_per_day "
        "usual_gone_per_day gone_ratio days_untouched usually_gone_meanwhile cup_age_days gone_beyond fruit_age_days "
        "fruit_left shelf_temperature shelf_change",
        MEASURES,
    ),
    "values of a species": (
        "kept cannibal protein temperature moisture egg_days l1_days l2_days l3_days larva_days instars "
        "wandering_days pupa_days cell_days rest_days generation_days mature_days active_days together_days "
        "first_search_days next_search_days rebed_days substrate_days weighing_days leftovers_days quarantine_days "
        "prepared_days lay_depth_cm lay_firm_cm lay_litres larva_litres eggs_per_female peak_grams head_mm",
        PRESETS,
    ),
}


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return Path(shutil.copytree(OLD, tmp_path / "own"))


@pytest.fixture
def config(own: Path) -> Config:
    return read(layers(str(own)))


@pytest.mark.parametrize("what", NAMES_0_1_0)
def test_every_name_that_was_taken_is_taken(what: str) -> None:
    then, now = NAMES_0_1_0[what]
    assert set(then.split()) <= set(now)


def test_sources_that_were_taken_are_taken() -> None:
    assert {"common practice, no source", "from memory", "estimate"} <= set(PLAIN_SOURCES)


def test_nothing_is_wrong_with_it(own: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--config", str(own), "rules", "check"]) == 0, capsys.readouterr().err
    assert run(["--config", str(own), "rules", "test"]) == 0, capsys.readouterr().out


def test_settings_and_keys_mean_the_same(config: Config) -> None:
    assert config.choices[:2] == ("one-hand", "red")
    assert {config.commands[key] for key in ("space", "enter")} == {"next"}
    assert {key: config.commands[key] for key in ("-", "+", ".", "tab", "home", "backspace", "*")} == {
        "-": "back",
        "+": "reading_down",
        ".": "go",
        "tab": "scan",
        "home": "help",
        "backspace": "undo",
        "*": "undo",
    }
    assert (config.commands["/1"], config.commands["/9"], config.commands["/01"]) == (
        "skip",
        "other",
        "correct",
    )


def test_a_command_that_is_newer_is_reached_through_its_menu(
    own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A keeper's own layout knows nothing of it, and is in force with all the rest of the config."""
    invented = Command("invented", "what no layout knew of", "invented", ("invented",))
    before = read(layers(str(own))).commands
    monkeypatch.setitem(cast(dict[str, Command], COMMANDS), "invented", invented)
    assert run(["--config", str(own), "rules", "check"]) == 0, capsys.readouterr().err
    config = in_force(str(own), tmp_path / "book.sqlite")
    assert config.banner == ""
    assert config.choices[:2] == ("one-hand", "red")
    after = config.commands
    (new,) = after.keys() - before.keys()
    listed = [k for k in before if k.startswith("/") and k != "/"]
    assert listed[:13] == [*(f"/{i}" for i in range(1, 10)), *(f"/0{i}" for i in range(1, 5))]
    assert (new, after[new]) == (chord("/", len(listed)), "invented"), "and they stay as they are"
    assert {k: c for k, c in after.items() if k != new} == before
    monkeypatch.setitem(
        cast(dict[str, object], run_command.BY_COMMAND),
        "invented",
        lambda state, _: (state._replace(message="paused"), ()),
    )
    desk = SmallDesk()
    desk.commands = dict(after)
    state = start(State(), desk)
    for key in keys_of_entry(new, after):
        state, _ = press(state, key, desk)
    assert state.message == "paused"


def test_readings_mean_the_same(config: Config) -> None:
    kinds, larvae = config.vocabulary.kinds, config.vocabulary.stages["larvae"]
    humidity, weight, springtails = kinds["room_humidity"], kinds["tub_weight"], kinds["springtails"]
    assert (humidity.subject, humidity.unit, humidity.low, humidity.high) == ("room", "%", 0, 100)
    assert humidity.plausible == (30, 90)
    assert (weight.decimals, weight.ask_key) == (2, "W")
    assert [(c.id, c.title, c.key) for c in springtails.choices] == [
        ("none", "none", "1"),
        ("few", "a few", "2"),
        ("many", "many", "3"),
    ]
    assert springtails.of_animals
    assert kinds["fan"].retired
    assert config.vocabulary.every_shelf == ("shelf_temp", "lamp")
    assert (larvae.starts_at, larvae.first) == (Depth.WALL, ("moisture",))
    assert larvae.asked[Depth.WALL] == ("moisture", "surfaced")
    assert set(larvae.asked[Depth.LID]) >= {"springtails", "tub_weight"}
    assert larvae.usual_value("moisture", "Eudicella smithi") == "right"
    assert larvae.usual_value("moisture", "Dicronorhina derbyana") == "dry"
    assert larvae.usual_value("tub_weight", "") == "history"
    assert larvae.fine["springtails"] == ("none", "few")
    assert [c.id for c in config.vocabulary.skips] == ["time", "fog"]
    assert [c.id for c in config.vocabulary.put_offs] == ["parts"]


def test_rules_mean_the_same(config: Config) -> None:
    rules = {r.id: r for r in config.rules}
    assert "wet-too-long" not in rules
    assert rules["standing-water"].title == "Water, drain it"
    slow, cups = rules["damp-and-slow"], rules["fetch-cups"]
    assert slow.stages == {"laying", "larvae", "wandering", "cell"}
    assert (slow.lasting_visits, slow.lasting_days, slow.ends_after, slow.over_locks) == (1, 2, 3, True)
    assert [leaf.op for leaf in rule.leaves(slow.when)] == [
        "any_of",
        "at_least",
        "over",
        "at_most",
        "under",
        "known",
        "none_of",
    ]
    assert (slow.do["laying"].needs, slow.do["otherwise"].needs) == (("open",), ("dig", "open"))
    assert slow.do["cell"] == slow.do["wandering"]
    assert (cups.level, dict(cups.bring)) == ("carry", {"cups": "adults", "water": 0.5})


def test_species_and_checklists_mean_the_same(config: Config) -> None:
    known = config.species["Eudicella smithi"]
    assert known.english == "my striped ones"
    assert known.range("egg_days") == (14, 30, 21, "estimate", "")
    assert known.range("temperature", "laying") == (20, 26, 23, "from memory", "the cool shelf")
    assert known.range("larva_litres", "L3") == (0.5, 1, None, "common practice, no source", "")
    assert known.words("moisture", "laying") == ("right", "wet")
    assert known.words("moisture", "L3") == ("right",)
    lists = {c.id: c for c in config.checklists}
    assert "clear-young" not in lists
    mine = lists["set-up-mine"]
    assert (mine.use, mine.stages, mine.species) == ("set-up", ("laying",), ("Eudicella smithi",))
    assert [s.id for s in mine.steps] == ["size", "fill"]
    assert mine.steps[0].without == "Take the large box."
    assert [dict(s.bring) for s in mine.steps] == [{"tubs": 1}, {"substrate": "litres"}]


def test_the_sheet_of_a_stand_in_means_the_same() -> None:
    sheet = stand_in_sheet.parse([yamlfile.read(OLD / "standin" / "sheet.yaml", "sheet.yaml")])
    assert sheet.first == ("Wash your hands.",)
    assert sheet.acts["feed"] == ("change the cup", ("open",), False)
    assert sheet.stages["larvae"] == (("look",), ("Never dig.", "Never add water."))


def test_a_last_good_copy_of_that_version_is_fallen_back_to(own: Path, tmp_path: Path) -> None:
    """Its layout: the files of both layers, what was parsed from them, and a fingerprint with the version."""
    book = tmp_path / "book.sqlite"
    book.write_bytes(b"any book")
    kept = where.kept_config(book)
    shutil.copytree(where.shipped("config"), kept / "shipped")
    shutil.copytree(OLD, kept / "own")
    (kept / "parsed.json").write_text(
        json.dumps({"config/settings.yaml": {"keys": "letters"}}), encoding="utf-8"
    )
    (kept / "fingerprint").write_text("0123456789ab 0.1.0", encoding="utf-8")
    (own / "rules" / "mine.yaml").write_text("rules: 7\n", encoding="utf-8")
    config = in_force(str(own), book)
    assert "the last good config stays in force" in config.banner
    assert next(r.title for r in config.rules if r.id == "standing-water") == "Water, drain it"
    assert config.choices[:2] == ("one-hand", "red")


@pytest.mark.parametrize(
    ("part", "then", "now"),
    [
        ("keys/one-hand.yaml", "reading_down:", "next_reading:"),
        ("rules/mine.yaml", "over_locks:", "over_lock:"),
        ("species/mine.yaml", "egg_days:", "egg_dys:"),
        ("settings.yaml", "look:", "loook:"),
        ("readings.yaml", "starts_at:", "start_at:"),
        ("checklists/mine.yaml", "without:", "witout:"),
    ],
)
def test_a_name_that_is_none_is_told_with_its_file_and_line(
    own: Path, part: str, then: str, now: str
) -> None:
    path = own / part
    text = path.read_text(encoding="utf-8")
    line = text[: text.index(then)].count("\n") + 1
    path.write_text(text.replace(then, now, 1), encoding="utf-8")
    with pytest.raises(BadInput) as wrong:
        read(layers(str(own)))
    name = now.rstrip(":")
    (told, *_) = [p for p in wrong.value.problems if f"`{name}`" in p.message]
    assert told.file.endswith(part)
    assert told.line == line
    assert told.hint
