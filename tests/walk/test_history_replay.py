"""Enclosures as they were on a past day: stage, inmates, species and shelf, and nothing that is not certain."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts.act import ActInput
from rounds.acts.life import set_stage
from rounds.cli import run
from rounds.config import read
from rounds.files.load import load_folder
from rounds.husbandry.stages import STAGES
from rounds.problems import RoundsError
from rounds.records.ledger import Draft, Ledger, Set
from rounds.records.observations import EnclosureState, House
from rounds.records.tables import Animal, Content, Enclosure, Fewer, Line, StagePast
from rounds.settings.layers import layers
from rounds.store.book import create, open_book
from rounds.store.read import enclosures
from rounds.text.cleaning import day_words, long_day
from rounds.values.spans import LAST, Span
from rounds.walk import history_replay
from rounds.walk.history_replay import Was
from rounds.walk.past import HISTORY_VISITS
from tests.files.folders import HOUSE, write
from tests.screens.house import DAY

CONFIG = read(layers(None)[:1])
D = 739_000


def box_of(ledger: Ledger, id_: int) -> EnclosureState:
    box = ledger.row(Enclosure, id_)
    return EnclosureState(id_, box.code, box.number, box.stage, box.stage_since, None, 0, box.species)


def books(**more: Any) -> tuple[Draft, int]:
    draft = Draft(Ledger())
    return draft, draft.add(
        Enclosure(code="T-01", number=1, **{"stage": "prepared", "stage_since": on(D), **more})
    )


def on(day: int) -> Span:
    return Span(day, day)


def told(when: Span) -> ActInput:
    """An act that was told this day."""
    return ActInput(0, {"on": when}, when.latest)


@given(st.lists(st.tuples(st.integers(1, 30), st.sampled_from(STAGES)), max_size=8))
def test_each_day_has_the_stage_it_was_given_then(steps: list[tuple[int, str]]) -> None:
    draft, box = books()
    day, model = D, {D: "prepared"}
    for gap, stage in steps:
        day += gap
        set_stage(draft, told(on(day)), box, stage)
        model[day] = stage
    was, now = Was(draft.ledger), box_of(draft.ledger, box)
    for asked in range(D, day + 3):
        begun = max(d for d in model if d <= asked)
        then = was.on(now, asked)
        assert then is not None
        assert then.stage == model[begun]
        assert then.stage_since is not None
        assert then.stage_since.latest <= asked
    assert was.on(now, D - 1) is None


def test_days_within_a_span_belong_to_neither_stage() -> None:
    draft, box = books(stage="larvae")
    set_stage(draft, told(Span(D + 10, D + 14, "about")), box, "cell")
    was, now = Was(draft.ledger), box_of(draft.ledger, box)
    found = [then.stage if (then := was.on(now, D + n)) else "" for n in (9, 10, 13, 14)]
    assert found == ["larvae", "", "", "cell"]


def test_an_unknown_beginning_goes_back_and_an_unknown_end_claims_nothing() -> None:
    draft, box = books(stage="larvae", stage_since=None)
    set_stage(draft, told(on(D + 10)), box, "cell")
    was, now = Was(draft.ledger), box_of(draft.ledger, box)
    assert [getattr(was.on(now, D + n), "stage", "") for n in (-900, 9, 10)] == ["larvae", "larvae", "cell"]
    loose, box = books(stage="cell", stage_since=on(D + 10))
    loose.add(StagePast(enclosure=box, stage="larvae", since=on(D), until=None))
    was, now = Was(loose.ledger), box_of(loose.ledger, box)
    assert [getattr(was.on(now, D + n), "stage", "") for n in (0, 9, 10)] == ["", "", "cell"]


def test_a_stage_that_was_undone_was_never_there() -> None:
    draft, box = books(stage="larvae")
    set_stage(draft, told(on(D + 10)), box, "cell")
    (past,) = (past.id for past in draft.ledger.rows(StagePast))
    undone = draft.ledger.after(
        [
            Set("stage_past", past, "void", False, True),
            Set("enclosure", box, "stage", "cell", "larvae"),
            Set("enclosure", box, "stage_since", on(D + 10), on(D)),
        ]
    )
    then = Was(undone).on(box_of(undone, box), D + 12)
    assert then is not None
    assert (then.stage, then.stage_since) == ("larvae", on(D))


def test_who_was_there_with_those_lost_later_and_their_species() -> None:
    draft, box = books(species="Pachnoda marginata", stage="larvae")
    umber = draft.add(Line(name="UMBER", species="Mecynorhina torquata"))
    loch = draft.add(Line(name="LOCH", species="Dicronorhina derbyana"))
    animal = draft.add(Animal(line=umber, number="007", sex="m"))
    group = draft.add(
        Content(
            enclosure=box,
            line=loch,
            unsexed=4,
            at_least=True,
            instar="L2",
            since=on(D),
            until=on(D + 20),
        )
    )
    draft.add(Fewer(content=group, line=loch, how="dead", unsexed=2, instar="L2", made=on(D + 5)))
    draft.add(Fewer(content=group, line=loch, how="missing", males=1, unsexed=1, instar="L2", made=on(D + 9)))
    draft.add(Content(enclosure=box, animal=animal, line=umber, since=Span(D + 15, D + 17, "about")))
    was, now = Was(draft.ledger), box_of(draft.ledger, box)

    def there(day: int) -> tuple[list[tuple[str, str, int, int]], str]:
        then = was.on(now, D + day)
        assert then is not None
        return [(c.line, c.animal, c.males, c.unsexed) for c in then.contents], then.species

    def together(day: int) -> tuple[int, int]:
        then = was.on(now, D + day)
        assert then is not None
        return then.company.same_since - D, then.company.oldest_since - D

    assert together(9) == (0, 0)
    assert together(18) == (17, 0)  # he has come by then, for certain
    assert together(21) == (20, 17)  # the group has left
    dicronorhina = "Dicronorhina derbyana"
    assert there(4) == ([("LOCH", "", 1, 7)], dicronorhina)
    assert there(5) == ([("LOCH", "", 1, 5)], dicronorhina)
    assert there(16) == ([("LOCH", "", 0, 4)], dicronorhina)  # he may not have come yet
    assert there(19) == (
        [("LOCH", "", 0, 4), ("UMBER", "007", 0, 0)],
        "Pachnoda marginata",
    )  # two kinds: what it is for
    assert there(20) == ([("UMBER", "007", 0, 0)], "Mecynorhina torquata")
    then = was.on(now, LAST)
    assert then is not None
    assert then.contents[0].sex == "m"


PAST = "enclosure,stage,since,until\nTL-001,holding,2026-01-05,2026-02-01\n"
VISITS = "visit,at,keeper,enclosure,seq,place,skipped,note\n"


def loaded(tmp_path: Path, visits: list[tuple[str, str, str]], past: str = PAST) -> Path:
    """A book whose box TL-001 was visited at (day, place, moisture)."""
    rows = VISITS + "".join(
        f"v{n},{day}T07:30,Ferrow,TL-001,1,{place},,\n" for n, (day, place, _) in enumerate(visits)
    )
    read_ = "visit,reading,depth,value,how\n" + "".join(
        f"v{n},moisture,wall,{m},read\n" for n, (_, _, m) in enumerate(visits)
    )
    path = tmp_path / "book.sqlite"
    tables = {**HOUSE, "visits": rows, "readings": read_, **({"stage_past": past} if past else {})}
    with create(path, House("", "UTC")) as book:
        load_folder(write(tmp_path / "tables", tables), book, CONFIG.vocabulary)
    return path


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def test_a_stay_ends_with_the_stage_and_with_the_shelf(tmp_path: Path) -> None:
    days = ("2025-12-30", "2026-01-20", "2026-01-21", "2026-02-01", "2026-02-02", "2026-02-03")
    visits = [(day, "B3-2" if day == "2026-02-02" else "", "wet") for day in days]
    with open_book(loaded(tmp_path, visits), readonly=True) as book:
        found = list(history_replay.stays(book, CONFIG, DAY - 90, DAY))
    assert [(s.enclosure.stage, iso(s.first), iso(s.last)) for s in found] == [
        ("holding", "2026-01-20", "2026-01-21"),
        ("pairing", "2026-02-01", "2026-02-01"),
        ("pairing", "2026-02-02", "2026-02-02"),
        ("pairing", "2026-02-03", "2026-02-03"),
    ]
    assert [len(s.visits) for s in found] == [6] * 4  # what came before serves as history
    # The pair came on 1 February; who was there before is not in the books.
    assert [[c.animal for c in s.enclosure.contents] for s in found] == [
        [],
        ["1", "2"],
        ["1", "2"],
        ["1", "2"],
    ]


def replayed(book: Path, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, dict[str, Any]]:
    assert run(["--book", str(book), "--today", iso(DAY), "rules", "replay", "--as", "json", *more]) == 0
    return {c["rule"]: c for c in json.loads(capsys.readouterr().out)["rules"]}


def test_replay_judges_the_stage_of_the_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three wet looks are too many for a beetle's box, not for a pair's."""
    wet = [(iso(DAY - ago), "", "wet") for ago in (50, 49, 48, 20, 19, 18)]
    found = replayed(loaded(tmp_path, wet), capsys, "--from", iso(DAY - 60))["wet-too-long"]
    assert (found["visits"], found["raised"], found["enclosures"]) == (3, 1, 1)


def test_replay_claims_nothing_for_a_stage_nobody_wrote_down(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The control of the test above: without the past stage the same looks cannot be judged."""
    wet = [(iso(DAY - ago), "", "wet") for ago in (50, 49, 48, 20, 19, 18)]
    found = replayed(loaded(tmp_path, wet, past=""), capsys, "--from", iso(DAY - 60))
    assert found["wet-too-long"]["visits"] == 0
    assert found["standing-water"]["visits"] == 3


def test_replay_wants_its_days_in_order(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = loaded(tmp_path, [])
    assert run(["--book", str(book), "rules", "replay", "--from", "2026-02-02", "--to", "2026-02-01"]) == 2
    assert "--from is after --to" in capsys.readouterr().err


def test_a_walk_and_a_replay_look_back_on_as_many_visits(tmp_path: Path) -> None:
    daily = [(iso(DAY - ago), "", "dry") for ago in range(55, -1, -1)]
    with open_book(loaded(tmp_path, daily), readonly=True) as book:
        now = history_replay.visits_until(book, 1, DAY)
        assert (len(now), iso(now[-1].day)) == (HISTORY_VISITS, iso(DAY))
        then = history_replay.visits_until(book, 1, DAY - 5)
        assert (len(then), iso(then[-1].day)) == (HISTORY_VISITS, iso(DAY - 5))
        assert history_replay.visits_until(book, 1, DAY - 56) == []
        assert history_replay.visits_until(book, 2, DAY) == []


def test_explain_says_of_which_look_it_speaks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = loaded(tmp_path, [(iso(DAY - ago), "", "wet") for ago in (50, 3)])
    for day, said, look in (
        (DAY, f"TL-001, pairing: on the visit of {long_day(DAY - 3)}", iso(DAY - 3)),
        (DAY - 28, "TL-001, pairing: nobody has looked since it came into this stage", None),
        (DAY - 50, f"TL-001, holding: on the visit of {long_day(DAY - 50)}", iso(DAY - 50)),
    ):
        assert run(["--book", str(book), "--today", iso(day), "rules", "explain", "1"]) == 0
        out, err = capsys.readouterr()
        assert (out.splitlines()[0], err) == (said, "")
        assert {c["look"] for c in explained(book, capsys, day).values()} == {look}
        water = next(line for line in out.splitlines() if line.startswith("standing-water"))
        assert water.startswith("standing-water: unknown" if day == DAY - 28 else "standing-water: no")


def explained(book: Path, capsys: pytest.CaptureFixture[str], day: int) -> dict[str, dict[str, Any]]:
    assert run(["--book", str(book), "--today", iso(day), "rules", "explain", "TL-001", "--as", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    of = {name: found[name] for name in ("enclosure", "stage", "look")}
    return {c["rule"]: {**of, **c} for c in found["rules"]}


def test_explain_looks_further_back_than_a_fortnight(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    weekly = [(iso(DAY - ago), "", "dry") for ago in (28, 20)]
    found = explained(loaded(tmp_path, weekly), capsys, DAY)["dry-too-long"]
    assert found["verdict"] == "yes"
    assert found["because"] == f"Too dry at every visit since {day_words(DAY - 28)}."


def test_explain_of_a_past_day_is_of_the_stage_it_was_in_then(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = loaded(tmp_path, [(iso(DAY - ago), "", "wet") for ago in (50, 49, 48, 3)])
    assert explained(book, capsys, DAY - 48)["wet-too-long"]["verdict"] == "yes"
    assert "wet-too-long" not in explained(book, capsys, DAY)  # pairs may be wet
    with open_book(book, readonly=True) as opened:
        pair = next(e for e in enclosures(opened) if e.id == 1)
        with pytest.raises(RoundsError, match="TL-001: the book does not say for certain"):
            history_replay.on_day(opened, pair, DAY - 80)
