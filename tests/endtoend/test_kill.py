"""kill -9 at random moments of a typed round: what the screen called saved is in the book."""

from __future__ import annotations

import re
import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import pytest

from rounds.walk.core import Walk
from tests.endtoend import rack
from tests.endtoend.beside import beside
from tests.endtoend.keys import LEAVE, some_keys
from tests.endtoend.painted import Painted
from tests.endtoend.terminal import Terminal, typed
from tests.sampled import sampled

pytestmark = [pytest.mark.pty, pytest.mark.long]

KILLS = sampled(8, 200)

LONGEST = 1.2  # seconds of typing before the last moment to die


class Stage(NamedTuple):
    """The round after some key: the most the screen can have called saved so far, and what a resume must find."""

    most: int
    standing: tuple[Any, ...]


def standing(walk: Walk) -> tuple[Any, ...]:
    """Where the walk is and all it holds, by plain values."""
    cells = {
        (walk.route.label(stop), kind): value
        for stop, look in walk.state.looks.items()
        for kind, value in look.cells.items()
        if value is not None
    }
    steps = tuple(
        (s.seq, s.stop, s.kind, s.before if s.action is None else s.action.state) for s in walk.state.steps
    )
    actions = tuple(
        sorted((i, a.rule, a.state) for i in range(walk.route.count()) for a in walk.desk.actions(i))
    )
    return walk.state.at, cells, steps, actions


def stages(demo_book: Path, folder: Path, keys: list[str]) -> list[Stage]:
    """What each prefix of the keys leads to. A round that nothing was recorded in resumes at its start."""
    walk = rack.opened(Path(shutil.copy(demo_book, folder / "reference.sqlite")), rack.config())
    first = Stage(0, standing(walk))
    found = [first]
    for key in keys:
        walk.press(key)
        assert walk.drain(30.0)
        found.append(Stage(max(found[-1].most, walk.kept), standing(walk)) if walk.round.opened else first)
    assert walk.close(30.0) is None
    return found


class Death(NamedTuple):
    acknowledged: int
    sent: int
    resumed: Stage | None  # None: the book holds what no prefix of the keys leads to
    lost: int


def most_shown_saved(output: bytes) -> int:
    """The largest number of saved answers that any update of the screen has shown."""
    shown = [0]

    def look(screen: Painted) -> None:
        shown.extend(int(n) for n in re.findall(r" (\d+) saved", screen.text))

    Painted(80, 24, look).feed(output)
    return max(shown)


def test_a_number_is_seen_of_which_only_the_last_digit_was_sent() -> None:
    first = b"\x1b[22;1H\x1b[1;38;5;253m 19 saved   \x1b[0m\x1b[1;1H"
    assert most_shown_saved(first) == 19
    assert most_shown_saved(first + b"\x1b[22;2H\x1b[1m20\x1b[0m\x1b[1;1H") == 20
    assert most_shown_saved(first + b"\x1b[22;2H\x1b[1m20\x1b[0m\x1b[1;1H\x1b[22;1H nothing  ") == 20
    assert most_shown_saved(first + b"\x1b[22;3H8") == 19, "an update that did not end was not seen"


def die(
    book: Path, terminal: Terminal, keys: list[str], wanted: list[Stage], random: Random, config: Any
) -> Death:
    """Type, kill at a random moment, read the screen to its end, and take the round up again."""
    terminal.wait_for("1 of 60")
    until = time.monotonic() + random.uniform(0.005, LONGEST)
    sent = 0
    while time.monotonic() < until and sent < len(keys):
        some = random.choice((1, 1, 1, 1, 2, 8))
        terminal.send(typed(keys[sent : sent + some]))
        sent = min(len(keys), sent + some)
        pause = min(time.monotonic() + random.choice((0, 0.002, 0.01, 0.03, 0.08)), until)
        while (left := pause - time.monotonic()) > 0:
            terminal.read(left)
    assert terminal.kill() == -9
    acknowledged = most_shown_saved(terminal.output)
    walk = rack.opened(book, config)
    now = standing(walk)
    walk.close(5.0)
    fit = [stage for stage in wanted[: sent + 1] if stage.standing == now]
    resumed = max(fit, default=None, key=lambda stage: stage.most)
    lost = 0 if resumed is None else max(0, acknowledged - resumed.most)
    return Death(acknowledged, sent, resumed, lost)


def kills(
    enough: Callable[[list[Death]], bool],
    seed: int,
    demo_book: Path,
    folder: Path,
    start: Callable[[Path], Terminal],
) -> list[Death]:
    """Kill until it is enough: a slow machine, where little is typed in the time there is, takes more kills."""
    random = Random(seed)
    config = rack.config()
    deaths: list[Death] = []
    keys: list[str] = []
    wanted: list[Stage] = []
    while not enough(deaths) and len(deaths) < 5 * KILLS:
        i = len(deaths)
        if i % 10 == 0:
            (folder / str(i)).mkdir()
            keys = plain_keys(random)
            wanted = stages(demo_book, folder / str(i), keys)
        book = Path(shutil.copy(demo_book, folder / f"killed{i}.sqlite"))
        deaths.append(die(book, start(book), keys, wanted, random, config))
        for end in ("", "-wal", "-shm"):
            Path(f"{book}{end}").unlink(missing_ok=True)
    return deaths


def plain_keys(random: Random) -> list[str]:
    """Answers and nexts for the most part, so that the screen often says how many are saved."""
    keys: list[str] = []
    while len(keys) < 400:
        if random.random() < 0.15:
            keys += [*some_keys(random, 12), *LEAVE[:-1]]  # and out of whatever that ended in
        keys += [
            key for _ in range(random.randint(2, 6)) for key in (random.choice("0012"), "space", "space")
        ]
    return [key for key in keys if key != "q"]


def test_nothing_acknowledged_is_lost(
    demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    deaths = kills(
        lambda deaths: len(deaths) >= KILLS and sum(d.acknowledged for d in deaths) > 3 * KILLS,
        11,
        demo_book,
        tmp_path,
        lambda book: begin(rack.worse(book, clock=rack.MORNING)),
    )
    strange = [death for death in deaths if death.resumed is None]
    assert not strange, f"{len(strange)} books hold what was never typed, or miss something in between"
    assert sum(death.lost for death in deaths) == 0
    assert sum(death.acknowledged for death in deaths) > 3 * KILLS, (
        "too little was acknowledged to prove anything"
    )
    print(
        f"{len(deaths)} kills, {sum(d.sent for d in deaths)} keys, {sum(d.acknowledged for d in deaths)} acknowledged"
    )


def test_a_writer_that_says_saved_before_it_is_gets_found_out(
    demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    """The control: with saying and committing the wrong way round, the same test must find losses."""
    deaths = kills(
        lambda deaths: any(death.lost for death in deaths),
        12,
        demo_book,
        tmp_path,
        lambda book: begin(rack.worse(book, clock=rack.MORNING, early=0.1)),
    )
    assert sum(death.lost for death in deaths) > 0, deaths
    print(
        f"control: lost {sum(d.lost for d in deaths)} of {sum(d.acknowledged for d in deaths)} acknowledged"
    )


def stands_at(book: Path) -> int | None:
    """The enclosure at which the newest round stands, as another program sees it."""
    with closing(sqlite3.connect(f"{book.as_uri()}?mode=ro", uri=True)) as db:
        row = db.execute("SELECT at_enclosure FROM round ORDER BY id DESC LIMIT 1").fetchone()
    return None if row is None else row[0]


def test_killed_again_and_again_the_round_still_goes_on(book: Path, begin: Callable[..., Terminal]) -> None:
    """One round in one book over many deaths: each start stands where the last one was, with its values."""
    place, last = 1, 0
    for _ in range(sampled(4, 8)):
        with beside(book, begin) as both:
            assert both.settled().startswith(f" {place} of 60 · {last} seen")
            for key in ("1", "space", "space", "space"):
                shown = both.press(key, typed([key]))
            # What is in sight need not be saved before its mark says so, nor is a place in the walk marked.
            until = time.monotonic() + 60
            while stands_at(book) != both.walk.desk.enclosure_of(both.walk.state.at):
                assert time.monotonic() < until
                time.sleep(0.01)
            both.terminal.kill()
        found = re.search(r"^ (\d+) of 60 · (\d+) seen", shown)
        assert found, shown
        assert (int(found[1]), int(found[2])) > (place, last)
        place, last = int(found[1]), int(found[2])
