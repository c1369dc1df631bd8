"""Seasons, batches and arrivals from a ledger written down by hand."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from rounds.analysis.season import LineSeason, season, within
from rounds.analysis.young_fates import STAGES, Count, Loss
from rounds.records.ledger import Ledger
from rounds.records.origins import descendants, enclosures_of
from rounds.records.tables import TABLES
from rounds.reports.as_text import as_text
from rounds.reports.season_report import season_report
from rounds.values.spans import Span

FIRST, LAST = 739_000, 739_364
D = Span(739_100, 739_100)


def books(**tables: list[dict[str, Any]]) -> Ledger:
    """Rows by table, numbered from 1; columns left out take their defaults."""
    out = {}
    for name, rows in tables.items():
        out[name] = {i: TABLES[name](id=i, **row) for i, row in enumerate(rows, 1)}
    return Ledger(out)


def one(ledger: Ledger) -> LineSeason:
    (found,) = season(ledger, FIRST, LAST)
    return found


BASE: dict[str, list[dict[str, Any]]] = {
    "line": [{"name": "UMBER", "species": "Mecynorhina torquata"}],
    "enclosure": [
        {"code": "TL-1", "number": 1, "stage": "laying"},
        {"code": "TL-2", "number": 2, "stage": "larvae"},
    ],
    "animal": [{"line": 1, "number": "1", "sex": "f"}, {"line": 1, "number": "2", "sex": "m"}],
    "pairing": [{"name": "P-1", "female": 1, "since": D, "paternity": "certain"}],
    "pairing_male": [{"pairing": 1, "male": 2, "since": D}],
    "search": [{"enclosure": 1, "pairing": 1, "made": D, "complete": True, "eggs": 6, "l1": 20}],
    "brood": [
        {"name": "U-1", "line": 1, "pairing": 1, "search": 1, "found": D, "instar": "eggs", "unsexed": 6},
        {"name": "U-2", "line": 1, "pairing": 1, "search": 1, "found": D, "instar": "L1", "unsexed": 20},
    ],
    "content": [
        {"enclosure": 2, "line": 1, "brood": 1, "unsexed": 3, "instar": "L1", "since": D},
        {"enclosure": 2, "line": 1, "brood": 2, "unsexed": 9, "instar": "L2", "since": D},
    ],
    "fewer": [
        {"content": 1, "line": 1, "brood": 1, "how": "dead", "unsexed": 1, "instar": "eggs", "made": D},
        {"content": 2, "line": 1, "brood": 2, "how": "dead", "unsexed": 2, "instar": "L1", "made": D},
        {"content": 2, "line": 1, "brood": 2, "how": "missing", "unsexed": 4, "instar": "L1", "made": D},
        {"content": 2, "line": 1, "brood": 2, "how": "given away", "unsexed": 3, "instar": "L2", "made": D},
        {"content": 2, "line": 1, "brood": 2, "how": "numbered", "unsexed": 1, "instar": "L2", "made": D},
    ],
}


def bent(**more: list[dict[str, Any]]) -> Ledger:
    return books(**{**BASE, **more})


def test_every_loss_stands_beside_the_number_that_entered_its_stage() -> None:
    s = one(bent())
    assert (s.eggs, s.larvae, s.broods, s.undated) == (Count(6), Count(20), 2, 0)
    assert (s.pairings, s.searches, s.complete) == (1, 1, 1)
    by = {x.stage: x for x in s.losses}
    assert (by["eggs"].of, by["eggs"].dead) == (Count(6), 1)
    # Three eggs were seen to have gone on and twenty were first seen as L1; of two eggs nobody knows.
    assert (by["L1"].of, by["L1"].perhaps, by["L1"].dead, by["L1"].missing) == (Count(23), 2, 2, 4)
    # Nine are there as L2, three were given away and one got its number as L2; the one is not followed.
    assert (by["L2"].of, by["L2"].given, by["L2"].dead) == (Count(13), 3, 0)
    assert by["L3"].of == Count(0)
    assert (s.numbered, s.here, s.unexplained) == (1, Count(12), Count(3))


def test_what_nobody_knows_is_counted_both_ways_in_what_was_lost() -> None:
    """Worked by hand from the rows above."""
    by = {x.stage: x for x in one(bent()).losses}
    # Eggs: one found dead of six; of two nobody knows.
    assert shares(by["eggs"]) == (1 / 6, 3 / 6)
    # L1: two dead, four not found again, one L1 unexplained, and two eggs that may have hatched and died.
    assert shares(by["L1"]) == (2 / 25, (2 + 4 + 1 + 2) / 25)
    # L2: nobody was found dead. The one that got a number, the L1 not found again (4), the unexplained (1 + 2).
    assert shares(by["L2"]) == (0, (1 + 4 + 1 + 2) / (13 + 4 + 1 + 2))


def shares(loss: Loss) -> tuple[float | None, float | None]:
    return loss.lost_at_least, loss.lost_at_most


def test_a_share_that_is_not_known_is_not_called_none() -> None:
    """Eggs that nobody saw hatch: between none and all of them may be lost."""
    eggs = one(bent(fewer=[], content=[]))
    assert shares({x.stage: x for x in eggs.losses}["eggs"]) == (0, 1)
    text = as_text(season_report([eggs], FIRST, LAST))
    (row,) = [x for x in text.splitlines() if x.split()[:2] == ["UMBER", "eggs"]]
    assert row.endswith("not known")
    assert "0%" not in text.replace("100%", "")


def test_an_instar_that_nobody_reached_has_nobody_in_it() -> None:
    """Larvae last seen as L1 have not come to L2 as far as anybody knows."""
    content = [{"enclosure": 2, "line": 1, "brood": 2, "unsexed": 20, "instar": "L1", "since": D}]
    by = {x.stage: x for x in one(bent(content=content, fewer=[])).losses}
    assert (by["L1"].of, by["L2"].of, by["L3"].of) == (Count(20), Count(0), Count(0))
    assert by["L2"].perhaps == 26


def test_young_that_got_numbers_are_followed_under_them() -> None:
    """A numbered larva that dies is a loss at the instar it was seen at, not a young one that left its group."""
    brood = [{"name": "U", "line": 1, "found": D, "instar": "L2", "unsexed": 4}]
    animals = [
        {"line": 1, "number": "1", "brood": 1, "state": "dead", "died": D},
        {"line": 1, "number": "2", "brood": 1, "cell": D, "state": "dead", "died": D},
        {"line": 1, "number": "3", "brood": 1, "emerged": D, "state": "dead", "died": D},
        {"line": 1, "number": "4", "brood": 1, "state": "missing"},
    ]
    content = [
        {"enclosure": 2, "line": 1, "brood": 1, "unsexed": 0, "instar": "L3", "since": D, "until": D},
        *({"enclosure": 2, "animal": n, "instar": "L3", "since": D, "until": D} for n in (1, 2, 3, 4)),
    ]
    fewer = [
        {"content": 1, "brood": 1, "how": "numbered", "animal": n, "instar": "L2", "unsexed": 1, "made": D}
        for n in (1, 2, 3, 4)
    ]
    s = one(
        books(
            line=BASE["line"],
            enclosure=BASE["enclosure"],
            brood=brood,
            animal=animals,
            content=content,
            fewer=fewer,
        )
    )
    by = {x.stage: x for x in s.losses}
    assert (s.numbered, s.unexplained, s.here) == (4, Count(0), Count(0))
    assert (by["L2"].of, by["L2"].dead, by["L3"].of, by["L3"].dead, by["L3"].missing) == (
        Count(4),
        0,
        Count(4),
        1,
        1,
    )
    assert (by["cell"].of, by["cell"].dead) == (Count(2), 1)


def test_more_than_was_counted_in_one_brood_hides_nobody_of_another() -> None:
    brood = [
        {"name": "U", "line": 1, "found": D, "instar": "L1", "unsexed": 5, "at_least": True},
        {"name": "V", "line": 1, "found": D, "instar": "L1", "unsexed": 6},
    ]
    content = [{"enclosure": 2, "line": 1, "brood": 1, "unsexed": 9, "instar": "L3", "since": D}]
    s = one(books(line=BASE["line"], enclosure=BASE["enclosure"], brood=brood, content=content))
    assert s.unexplained == Count(6)


def test_eggs_nobody_saw_again_stay_unknown() -> None:
    s = one(bent())
    assert (s.hatched, s.hatch_unknown) == (Count(3), Count(2))
    nobody = one(bent(content=[], fewer=[]))
    assert (nobody.hatched, nobody.hatch_unknown) == (Count(0), Count(6))
    assert nobody.unexplained == Count(26)


def test_at_least_is_carried_into_every_total() -> None:
    broods = [{**BASE["brood"][0], "at_least": True}, BASE["brood"][1]]
    s = one(bent(brood=broods))
    assert s.eggs.at_least
    assert not s.larvae.at_least
    assert s.hatch_unknown.at_least
    assert all(x.of.at_least for x in s.losses if x.stage in ("eggs", "L1"))
    assert "at least 6" in as_text(season_report([s], FIRST, LAST))


def test_what_may_lie_in_the_season_is_told_apart() -> None:
    vague = Span(FIRST - 10, FIRST + 10, "about then")
    broods = [{**BASE["brood"][0], "found": vague}, {**BASE["brood"][1], "found": Span(FIRST - 9, FIRST - 9)}]
    animals = [{**BASE["animal"][0], "died": vague, "state": "dead"}, {**BASE["animal"][1], "emerged": D}]
    s = one(bent(brood=broods, animal=animals))
    assert (s.broods, s.undated, s.eggs, s.larvae) == (0, 1, Count(0), Count(0))
    assert (s.emerged, s.died, s.maybe) == (1, 0, 1)
    assert [within(x, FIRST, LAST) for x in (None, D, vague, Span(1, 2))] == [None, True, None, False]


def test_void_rows_and_animals_of_others_are_not_counted() -> None:
    animals = [
        *BASE["animal"],
        {"line": 1, "number": "3", "emerged": D, "owner": "Nine Alders"},
        {"line": 1, "number": "4", "emerged": D, "void": True},
    ]
    fewer = [*BASE["fewer"], {**BASE["fewer"][1], "void": True}]
    assert one(bent(animal=animals, fewer=fewer)) == one(bent())
    # The control: without `void` and `owner` they count.
    counted = one(bent(animal=[*BASE["animal"], {"line": 1, "number": "3", "emerged": D}]))
    assert counted.emerged == 1


def test_a_split_brood_counts_once() -> None:
    broods = [
        *BASE["brood"],
        {"name": "U-2a", "line": 1, "pairing": 1, "parent": 2, "found": D, "instar": "L1", "unsexed": 9},
    ]
    contents = [BASE["content"][0], {**BASE["content"][1], "brood": 3}]
    s = one(bent(brood=broods, content=contents))
    assert (s.larvae, s.broods, s.here) == (Count(20), 2, Count(12))


@given(
    n=st.integers(0, 40),
    gone=st.lists(
        st.tuples(
            st.sampled_from(["dead", "missing", "given away", "numbered"]),
            st.sampled_from(["L1", "L2", "L3"]),
            st.integers(1, 5),
        ),
        max_size=6,
    ),
)
def test_nothing_is_counted_twice_and_nothing_is_made_up(n: int, gone: list[tuple[str, str, int]]) -> None:
    total = n + sum(k for *_, k in gone)
    if not total:
        return
    s = one(
        books(
            line=BASE["line"],
            enclosure=BASE["enclosure"],
            brood=[{"name": "U", "line": 1, "found": D, "instar": "L1", "unsexed": total}],
            content=[{"enclosure": 2, "line": 1, "brood": 1, "unsexed": n, "instar": "L3", "since": D}],
            fewer=[
                {"content": 1, "brood": 1, "how": how, "instar": at, "unsexed": k, "made": D}
                for how, at, k in gone
            ],
        )
    )
    lost = sum(x.dead + x.missing + x.given for x in s.losses)
    assert lost + s.numbered + s.here.n + s.unexplained.n == total
    assert s.unexplained == Count(0)
    for x in s.losses:
        assert x.dead + x.missing + x.given <= x.of.n


@given(st.data())
def test_bounds_hold_whatever_became_of_those_nobody_saw(data: st.DataObject) -> None:
    """Lives are drawn in full, what is seen of them is written down, and the true shares lie within."""
    order = ("eggs", "L1", "L2", "L3")
    start = data.draw(st.integers(0, 3))
    # Of each: the stage it really ended at, dead or alive, and the stage it was last seen at (None: not again).
    lives = data.draw(
        st.lists(
            st.integers(start, 3).flatmap(
                lambda end: st.tuples(
                    st.just(end),
                    st.booleans(),
                    st.sampled_from(["seen", "missing", "nobody"]),
                    st.integers(start, end),
                )
            ),
            min_size=1,
            max_size=12,
        )
    )
    content, fewer = [], []
    for end, dead, known, last in lives:
        if known == "missing":
            fewer.append({"brood": 1, "how": "missing", "instar": order[last], "unsexed": 1, "made": D})
        elif known == "seen" and dead:
            fewer.append({"brood": 1, "how": "dead", "instar": order[end], "unsexed": 1, "made": D})
        elif known == "seen":
            content.append({"enclosure": 2, "brood": 1, "unsexed": 1, "instar": order[end], "since": D})
    brood = [{"name": "U", "line": 1, "found": D, "instar": order[start], "unsexed": len(lives)}]
    s = one(books(line=BASE["line"], enclosure=BASE["enclosure"], brood=brood, content=content, fewer=fewer))
    for loss in s.losses:
        stage = STAGES.index(loss.stage)
        came = [(end, dead) for end, dead, _, _ in lives if STAGES.index(order[end]) >= stage]
        if stage < STAGES.index(order[start]) or not came:
            continue
        lost = sum(dead for end, dead in came if STAGES.index(order[end]) == stage) / len(came)
        low, high = shares(loss)
        assert low is not None
        assert high is not None or not loss.of.n
        assert low <= lost + 1e-12
        assert high is None or lost <= high + 1e-12


def test_the_enclosures_of_a_batch() -> None:
    early, late = Span(5, 5), Span(9, 9)
    ledger = bent(
        batch=[{"name": "S-1"}, {"name": "S-2"}],
        batch_use=[
            {"batch": 1, "enclosure": 2, "given": late, "litres": 2.0},
            {"batch": 1, "enclosure": 1, "given": early},
            {"batch": 2, "enclosure": 1, "given": early},
            {"batch": 1, "enclosure": 1, "given": late, "void": True},
        ],
    )
    assert [(u.enclosure, u.given, u.litres) for u in enclosures_of(ledger, 1)] == [
        (1, early, None),
        (2, late, 2.0),
    ]


def test_descendants_are_found_by_papers_parents_pairings_and_lines() -> None:
    ledger = books(
        lot=[{"name": "A"}, {"name": "B"}],
        line=[{"name": "U", "lot": 1}, {"name": "K"}],
        enclosure=BASE["enclosure"],
        animal=[
            {"line": 1, "number": "1", "sex": "f", "lot": 1},
            {"line": 1, "number": "2", "sex": "m"},  # of its line, no parents recorded
            {"line": 2, "number": "3", "sex": "m"},  # a stranger
            {"line": 1, "number": "4", "dam": 1, "sire": 3},
            {"line": 1, "number": "5", "brood": 1},
            {"line": 2, "number": "6", "brood": 2},
            {"line": 2, "number": "7", "sire": 3},
            {"line": 2, "number": "8", "dam": 4},
        ],
        pairing=[{"name": "P", "female": 1, "paternity": "open"}, {"name": "Q", "paternity": "likely"}],
        pairing_male=[{"pairing": 1, "male": 3}, {"pairing": 2, "male": 4}],
        brood=[
            {"name": "a", "line": 1, "pairing": 1},
            {"name": "b", "line": 2, "pairing": 2},
            {"name": "c", "line": 1, "parent": 1},
        ],
        content=[
            {"enclosure": 1, "brood": 3, "unsexed": 4, "line": 1},
            {"enclosure": 2, "lot": 1, "unsexed": 2},
            {"enclosure": 2, "lot": 2, "unsexed": 2},
        ],
    )
    found = descendants(ledger, 1)
    animals = {d.animal: (d.generation, d.certain) for d in found if d.animal}
    assert animals == {1: (0, True), 2: (0, False), 4: (1, True), 5: (1, True), 6: (2, False), 8: (2, True)}
    assert {d.content: (d.generation, d.certain) for d in found if d.content} == {1: (1, True), 2: (0, True)}
    assert {(d.animal, d.content) for d in found if d.came} == {(1, None), (None, 2)}
    assert {d.animal for d in descendants(ledger, 2)} == {None}


def test_a_line_of_descent_without_an_end_ends() -> None:
    """Books that are wrong (its own ancestor) must not hang a listing."""
    ledger = books(
        lot=[{"name": "A"}],
        line=[{"name": "U"}],
        animal=[{"line": 1, "number": "1", "lot": 1, "dam": 2}, {"line": 1, "number": "2", "dam": 1}],
    )
    assert {d.animal for d in descendants(ledger, 1)} == {1, 2}
