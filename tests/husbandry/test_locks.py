"""What must not be done: what holds on a day, what it forbids, and how that is said."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rounds.acts.act import ActInput
from rounds.acts.act_checks import barred
from rounds.husbandry import lock_sentences, locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import STAGES, Depth
from rounds.records import enclosure_view
from rounds.records.ledger import Draft, Ledger
from rounds.records.observations import House
from rounds.records.tables import Enclosure, Lock
from rounds.store import read
from rounds.store.book import create
from rounds.values.spans import LAST, Span

DAY = date(2026, 3, 1).toordinal()


def until(earliest: int, latest: int) -> Span:
    return Span(DAY + earliest, DAY + latest)


@pytest.mark.parametrize(
    ("end", "holds"), [(until(0, 0), True), (until(-9, -1), False), (until(-9, 1), True), (None, True)]
)
def test_a_lock_holds_until_the_latest_day_of_its_span(end: Span | None, holds: bool) -> None:
    lock = ActiveLock(("dig",), end, "eggs")
    assert (lock in locks.in_force("laying", [lock], DAY)) is holds


def test_stages_bring_their_own_locks_along() -> None:
    assert locks.in_force("cell", [], DAY)[0].forbids == ("dig", "open", "move", "wet")
    assert "dig" in locks.in_force("eggs", [], DAY)[0].forbids
    for stage in set(STAGES) - set(locks.BY_STAGE):
        assert locks.in_force(stage, [], DAY) == ()


def test_the_lock_that_holds_longest_is_the_one_named() -> None:
    short, long, forever = (ActiveLock(("open",), e, "x") for e in (until(1, 2), until(1, 9), None))
    assert locks.forbidding([long, short], "open") is long
    assert locks.forbidding([long, forever, short], "open") is forever
    assert locks.forbidding([long, short], "wet") is None


@pytest.mark.parametrize(
    ("depth", "forbids", "said"),
    [
        (Depth.WALL, ("dig", "open", "move", "wet"), ""),
        (Depth.LID, ("dig",), ""),
        (Depth.LID, ("open",), lock_sentences.locked("open", "3 Mar", "in its cell")),
        (Depth.DUG, ("dig",), lock_sentences.locked("dig", "3 Mar", "in its cell")),
    ],
)
def test_how_closely_one_may_look(depth: Depth, forbids: tuple[str, ...], said: str) -> None:
    held = [ActiveLock(forbids, until(1, 2), "in its cell")]
    assert locks.withheld(held, depth, overridden=False) == said
    assert locks.withheld(held, depth, overridden=True) == "", "foul, hot or flooded outweighs it"


def test_a_lock_in_words_names_the_animal_it_is_for() -> None:
    assert locks.words(ActiveLock(("move",), None, "resting", "UMBER/2")) == lock_sentences.whole(
        ["move"], "", "UMBER/2", "resting"
    )
    assert locks.words(ActiveLock(("dig", "open"), until(1, 2), "eggs")) == lock_sentences.whole(
        ["dig", "open"], "3 Mar", "", "eggs"
    )


# One rule for the books, the database and the screen


@pytest.mark.parametrize(
    ("since", "end", "lifted", "held"),
    [
        (0, until(3, 5), None, (0, 1, 2, 3, 4, 5)),  # the latest day still counts
        (2, until(2, 2), None, (2,)),
        (1, None, None, (1, 2, 3, 4, 5, 6)),
        (1, until(3, 5), 4, (1, 2, 3)),  # not on the day it was lifted
        (0, until(0, 1)._replace(latest=LAST), None, (0, 1, 2, 3, 4, 5, 6)),
    ],
)
def test_every_reader_of_locks_holds_them_on_the_same_days(
    since: int, end: Span | None, lifted: int | None, held: tuple[int, ...], tmp_path: Path
) -> None:
    draft = Draft(Ledger())
    box = draft.add(Enclosure(code="TL-001", number=1, stage="laying"))
    row = {"forbids": "dig", "from_day": DAY + since, "until": end, "reason": "eggs"}
    draft.add(Lock(enclosure=box, **row, lifted=None if lifted is None else DAY + lifted))
    for n in range(7):
        holds = n in held
        assert locks.holds(DAY + n, end, DAY + since, None if lifted is None else DAY + lifted) is holds
        assert bool(enclosure_view.locks(draft.ledger, box, DAY + n)) is holds
    with create(tmp_path / "book.sqlite", House("", "UTC")) as book:
        with book.writing():
            book.run("INSERT INTO enclosure (id, code, number, stage) VALUES (1, 'TL-001', 1, 'laying')")
            book.run(
                "INSERT INTO lock (enclosure, forbids, from_day, until_earliest, until_latest, until_words, reason, lifted)"
                " VALUES (1, 'dig', ?, ?, ?, '', 'eggs', ?)",
                (
                    DAY + since,
                    end and end.earliest,
                    end and end.latest,
                    None if lifted is None else DAY + lifted,
                ),
            )
        for n in range(7):
            assert bool(read.locks(book, DAY + n)) is (n in held)
    if lifted is None and since == 0:
        for n in range(7):  # what the rules of the walk and what acts ask about
            assert bool(locks.in_force("laying", [ActiveLock(("dig",), end, "eggs")], DAY + n)) is (n in held)
            given = ActInput(box, {"on": Span(DAY + n, DAY + n)}, DAY + n)
            assert bool(barred(draft.ledger, box, ("dig",), given, "on")) is (n in held)


@pytest.mark.parametrize(
    ("some", "told"),
    [
        # one of one end
        ([(("dig",), 9, "eggs"), (("wet",), 9, "mould")], ["do not dig or wet through 10 Mar: eggs; mould"]),
        # all that the shorter forbids is forbidden longer
        (
            [(("open", "move"), 9, "in its cell"), (("dig", "open", "move"), None, "a broken cell")],
            ["do not dig, open or move: a broken cell; in its cell"],
        ),
        # less is forbidden longer: it is still said
        (
            [(("dig", "move"), 9, "eggs"), (("dig",), None, "they lie there")],
            ["do not dig or move through 10 Mar: eggs; after that do not dig: they lie there"],
        ),
        # neither contains the other
        (
            [(("dig", "open"), 0, "resting"), (("dig", "wet"), None, "it leaves by itself")],
            ["do not dig or open through today: resting", "do not dig or wet: it leaves by itself"],
        ),
    ],
)
def test_locks_that_say_nearly_the_same_are_told_in_one_line(
    some: list[tuple[tuple[str, ...], int | None, str]], told: list[str]
) -> None:
    held = [ActiveLock(forbids, None if end is None else until(end, end), why) for forbids, end, why in some]
    for order in (held, held[::-1]):
        said = [locks.words(k, DAY) for k in locks.as_told(order)]
        assert sorted(map(sorted, said)) == sorted(map(sorted, told)), "in any order"
    assert [locks.words(k, DAY) for k in locks.as_told(held)] == told
    assert len(locks.as_told([held[0], held[1]._replace(animal="UMBER/2")])) == 2, "of another animal"


def test_the_last_day_of_a_lock_is_said_to_belong_to_it() -> None:
    lock = ActiveLock(("dig",), until(-3, 0), "eggs")
    assert locks.holds(DAY, lock.until)
    assert locks.words(lock, DAY) == "do not dig through today: eggs"
    assert locks.words(lock) == "do not dig through 1 Mar: eggs", "what is kept is read on other days too"
    assert locks.set_aside(lock, DAY - 1) == (
        "set aside, you may dig",
        "it is urgent; otherwise locked through 1 Mar",
    )
