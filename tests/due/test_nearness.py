"""Due work by how near it is: every open work stands in one group, or is counted."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rounds.due import work_sentences
from rounds.due.kinds import DueWork
from rounds.due.nearness import NEAR, group_of, listed, title, when
from rounds.values.spans import LAST, Span
from tests.acts.books import TODAY

DAYS = st.integers(TODAY - 60, TODAY + 60)


@st.composite
def works(draw: st.DrawFn) -> list[DueWork]:
    out = []
    for n in range(draw(st.integers(0, 12))):
        first, last = sorted((draw(DAYS), draw(DAYS)))
        likely = draw(st.none() | st.integers(first, last))
        work = DueWork(
            f"w{n}", "own", "look", draw(st.none() | st.integers(1, 4)), None, Span(first, last), likely, ""
        )
        out.append(work._replace(off_until=draw(st.none() | DAYS), done=draw(st.none() | DAYS)))
    return out


@given(works(), st.integers(0, 60))
def test_every_open_work_is_listed_once_or_counted(found: list[DueWork], ahead: int) -> None:
    near = listed(found, TODAY, TODAY + ahead, {1: 0, 2: 1, 3: 2, 4: 3})
    open_ = [w for w in found if w.done is None]
    assert len({w.key for w in near.works}) == len(near.works)
    assert len(near.works) + near.more == len(open_)
    assert all(w.begins() <= TODAY + ahead for w in near.works)
    assert [g.name for g in near.groups] == [n for n in NEAR if n in {g.name for g in near.groups}]
    for group in near.groups:
        planned = [w.planned(TODAY) for w in group.works]
        assert planned == sorted(planned)
        assert {group_of(w, TODAY) for w in group.works} == {group.name}
    everything = listed(found, TODAY, max(near.ends, TODAY + ahead), {})
    assert everything.more == 0


def work(first: int, last: int, likely: int | None = None) -> DueWork:
    return DueWork(
        "k", "own", "look", 1, None, Span(TODAY + first, TODAY + last), likely and TODAY + likely, ""
    )


def test_the_next_seven_days_are_this_week() -> None:
    far = [work(-9, -1), work(-9, 0), work(-2, 30), work(1, 1), work(7, 20), work(8, 20), work(-2, 30, 8)]
    names = ["overdue", "today", "today", "this week", "this week", "later", "later"]
    assert [group_of(w, TODAY) for w in far] == names
    assert group_of(work(-9, -1)._replace(off_until=TODAY + 1), TODAY) == "put off"
    assert group_of(work(-9, -1)._replace(off_until=TODAY), TODAY) == "overdue"


def test_words() -> None:
    assert [when(w, TODAY) for w in (work(-9, -1), work(-1, 3), work(1, 3), work(3, 5))] == [
        work_sentences.overdue(1),
        "today",
        "tomorrow",
        "Thu 21 May",
    ]
    assert title("this week", TODAY, LAST) == work_sentences.this_week("Mon 25 May 2026")
    assert title("this week", TODAY, TODAY + 3) == work_sentences.this_week("Thu 21 May 2026")
