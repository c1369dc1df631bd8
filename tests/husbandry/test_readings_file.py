"""readings.yaml: everything wrong in it is told at once, with its place; what is right is read as it stands."""

from __future__ import annotations

import pytest

from rounds.husbandry import readings_sentences
from rounds.husbandry.readings_file import vocabulary
from rounds.husbandry.stages import STAGES, Depth
from rounds.problems import BadInput
from rounds.settings import yamlfile
from rounds.settings.layers import layers

GOOD = """\
readings:
  - {id: gone, title: jelly eaten, type: count, unit: ¼ cup, limits: [0, 9], key: j, about: What went.}
  - id: moisture
    type: choice
    key: m
    values: [{id: dry}, {id: right, title: as it should be}, {id: wet}]
  - {id: lid, type: tick}
  - {id: temp, type: count, subject: shelf, limits: [0, 45], decimals: 1}
every_shelf: [temp]
skips: [{id: time, title: no time}]
stages:
""" + "\n".join(
    f"  {stage}: {{starts_at: lid, wall: [moisture, lid], lid: [gone], first: [gone], "
    "usual: {gone: history, moisture: [right, dry], lid: true}, usual_for: {Dry one: {moisture: dry}}}"
    for stage in STAGES
)


def read(*texts: str):
    return vocabulary([yamlfile.parse(t, f"own{i}.yaml") for i, t in enumerate(texts)])


def problems(*texts: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(*texts)
    return [str(p) for p in caught.value.problems]


def test_a_good_file_is_read_as_it_stands() -> None:
    words = read(GOOD)
    assert [c.key for c in words.kinds["moisture"].choices] == ["1", "2", "3"]
    assert words.kinds["moisture"].choice("right").title == "as it should be"
    assert words.kinds["gone"].one_digit
    assert not words.kinds["temp"].one_digit
    assert words.kinds["temp"].plausible is None
    narrowed = read(GOOD.replace("decimals: 1}", "decimals: 1, plausible: [8, 38]}"))
    assert narrowed.kinds["temp"].plausible == (8.0, 38.0)
    plan = words.stages["laying"]
    assert plan.starts_at is Depth.LID
    assert plan.asked[Depth.WALL] == ("moisture", "lid")
    assert plan.usual_value("moisture", "") == "right"
    assert plan.usual_value("moisture", "Dry one") == "dry"
    assert plan.is_fine("moisture", "", "dry") is True
    assert plan.is_fine("moisture", "", "wet") is False
    assert plan.is_fine("gone", "", 4) is None
    assert words.every_shelf == ("temp",)
    assert [s.title for s in words.skips] == ["no time"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "type: tick",
            "type: tik",
            "own0.yaml:7:15  reading `lid`: `type` cannot be `tik`. Did you mean `tick`?",
        ),
        ("title: jelly eaten", "titel: jelly eaten", "unknown field `titel`. Did you mean `title`?"),
        ("limits: [0, 9]", "limits: [9, 0]", readings_sentences.limits_fall("reading `gone`", 9, 0).message),
        (
            "limits: [0, 9]",
            "limits: [0]",
            readings_sentences.limits_are_not_two_numbers("reading `gone`").message,
        ),
        ("limits: [0, 9], ", "", readings_sentences.no_limits("reading `gone`").message),
        (
            "limits: [0, 9]",
            'limits: [0, "9"]',
            readings_sentences.limits_are_not_two_numbers("reading `gone`").message,
        ),
        ("key: j", "key: 7", "`key` must be a text"),
        ("key: j", 'key: "7"', readings_sentences.key_is_not_one_letter("reading `gone`").message),
        ("key: j", "key: jj", readings_sentences.key_is_not_one_letter("reading `gone`").message),
        ("key: j", "key: m", readings_sentences.key_shared("gone", "moisture", "m")),
        ("decimals: 1", "decimals: 9", "0 to 3"),
        ("{id: wet}", "{id: dry}", readings_sentences.answer_twice("reading `moisture`", "dry").message),
        (
            "[{id: dry}, {id: right, title: as it should be}, {id: wet}]",
            "[{id: right}]",
            readings_sentences.too_few_values("reading `moisture`").message,
        ),
        ("{id: lid, type: tick}", "{id: gone, type: tick}", readings_sentences.reading_twice("gone").message),
        ("{id: lid, type: tick}", "{type: tick}", "the field `id` is missing"),
        (
            "every_shelf: [temp]",
            "every_shelf: [tmep]",
            "unknown `tmep` in `every_shelf`. Did you mean `temp`?",
        ),
        ("wall: [moisture, lid]", "wall: [moistur, lid]", "Did you mean `moisture`?"),
        ("starts_at: lid", "starts_at: lip", "Did you mean `lid`?"),
        (
            "gone: history",
            "gone: 12",
            readings_sentences.not_a_usual_value(
                "stage `quarantine`", "expected a number from 0 to 9, or history,", "gone"
            ).message,
        ),
        (
            "moisture: [right, dry]",
            "moisture: rihgt",
            readings_sentences.expected_one_of(["dry", "right", "wet"]),
        ),
        ("lid: true", "lid: yes", "expected true or false"),
        ("  laying:", "  layin:", "unknown stage `layin`"),
        (
            "decimals: 1}",
            "decimals: 1, plausible: [50, 8]}",
            readings_sentences.plausible_outside("reading `temp`", 0.0, 45.0).message,
        ),
        (
            "decimals: 1}",
            "decimals: 1, plausible: [8, 50]}",
            readings_sentences.plausible_outside("reading `temp`", 0.0, 45.0).message,
        ),
        (
            "decimals: 1}",
            "decimals: 1, plausible: [8]}",
            readings_sentences.plausible_outside("reading `temp`", 0.0, 45.0).message,
        ),
        (
            "decimals: 1}",
            "decimals: 1, plausible: [cold, hot]}",
            readings_sentences.plausible_outside("reading `temp`", 0.0, 45.0).message,
        ),
        (
            "decimals: 1}",
            "decimals: 1, plausible: 20}",
            "`plausible` must be",
        ),
        (
            "decimals: 1}",
            "decimals: 1, plausible: [0, 45]}",
            readings_sentences.plausible_says_nothing("reading `temp`").message,
        ),
        (
            "{id: lid, type: tick}",
            "{id: lid, type: tick, plausible: [0, 1]}",
            readings_sentences.plausible_without_a_count("reading `lid`").message,
        ),
        ("subject: shelf", "subject: shelv", "Did you mean `shelf`?"),
        ("skips: [{id: time, title: no time}]", "skips: [{id: time, key: 3}]", "unknown field `key`"),
        (
            "skips: [{id: time, title: no time}]",
            "skip: [{id: time}]",
            "unknown field `skip`. Did you mean `skips`?",
        ),
        ("{id: lid, type: tick}", "lid", "a mapping was expected"),
    ],
)
def test_a_slip_is_told_with_its_place_and_the_nearest_name(old: str, new: str, said: str) -> None:
    found = problems(GOOD.replace(old, new, 1))
    assert any(said in p for p in found), found
    assert all(p.startswith("own0.yaml:") for p in found)


def test_all_slips_are_told_at_once() -> None:
    bad = (
        GOOD.replace("type: tick", "type: tik")
        .replace("key: j", "key: 12")
        .replace("starts_at: lid", "starts_at: lip", 1)
    )
    assert len(problems(bad)) == 3


def test_a_missing_stage_is_told() -> None:
    cut = "\n".join(line for line in GOOD.splitlines() if not line.startswith("  cell:"))
    assert any(readings_sentences.stage_missing("cell").message in p for p in problems(cut))


def test_a_later_file_replaces_by_id_and_adds() -> None:
    own = "readings:\n  - {id: gone, type: count, limits: [0, 20]}\n  - {id: whiff, type: tick}\n"
    words = read(GOOD, own)
    assert (words.kinds["gone"].high, words.kinds["gone"].ask_key) == (20, "")
    assert "whiff" in words.kinds
    assert words.stages == read(GOOD).stages


def test_the_shipped_file_is_right() -> None:
    folder = layers(None)[0].root
    words = vocabulary([yamlfile.read(folder / "readings.yaml")])
    assert set(words.stages) == set(STAGES)
    assert all(k.about for k in words.kinds.values())
