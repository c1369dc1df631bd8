"""How much of a round is saved, counted as a keeper would."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rounds.records.entries import UndoStep
from rounds.walk.saved_count import SavedCount

Key = tuple[str, int]


def step(seq: int, what: int) -> UndoStep:
    return UndoStep(bytes(16), seq, bytes([what]), "moisture", 0, None)


def test_a_thing_counts_once_when_its_first_step_is_saved() -> None:
    kept = SavedCount()
    kept.add(step(1, 7))
    kept.sent(4)
    kept.add(step(2, 7))  # typed over
    kept.add(step(3, 8))
    kept.sent(5)
    assert [kept.count(t) for t in (3, 4, 5)] == [0, 1, 2]
    kept.drop(2)
    assert [kept.count(t) for t in (3, 4, 5)] == [0, 1, 2]
    kept.drop(1)
    assert kept.count(5) == 1


def test_what_was_taken_up_from_the_book_is_saved() -> None:
    kept = SavedCount([step(1, 7), step(2, 8), step(2, 9)])
    assert kept.count(0) == 2, "one step with two rows is one"
    kept.add(step(3, 10))
    kept.sent(1)
    assert [kept.count(t) for t in (0, 1)] == [2, 3]


@given(
    st.lists(st.tuples(st.sampled_from(("add", "send", "drop")), st.integers(0, 4)), max_size=40),
    st.integers(0, 40),
)
def test_it_is_the_things_of_the_saved_steps_that_stand(keys: list[Key], saved: int) -> None:
    kept, ticket, seq = SavedCount(), 0, 0
    about: dict[int, int] = {}
    first: dict[int, int] = {}
    for verb, what in keys:
        if verb == "add":
            seq += 1
            kept.add(step(seq, what))
            about[seq] = what
        elif verb == "send":
            ticket += 1
            kept.sent(ticket)
            first |= {s: ticket for s in range(1, seq + 1) if s not in first}
        elif about:
            newest = max(about)
            kept.drop(newest)
            del about[newest]
    ticket += 1
    kept.sent(ticket)
    first |= {s: ticket for s in range(1, seq + 1) if s not in first}
    assert kept.count(saved) == len({w for s, w in about.items() if first[s] <= saved})
