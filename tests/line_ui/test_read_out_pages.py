"""The books' pages in lines: opened by word, read by rows, acted on, and left; nothing recorded by looking."""

from __future__ import annotations

import pytest

from rounds.line_ui import read_out_pages, spoken_words
from rounds.line_ui.read_out import sentence
from rounds.views import find_page
from rounds.views.page import TOPICS, Link, Topic
from tests.line_ui.lines import Typing


def test_the_page_of_an_enclosure_and_back(typing: Typing) -> None:
    typing.type("pages")
    assert typing.last[0] == "Page: box TL-007."
    assert any("UMBER 11 m" in line for line in typing.last)
    assert typing.asked.startswith("Enter opens row 1 of ")
    typing.type("2", "")
    assert "Page: animal UMBER 11 m." in typing.last
    assert not any("working" in line for line in typing.last), "what is worked out is waited for"
    typing.type("back")
    assert typing.last[0] == "Page: box TL-007."
    assert len(typing.last) == 2, "a page gone back to is not read all over again"
    typing.type("close")
    assert typing.last == ["Back on the walk at TL-007."]
    assert not typing.walk.state.pages
    assert not typing.walk.state.steps


@pytest.mark.parametrize("topic", [t for t in TOPICS if t.title != "find"], ids=lambda t: t.title)
def test_every_topic_by_its_word(typing: Typing, topic: object) -> None:
    title = topic.title  # type: ignore[attr-defined]
    typing.type(title)
    assert typing.walk.state.pages[-1].link == topic.link  # type: ignore[attr-defined]
    assert typing.last[0].startswith("Page: ")
    assert sum(line.startswith("Page: ") for line in typing.last) == 1
    typing.type("close", f"pages {title}")
    assert typing.walk.state.pages[-1].link == topic.link  # type: ignore[attr-defined]


def test_a_page_that_no_digit_opens_by_its_word(typing: Typing, monkeypatch: pytest.MonkeyPatch) -> None:
    quiet = Topic("", Link("corrections"), "quiet corners")  # any kind will do that is there
    for module in (find_page, spoken_words, read_out_pages):
        monkeypatch.setattr(module, "TOPICS", (*TOPICS, quiet))
    monkeypatch.setitem(spoken_words.TOPIC, quiet.title, quiet)
    for typed in ("quiet corners", "close", "rack", "Quiet corners"):
        typing.type(typed)
    assert [opened.link for opened in typing.walk.state.pages][-1] == quiet.link
    assert sum(line.startswith("Page: ") for line in typing.last) == 1
    typing.type("close", "quiet corners")
    assert typing.walk.state.pages[-1].link == quiet.link


def test_rows_by_number_and_more(typing: Typing) -> None:
    typing.type("rack")
    rows = [line for line in typing.last if line[0].isdigit()]
    assert [int(line.split(":")[0]) for line in rows] == list(range(1, read_out_pages.MOST + 1))
    typing.type("more")
    rows = [line for line in typing.last if line[0].isdigit()]
    assert [int(line.split(":")[0]) for line in rows] == list(
        range(read_out_pages.MOST + 1, 2 * read_out_pages.MOST + 1)
    )
    typing.type("25")
    assert typing.last[0].startswith("25: ")
    typing.type("3")
    assert typing.last[0].startswith("3: A1-3")
    typing.type("999")
    assert typing.last == ["999 is no row of this page: there are 64."]
    assert typing.walk.state.pages[-1].cursor == 2


def test_looking_for_something(typing: Typing) -> None:
    typing.type("find umber 11")
    assert sum(line.startswith("Page: find") for line in typing.last) == 1
    assert any("UMBER 11" in line for line in typing.last)
    typing.type("kestrel k11")
    assert typing.walk.state.pages[-1].query == "kestrel k11"
    typing.type("1", "")
    assert typing.walk.state.pages[-1].link.kind == "animal"
    typing.type("back", "back")
    assert not typing.walk.state.pages
    typing.type("find", "")
    assert not typing.walk.state.pages


def test_acting_from_a_page_and_walking_to_a_box(typing: Typing) -> None:
    typing.type("rack", "3", "note", "seen from the rack")
    assert typing.walk.route.label(typing.walk.state.at) == "TL-003"
    assert typing.walk.round.visit_at(typing.walk.state.at).note == "seen from the rack"
    typing.type("pages", "")
    assert not typing.walk.state.pages
    assert typing.walk.route.label(typing.walk.state.at) == "TL-003"


def test_what_is_not_known_on_a_page(typing: Typing) -> None:
    typing.type("rack")
    typing.type("rak")
    assert typing.last == ["Not understood on this page: rak. Did you mean rack?"]
    typing.type("help")
    assert any(line.startswith("Other pages: ") for line in typing.last)
    assert typing.walk.state.pages
    typing.type("quit")
    assert typing.session.over


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("It smells. → Air it.", "It smells. To do: Air it."),
        ("it smells → air it", "it smells. To do: air it."),
        ("It smells. (since 24 Nov) → Why?", "It smells. (since 24 Nov). To do: Why?"),
        ("a → b → `rounds c`", "a. To do: b. To do: rounds c."),
        ("", ""),
    ],
)
def test_a_text_is_said_with_one_stop_at_the_end_of_each_sentence(text: str, said: str) -> None:
    assert sentence(text) == said


def test_no_page_says_two_stops(typing: Typing) -> None:
    typing.type("go TL-014")
    typing.type("rack")
    assert not [line for line in typing.last if ".." in line]
    assert any("To do: " in line for line in typing.last), "there is something to do on it"
