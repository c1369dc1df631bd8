"""What is due, what is open, what was corrected: complete, in order, and acted on by row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts import due_acts
from rounds.cli import run
from rounds.due.work import works
from rounds.due.work_groups import harm
from rounds.husbandry import lock_sentences
from rounds.presenters import care_lines
from rounds.records.observations import ReadingChange
from rounds.views import box_sentences, find_sentences
from rounds.views.corrections_page import folded
from rounds.views.due_page import AHEAD
from rounds.views.page import Link, ListRow, OpenPage, Page
from rounds.views.sources import Correction
from rounds.walk.core import Walk
from rounds.walk.daily_summary import of_day
from rounds.walk.machine.act_modes import ActDraft
from rounds.walk.machine.card_mode import TellingCard
from rounds.walk.machine.mode import Walking
from tests.screens import house
from tests.views.conftest import ready, settled


def shown(walk: Walk, kind: str) -> Page:
    walk.state = walk.state._replace(pages=(), mode=Walking())
    house.press(walk, "right", {"due": "2", "actions": "3", "corrections": "9"}[kind])
    settled(walk)
    return walk.pages.page(OpenPage(Link(kind)))


def rows(page: Page) -> list[ListRow]:
    return [row for part in page.parts for row in part.rows]


def to_row(walk: Walk, kind: str, wanted: Any) -> ListRow:
    """Put the cursor at the first row that is wanted."""
    found = rows(shown(walk, kind))
    at = next(i for i, row in enumerate(found) if wanted(row))
    house.press(walk, "home", *["down"] * at)
    return found[at]


# Due


def boxes_of(row: ListRow) -> int:
    """How many works are on a line: one, or those of a job at several boxes (`TL-017 +3` is four)."""
    return 1 + int(row.cells[2].partition(" +")[2] or 0)


def test_all_work_of_the_coming_weeks_is_listed_once(walk: Walk) -> None:
    every = [w for w in works(walk.acts.ledger, walk.config.species, walk.day) if w.shown]
    meant = [w for w in every if w.done is None and (w.begins() <= walk.day + AHEAD or w.put_off(walk.day))]
    page = shown(walk, "due")
    assert sum(boxes_of(row) for row in rows(page)) == len(meant)
    assert any(boxes_of(row) > 2 for row in rows(page)), "the control: a job at several boxes is one line"
    titles = [p.title for p in page.parts]
    wanted = [
        "overdue",
        "today, Sun 1 Mar",
        "this week, to Sun 8 Mar",
        "later, most likely after Sun 8 Mar",
        "further on",
    ]
    assert titles == wanted
    open_ = [w for w in every if w.done is None]
    assert page.parts[-1].empty.startswith(f"{len(open_) - len(meant)} more begin later")
    further = [w for w in meant if w.begins() > walk.day + 7]
    assert further, "the control: the walk itself looks a week ahead"


def test_days_rise_and_within_one_harm_and_shelf_order(walk: Walk) -> None:
    """What costs lives comes first, what a lock withholds last; among equals a keeper walks along the rack."""
    order = {s.enclosure.id: i for i, s in enumerate(walk.route.stops)}
    works_ = [w for w in works(walk.acts.ledger, walk.config.species, walk.day) if w.done is None and w.shown]
    by_day: dict[str, list[tuple[int, int]]] = {}
    for row in (row for part in shown(walk, "due").parts[1:] for row in part.rows):
        assert row.enclosure is not None
        said = row.cells[3].split("; at ")[0]
        harms = {harm(w) for w in works_ if w.enclosure == row.enclosure and w.what in said}
        if "has to wait" not in said:
            harms.discard(harm(works_[0]._replace(withheld="a lock")))
        (of_row,) = harms
        by_day.setdefault(row.cells[0], []).append((of_row, order[row.enclosure]))
    assert len(by_day) > 5
    assert len({harm_ for some in by_day.values() for harm_, _ in some}) > 1
    assert all(some == sorted(some) for some in by_day.values())
    assert list(by_day)[:2] == ["today", "tomorrow"]


def test_the_page_answers_what_is_due_today_and_this_week_even_when_nothing_is(walk: Walk) -> None:
    """Only what begins in three weeks: the questions of a morning are answered, and the cursor is at it."""
    far = next(
        w
        for w in works(walk.acts.ledger, walk.config.species, walk.day)
        if w.done is None
        and walk.day + 20 < w.begins() <= walk.day + AHEAD
        and w.planned(walk.day) > walk.day + 20
    )
    shown(walk, "due")
    walk.dues.works = (far,)
    walk.pages.lookup.changed()
    page = walk.pages.page(walk.state.pages[-1])
    assert [(p.title, len(p.rows), p.empty) for p in page.parts] == [
        ("today, Sun 1 Mar", 0, "nothing"),
        ("this week, to Sun 8 Mar", 0, "nothing"),
        ("later, most likely after Sun 8 Mar", 1, "nothing"),
    ]
    assert page.at(0) == page.parts[2].rows[0]


def test_a_withheld_work_says_which_lock_keeps_it_back(book: Path) -> None:
    told = ["forbids=open", "reason=moulting", "until=2026-03-20"]
    assert run(["--book", str(book), "--today", "2026-03-01", "record", "lock", "TL-019", *told]) == 0
    with house.walking(book) as walk:
        ready(walk)
        weighed = [r for r in rows(shown(walk, "due")) if r.cells[2] == "TL-019" and "weigh-in" in r.cells[3]]
        assert "has to wait: do not open through 20 Mar (moulting)" in weighed[0].cells[3]


def test_what_keeps_an_action_back_is_the_same_at_the_box_on_every_page_and_in_the_summary(
    walk: Walk, book: Path
) -> None:
    every = list(walk.pages.page(OpenPage(Link("actions"))).parts[0].rows)
    of_day_ = {r.action.uid: r.action for r in of_day(walk.book, walk.config, walk.day).rows}
    held = 0
    for at, stop in enumerate(walk.route.stops):
        tiles = [t for s in walk.pages.page(OpenPage(Link("rack"))).shelves for t in s.tiles]
        drawn = next(t for t in tiles if t.enclosure == stop.enclosure.id)
        box_page = walk.pages.page(OpenPage(Link("enclosure", stop.enclosure.id)))
        for a in walk.desk.actions(at):
            why = care_lines.held_back(walk, a.enclosure, a.rule, a.withheld)
            held += why.startswith(lock_sentences.MAY_BE_IN_CELL)
            listed = next(r for r in every if r.action == a.uid)
            on_its_page = next(r for r in rows(box_page) if r.action == a.uid)
            for text in (listed.cells[3], on_its_page.cells[1], *[x for x in drawn.said if a.reason in x]):
                assert ("It has to wait:" in text) is bool(why), (stop.enclosure.code, text)
                assert why in text
            assert of_day_[a.uid].withheld == why
    assert held, "the control: a cell keeps something back in this house"


def test_a_lock_that_is_set_aside_keeps_its_reason_on_its_pages(walk: Walk) -> None:
    at = next(i for i in range(walk.route.count()) if walk.watch.overrides(walk.route.enclosure_of(i)))
    box, reason = walk.route.enclosure_of(at), walk.route.stops[at].locks[0].reason
    facts = walk.pages.page(OpenPage(Link("enclosure", box))).facts
    assert [text for label, text in facts if "set aside" in text and reason in text], facts
    tiles = [t for s in walk.pages.page(OpenPage(Link("rack"))).shelves for t in s.tiles]
    assert any(reason in x for t in tiles if t.enclosure == box for x in t.said)


def test_done_and_put_off_are_about_the_work_of_the_row(walk: Walk) -> None:
    """At a box with several works and an open action: it is that work, whatever else is there."""
    ledger = walk.acts.ledger
    shown_alone = {(r.enclosure, r.cells[3]) for r in rows(shown(walk, "due")) if boxes_of(r) == 1}
    stop, name, work = next(
        (i, n, w)
        for i, here in ((i, walk.acts.works(s.enclosure.id)) for i, s in enumerate(walk.route.stops))
        for n, w in due_acts.labels(ledger, here).items()
        if walk.desk.actions(i) and len(here) > 1 and w.begins() <= walk.day
        if any(e == w.enclosure and t.startswith(w.what) for e, t in shown_alone)
    )
    box = walk.route.stops[stop].enclosure.id
    others = [w for w in walk.acts.works(box) if w.key != work.key]
    assert others
    actions = walk.desk.actions(stop)
    to_row(walk, "due", lambda r: (r.enclosure, boxes_of(r)) == (box, 1) and r.cells[3].startswith(work.what))
    looked_at = (walk.state.at, walk.state.pages)
    house.press(walk, "p", "3", "*", "*")
    assert (walk.state.at, walk.state.pages) == looked_at, "given up: the row is in sight again"
    house.press(walk, "p")
    assert isinstance(walk.state.mode, TellingCard)
    assert walk.state.mode.draft == ActDraft(due_acts.OFF, walk.state.mode.draft.whom, (("work", name),))
    house.press(walk, "3", *"rain", "enter")
    assert (walk.state.mode.name, walk.state.at, walk.state.pages) == ("walk", *looked_at)
    off = next(w for w in walk.acts.works(box) if w.key == work.key)
    assert (off.off_until, off.off_why) == (walk.day + 3, "rain")
    assert [w for w in walk.acts.works(box) if w.key != work.key] == others
    assert walk.desk.actions(stop) == actions
    parked = next(p for p in shown(walk, "due").parts if p.title == "put off")
    assert [r.cells[3].split("; ")[1] for r in parked.rows] == ["put off: rain"]


def test_work_done_from_its_row_is_gone_from_the_list_at_once(walk: Walk) -> None:
    before = len(rows(shown(walk, "due")))
    row = to_row(walk, "due", lambda r: "leftovers out" in r.cells[3])
    house.press(walk, "d")
    assert walk.state.mode.name == "card", "the act that does it"
    house.press(walk, "enter")
    assert walk.state.message.startswith("recorded: leftovers"), walk.state.message
    after = rows(shown(walk, "due"))
    assert len(after) == before - 1
    assert row.cells[3] not in [r.cells[3] for r in after]


def test_work_that_begins_later_or_at_several_boxes_is_not_ticked(walk: Walk) -> None:
    acts = len(walk.books.recorded)
    for why in ("a week before", box_sentences.SEVERAL_BOXES):
        to_row(walk, "due", lambda r, why=why: why in str(dict(r.acts).get("done")))
        house.press(walk, "d")
        assert why in walk.state.message
    assert walk.state.mode.name == "walk"
    house.press(walk, "p")
    assert len(walk.books.recorded) == acts


def test_before_the_work_is_worked_out_nothing_is_ticked(book: Path) -> None:
    """Typed ahead of the thread: neither the work nor an action of that box is taken for done."""
    with house.walking(book) as walk:
        open_ = [walk.desk.actions(i) for i in range(walk.route.count())]
        house.press(walk, "right", "2", "d", "down", "d", "p")
        assert walk.state.mode.name == "walk"
        assert [walk.desk.actions(i) for i in range(walk.route.count())] == open_
        assert not walk.state.steps


# What was taken back


def test_a_page_of_what_was_taken_back_says_so_and_leads_back(book: Path) -> None:
    assert (
        run(["--book", str(book), "--today", "2026-03-01", "record", "box", "code=TL-99", "place=A1-1"]) == 0
    )
    with house.walking(book) as walk:
        house.press(walk, "/", *"tl-99", "enter")
        link = walk.state.pages[-1].link
        assert link.kind == "enclosure"
        walk.acts.take_back(walk.books.recorded[-1].uid)
        walk.pages.lookup.changed(books=True)
        assert "no longer in the book" in house.screen(walk, 80, 24)[0]
        house.press(walk, "d", "enter", "b")
        assert walk.state.pages[-1].link.kind == "find"


def test_a_mistake_of_a_page_is_not_taken_for_that(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(opened: OpenPage, sources: object) -> Page:
        raise KeyError("a mistake")

    monkeypatch.setattr("rounds.views.actions_page.build", broken)
    house.press(walk, "right")
    with pytest.raises(KeyError, match="a mistake"):
        house.press(walk, "3", "down")


# To do


def test_every_open_action_is_listed_by_harm_and_then_by_shelf(walk: Walk) -> None:
    found = [(r.enclosure, r.action) for r in rows(shown(walk, "actions"))]
    meant = [(walk.route.enclosure_of(i), a.uid) for i, a in walk.round.listed() if a is not None]
    assert found == meant


@pytest.mark.parametrize("key", ["d", "p"])
def test_just_the_action_of_the_row_is_done_or_put_off(walk: Walk, key: str) -> None:
    stop = next(i for i in range(walk.route.count()) if len(walk.desk.actions(i)) > 2)
    others = [a for a in walk.desk.actions(stop) if a != walk.desk.actions(stop)[1]]
    uid = walk.desk.actions(stop)[1].uid
    to_row(walk, "actions", lambda r: r.action == uid)
    house.press(walk, key)
    if key == "p":
        assert walk.state.at == stop, "more has to be told: that is asked at the box"
        house.press(walk, "3", "enter", *"rain", "enter")
    assert walk.state.pages[-1].link.kind == "actions", (
        "what had to be told is told: one is on the list again"
    )
    assert list(walk.desk.actions(stop)) == others
    house.press(walk, "u")
    assert uid in [a.uid for a in walk.desk.actions(stop)]


def test_a_scan_while_something_is_told_leads_to_its_enclosure_and_not_back(walk: Walk) -> None:
    to_row(walk, "actions", lambda r: r.action)
    house.press(walk, "p", "2", "tab", *walk.route.label(7), "enter")
    assert (walk.state.at, walk.state.pages, walk.state.back_to) == (7, (), None)
    to_row(walk, "actions", lambda r: r.action)
    house.press(walk, "p", "2", "tab", *"NOWHERE", "enter")
    assert walk.state.pages[-1].link.kind == "actions", "a scan that leads nowhere breaks off and no more"


def test_the_last_row_done_leaves_the_cursor_on_the_one_before(walk: Walk) -> None:
    many = len(rows(shown(walk, "actions")))
    house.press(walk, "end", "d", "d")
    assert len(rows(shown(walk, "actions"))) == many - 2


# Corrections


def test_a_correction_has_both_values_who_when_and_why(walk: Walk) -> None:
    house.go(walk, 14)
    house.press(walk, "2", "up", "3", "u")
    house.press(walk, "c", "1", "2", "space")
    found = rows(shown(walk, "corrections"))
    assert [r.cells[4] for r in found] == ["0 → 2", "3 → 2", "2 → 3"]
    assert [r.cells[2] for r in found] == ["28 Feb", "1 Mar", "1 Mar"]
    assert found[0].cells[5].endswith("corrected")
    assert found[1].cells[5].endswith("undo")
    assert all(r.cells[1] == "TL-014" and r.cells[0].startswith("1 Mar 2026 0") for r in found)


def test_a_note_typed_and_typed_on_was_not_corrected(walk: Walk) -> None:
    house.go(walk, 20)
    house.press(walk, "n", *"dry", "enter", "n", *" at the wall", "enter")
    assert rows(shown(walk, "corrections")) == []
    assert shown(walk, "corrections").hint == find_sentences.NO_CORRECTIONS


def test_who_turned_out_to_be_who_is_listed_and_settled_there(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    day = ("--book", str(book), "--today", "2026-03-01", "record")
    dates = ("from=2026-02-20", "to=2026-02-25")
    assert run([*day, "swapped-labels", "TL-001", "with=TL-002", *dates, "--sure"]) == 0
    capsys.readouterr()
    with house.walking(book) as walk:
        ready(walk)
        page = shown(walk, "corrections")
        in_doubt, _, told = page.parts
        assert [r.cells for r in in_doubt.rows] == [("TL-001", "TL-002", "20 Feb 2026 to 25 Feb 2026")]
        assert [r.cells[1] for r in told.rows] == ["labels may have been mixed up with"]
        house.press(walk, "home", "y")
        assert isinstance(walk.state.mode, TellingCard)
        assert walk.state.mode.draft.act == "labels-settled"
        house.press(walk, "2", "enter")
        assert walk.state.message.startswith("recorded: were the labels mixed up"), walk.state.message
        page = shown(walk, "corrections")
        assert find_sentences.LABELS_IN_DOUBT not in [part.title for part in page.parts]
        assert page.parts[-1].rows[0].cells[2] == "TL-001"


def test_a_note_rewritten_was(walk: Walk) -> None:
    house.go(walk, 20)
    house.press(walk, "n", *"dry", "enter", "n", *["backspace"] * 3, *"wet", "enter")
    assert [r.cells[4] for r in rows(shown(walk, "corrections"))] == ["dry → wet"]


def typed(keys: str) -> list[Correction]:
    """The trace of a note typed key by key; ``<`` is backspace."""
    out, text = [], ""
    for i, key in enumerate(keys):
        before, text = text, text[:-1] if key == "<" else text + key
        if before and before != text:
            change = ReadingChange(b"v", "note", 0, before, text or None, i, "Ferrow")
            out.append(Correction(1, 1, change))
    return out[::-1]


@pytest.mark.parametrize(
    ("keys", "meant"),
    [
        ("dry", []),
        ("dry<", [("dry", "dr")]),
        ("dry<y", []),
        ("dry<<<wet", [("dry", "wet")]),
        ("dry<<<", [("dry", None)]),
        ("ab<c<d", [("ab", "ac"), ("ac", "ad")]),
    ],
)
def test_notes_are_folded(keys: str, meant: list[tuple[str, str]]) -> None:
    assert [(c.change.old, c.change.new) for c in reversed(folded(typed(keys)))] == meant


@given(st.text("ab<", max_size=30))
def test_no_text_that_was_taken_back_is_lost(keys: str) -> None:
    """Every text begins the last one, or begins one that is reported as gone."""
    trace = typed(keys)
    texts = [str(c.change.old) for c in trace] + [str(c.change.new or "") for c in trace]
    last = str(trace[0].change.new or "") if trace else ""
    gone = [str(c.change.old) for c in folded(trace)]
    assert all(any(kept.startswith(text) for kept in (last, *gone)) for text in texts)


def test_where_no_due_work_was_asked_for_the_page_works_it_out_itself(book: Path) -> None:
    with house.walking(book) as walk:
        assert walk.dues.finder is None
        own = [r.cells for r in rows(shown(walk, "due"))]
    with house.walking(book) as walk:
        ready(walk)
        assert [r.cells for r in rows(shown(walk, "due"))] == own
    assert len(own) > 50
