"""Which terminals get plain letters only: by setting, by kind, by locale."""

from __future__ import annotations

import subprocess
import sys

import pytest

from rounds.text.terminal_signs import ALL, ASCII, FITTING, only_ascii

PROGRAM = "from rounds.text.terminal_signs import only_ascii; print(only_ascii())"


@pytest.mark.parametrize(
    ("variables", "ascii_only"),
    [
        ({}, False),
        ({"LANG": "en_GB.UTF-8"}, False),
        ({"LANG": "C.utf8"}, False),
        ({"LANG": "C"}, True),
        ({"LC_ALL": "POSIX", "LANG": "en_GB.UTF-8"}, True),
        ({"LC_CTYPE": "de_DE.ISO-8859-1", "LANG": "de_DE.UTF-8"}, True),
        ({"LC_CTYPE": "UTF-8"}, False),
        ({"LANG": "de_DE@euro"}, True),
        ({"TERM": "linux", "LANG": "en_GB.UTF-8"}, True),
        ({"TERM": "xterm-256color", "LANG": "en_GB.UTF-8"}, False),
        ({"ROUNDS_SIGNS": "ascii", "LANG": "en_GB.UTF-8"}, True),
        ({"ROUNDS_SIGNS": "all", "TERM": "linux"}, False),
        ({"ROUNDS_SIGNS": "fancy", "TERM": "linux"}, True),
    ],
)
def test_the_terminal_says_what_it_can_show(variables: dict[str, str], ascii_only: bool) -> None:
    """Locale variables go before each other as POSIX.1-2017 says (8.2): LC_ALL, LC_CTYPE, LANG."""
    assert only_ascii(FITTING, variables) is ascii_only


def test_the_setting_goes_before_the_terminal_and_the_variable_before_the_setting() -> None:
    assert only_ascii(ASCII, {"LANG": "C.UTF-8"})
    assert not only_ascii(ALL, {"TERM": "linux"})
    assert not only_ascii(ASCII, {"ROUNDS_SIGNS": "all"})


@pytest.mark.parametrize(("locale", "ascii_only"), [("C", True), ("C.UTF-8", False), ("POSIX", True)])
def test_what_python_makes_of_a_plain_locale_does_not_hide_it(locale: str, ascii_only: bool) -> None:
    """It sets LC_CTYPE to C.UTF-8 when it starts in a plain one (PEP 538)."""
    out = subprocess.run(
        [sys.executable, "-c", PROGRAM], env={"LANG": locale}, capture_output=True, text=True, check=True
    )
    assert out.stdout.strip() == str(ascii_only)
