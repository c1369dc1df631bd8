"""What is said at an enclosure and after a line: order, words, and nothing recorded by mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.acts.registry import all_acts
from rounds.config import Config
from rounds.keys.commands import COMMANDS
from rounds.line_ui import spoken_words
from rounds.records.observations import House
from rounds.store.book import create
from rounds.walk.core import Walk
from tests.line_ui.lines import Typing, opened

MARKS = "✓…→←↑↓·│!≥_[]{}`"
"""Signs that stand for something on the screen; what is read out uses words."""


def test_every_command_has_a_word() -> None:
    taken: dict[str, str] = {}
    for command in COMMANDS.values():
        assert command.words, command.id
        for word in command.words:
            assert taken.setdefault(word, command.id) == command.id, f"{word} gives two commands"
    assert taken == spoken_words.BY_WORD


def test_a_command_that_the_layout_has_no_key_for_is_given_by_its_word(book: Path, shipped: Config) -> None:
    """As in a keeper's own layout that is older than the command."""
    lacking = {k: c for k, c in shipped.commands.items() if c not in ("summary", "put_off", "note")}
    walk = opened(book, shipped._replace(commands=lacking))
    typing = Typing(walk)
    typing.type("note calm")
    assert walk.round.visit_at(walk.state.at).note == "calm"
    typing.type("summary")
    assert walk.over
    typing.type("help")
    assert any(line.startswith("put off: ") for line in typing.last)
    typing.type("menu")
    assert typing.text == "No key of this layout gives menu."
    assert walk.close(10.0) is None


def test_an_enclosure_is_announced_in_order(typing: Typing) -> None:
    typing.type("go TL-014")
    heads = ["TL-014, laying", "Mecynorhina", "Lock", "Open, act now", "Due soon:", "Enter alone confirms"]
    at = [next(i for i, line in enumerate(typing.last) if line.startswith(h)) for h in heads]
    assert at == sorted(at)
    assert typing.asked.startswith("jelly eaten: 0 to 9, in ¼ cup; usual")


def test_a_question_has_its_answers_what_is_expected_and_what_was_last(typing: Typing) -> None:
    typing.type("go TL-022")
    assert (
        typing.asked
        == "moisture: 1 dry, 2 right, 3 wet, 4 standing water; usual right; last right, as usual."
    )
    assert any("again after 28" in line for line in typing.last)
    typing.type("brief", "go TL-026", "go TL-022")
    assert any(line.startswith("Due: change two thirds") for line in typing.last)
    assert not any("again after 28" in line for line in typing.last)
    assert typing.asked == "moisture: usual right; last right, as usual."
    typing.type("full")
    assert "1 dry" in typing.asked


def test_an_answer_is_saved_before_it_is_said_to_be(typing: Typing) -> None:
    typing.type("2")
    assert typing.last == ["saved: jelly eaten 2."]
    assert not typing.walk.saving.waiting


def test_several_answers_on_one_line(typing: Typing) -> None:
    typing.type("2 1 no right")
    assert typing.last == [
        "saved: jelly eaten 2.",
        "saved: jelly given 1.",
        "saved: on its back no.",
        "saved: moisture right.",
    ]


def test_an_empty_line_asks_once_about_what_must_be_typed(typing: Typing) -> None:
    typing.type("")
    assert typing.last == ["jelly eaten (each time): type it, or enter again leaves it unread."]
    assert typing.walk.state.at == 0
    typing.type("")
    assert typing.walk.state.at == 1
    assert typing.last[0] == "saved: 5 readings as usual; left unread: jelly eaten, shelf °C."
    assert typing.last[1].startswith("TL-012, holding for 132 days, number 12, at A1-2. 2 of 60.")
    typing.type("back")
    assert not [x for x in typing.last if x.startswith("Enter alone")], "it is confirmed already"


def test_a_search_is_told_on_its_card_and_back_leaves_it(typing: Typing) -> None:
    typing.type("go TL-014", "record search")
    assert "Card: searched." in typing.last
    caution = next(line for line in typing.last if line.startswith("Dust, droppings"))
    assert caution == all_acts()["search"].caution, "all of it is read out"
    typing.type("complete")
    assert typing.session.prompt() == "How many eggs? Enter alone: the next field; back: nothing is recorded."
    typing.type("", "back")
    assert typing.last[-1] == "nothing recorded."
    assert typing.walk.state.mode.name == "walk"
    typing.type("record search", "complete", "a lot of 20")
    assert "'a lot of 20' is no number." in typing.last
    assert typing.walk.state.mode.name == "card"
    typing.type("at least 18 2", "record")
    assert typing.session.prompt().startswith("Is that right?")
    typing.type("yes")
    made = typing.walk.acts.books.recorded[-1].given
    assert (made["how"], made["eggs"], made["l1"]) == ("complete", "18+", "2")


@pytest.mark.parametrize("lines", [("next", "next"), ("next", ""), ("", "next")])
def test_the_word_next_goes_on_when_it_is_said_twice(typing: Typing, lines: tuple[str, str]) -> None:
    typing.type(lines[0])
    assert typing.walk.state.at == 0
    typing.type(lines[1])
    assert typing.walk.state.at == 1


def test_what_enter_confirms_is_said_whole_once_a_stage(typing: Typing) -> None:
    typing.type("go TL-022", "go TL-023")
    first = [x for x in typing.last if x.startswith("Enter alone")]
    assert first[0].startswith("Enter alone confirms moisture right, larvae surfaced 0")
    typing.type("go TL-024")
    again = [x for x in typing.last if x.startswith("Enter alone")]
    assert again == ["Enter alone: the usual."]
    typing.type("here")
    assert [x for x in typing.last if x.startswith("Enter alone confirms larvae surfaced 0")]


@pytest.mark.parametrize("line", ["zzz", "2 zzz", "2 1 undoo", "%", "-3", "12345678901", "2 \x1b[A", "2.5.1"])
def test_what_is_not_known_records_nothing(typing: Typing, line: str) -> None:
    typing.type(line)
    assert not typing.session.pressed
    assert not typing.walk.state.steps
    assert len(typing.last) == 1


def test_an_unknown_word_names_the_nearest(typing: Typing) -> None:
    typing.type("unod")
    assert typing.last == [
        "Not understood: unod. Nothing of this line was taken. Did you mean undo? The word help lists what can be typed."
    ]
    typing.type("go TL-0014")
    assert "There is no box TL-0014 on this walk; it stays here. Did you mean TL-014?" in typing.last
    assert typing.walk.state.at == 0


def test_what_follows_a_refused_answer_is_not_taken(typing: Typing) -> None:
    typing.type("2 1 7 2")
    assert typing.last[:2] == ["saved: jelly eaten 2.", "saved: jelly given 1."]
    assert typing.last[2:] == ["on its back: 1 is yes, 0 is no.", "Not taken: 2"]


@pytest.mark.parametrize("line", ["99", "41", "2.5", "1234567"])
def test_a_number_that_is_none_is_asked_again(typing: Typing, line: str) -> None:
    typing.type("2", line)
    assert "backspace" not in typing.text
    assert "jelly given" in typing.last[-1]
    assert typing.walk.state.half_typed == ""
    typing.type("12")
    assert typing.last == ["saved: jelly given 12."]


def test_a_decimal_number(typing: Typing) -> None:
    typing.type("shelf °C", "23,5")
    assert typing.last[-1] == "saved: shelf °C 23.5."


def test_flags_are_read_out_as_they_are_raised_and_withdrawn(typing: Typing) -> None:
    typing.type("go TL-022", "water")
    flags = [x for x in typing.last if x.startswith("Flag, act now: Water stands at the base")]
    assert len(flags) == 1
    assert typing.last.index(flags[0]) == typing.last.index("saved: moisture standing water.") + 1
    typing.type("undo")
    assert typing.last[0] == "saved: taken back at TL-022: moisture."
    assert any(x.startswith("No longer raised: Flag, act now: Water") for x in typing.last)


def test_a_note_on_one_line_and_more_of_it(typing: Typing) -> None:
    typing.type("note dry  at\tthe wall")
    assert typing.last == ["saved: note dry at the wall."]
    typing.type("note")
    assert typing.asked.startswith("TL-007, note so far: dry at the wall.")
    typing.type("below")
    assert typing.walk.round.visit_at(0).note == "dry at the wall below"
    typing.type("note", "erase")
    assert typing.walk.round.visit_at(0).note == ""
    assert typing.last == ["saved: note emptied."]
    typing.type("note")
    assert typing.asked.startswith("TL-007, note, on one line?")


def test_past_the_last_question_it_is_said_whether_something_has_to_be_read(typing: Typing) -> None:
    typing.type("go TL-022", *["down"] * 20)
    assert typing.asked == "Nothing more has to be typed here. Enter goes on."  # a shelf's °C never stops
    typing.type("")
    assert typing.asked.startswith("moisture: ")
    typing.type(*["down"] * 20)
    assert typing.asked.startswith("Still to be read: moisture")
    typing.type("")
    assert typing.asked.startswith("moisture: ")


def test_a_note_that_is_too_long_says_what_was_not_taken(typing: Typing) -> None:
    typing.type("note " + "x" * 1990 + "yyyyyyyyyyzzz")
    assert typing.walk.round.visit_at(0).note == "x" * 1990 + "y" * 10
    assert typing.last[-1] == "Only its first 2000 characters fit; not taken: zzz"


def test_nothing_that_is_read_out_rests_on_a_mark(typing: Typing) -> None:
    """A round over every enclosure, with trouble, in every mode: words only, and nothing is cut short."""
    for line in ("2", "v", "all", "back", "record", "", "skip", "", "other", "", "correct", "1", "", "help"):
        typing.type(line)
    for number in range(1, 61):
        typing.type(f"go {number}", "done", "", "here")
    typing.type("summary", "help", "all")
    text = "\n".join([*typing.said, typing.asked])
    assert {c for c in text if c in MARKS} == set()
    assert all(c.isprintable() or c == "\n" for c in text)


def test_the_control_of_that_finds_a_mark() -> None:
    assert {c for c in "saved ✓" if c in MARKS} == {"✓"}


# Modes


def test_going_skipping_and_coming_back(typing: Typing) -> None:
    typing.type("skip")
    assert typing.said[-4:] == [
        "1: must not be disturbed",
        "2: could not reach it",
        "3: no time",
        "4: not on the shelf",
    ]
    assert typing.asked.startswith("Why skip it?")
    typing.type("")
    assert typing.last[0] == "not skipped."
    typing.type("skip no time")
    assert typing.last[0] == "saved: skipped TL-007: no time."
    assert typing.walk.state.at == 1
    typing.type("b")
    assert "Skipped on this round: no time." in typing.last
    typing.type("g 14")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-014"


def test_a_command_in_a_list_leaves_it_with_nothing_done(typing: Typing) -> None:
    typing.type("skip", "help")
    assert typing.last[0].startswith("1: must")
    assert "not skipped." in typing.last
    assert any(x.startswith("undo or u:") for x in typing.last)
    assert typing.walk.state.mode.name == "walk"


def test_correcting_an_earlier_visit(typing: Typing) -> None:
    typing.type("correct")
    assert typing.said[-3].startswith("1: ")
    typing.type("1")
    assert typing.asked.startswith("Correcting 1 Mar, ")
    typing.type("3", "")
    assert "back at today's visit." in typing.last
    assert not typing.asked.startswith("Correcting")


def test_done_and_put_off(typing: Typing) -> None:
    typing.type("go TL-014", "done")
    assert typing.said[-3].startswith("1: act now: ")
    typing.type("1")
    assert typing.last[0].startswith("saved: done: ")
    typing.type("put off 1 14 the jelly is out")
    assert typing.last[0].startswith("saved: put off 14 days: ")
    typing.type("p", "0", "900", "3", "")
    assert "0 is not 1 to 365 days." in typing.last
    assert "not put off." in typing.last


def test_recording_an_act_by_its_words(typing: Typing) -> None:
    typing.type("record dead")
    assert "Proposed: box after keep." in typing.last
    assert "3: too dry" in typing.last
    typing.type("too dry", "yesterday", "record")
    assert any(said.startswith("saved: recorded: ") for said in typing.last)
    assert typing.walk.acts.books.recorded[-1].given["cause"] == "too dry"
    typing.type("undo")
    assert typing.last[0].startswith("saved: taken back at TL-007: found dead (")
    typing.type("record", "0", "")
    assert typing.last[-1] == "nothing recorded."
    typing.type("record lock", "leave")
    assert typing.last[-1] == "nothing recorded."


def test_an_act_is_typed_in_one_line(typing: Typing) -> None:
    typing.type("record weigh 18.5 record")
    while typing.walk.state.mode.name == "sure":
        typing.type("yes")
    assert typing.walk.acts.books.recorded[-1].given["grams"] == "18.5"


def test_an_act_that_is_doubted_is_asked_about(typing: Typing) -> None:
    typing.type("go TL-014", "record search", "partial", "record")
    assert "right?" not in typing.last[-3], "it is asked once"
    assert typing.asked.startswith("Is that right?")
    assert typing.said[-2:] == ["1: yes", "2: no, back to the card"]
    typing.type("2")
    assert typing.walk.state.mode.name == "card"
    typing.type("back")
    assert typing.last[-1] == "nothing recorded."
    assert not typing.walk.state.steps


def test_other_readings_by_word_and_by_list(typing: Typing) -> None:
    typing.type("smell sour")
    assert typing.last[0] == "saved: smell sour."
    typing.type("other", "0")
    assert any(line.startswith("0: more") for line in typing.last)
    typing.type("")
    assert typing.last == ["nothing added."]


def test_the_summary_by_rows(typing: Typing) -> None:
    typing.type("summary")
    assert typing.last[0] == "Summary of Mon 2 Mar 2026, 0 of 60 seen."
    assert typing.last[1].startswith("8 boxes need you, ")
    assert ", 60 not seen; carry " in typing.last[1]
    assert typing.last[2].startswith("1: TL-014 at B3-1, act now: ")
    assert any(x.startswith("To carry next time: ") for x in typing.last)
    assert typing.last[-1].startswith("Not seen: 11, TL-007 at A1-1, holding; ")
    typing.type("3")
    assert typing.last[0].startswith("Row 3 of 70: TL-014")
    typing.type("done")
    assert typing.last[0].startswith("saved: done: ")
    typing.type("99")
    assert typing.last == ["99 is no row of the summary: they are 1 to 69."]
    typing.type("3", "")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-012"
    typing.type("summary", "summary")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-012"


def test_help_closes_itself(typing: Typing) -> None:
    typing.type("?")
    assert typing.walk.state.mode.name == "walk"
    assert any(x.startswith("jelly eaten, key j: ") for x in typing.last)


def test_quitting_in_any_list(typing: Typing) -> None:
    typing.type("record", "quit")
    assert typing.session.over


@pytest.mark.parametrize(
    "before",
    [
        (),
        ("note",),
        ("note dry",),
        ("skip",),
        ("record",),
        ("record lock",),
        ("go",),
        ("correct 1",),
        ("done",),
        ("other",),
        ("put off",),
        ("put off 1", "3"),
        ("summary",),
        ("rack",),
        ("find umber",),
        ("pages", "2", ""),
    ],
    ids=" ".join,
)
def test_a_scanned_label_leads_to_its_enclosure_from_anywhere(
    typing: Typing, before: tuple[str, ...]
) -> None:
    typing.type("go TL-012", *before)
    steps = typing.walk.state.steps
    typing.type("gtl-022")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-022"
    assert typing.walk.state.mode.name == "walk"
    assert not typing.walk.state.pages
    assert typing.walk.state.steps == steps, "a scan records nothing"
    typing.type(*before)
    steps = typing.walk.state.steps
    typing.type("\ttl-012", "")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-012", "an Enter the scanner adds goes nowhere"
    assert typing.walk.state.steps == steps


def test_the_word_scan_asks_for_a_label(typing: Typing) -> None:
    typing.type("scan", "tl-022")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-022"
    typing.type("scan", "x" * 90)
    assert any("too long" in line for line in typing.last)
    typing.type("scan", "")
    assert typing.walk.state.mode.name == "walk"
    assert typing.walk.route.label(typing.walk.state.at) == "TL-022"


def test_a_label_of_no_enclosure_is_told_in_any_mode(typing: Typing) -> None:
    for before in ((), ("note",), ("record",)):
        typing.type(*before, "\tTL-999")
        assert any("no box 'TL-999'" in line for line in typing.last)
        assert typing.walk.state.mode.name == "walk"


def test_a_scan_of_no_enclosure_records_nothing(typing: Typing) -> None:
    typing.type("gTL-999")
    assert typing.last[0].startswith("Not understood: gTL-999.")
    assert not typing.session.pressed


def test_a_walk_without_enclosures_says_so(book: Path, shipped: Config) -> None:
    walk = opened(book, shipped, bays=("Z",))
    typing = Typing(walk)
    assert typing.said[-1] == "There is no box in bays Z."
    assert typing.asked == "quit leaves."
    typing.type("", "2", "back", "skip", "help", "rack", "quit")
    assert typing.session.over
    assert walk.close(10.0) is None


def test_an_empty_book_says_what_to_do_first(shipped: Config, tmp_path: Path) -> None:
    with create(tmp_path / "new.sqlite", House("", "UTC")):
        pass
    walk = opened(tmp_path / "new.sqlite", shipped)
    typing = Typing(walk)
    assert "rounds load FOLDER" in typing.said[-1]
    assert walk.close(10.0) is None


def test_help_lists_no_word_that_gives_nothing(typing: Typing) -> None:
    """The layout of letters has no menu."""
    typing.type("help")
    listed = [line for line in typing.last if line.startswith("menu")]
    typing.type("menu")
    assert typing.last[0] == "No key of this layout gives menu."
    assert not listed
    assert spoken_words.key_of(typing.walk, "skip") is not None
    typing.type("help")
    assert any(line.startswith("skip") for line in typing.last)


def test_an_act_of_an_earlier_day_is_told_it_on_its_card(typing: Typing) -> None:
    typing.type("record dead", "before", "before")
    while not typing.asked.startswith("On which day?"):
        typing.type("before")
    typing.type("yesterday", "record")
    assert any(said.startswith("saved: recorded on ") for said in typing.last), typing.last
    typing.type("undo", "record dead", "before")
    while not typing.asked.startswith("On which day?"):
        typing.type("before")
    typing.type("soon")
    assert any("soon" in said for said in typing.last), typing.last
    typing.type("back")
    assert typing.walk.state.mode.name == "walk"


def test_what_others_did_is_said_before_the_next_question_and_at_the_box(
    typing: Typing, book: Path, shipped: Config
) -> None:
    other = opened(book, shipped, keeper="Wren")
    for key in ("g", "1", "4", "enter", "n", "o", "k", "enter"):
        other.press(key)
    assert other.drain(10.0)
    typing.type("here")
    assert typing.last[-1].endswith("Wren at TL-014: note: ok.")
    typing.type("go TL-014")
    assert any(line.startswith("Others today: Wren ") and line.endswith("note: ok.") for line in typing.last)
    assert "Others today: Wren is at this box too." in typing.last
    assert typing.last[-1] != "Wren at TL-014: note: ok.", "it is told once"
    assert other.close(10.0) is None


def test_control_of_who_does_not_look_nothing_is_said(
    typing: Typing, book: Path, shipped: Config, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Walk, "look_about", lambda _: False)
    other = opened(book, shipped, keeper="Wren")
    for key in ("g", "1", "4", "enter", "n", "o", "k", "enter"):
        other.press(key)
    assert other.drain(10.0)
    assert "Wren" not in "\n".join(typing.type("here"))
    assert other.close(10.0) is None
