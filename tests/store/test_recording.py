"""Acts from several hands: through the writer's thread, from two processes at once, and through a kill."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from rounds.acts import registry
from rounds.acts.fields import Field
from rounds.records.entries import Entry, OpenRound, OpenVisit, RecordActEntry
from rounds.records.ledger import Ledger
from rounds.records.tables import Enclosure
from rounds.store import ledger_store as books
from rounds.store import read, recording, rescue
from rounds.store.apply_entries import EntryRefused, apply
from rounds.store.book import Book, open_book
from rounds.store.writer import Writer
from tests.acts import books as house
from tests.acts.books import TODAY
from tests.sampled import sampled
from tests.store import children
from tests.store.houses import NOON, with_books
from tests.store.test_ledger_store import entry, same, taken
from tests.store.test_writer import WAIT, Heard

START = house.house()
ROUND, VISIT = b"r" * 16, b"v" * 16
OPENING: list[Entry] = [OpenRound(ROUND, "Ferrow", TODAY, NOON, "UTC"), OpenVisit(VISIT, ROUND, 1, 1, NOON)]


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    path.parent.mkdir()
    with with_books(path, START) as opened:
        yield opened


def told(e: RecordActEntry) -> RecordActEntry:
    return e._replace(visit=VISIT)


# Through the writer


def test_acts_are_written_with_their_visit_and_in_order(book: Book) -> None:
    first = told(entry("move-box", "T-01", to="A4-4"))
    second = told(entry("move-box", "T-01", to="A1-1"))
    third = told(entry("swap-boxes", "T-02", with_="T-01"))
    with book.writing():
        apply(book, [*OPENING, first, second, third, taken(third.uid)._replace(visit=VISIT), first])
    found = read.acts(book)
    assert [(a.name, a.visit, a.undone) for a in found] == [
        ("move-box", VISIT, False),
        ("move-box", VISIT, False),
        ("swap-boxes", VISIT, True),
        ("undo", VISIT, False),
    ]
    assert same(books.load(book), START)


def test_an_act_that_is_refused_where_it_is_written_says_so_in_one_sentence(book: Book) -> None:
    recording.record(book, entry("dead", "UMBER/1", sure=True, rest="keep"))
    for e, said in (
        (
            entry("marked", "UMBER/1", mark="tag 4"),
            r"`marked` for UMBER/1 was not recorded: animal: .* is dead",
        ),
        (
            entry("move-box", "T-07", to="A4-4"),
            r"`move-box` for T-07 was not recorded, because it is in doubt: .*moved",
        ),
        (entry("nonsense"), r"`nonsense` was not recorded: act: there is no act"),
        (taken(b"?" * 16), r"an act was not taken back: act: there is nothing"),
    ):
        with pytest.raises(EntryRefused, match=said), book.writing():
            apply(book, [e])
    assert len(read.acts(book)) == 1


def test_the_writer_hands_a_refused_act_back_and_goes_on(book: Book, path: Path) -> None:
    """Another keeper was quicker: the act is told of, the others are saved, nothing stays troubled."""
    recording.record(book, entry("dead", "UMBER/1", sure=True, rest="keep"))
    heard, refused = Heard(), []
    writer = Writer(path, heard, heard, on_refused=lambda *what: refused.append(what))
    late, good = (
        told(entry("marked", "UMBER/1", mark="tag 4")),
        told(entry("marked", "UMBER/2", mark="tag 5")),
    )
    writer.put([*OPENING, late, good])
    assert writer.drain(WAIT)
    heard.wait(lambda said: said[-1:] == [4])
    assert writer.close(WAIT) == []
    assert heard.saved == heard.said
    ((ticket, handed, said),) = refused
    assert (ticket, handed) == (3, late)
    assert said.startswith("`marked` for UMBER/1 was not recorded: ")
    assert [a.uid for a in read.acts(book)][1:] == [good.uid]


def test_without_a_listener_a_refused_act_is_kept_beside_the_book(book: Book, path: Path) -> None:
    recording.record(book, entry("dead", "UMBER/1", sure=True, rest="keep"))
    heard = Heard()
    writer = Writer(path, heard, heard)
    late, good = (
        told(entry("marked", "UMBER/1", mark="tag 4")),
        told(entry("marked", "UMBER/2", mark="tag 5")),
    )
    writer.put([*OPENING, late, good])
    heard.wait(lambda said: any(isinstance(x, str) for x in said))
    (said,) = [x for x in heard.said if isinstance(x, str)]
    assert said.startswith("1 entry cannot be written into the book (`marked` for UMBER/1 was not recorded: ")
    assert writer.close(WAIT) == [late]
    assert [a.uid for a in read.acts(book)][1:] == [good.uid]
    rescue.write(path, [late])
    (sentence,) = rescue.replay(book)
    assert "`marked` for UMBER/1 was not recorded" in sentence
    (kept,) = path.parent.glob("*.refused")
    assert rescue.from_line(kept.read_text()) == late


def test_acts_that_were_rescued_are_recorded_at_the_next_start(book: Book, path: Path) -> None:
    done = told(entry("marked", "UMBER/2", mark="tag 5"))
    undo = taken(done.uid)._replace(visit=VISIT)
    entries: list[Entry] = [*OPENING, done, undo, told(entry("move-box", "T-01", to="A4-4", sure=True))]
    assert [rescue.from_line(rescue.to_line(e)) for e in entries] == entries
    rescue.write(path, entries)
    assert rescue.replay(book) == ["5 entries that could not be saved last time are in the book now."]
    assert [a.name for a in read.acts(book)] == ["marked", "undo", "move-box"]


def test_acts_are_planned_with_the_settings_of_the_house(
    book: Book, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []

    def plan(draft: Any, given: Any) -> None:
        to_do = given.settings.open_actions(given.subject)
        seen.append(given.settings._replace(open_actions=registry.NO_SETTINGS.open_actions))
        assert to_do == (), "what is open at an enclosure comes from the book"
        draft.set(Enclosure.note, given.subject, given["note"])

    probe = registry.Act("probe", "", "", "enclosure", (Field("note", "text", "any"),), plan)
    monkeypatch.setitem(registry.ACTS, "probe", probe)
    mine = registry.Settings(times=lambda _: None)
    recording.record(book, entry("probe", "T-01", note="a"))
    recording.record(book, entry("probe", "T-01", note="b"), lambda: mine)
    writer = Writer(path, lambda _: None, lambda _: None, settings=lambda: mine)
    writer.put([*OPENING, told(entry("probe", "T-01", note="c"))])
    assert writer.drain(WAIT)
    writer.close(WAIT)
    rescue.write(path, [told(entry("probe", "T-01", note="d"))])
    rescue.replay(book, lambda: mine)
    assert seen == [registry.NO_SETTINGS, mine, mine, mine]


# Two at once

RECORD = """
    import sys
    from pathlib import Path
    from rounds.acts.act import BadAct
    from rounds.records.entries import RecordActEntry
    from rounds.store import recording as record
    from rounds.store.book import open_book
    from tests.acts.books import TODAY

    path, who, times = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    with open_book(path) as book:
        print("ready")
        sys.stdin.readline()
        for n in range(times):
            mine = RecordActEntry((f"{who}{n:03}" * 4).encode()[:16], "look-again", "T-01",
                          {"about": f"{who} {n}", "because": "so"}, TODAY, n, who)
            line = RecordActEntry((f"L{who}{n:02}" * 4).encode()[:16], "line", "", {"name": f"NEW {n}", "species": "Eudicella smithi"}, TODAY, n, who)
            record.record(book, mine)
            try:
                record.record(book, line)
                print("first", n)
            except BadAct as bad:
                print("late", n, bad)
    print("done")
"""


def test_two_processes_record_at_once(book: Book, path: Path) -> None:
    """Both record what is theirs; of one name each, one is first and the other is told."""
    times = 20
    pair = [children.start(RECORD, path, who, times) for who in ("A", "B")]
    for child in pair:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
    for child in pair:
        assert child.stdin is not None
        child.stdin.write("go\n")
        child.stdin.flush()
    said = [child.communicate(timeout=120) for child in pair]
    assert [err for _, err in said] == ["", ""]
    lines = [out.splitlines() for out, _ in said]
    assert [some[-1] for some in lines] == ["done", "done"]
    firsts = sorted(int(line.split()[1]) for some in lines for line in some if line.startswith("first"))
    assert firsts == list(range(times)), "each name was given once"
    late = [line for some in lines for line in some if line.startswith("late")]
    assert len(late) == times
    assert all("name" in line for line in late)
    found = read.acts(book)
    assert len(found) == 3 * times
    assert {a.keeper for a in found} == {"A", "B"}
    assert same(books.load(book), replayed(START, found))


def replayed(ledger: Ledger, found: list[registry.Recorded]) -> Ledger:
    """The books after the changes of these acts: what the book must hold if it holds them whole."""
    return ledger.after([change for act in found for change in act.changes])


# A kill

KILLED = """
    import sys, time
    from contextlib import contextmanager
    from pathlib import Path
    from rounds.acts.registry import all_acts
    from rounds.records.entries import RecordActEntry, UndoActEntry
    from rounds.store import ledger_store as ledger
    from rounds.store import recording as record
    from rounds.store.book import Book, open_book
    from rounds.store.log_stamps import put_next_stamp
    from tests.acts.books import TODAY

    plain = ledger.make

    def slow(book, change):
        plain(book, change)
        time.sleep(0.001)

    ledger.make = slow  # so that a kill can fall between two changes

    if sys.argv[2] == "careless":
        @contextmanager
        def writing(self, wait=0.0):
            put_next_stamp(self.db)  # a log without any would not be read in at all
            yield
        Book.writing = writing

    n = int(sys.argv[3])
    all_acts()
    with open_book(Path(sys.argv[1])) as book:
        print("ready")
        while True:
            n += 1
            uid, undo = n.to_bytes(8, "big") * 2, (n + 10**6).to_bytes(8, "big") * 2
            record.record(book, RecordActEntry(uid, "swap-boxes", "T-01", {"with": "T-02"}, TODAY, n, "Ferrow", sure=True))
            print(uid.hex())
            if n % 2:
                record.take_back(book, UndoActEntry(undo, uid, TODAY, n, "Ferrow"))
                print(undo.hex())
"""


def kills(tmp_path: Path, build: str, times: int) -> tuple[int, int, int]:
    """Acts that were recorded, books found torn, and acts lost that were said to be recorded."""
    chance = random.Random(7)
    recorded = torn = lost = 0
    path = tmp_path / "tarn.book"
    for n in range(times):
        if build == "careless" or not path.exists():  # a torn book would be found torn for ever
            path = tmp_path / f"{n}" / "tarn.book"
            path.parent.mkdir()
            with_books(path, START).close()
        with children.start(KILLED, path, build, 1000 * n) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == "ready\n"
            first = [child.stdout.readline() for _ in range(chance.randrange(5))]  # however slow it is
            time.sleep(chance.uniform(0.0, 0.15))
            child.kill()
            said = [bytes.fromhex(line.strip()) for line in [*first, *child.stdout] if line.endswith("\n")]
        with open_book(path) as book:
            found = read.acts(book)
            torn += not same(books.load(book), replayed(START, found))
            torn += book.row("SELECT count(*) FROM act WHERE id NOT IN (SELECT act FROM act_change)") != (0,)
            marked = {a.id for a in found if a.undone}
            torn += marked != {a.undoes for a in found if a.undoes}
            assert book.row("PRAGMA quick_check") == ("ok",)
        recorded += len(said)
        lost += len(set(said) - {a.uid for a in found})
        if build == "careless" and torn:
            break  # the control has shown what it must
    return recorded, torn, lost


@pytest.mark.long
def test_a_kill_leaves_an_act_whole_or_not_at_all(tmp_path: Path) -> None:
    times = sampled(6, 25)
    recorded, torn, lost = kills(tmp_path, "careful", times)
    assert recorded > times
    assert (torn, lost) == (0, 0)


@pytest.mark.long
def test_control_without_a_transaction_a_kill_tears_an_act(tmp_path: Path) -> None:
    _, torn, _ = kills(tmp_path, "careless", 25)
    assert torn > 0


def test_waiting_for_another_writer_ends_with_a_sentence(
    book: Book, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rounds.problems import BookError

    monkeypatch.setattr(recording, "WAIT", 0.3)
    with open_book(path) as other, other.writing(), pytest.raises(BookError, match="another program is"):
        recording.record(book, entry("move-box", "T-01", to="A4-4"))
    assert recording.record(book, entry("move-box", "T-01", to="A4-4")).name == "move-box"
