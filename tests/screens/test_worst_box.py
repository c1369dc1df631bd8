"""What a keeper sees at 80×24 wherever the walk stands: the question with its neighbours, every headline, the keys."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from demo_data.pictures import settled
from rounds.acts import due_sentences
from rounds.acts.checklists import Begun, ChecklistLine, words
from rounds.due.kinds import DUE_KINDS
from rounds.husbandry import lock_sentences
from rounds.husbandry.life_table import LOCKS
from rounds.husbandry.locks import BY_STAGE, ActiveLock
from rounds.keys.commands import LISTED
from rounds.presenters import care_line_sentences, care_lines, footer, shelf_line
from rounds.presenters.reading_values import expected_words
from rounds.records.observations import Action, DueNotice
from rounds.rules.rule import CARRY
from rounds.screens.app import WalkApp
from rounds.screens.board import Board, compose
from rounds.text.cleaning import clean
from rounds.text.headlines import HEADLINE, ONE_LINE
from rounds.values.spans import Span
from rounds.walk.core import Walk
from rounds.walk.machine import recording_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.prompts import prompt
from tests.screens import house

THREE = ((80, 24), (100, 30), (120, 40))

WORST = 14
"""The number of the box of the invented house with three urgent actions, a lock and due work."""


def seen(walk: Walk, width: int = 80, height: int = 24) -> list[str]:
    return [line.rstrip() for line in house.screen(walk, width, height)]


def titles(lines: list[str], asks: list[str]) -> list[str]:
    """The readings whose rows are on the screen, in their order."""
    return [a for line in lines for a in asks if re.match(rf"[> ] {re.escape(a)}( |$)", line)]


def test_at_every_box_the_question_stands_between_its_neighbours(book: Path) -> None:
    with house.walking(book) as walk:
        for stop in walk.route.stops:
            house.go(walk, stop.enclosure.number)
            asks = [a.kind.title for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"]
            for cursor in range(len(asks)):
                walk.state = walk.state._replace(cursor=cursor)
                shown = titles(seen(walk), asks)
                assert set(asks[max(0, cursor - 1) : cursor + 2]) <= set(shown)


def test_the_worst_box_shows_every_headline_every_question_and_the_keys(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        lines = seen(walk)
        text = "\n".join(lines)
        assert len(walk.desk.actions(walk.state.at)) == 3
        for action in walk.desk.actions(walk.state.at):
            title = next(r.title for r in walk.config.rules if r.id == action.rule)
            assert re.search(rf"^OPEN !!! {title}: ", text, re.MULTILINE)
        assert re.search("^LOCK ", text, re.MULTILINE)
        assert re.search("^DUE  ", text, re.MULTILINE)
        asks = [a.kind.title for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"]
        assert titles(lines, asks) == asks
        assert lines[-1].endswith(" all keys")


def test_going_on_twice_from_the_worst_box_names_what_it_leaves_unread(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        house.press(walk, "0", "space")
        assert walk.route.stops[walk.state.at].enclosure.number == WORST
        row = steps.rows(walk.state, walk.desk)[walk.state.cursor]
        assert row.kind.id == "smell"
        named = "smell, larvae surfaced, moisture"
        said = " ".join(" ".join(seen(walk)).split())
        assert f"still to be read: {named}; space again leaves them unread" in said
        house.press(walk, "space")
        assert walk.route.stops[walk.state.at].enclosure.number != WORST
        said = " ".join(" ".join(seen(walk)).split())
        assert f"left unread at TL-014: {named}; shelf °C can be typed at" in said


def test_no_page_of_acts_moves_the_table_or_loses_its_line_of_keys(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        house.press(walk, "y")
        above = seen(walk)
        question, pages = next(
            (i, int(found[1]))
            for i, line in enumerate(above)
            if (found := re.search(r"page 1 of (\d)", line))
        )
        assert pages > 2
        for page in range(1, pages + 1):
            lines = seen(walk)
            assert f"page {page} of {pages}" in lines[question]
            assert lines[:question] == above[:question]
            assert any(line.endswith("/ tell more: day, note") for line in lines)
            assert lines[-1] == " any other key: nothing is recorded"
            house.press(walk, "0")


def test_help_in_the_list_of_acts_says_where_they_are_explained_and_leaves_it_open(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        house.press(walk, "y", "?")
        assert walk.state.mode.name == "acts"
        assert recording_sentences.acts_are_explained("/", "?") == walk.state.message
        house.press(walk, "/", "1", "?")
        assert walk.state.mode.name == "help"


def test_what_there_is_no_room_for_is_counted(book: Path) -> None:
    """Eight lines fewer: no question and no headline goes without being counted."""
    with house.walking(book) as walk:
        house.go(walk, WORST)
        items = len(care_lines.at_hand(walk))
        lines = seen(walk, 80, 17)
        more = re.search(r"and (\d+) more", "\n".join(lines))
        heads = sum(line.startswith(("LOCK ", "OPEN ", "DUE ")) for line in lines)
        assert more is not None
        assert heads + int(more[1]) == items
        rows = steps.rows(walk.state, walk.desk)
        counted = next(
            re.search(r"^  (\d+) more below: (.*)", line) for line in lines if "more below" in line
        )
        assert counted is not None
        below = [a.kind.title for a in rows[-int(counted[1]) :]]
        assert "moisture" in below
        assert "moisture" in counted[2], "what has to be read is named"
        assert "lid fastened" not in counted[2]


@pytest.mark.parametrize("keys", ["letters", "numbers"])
def test_the_line_of_keys_is_one_line_of_seven_at_most(book: Path, keys: str) -> None:
    with house.walking(book, house.shipped().with_keys(keys)) as walk:
        (line,) = footer.commands(walk, 80, 3)
        assert 0 < sum(style == "key" for _, style in line) <= footer.MOST
        walk.press("v" if keys == "letters" else "/")
        if keys == "numbers":
            walk.press("6")
        assert walk.state.at == walk.route.count()
        (line,) = footer.commands(walk, 80, 3)
        assert 0 < sum(style == "key" for _, style in line) <= footer.MOST


def test_every_place_names_the_key_that_lists_the_others() -> None:
    for place, listed in LISTED.key_line.items():
        assert "help" in listed, place


# Headlines: one thing at a time that is open, due, begun or forbidden stands at a box.


def begun_here(some: tuple[Begun, ...], _stop: int) -> tuple[Begun, ...]:
    return some


def one_thing_at_a_time(walk: Walk) -> Iterator[str]:
    """The box with nothing but one shipped rule's action, lock, due work or begun checklist; yields what it is."""
    at = walk.state.at
    bare = walk.route.stops[at]._replace(locks=(), dues=())
    for action in walk.desk.actions(at):
        walk.watch.set(action._replace(state="done"))
    walk.route.stops[at] = bare
    day = Span(walk.day + 12, walk.day + 20)
    for rule in walk.config.rules:
        for todo in [] if rule.level == CARRY else {t.text: t for t in rule.do.values()}.values():
            told = "".join(part if isinstance(part, str) else "12" for part in todo.text)
            action = Action(b"x", bare.enclosure.id, rule.id, rule.level, "why", told, walk.day - 1)
            walk.watch.set(action)
            yield f"rule {rule.id}: {todo.short or told}"
            walk.watch.set(action._replace(cause_gone=True))
            yield f"rule {rule.id}, cause gone"
            walk.watch.set(action._replace(state="done"))
    locks = {(k.forbids, k.reason) for k in (*BY_STAGE.values(), *LOCKS.values())}
    for forbids, reason in [*sorted(locks), (("dig", "open", "move", "wet"), "a keeper's own reason")]:
        for until in (None, day):
            walk.route.stops[at] = bare._replace(locks=(ActiveLock(forbids, until, reason, "K12"),))
            yield f"lock {forbids} until {until}"
    for kind in DUE_KINDS.values():
        due = DueNotice(
            1, bare.enclosure.id, kind.what, day, None, "she went in 28 days before", "KESTREL/K12"
        )
        for held in ("", "locked: do not dig until 13 Mar (eggs are left alone until the first search)"):
            walk.route.stops[at] = bare._replace(dues=(due._replace(withheld=held),))
            yield f"due {kind.id}"
    walk.route.stops[at] = bare
    species = walk.config.species["Mecynorhina torquata"]
    for checklist in walk.config.checklists:
        for n in range(len(checklist.steps)):
            lines = tuple(
                ChecklistLine(step, words(step, species, checklist.stages[0]), day if i < n else None)
                for i, step in enumerate(checklist.steps)
            )
            walk.desk.__dict__["begun"] = partial(begun_here, (Begun(checklist, lines),))
            yield f"checklist {checklist.id}, step {n + 1}"


def test_every_rule_lock_due_work_and_step_is_a_headline_and_a_line_at_every_size(book: Path) -> None:
    """The headline whole (40 characters at most), what to do behind it, and the key to the rest; at a calm box."""
    with house.walking(book) as walk:
        house.go(walk, WORST)
        tried = 0
        for what in one_thing_at_a_time(walk):
            (item,) = [i for i in care_lines.at_hand(walk) if i.style != "faint"]
            assert item.headline, what
            assert len(item.headline) <= HEADLINE, (what, item.headline)
            if what.startswith("rule"):
                assert len(item.line) <= ONE_LINE, (what, item.line)
            for size in THREE:
                lines = seen(walk, *size)
                at = next((i for i, x in enumerate(lines) if item.headline in x), None)
                assert at is not None, (what, size, item.headline)
                main = [x[: size[0] - (0 if size[0] < 100 else 29 if size[0] < 120 else 40)] for x in lines]
                said = " ".join(" ".join(main[at : at + item.most]).replace(" ?", " ").split())
                if what.startswith("rule") and not item.aside:
                    assert " ".join(item.brief().split()) in said, (what, size)
                if item.text != item.brief():
                    assert any(x.rstrip().endswith(" ?") for x in main[at : at + item.most]), (what, size)
            tried += 1
        assert tried > 150


# Zones: what rises while something is typed takes lines that were blank.

RISING = {7: ("m", "4"), WORST: ("w", "4"), 47: ("m", "4"), 23: ("m", "4")}
"""By box, the keys of an answer that raises a flag."""


@pytest.mark.parametrize("size", THREE, ids=str)
def test_nothing_jumps_when_a_flag_rises_while_a_value_is_typed(book: Path, size: tuple[int, int]) -> None:
    """Every row of the questions, and the line of keys, on what Textual painted after each key."""
    with house.walking(book) as walk:
        asked: dict[int, list[str]] = {}

        async def typing() -> dict[int, list[list[str]]]:
            app, found = WalkApp(walk), dict[int, list[list[str]]]()
            async with app.run_test(size=size) as pilot:
                board = app.screen.query_one(Board)
                for number, keys in RISING.items():
                    found[number] = []
                    for at, key in enumerate(("g", *str(number), "enter", *keys)):
                        await pilot.press(key)
                        await settled(walk, pilot)
                        if at > len(str(number)):  # standing there, then after each key of the answer
                            shown = [board.render_line(y).text for y in range(board.size.height)]
                            found[number].append(shown)
                    asked[number] = [a.kind.title for a in steps.rows(walk.state, walk.desk)]
                walk.state = walk.state._replace(mode=Walking())
                await pilot.press("q")
            return found

        for number, shown in asyncio.run(typing()).items():
            asks = asked[number]
            before = {a: i for i, x in enumerate(shown[0]) for a in asks if re.match(rf"[> ] (\w\d )?{a}", x)}
            assert len(before) >= 3
            raised = [x for x in shown[-1] if re.match(r"!+ ", x)]
            assert raised, (number, shown[-1])
            for lines in shown[1:]:
                after = {a: i for i, x in enumerate(lines) for a in asks if re.match(rf"[> ] (\w\d )?{a}", x)}
                assert after == before, number
                assert lines[-1] == shown[0][-1]


@pytest.mark.parametrize("size", THREE, ids=str)
def test_the_asked_row_and_what_is_expected_of_it_are_one_bar_and_no_other_row_is(
    book: Path, size: tuple[int, int]
) -> None:
    with house.walking(book) as walk:
        for number in (7, WORST, 33, 47, 60):
            house.go(walk, number)
            asks = steps.rows(walk.state, walk.desk)
            for cursor, ask in enumerate(asks):
                walk.state = walk.state._replace(cursor=cursor)
                lines = compose(walk, *size)
                barred = [line for line in lines if any(style == "cursor" for _, style in line)]
                (row,) = barred
                bar = "".join(text for text, style in row if style == "cursor")
                assert clean(ask.kind.title, 18) in bar
                assert expected_words(ask)[:14] in bar


# The shelf in the title bar.


def shelf(walk: Walk, width: int = 80) -> str:
    found = re.search(r" ([A-D][1-4] [ \[].*?)   \w", seen(walk, width)[0])
    assert found is not None
    return found[1].rstrip()


def test_the_shelf_says_where_one_stands_and_what_was_seen_skipped_urgent_and_empty(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        assert shelf(walk) == "B3 [·!]·  ·  ·"
        house.press(walk, "space", "space")  # what must be typed is asked for once more
        assert walk.route.label(walk.state.at) == "TL-004"
        house.press(walk, "s", "1")
        assert shelf(walk) == "B3  ✓! s [· ]·"
        house.go(walk, WORST)
        assert shelf(walk) == "B3 [✓!]s  ·  ·"


def test_a_place_without_a_box_is_empty_and_a_long_shelf_is_cut_around_where_one_stands(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 4)  # B3-2
        stops = walk.route.stops
        gone = walk.route.stop_of(stops[walk.state.at + 1].enclosure.id)
        assert gone is not None
        box = stops[gone].enclosure
        assert box.place is not None
        stops[gone] = stops[gone]._replace(enclosure=box._replace(place=box.place._replace(slot=6)))
        assert shelf_line.marks(walk, 40).rstrip() == "B3  ·![· ]-  ·  -  ·"
        assert shelf_line.marks(walk, 12) == "B3  ·![· ]…"
        assert shelf_line.marks(walk, 5) == ""
        house.press(walk, "?")
        assert "a mark for each box, yours in brackets" in " ".join(" ".join(seen(walk)).split())


# Work that has to wait says so first.


def due_work_found(walk: Walk) -> None:
    """The walk with its due work, which is looked for beside the keys."""
    walk.dues.look_up(lambda: None)
    assert walk.dues.finder is not None
    assert walk.dues.finder.wait(60)
    assert walk.dues.take()


def test_nothing_at_a_box_orders_to_dig_where_a_larva_may_be_in_its_cell(book: Path) -> None:
    """At every box of the house: due work, open actions and flags whose work digs say why they wait, and fit."""
    with house.walking(book) as walk:
        due_work_found(walk)
        held = set()
        for at, stop in enumerate(walk.route.stops):
            if not stop.likely_cell:
                continue
            house.go(walk, stop.enclosure.number)
            assert walk.state.at == at
            for item in [*care_lines.at_hand(walk), *care_lines.raised(walk)]:
                rule = next((r for r in walk.config.rules if r.title == item.headline), None)
                todo = rule.todo(stop.enclosure.stage) if rule is not None else None
                digs = todo is not None and "dig" in todo.needs
                if digs or "has to wait" in item.text:
                    held.add(stop.enclosure.number)
                    assert item.line.startswith(lock_sentences.MAY_BE_IN_CELL), (stop.enclosure.code, item)
                    assert digs or item.headline.startswith(care_line_sentences.WAIT)
                    assert len(item.headline) <= HEADLINE
                    shown = " ".join(x[:79] for x in seen(walk, *THREE[-1])).replace(" ?", " ")
                    assert item.brief() in " ".join(shown.split()), (
                        stop.enclosure.code,
                        "cut, and lines are free",
                    )
        assert {19, 20, 28, 32, 47} <= held
        house.go(walk, 32)
        instruction = "until then wipe the lid and the outer walls dry and open the vents"
        assert instruction in " ".join(" ".join(seen(walk)).split())


def test_the_card_of_work_that_has_to_wait_says_so_before_any_other_caution(book: Path) -> None:
    with house.walking(book) as walk:
        due_work_found(walk)
        house.go(walk, 28)
        house.press(walk, "d")
        assert walk.state.mode.name == "card"
        card = prompt(walk.state, walk.desk).card
        assert card is not None
        why = due_sentences.withheld(lock_sentences.MAY_BE_IN_CELL)
        assert card.caution.startswith(why)
        assert card.headlines[0] == due_sentences.waits(lock_sentences.MAY_BE_IN_CELL)
        for width, height in THREE[1:]:
            said = " ".join(" ".join(x[:79] for x in seen(walk, width, height)).split())
            assert f"! {card.headlines[0]}" in said or f"! {why}" in said


def test_a_lock_that_is_set_aside_says_what_one_may_do(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 14)
        first = care_lines.at_hand(walk)[0]
        assert first.brief() == "set aside, you may dig: it is urgent; otherwise locked through 2 Mar"
