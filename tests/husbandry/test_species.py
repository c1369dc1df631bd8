"""Species files: what the shipped ones hold, and every slip a keeper may make in one."""

from __future__ import annotations

import json
import textwrap
from pathlib import Path

import jsonschema
import pytest

from rounds import config
from rounds.husbandry.hatching import Times
from rounds.husbandry.species import FORECAST, PLAIN_SOURCES, PRESETS, Species, published, times
from rounds.husbandry.species_file import ENOUGH_PUBLISHED, schema, species
from rounds.problems import BadInput
from rounds.settings import where, yamlfile
from rounds.settings.layers import layers

CONFIG = where.shipped("config")
FILES = sorted((CONFIG / "species").glob("*.yaml"))


def shipped() -> dict[str, Species]:
    return species([[yamlfile.read(p, p.name) for p in FILES]])


def one(text: str) -> Species:
    return next(iter(species([[yamlfile.parse(textwrap.dedent(text), "mine.yaml")]]).values()))


def problems(*texts: str) -> list[str]:
    docs = [yamlfile.parse(textwrap.dedent(t), f"{n}.yaml") for n, t in enumerate(texts, 1)]
    with pytest.raises(BadInput) as e:
        species([docs])
    return [str(p) for p in e.value.problems]


def estimated_throughout(one_: Species) -> bool:
    """Are all stages estimated, for one temperature that the file names and every window repeats?"""
    stages = FORECAST - {"cell_days"}
    return one_.durations_at is not None and all(
        preset in one_.ranges and one_.ranges[preset].likely is not None for preset in stages
    )


def test_a_file_with_fewer_than_three_published_values_is_marked_thin() -> None:
    """But for one whose every stage is estimated for one temperature, which its windows name."""
    for name, one_ in shipped().items():
        scarce = published(one_) < ENOUGH_PUBLISHED
        assert one_.thin == (scarce and not estimated_throughout(one_)), name
    assert sum(one_.thin for one_ in shipped().values()) >= 15


def test_the_temperature_of_durations_is_one_that_beetles_live_at() -> None:
    assert one("{species: Aa bb, durations_at: 24}").durations_at == 24
    (said,) = problems("{species: Aa bb, durations_at: 77}")
    assert "`durations_at`" in said
    assert "0 to 45" in said
    assert (
        shipped()["Oryctes agamemnon"].durations_at == 23
    )  # Soltani, Chaieb and Ben Hamouda 2008: 23 ± 2 °C
    assert shipped()["Oryctes rhinoceros"].durations_at == 26  # Zhong et al. 2013: 26 ± 1 °C
    assert shipped()["Pachnoda interrupta"].durations_at == 25  # Feleke 2017


def test_nothing_is_forecast_from_a_thin_file() -> None:
    every = shipped()
    thin = every["Goliathus goliatus"]
    assert thin.thin
    assert "larva_days" in thin.ranges
    assert {preset for preset in FORECAST if thin.range(preset) is not None} == set()
    assert thin.larva_days() is None
    assert times(thin) == Times()
    # The control: care of it is known all the same, and without the mark there would be forecasts.
    assert thin.range("quarantine_days") is not None
    assert thin._replace(thin=False).range("larva_days") is not None
    assert thin._replace(thin=False).larva_days() is not None


def test_every_species_says_what_law_is_known_and_whose_it_is() -> None:
    for name, one_ in shipped().items():
        assert one_.legal, name
        assert all(entry.authority and entry.says and entry.where for entry in one_.legal), name
    assert [e.status for e in shipped()["Protaetia speciosissima"].legal if e.where == "Germany"] == [
        "protected"
    ]


def test_what_is_wrong_in_a_legal_entry_is_told_with_its_place() -> None:
    found = problems(
        """
        species: Aa bb
        legal:
          - {where: X, status: forbidden, says: no, authority: the office, looked_up: "2026-13-01"}
          - {where: X, status: permit, says: ask}
        """
    )
    assert any("status" in said and "forbidden" in said for said in found)
    assert any("is no day" in said for said in found)
    assert sum("authority" in said or "looked_up" in said for said in found) >= 2


def test_no_pair_is_left_together_for_longer_than_an_adult_lives() -> None:
    """Chiloloba orientalis: adults live 9.4 days on average (Journal of Insect Science 2012, 12:127)."""
    one_ = shipped()["Chiloloba orientalis"]
    together, active = one_.ranges["together_days"], one_.ranges["active_days"]
    assert together.high < active.low
    (said,) = problems(
        """
        species: Aa bb
        together_days: {range: [14, 21], source: estimate}
        active_days: {range: [7, 12], source: estimate}
        """
    )
    assert "lives 12 at the most" in said


def test_a_generation_ends_with_the_adult_and_not_with_its_death() -> None:
    """Oryctes rhinoceros: 8.88 + 156.8 + 9.45 + 33.75 days (Zhong et al. 2013), not the 326 to 455 to death."""
    rest = 120.0  # the longest rest in a cell that is told of these species (estimate)
    compared = 0
    for name, one_ in shipped().items():
        whole, larva = one_.ranges.get("generation_days"), one_._replace(thin=False).larva_days()
        egg, pupa = one_.ranges.get("egg_days"), one_.ranges.get("pupa_days")
        if whole is None or larva is None or egg is None or pupa is None:
            continue
        wandering = one_.ranges.get("wandering_days")
        longest = egg.high + larva.high + pupa.high + rest + (wandering.high if wandering else 0)
        assert whole.low <= longest, name
        if whole.likely is not None:
            assert whole.likely <= longest, name
        compared += 1
    assert compared >= 5
    found = shipped()["Oryctes rhinoceros"].ranges["generation_days"]
    assert found.likely == pytest.approx(8.88 + 156.8 + 9.45 + 33.75, abs=0.5)


def test_field_figures_are_of_the_paper_that_found_them() -> None:
    """Pachnoda interrupta: 15.7 (4 to 22) days as egg in the field is Dejen and Merene 2014, not Feleke 2017."""
    egg = shipped()["Pachnoda interrupta"].ranges["egg_days"]
    assert egg.source.startswith("Feleke 2017")
    assert "15.7 (4 to 22), by Dejen and Merene 2014" in egg.note


def test_the_demo_species_and_twenty_nine_more_are_shipped() -> None:
    every = shipped()
    demo = {"Mecynorhina torquata", "Dicronorhina derbyana", "Eudicella smithi", "Pachnoda marginata"}
    assert demo <= every.keys()
    assert len(every) >= len(demo) + 29
    for name in demo:
        for preset in ("egg_days", "first_search_days", "cell_days", "quarantine_days", "lay_depth_cm"):
            assert every[name].range(preset) is not None, (name, preset)
        assert every[name].words("kept")
        assert every[name].words("cannibal")
        assert every[name].words("moisture", "laying")


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_file_is_called_as_its_species_and_satisfies_the_schema(path: Path) -> None:
    document = yamlfile.read(path)
    jsonschema.validate(document.data, schema())
    assert path.stem == document.data["species"].lower().replace(" ", "-")


def test_the_schema_file_is_the_one_the_table_makes() -> None:
    assert json.loads((CONFIG / "schema" / "species.json").read_text(encoding="utf-8")) == schema()


def test_every_value_has_a_source_and_a_width() -> None:
    for one_ in shipped().values():
        for key, found in one_.ranges.items():
            assert found.low < found.high or key == "instars"
            assert found.source in PLAIN_SOURCES or any(c.isdigit() for c in found.source)
        assert all(t.source for t in one_.texts.values())


def test_a_mountain_species_does_not_inherit_from_its_genus() -> None:
    """Kept like its relatives it would die: nothing but its own file may speak for it."""
    every = shipped()
    cold, warm = every["Mecynorhina kraatzi"], every["Mecynorhina torquata"]
    found = cold.range("temperature", "L3", "larvae")
    usual = warm.range("temperature", "L3", "larvae")
    assert found is not None
    assert usual is not None
    assert found.high < usual.low
    assert cold.range("egg_days") is None
    assert cold.larva_days() is None


def test_shortest_and_longest_times_for_hatch_spans() -> None:
    every = shipped()
    assert times(every["Pachnoda marginata"]) == Times((8, 17), (7, 18), (10, 27))
    assert times(every["Pachnoda interrupta"]) == Times((8, 13), None, None)
    assert times(every["Mecynorhina kraatzi"]) == Times()
    assert times(None) is None


def test_acts_get_times_days_and_steps_from_the_config() -> None:
    settings = config.for_acts(config.read(layers()))
    assert settings.times("Pachnoda marginata") == Times((8, 17), (7, 18), (10, 27))
    assert settings.times("Aa bb") is None
    assert settings.days("Pachnoda marginata", "next_search_days") == (14, 28, "common practice, no source")
    assert settings.days("Mecynorhina kraatzi", "egg_days") is None
    assert settings.days("Aa bb", "egg_days") is None
    assert settings.checklists["clear-laying"][0] == "look"


def test_a_bad_species_file_leaves_the_last_good_config_in_force(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own, book = tmp_path / "own", tmp_path / "book.sqlite"
    (own / "species").mkdir(parents=True)
    book.touch()
    path = own / "species" / "pachnoda-marginata.yaml"
    path.write_text(
        "species: Pachnoda marginata\negg_days: {range: [9, 11], source: estimate}", encoding="utf-8"
    )
    monkeypatch.setenv("ROUNDS_CONFIG", str(own))
    good = config.in_force(None, book)
    assert good.banner == ""
    path.write_text(
        "species: Pachnoda marginata\negg_days: {range: [11, 9], source: estimate}", encoding="utf-8"
    )
    kept = config.in_force(None, book)
    assert "species/pachnoda-marginata.yaml:2:12  " in kept.banner
    assert kept.species == good.species
    found = kept.species["Pachnoda marginata"].range("egg_days")
    assert found is not None
    assert (found.low, found.high) == (9, 11)


def test_what_a_species_needs_is_ordinary_at_a_visit() -> None:
    """The species files and the readings may not contradict each other about damp."""
    read = config.read(layers())
    compared = 0
    for one_ in read.species.values():
        for key, aims in one_.texts.items():
            preset, _, stage = key.partition("/")
            if preset == "moisture":
                for word in aims.words:
                    fine = read.vocabulary.stages[stage].is_fine("moisture", one_.name, word)
                    assert fine in (True, None), (one_.name, stage, word)
                    compared += fine is True
    assert compared > 20


def test_larval_life_is_the_instars_added_up_only_where_all_are_known() -> None:
    parts = [
        f"{i}: {{range: [{n}, {n + 4}], likely: {n + 1}, source: estimate}}"
        for i, n in (("l1_days", 10), ("l2_days", 20), ("l3_days", 60))
    ]
    whole = one("species: Aa bb\n" + "\n".join(parts)).larva_days()
    assert whole is not None
    assert (whole.low, whole.high, whole.likely) == (90, 102, 93)
    assert one("species: Aa bb\n" + "\n".join(parts[:2])).larva_days() is None
    four = one("species: Aa bb\ninstars: {range: [3, 4], source: estimate}\n" + "\n".join(parts))
    assert four.larva_days() is None  # a fourth instar takes time too


def test_an_instar_goes_before_its_stage_and_nothing_before_a_guess() -> None:
    found = one(
        """
        species: Aa bb
        temperature:
          larvae: {range: [20, 26], source: estimate}
          L3: {range: [14, 18], source: estimate}
        """
    )
    assert str(found.range("temperature", "L3", "larvae")) == "14 to 18"
    assert str(found.range("temperature", "L1", "larvae")) == "20 to 26"
    assert found.range("temperature", "cell") is None
    with pytest.raises(KeyError):
        found.range("egg_day")
    with pytest.raises(KeyError):
        found.words("temperature")


def test_every_slip_is_told_at_once_with_place_and_nearest_name() -> None:
    found = problems(
        """
        species: pachnoda marginata
        egg_dys: {range: [9, 16], source: estimate}
        l1_days: {range: [16, 9], source: estimate}
        l2_days: {range: [9, 9], source: estimate}
        l3_days: {range: [9], source: estimate}
        larva_days: {range: [9, 16]}
        pupa_days: {range: [9, 16], likely: 20, source: estimate}
        rest_days: {range: [9, 16], source: common practise}
        cell_days: 40
        kept: {is: pair, source: estimate}
        cannibal: {is: [], source: estimate}
        temperature:
          lavae: {range: [20, 26], source: estimate}
          cell: {range: [20, 99], source: estimate}
        moisture:
          laying: {source: estimate}
        active_days: {}
        """
    )
    wanted = [
        "`pachnoda marginata` is not a Latin name. Write genus and species",
        "1.yaml:3:1  species file: unknown field `egg_dys`. Did you mean `egg_days`?",
        "`l1_days`: the range [16, 9] falls. Write [9, 16].",
        "`l2_days`: [9, 9] is a point",
        "`l3_days`: `range` must be two numbers",
        "`larva_days`: the field `source` is missing.",
        "`pupa_days`: `likely` 20 lies outside [9, 16].",
        "the source `common practise` names no year. Did you mean `common practice, no source`?",
        "`cell_days`: a mapping was expected, not `40`.",
        "`kept`: `is` cannot be `pair`.",
        "`cannibal`: `is` names nothing. Expected one of: yes, no, crowded.",
        "`temperature`: unknown field `lavae`. Did you mean `larvae`?",
        "`temperature`, cell: [20, 99] is outside what is possible. Expected 0 to 45 °C.",
        "`moisture`, laying: the field `is` is missing.",
        "`active_days`: the field `range` is missing.",
        "`active_days`: the field `source` is missing.",
    ]
    text = "\n".join(found)
    assert [w for w in wanted if w not in text] == []
    assert len(found) == len(wanted)
    assert all(line.startswith("1.yaml:") for line in found)
    assert [int(line.split(":")[1]) for line in found] == sorted(int(line.split(":")[1]) for line in found)


def test_values_that_cannot_all_be_true_are_told() -> None:
    found = problems(
        """
        species: Aa bb
        l1_days: {range: [20, 30], source: estimate}
        l2_days: {range: [20, 30], source: estimate}
        larva_days: {range: [30, 39], source: estimate}
        """
    )
    assert found == [
        "1.yaml:5:1  species `Aa bb`: `larva_days` ends at 39, but l1_days and l2_days take 40 at the least."
    ]


def test_two_files_of_one_layer_may_not_speak_for_one_species() -> None:
    assert problems("species: Aa bb", "species: Aa bb") == [
        "2.yaml:1:1  `Aa bb` stands in 1.yaml too. Keep one of them."
    ]


def test_a_keepers_file_takes_the_place_of_a_shipped_one_or_leaves_it_out() -> None:
    base = [
        yamlfile.parse("species: Aa bb\negg_days: {range: [9, 16], source: estimate}", "a.yaml"),
        yamlfile.parse("species: Cc dd", "c.yaml"),
    ]
    mine = [
        yamlfile.parse("species: Aa bb\npupa_days: {range: [9, 16], source: estimate}", "m.yaml"),
        yamlfile.parse("species: Cc dd\noff: true", "n.yaml"),
    ]
    found = species([base, mine])
    assert list(found) == ["Aa bb"]
    assert found["Aa bb"].range("egg_days") is None  # replaced whole: no value is left over from before
    assert found["Aa bb"].range("pupa_days") is not None
    with pytest.raises(BadInput, match=r"there is no species `Cc dx` to leave out\. Did you mean `Cc dd`"):
        species([base, [yamlfile.parse("species: Cc dx\noff: true", "n.yaml")]])


@pytest.mark.parametrize("preset", PRESETS.values(), ids=lambda p: p.name)
def test_the_schema_and_the_parser_agree_on_each_value(preset) -> None:  # type: ignore[no-untyped-def]
    """A value one accepts the other accepts; a word in the wrong place both refuse."""
    if preset.kind == "range":
        good = f"{{range: [{preset.low + 1:g}, {min(preset.high, preset.low + 3):g}], source: estimate}}"
    else:
        good = f"{{is: '{preset.words[0]}', source: estimate}}"
    bad = "{is: nonsense, range: [1, 2], source: estimate}"
    for entry, fine in ((good, True), (bad, False)):
        text = f"species: Aa bb\n{preset.name}: " + (f"{{{preset.by[0]}: {entry}}}" if preset.by else entry)
        document = yamlfile.parse(text, "x.yaml")
        valid = jsonschema.Draft202012Validator(schema()).is_valid(document.data)
        assert valid is fine
        if fine:
            species([[document]])
        else:
            with pytest.raises(BadInput):
                species([[document]])


ELSEWHERE = {"rounds/husbandry/species.py", "rounds/husbandry/species_file.py"}
"""Where values are listed and parsed, which uses none of them."""


def test_every_value_a_file_may_give_is_used_somewhere() -> None:
    """In the code by its name in quotes, or in a checklist between braces."""
    root = CONFIG.parent
    if not (root / "rounds").is_dir():
        root = Path(__file__).parents[2]
    texts = [
        path.read_text(encoding="utf-8")
        for path in sorted((root / "rounds").rglob("*.py"))
        if path.relative_to(root).as_posix() not in ELSEWHERE
    ]
    code = "\n".join(texts)
    lists = "\n".join(p.read_text(encoding="utf-8") for p in sorted((CONFIG / "checklists").glob("*.yaml")))
    own = (root / "rounds/husbandry/species.py").read_text(encoding="utf-8")
    instars = {"l1_days", "l2_days", "l3_days", "instars", "larva_days"}
    assert "species.larva_days()" in code
    assert all(f'"{name}"' in own for name in ("l1_days", "l2_days", "instars"))  # hatch spans, larva_days()
    unused = {
        name
        for name in PRESETS
        if name not in instars and f'"{name}"' not in code and f"{{{name}}}" not in lists
    }
    assert unused <= {"pupa_days"}, "what waits for forecasts of emergence"
    given = {key.partition("/")[0] for one_ in shipped().values() for key in (*one_.ranges, *one_.texts)}
    assert given == set(PRESETS)
