"""The one table of commands: what its fields say of where a command is listed, and that they agree."""

from __future__ import annotations

import pytest

from rounds.keys.command import LAST, NOWHERE, Command, listed
from rounds.keys.commands import COMMANDS, LISTED

INVENTED = Command("invented", "what no layout knew of", "invented", ("invented",))


def test_a_new_command_is_listed_last_on_the_walk_and_nowhere_else_unless_it_says_so() -> None:
    found = listed((*COMMANDS.values(), INVENTED))
    assert found.at_foot == {**LISTED.at_foot, "walk": (*LISTED.at_foot["walk"], "invented")}
    assert found.large_keys == (*LISTED.large_keys, "invented")
    assert (found.summary_help, found.page_help) == (LISTED.summary_help, LISTED.page_help)
    shown = INVENTED._replace(
        walk_rank=15, summary_rank=1, page_rank=1, on_page="wait", while_on_page="over_page"
    )
    found = listed((*COMMANDS.values(), shown))
    assert found.at_foot["walk"][:3] == ("next", "invented", "back")
    assert [found.summary_help[0], found.page_help[0], found.at_foot["page"][0]] == ["invented"] * 3


@pytest.mark.parametrize("command", COMMANDS.values(), ids=lambda c: c.id)
def test_what_is_listed_on_a_page_does_something_there_and_what_does_is_listed(command: Command) -> None:
    assert bool(command.page_rank) >= bool(command.on_page), "what is said of it there has its place there"
    does = command.while_on_page != "nothing"
    assert does == bool(command.page_rank) or command.id == "menu", "which does what its entries do"


def test_the_order_of_each_place_is_told_by_ranks_of_their_own() -> None:
    for rank in ("walk_rank", "summary_rank", "page_rank"):
        given = [r for c in COMMANDS.values() if (r := getattr(c, rank)) not in (NOWHERE, LAST)]
        assert len(given) == len(set(given)), rank
